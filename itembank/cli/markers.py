"""`itembank markers BUILD SHEET SHEET...`"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import click

from itembank.cli import report
from itembank.cli.analyse import refuse_a_build
from itembank.output_folder import restore


@click.command("markers")
@click.argument("build", type=click.Path(path_type=Path))
@click.argument("sheets", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="SHEET SHEET...")
@click.option(
    "--within", type=click.IntRange(0, 1000), metavar="MARKS",
    help="Totals may differ by so many marks before a script is to be marked again (one in twenty, at least 1).",
)  # fmt: skip
@click.option(
    "--pass", "pass_mark", type=click.IntRange(0, 10_000), metavar="MARK",
    help="Also who reaches this mark by one marker alone.",
)  # fmt: skip
@click.option(
    "--undisputed", type=click.Path(path_type=Path), metavar="FILE",
    help="Write a mark sheet of what nobody disputes, with ? where marks differ; a file that is there stays.",
)  # fmt: skip
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for the report and its tables; replaced whole."
)
@click.option("--pupils", is_flag=True, help="Also by name whose scripts differ. Keep what holds them safe.")
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON.")
def command(
    build: Path,
    sheets: tuple[Path, ...],
    within: int | None,
    pass_mark: int | None,
    undisputed: Path | None,
    out: Path | None,
    pupils: bool,
    as_json: bool,
) -> int:
    """Tell how far markers of the same scripts agree, and what to talk over and mark again.

    BUILD: the folder that `itembank build` wrote, or a form of `itembank assemble`; each SHEET: its mark sheet, filled
    in by one marker, whose name the file has. A marker may have marked some of the scripts only; empty cells are not
    compared.
    """
    from itembank.analysis.blocks import counted
    from itembank.analysis.rendering import as_text
    from itembank.double_marking.reading import read_markers
    from itembank.double_marking.report import as_data
    from itembank.double_marking.report import report as told
    from itembank.double_marking.undisputed import disputed, undisputed_marks

    if len(sheets) < 2:
        raise click.UsageError("it takes two markers: name a mark sheet of each")
    for path in (out, undisputed):
        if path is not None:
            refuse_a_build(path, build, "what is told of markers")
    restore(build)
    found = read_markers(build, sheets, None if within is None else Fraction(within), pass_mark)
    if undisputed is not None:
        report.write_new(undisputed, undisputed_marks(found), "it may hold marks that were settled")
    if out is not None:
        written = report.write_report(
            out, told(found, pupils=pupils), as_data(found, pupils=pupils), "what is told of markers"
        )
    if found.doubts:
        report.tell_diagnostics(found.doubts)
    if as_json:
        report.say(report.figures_json(as_data(found, pupils=pupils)))
        return 0
    if out is None:
        for line in as_text(told(found, pupils=pupils)):
            report.say(line)
    else:
        for each in found.agreements:
            report.say(
                f"{each.first} and {each.second}: {each.same} of {counted(each.compared, 'mark')} the same, "
                f"{counted(len(each.far), 'script')} far apart"
            )
        report.say(f"{written} files in {out}")
    if undisputed is not None:
        report.say(f"{undisputed}: {counted(disputed(found), 'mark')} to settle")
    return 0
