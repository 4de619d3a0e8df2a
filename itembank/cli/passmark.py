"""`itembank passmark BUILD --judgements FILE`"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import click

from itembank.cli import report
from itembank.cli.analyse import refuse_a_build
from itembank.output_folder import restore
from itembank.standard_setting.ratings_file import MOST_ROUNDS, Scale


@click.command("passmark")
@click.argument("build", type=click.Path(path_type=Path))
@click.argument("more", nargs=-1, type=click.Path(path_type=Path), metavar="")
@click.option(
    "--judgements", multiple=True, type=click.Path(path_type=Path), metavar="FILE",
    help="Ratings of questions by judges, judgements of pupils by teachers, or what judges would accept; repeatable.",
)  # fmt: skip
@click.option(
    "--responses", multiple=True, type=click.Path(path_type=Path), metavar="FILE",
    help="Results, as `itembank analyse` takes them; repeatable.",
)  # fmt: skip
@click.option(
    "--scale", type=click.Choice([each.value for each in Scale]), default=Scale.MARKS.value,
    help="What a plain number of a rating is (marks); one with % is always per cent of the marks.",
)  # fmt: skip
@click.option("--boundary", default="", metavar="NAME", help="What the mark is for, such as merit (a pass).")
@click.option(
    "--lower", multiple=True, type=click.Path(path_type=Path), metavar="FILE",
    help="The same of the boundary below, such as a pass where this one is merit; repeatable.",
)  # fmt: skip
@click.option(
    "--form", type=click.Path(path_type=Path), metavar="FILE",
    help="Write the blank form for judges as CSV, and nothing else; a file that is there is never replaced.",
)  # fmt: skip
@click.option(
    "--form-of", type=click.Choice(("ratings", "limits", "pupils")), default="ratings",
    help="What the form asks for (ratings); pupils takes their names from --responses.",
)  # fmt: skip
@click.option("--judges", type=click.IntRange(1, 60), help="Places for judges in the form (10).")
@click.option("--rounds", type=click.IntRange(1, MOST_ROUNDS), help="Columns for each judge in the form (1).")
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for the report and its tables; replaced whole."
)
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON.")
def command(
    build: Path,
    more: tuple[Path, ...],
    judgements: tuple[Path, ...],
    responses: tuple[Path, ...],
    scale: str,
    boundary: str,
    lower: tuple[Path, ...],
    form: Path | None,
    form_of: str,
    judges: int | None,
    rounds: int | None,
    out: Path | None,
    as_json: bool,
) -> int:
    """Tell where the pass mark of a BUILD lies, or the mark for a grade, from what judges and teachers say.

    BUILD: the folder that `itembank build` wrote, or a form of `itembank assemble`, whose staff files tell the
    questions. A FILE of judgements is one of three: ratings, in the form that --form writes; pupils, with the columns
    pupil and judgement (below, borderline or above); limits, with the columns judge, least mark, most mark, least fail
    and most fail (per cent).
    """
    from itembank.analysis.rendering import as_text
    from itembank.standard_setting.reading import read_pass_mark
    from itembank.standard_setting.report import report as told
    from itembank.standard_setting.report_data import as_data

    if more and (responses or not judgements):
        message = f"is {more[0]} of judges or of results? Name each file with --judgements or --responses of its own"
        raise click.UsageError(message)
    judgements = (*judgements, *more)
    if form is not None:
        if judgements or lower or out is not None or (responses and form_of != "pupils"):
            raise click.UsageError("--form writes the blank form and nothing else: leave the other files out")
        _refuse_what_no_form_has(form_of, judges, rounds, responses)
        return _write_form(build, form, _Form(form_of, judges or 10, rounds or 1, responses), as_json)
    if not judgements:
        raise click.UsageError(
            "name what judges say with --judgements FILE, or write their form with --form FILE"
        )
    if judges is not None or rounds is not None:
        raise click.UsageError("--judges and --rounds are for the form: add --form FILE")
    if form_of != "ratings":
        raise click.UsageError("--form-of is for the form: add --form FILE")
    if out is not None:
        refuse_a_build(out, build, "the pass mark")
    restore(build)
    found, doubts = read_pass_mark(
        build, judgements, responses, Scale(scale), " ".join(boundary.split()), lower
    )
    if out is not None:
        written = report.write_report(out, told(found), as_data(found), "the pass mark")
    if doubts:
        report.tell_diagnostics(doubts)
    if as_json:
        report.say(report.figures_json(as_data(found)))
    elif out is None:
        for line in as_text(told(found)):
            report.say(line)
    else:
        for cut in found.cuts:
            report.say(f"{cut.method}: from {cut.mark} of {found.setting.maximum} marks")
        report.say(f"{written} files in {out}")
    return 0


class _Form(NamedTuple):
    """A blank form. of: what it asks for; responses: of a form of pupils, who stand in it."""

    of: str
    judges: int
    rounds: int
    responses: tuple[Path, ...]


def _refuse_what_no_form_has(
    form_of: str, judges: int | None, rounds: int | None, responses: tuple[Path, ...]
) -> None:
    if form_of == "pupils" and not responses:
        raise click.UsageError("a form of pupils needs their names: add --responses FILE")
    if rounds is not None and form_of != "ratings":
        raise click.UsageError("--rounds is for a form of ratings")
    if judges is not None and form_of == "pupils":
        raise click.UsageError(
            "--judges is for a form of ratings or limits: a form of pupils is for one teacher"
        )


def _write_form(build: Path, form: Path, blank: _Form, as_json: bool) -> int:
    """Raises InputError `file-exists`: a form that is filled in is not replaced by a blank one."""
    from itembank.analysis.blocks import counted
    from itembank.analysis.response_files import read_build, read_results
    from itembank.standard_setting.form import as_form, as_form_of_limits, as_form_of_pupils, paper_order

    refuse_a_build(form, build, "the form")
    restore(build)
    keys, orders = read_build(build)
    questions = paper_order(keys, orders)
    told: dict[str, int] = {"judges": blank.judges}
    if blank.of == "limits":
        text = as_form_of_limits(blank.judges)
    elif blank.of == "pupils":
        results = read_results(keys, orders, blank.responses)
        if results.doubts:
            report.tell_diagnostics(results.doubts)
        text = as_form_of_pupils([sitting.pupil for sitting in results.sittings])
        told = {"pupils": len(results.sittings)}
    else:
        text = as_form(questions, blank.judges, blank.rounds)
        told = {"questions": len(questions), **told, "rounds": blank.rounds}
    report.write_new(form, text, "it may hold what judges wrote")
    if as_json:
        report.say_json({"form": str(form), **told})
    else:
        report.say(
            f"{form}: {', '.join(counted(number, word.removesuffix('s')) for word, number in told.items())}"
        )
    return 0
