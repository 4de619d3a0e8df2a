"""`itembank calibrate BUILD FILE... [BUILD FILE...]`"""

from __future__ import annotations

from pathlib import Path

import click

from itembank.cli import report
from itembank.cli.analyse import refuse_a_build
from itembank.cli.sittings import grouped


@click.command("calibrate")
@click.argument("sittings", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="BUILD FILE...")
@click.option(
    "--into", type=click.Path(path_type=Path), metavar="BANK",
    help="Bank whose calibration.yaml is written: predictions of difficulty build on it from then on.",
)  # fmt: skip
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for the report and its tables; replaced whole."
)
@click.option(
    "--pupils", is_flag=True,
    help="Also by name the pupils whose answers are odd. Keep what holds them safe.",
)  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON.")
def command(
    sittings: tuple[Path, ...], into: Path | None, out: Path | None, pupils: bool, as_json: bool
) -> int:
    """Tell how hard items were, on one scale, from the results of one or several sittings.

    BUILD: a folder that `itembank build` wrote, or a form of `itembank assemble`; FILEs: its results, as `itembank
    analyse` takes them; then the next BUILD with its own. Items that several have in common link them.
    """
    from itembank.analysis.rendering import as_text
    from itembank.bank.observations import for_bank, keep, lost_templates, refuse_to_keep
    from itembank.calibration.calibrated import calibrate
    from itembank.calibration.reading import read_sittings
    from itembank.calibration.report import report as told
    from itembank.calibration.report_data import as_data

    named = list(grouped("calibrate", sittings))
    builds = read_sittings(named)
    for build in builds:
        if build.results.doubts:
            report.tell_diagnostics(build.results.doubts)
    found = calibrate(builds)
    if into is not None:
        refuse_to_keep(found, into)
    if out is not None:
        for folder, _ in named:
            refuse_a_build(out, folder, "the calibration")
        written = report.write_report(
            out, told(found, with_pupils=pupils), as_data(found, with_pupils=pupils), "the calibration"
        )
    kept_in = None if into is None else keep(found, [build.title for build in builds], into)
    if as_json:
        report.say(report.figures_json(as_data(found, with_pupils=pupils)))
    elif out is None:
        for line in as_text(told(found, with_pupils=pupils)):
            report.say(line)
    else:
        report.say(f"{found.pupils} pupils, {len(found.items)} items, {written} files in {out}")
    if kept_in is not None and into is not None and not as_json:
        lost = lost_templates(found, into)
        held = for_bank(found, lost)
        report.say(f"{len(held.kept)} items and {len(held.templates)} templates kept in {kept_in}")
        if lost:
            report.say(f"nothing of templates that the bank has no more: {', '.join(lost)}")
    return 0
