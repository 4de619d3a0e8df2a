"""`itembank assemble BLUEPRINT --out DIR`"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from itembank.assembly.reading import bank_folder
from itembank.bank.bank import LeaveOut
from itembank.build.assemble import AssembleRequest, assemble
from itembank.build.assembly_report import HEAD
from itembank.build.report import passed_over
from itembank.cli import report
from itembank.cli.build import check_formats, leaving_out_options, writing_options


@click.command("assemble")
@click.argument("blueprint", type=click.Path(path_type=Path))
@click.option(
    "--out", "out", type=click.Path(path_type=Path), required=True, help="Folder to write; replaced whole."
)
@click.option("--bank", type=click.Path(path_type=Path), help="The bank, where the blueprint lies elsewhere.")
@click.option("--forms", type=click.IntRange(1, 26), help="Another number of forms than the blueprint's.")
@click.option("--seed", type=click.IntRange(min=0, max=2**63), help="Another seed than the blueprint's.")
@click.option(
    "--class-list", type=click.Path(path_type=Path),
    help="CSV or .xlsx of pupils: papers with their names on them, the forms going round.",
)  # fmt: skip
@leaving_out_options
@writing_options
def command(
    blueprint: Path,
    out: Path,
    bank: Path | None,
    forms: int | None,
    seed: int | None,
    not_again: tuple[Path, ...],
    leave_out: LeaveOut | None,
    approved: bool,
    class_list: Path | None,
    as_json: bool,
    **writing: Any,
) -> int:
    """Choose and write parallel test forms that hold what a BLUEPRINT file asks for."""
    check_formats(writing["formats"], bank if bank is not None else bank_folder(blueprint))
    request = AssembleRequest(
        blueprint, out, bank, forms, seed, class_list, not_again, leave_out, approved, **writing
    )
    result = assemble(request, lambda products, total: report.progress(products, total, "items"))
    made = result.report
    report.tell_each(result.doubts)
    if as_json:
        report.say(made.as_json().rstrip())
        return 0
    lines = [HEAD, *(form.cells() for form in made.forms)]
    widths = [max(len(line[column]) for line in lines) for column in range(len(HEAD))]
    for line in lines:
        report.say("  ".join(map(str.rjust, line, widths)))
    report.say(f"chosen from {made.pool} items; {made.how_alike()}")
    report.say(f"information: {made.how_informed()}")
    if made.used_before is not None:
        report.say(passed_over(made.used_before))
    if result.left_out:
        report.say(f"not whole in the language, left out: {', '.join(result.left_out)}")
    report.say(f"{len(made.files)} files in {out}")
    return 0
