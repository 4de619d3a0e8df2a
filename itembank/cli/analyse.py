"""`itembank analyse BUILD --responses FILE...`"""

from __future__ import annotations

from pathlib import Path

import click

from itembank.cli import report
from itembank.errors import Diagnostic, InputError
from itembank.output_folder import restore


@click.command("analyse")
@click.argument("build", type=click.Path(path_type=Path))
@click.argument("more", nargs=-1, type=click.Path(path_type=Path), metavar="")
@click.option(
    "--responses", "responses", multiple=True, required=True, type=click.Path(path_type=Path), metavar="FILE...",
    help="Results: a mark sheet that is filled in, tables of what was chosen, result reports. Several may be named.",
)  # fmt: skip
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for the report and its tables; replaced whole."
)
@click.option(
    "--groups", type=click.Path(path_type=Path), metavar="FILE",
    help="Also compare groups of pupils, each question at equal totals: a table with the columns pupil and group.",
)  # fmt: skip
@click.option("--options", is_flag=True, help="Also every answer to every question, with who chose it.")
@click.option(
    "--pupils", is_flag=True, help="Also each pupil by name, with marks and slips. Keep what holds them safe."
)
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON.")
def command(
    build: Path,
    more: tuple[Path, ...],
    responses: tuple[Path, ...],
    out: Path | None,
    groups: Path | None,
    options: bool,
    pupils: bool,
    as_json: bool,
) -> int:
    """Tell which items of a BUILD worked and what to reteach, from the results of a test.

    BUILD: the folder that `itembank build` wrote, whose staff files hold the keys.
    """
    from itembank.analysis.analysis import analyse
    from itembank.analysis.blocks import counted
    from itembank.analysis.groups_file import read_groups
    from itembank.analysis.rendering import as_text
    from itembank.analysis.report import report as told
    from itembank.analysis.report_data import as_data
    from itembank.analysis.response_files import read_build, read_results

    if out is not None:
        refuse_a_build(out, build, "the analysis")
    restore(build)
    keys, orders = read_build(build)
    results = read_results(keys, orders, (*responses, *more))
    grouped, doubts = read_groups(groups, results) if groups is not None else (None, [])
    found = analyse(results, grouped)
    doubts = [*results.doubts, *doubts]
    data = as_data(found, keys.title, pupils=pupils, doubts=doubts)
    if out is not None:
        blocks = told(found, keys.title, pupils=pupils, doubts=doubts)
        written = report.write_report(out, blocks, data, "the analysis")
    if doubts:
        report.tell_diagnostics(doubts)
    if as_json:
        report.say(report.figures_json(data))
    elif out is None:
        for line in as_text(told(found, keys.title, options=options, pupils=pupils)):
            report.say(line)
    else:
        whole = found.whole
        parts = ((whole.pupils, "pupil"), (whole.questions, "question"), (len(found.findings), "finding"))
        told_of = ", ".join(counted(number, word) for number, word in parts)
        report.say(f"{told_of}, {written} files in {out}")
    return 0


def refuse_a_build(out: Path, build: Path, what: str) -> None:
    """A build bears the same marker as an analysis: nobody's keys are replaced by a report, nor a report by a build."""
    if (
        (out / "staff").exists()
        or (out / "platform").exists()
        or out.resolve().is_relative_to(build.resolve())
    ):
        message = f"{what} cannot go to {out}: it is a build, or in one"
        hint = "name another folder"
        raise InputError(Diagnostic("would-replace-a-build", message, hint=hint))
