"""`itembank build BANK --out DIR`"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any

import click

from itembank.bank.bank import LeaveOut
from itembank.build import BuildRequest, build
from itembank.build.report import passed_over
from itembank.build.writing import FORMATS, USUAL_FORMATS
from itembank.cli import report
from itembank.writers.formulas import DELIMITERS, MODES


def formats_option(
    ctx: click.Context, parameter: click.Parameter, value: str | None
) -> tuple[str, ...] | None:
    """The names of a list of formats, None where none is given."""
    if value is None:
        return None
    names = tuple(name.strip() for name in value.split(",") if name.strip())
    if not names:
        raise click.BadParameter(f"`{value}` is none of {', '.join(FORMATS)}")
    return names


def check_formats(names: tuple[str, ...] | None, bank: Path) -> None:
    """Refuses what is neither a format of the house nor one that the bank declares."""
    others = [name for name in names or () if name not in FORMATS]
    if others:
        from itembank.bank.extensions import declared_names

        unknown = [name for name in others if name not in declared_names(bank)]
        if unknown:
            other = "a writer of an extension is declared in bank.yaml, under `extensions`"
            if unknown[0].lower() == "pdf":
                other = "PDF files are made of latex with --pdf"
            elif unknown[0].lower() in FORMATS:
                other = f"write {unknown[0].lower()}"
            raise click.BadParameter(f"`{unknown[0]}` is none of {', '.join(FORMATS)}: {other}")


def _is_full(ctx: click.Context, parameter: click.Parameter, value: str) -> bool:
    return value == "full"


WRITING = (
    click.option(
        "--formats",
        callback=formats_option,
        metavar="LIST",
        help=f"What to write (what the bank says, or {','.join(USUAL_FORMATS)}), from {','.join(FORMATS)}.",
    ),
    click.option(
        "--proof",
        "full_proof",
        type=click.Choice(["standard", "full"]),
        default="standard",
        callback=_is_full,
        help="full: sympy proves every item a second time (standard).",
    ),
    click.option("--language", callback=report.language_tag, help="Language of texts, such as es or en-US."),
    click.option(
        "--paper-size", type=click.Choice(["a4", "letter"]), help="Of the sheet (what the bank says, or a4)."
    ),
    click.option("--large-print", is_flag=True, help="Papers in letters of 18 points."),
    click.option("--pdf", is_flag=True, help="Papers also as PDF files, where TeX is installed."),
    click.option(
        "--maths",
        type=click.Choice(MODES),
        help="How formulas are written in packages and pages: mathml (usual), svg (pictures), latex.",
    ),
    click.option(
        "--latex-delimiters",
        type=click.Choice(list(DELIMITERS)),
        help="What stands around formulas with --maths latex.",
    ),
    click.option("--workers", type=click.IntRange(1, 64), default=1, help="Processes to work in (1)."),
    click.option("--json", "as_json", is_flag=True, help="The report as JSON."),
)
"""The fields of `Writing`, each an option; a test holds the two to have the same names."""


def writing_options(command: Callable[..., int]) -> Callable[..., int]:
    """What every command that writes items is asked, under the names of `Writing`; and `--json`.

    A command takes them as `**writing` and hands them on to its request.
    """
    for option in reversed(WRITING):
        command = option(command)
    return command


_LEAVING_OUT = (
    click.option(
        "--not-again", type=click.Path(path_type=Path), multiple=True, metavar="DIR",
        help="A folder of an earlier build or assembly, whose items are not used again.",
    ),
    click.option("--leave-out-used", is_flag=True, help="Leave out items that the bank's record says were used."),
    click.option(
        "--used-by", multiple=True, metavar="GROUP", help="Leave out only what this group sat; several may be named."
    ),
    click.option(
        "--used-since", callback=report.a_day, metavar="DATE", help="Leave out only what was used on this day or later."
    ),
    click.option(
        "--used-times", type=click.IntRange(min=1), help="Leave out only what was used so often, or more often."
    ),
    click.option(
        "--approved", is_flag=True, help="Draw only from templates that were approved as they are (`itembank approve`)."
    ),
    click.option("--used-too", is_flag=True, help="Leave out nothing, whatever the bank or blueprint says."),
)  # fmt: skip


def leaving_out_options(command: Callable[..., int]) -> Callable[..., int]:
    """What every command that draws items for pupils is asked of those used before: `not_again` and `leave_out`.

    leave_out: None where nothing is said.
    """

    @wraps(command)
    def asked(
        *given: Any,
        leave_out_used: bool,
        used_by: tuple[str, ...],
        used_since: str,
        used_times: int | None,
        used_too: bool,
        **named: Any,
    ) -> int:
        is_asked = bool(leave_out_used or used_by or used_since or used_times)
        if is_asked and used_too:
            raise click.UsageError("--used-too leaves nothing out: take it, or the other options, out")
        rule = LeaveOut(used_by, used_since, used_times or 1) if is_asked else None
        return command(*given, leave_out=LeaveOut(times=0) if used_too else rule, **named)

    found: Callable[..., int] = asked
    for option in reversed(_LEAVING_OUT):
        found = option(found)
    return found


@click.command("build")
@click.argument("bank", type=click.Path(path_type=Path))
@click.option(
    "--out", "out", type=click.Path(path_type=Path), required=True, help="Folder to write; replaced whole."
)
@click.option(
    "--count",
    type=click.IntRange(min=1),
    help="Items in all, shared evenly over the templates; as many as the bank says, or 10 of each.",
)
@click.option("--seed", type=click.IntRange(min=0, max=2**63), help="Another seed than the bank's.")
@click.option("--versions", type=click.IntRange(1, 26), help="Versions of the paper: A, B, ...")
@click.option(
    "--class-list",
    type=click.Path(path_type=Path),
    help="CSV or .xlsx of pupils: papers with their names on them.",
)
@leaving_out_options
@writing_options
def command(
    bank: Path,
    out: Path,
    count: int | None,
    seed: int | None,
    not_again: tuple[Path, ...],
    leave_out: LeaveOut | None,
    approved: bool,
    versions: int | None,
    class_list: Path | None,
    as_json: bool,
    **writing: Any,
) -> int:
    """Draw, prove and write the items of a BANK folder."""
    check_formats(writing["formats"], bank)
    request = BuildRequest(
        bank, out, count, seed, versions, class_list, not_again, leave_out, approved, **writing
    )
    result = build(request, lambda products, total: report.progress(products, total, "items"))
    made = result.report
    report.tell_each(result.doubts)
    if as_json:
        report.say(made.as_json().rstrip())
        return 0
    for tally in made.templates:
        bands = ", ".join(f"{name} {number}" for name, number in tally.bands.items())
        report.say(f"{tally.items:6}  {tally.template}{f'  ({bands})' if bands else ''}")
    report.say(
        f"{made.items:6}  item{'s' * (made.items != 1)}, {made.marks} mark{'s' * (made.marks != 1)}, "
        f"{made.claims_proved} claims proved, "
        f"{len(made.files)} files in {out}"
    )
    if made.used_before is not None:
        report.say(f"        {passed_over(made.used_before)}")
    if result.left_out:
        report.say(f"        not whole in the language, left out: {', '.join(result.left_out)}")
    if result.changes is not None:
        report.say(f"        {result.changes.summary()}")
    return 0
