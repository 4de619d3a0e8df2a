"""`itembank calibrate BUILD FILE... [BUILD FILE...]`"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import click

from itembank.cli import report
from itembank.cli.analyse import refuse_a_build
from itembank.errors import Diagnostic, InputError, Span

_WHAT = "name a build, then its results, then the next build: calibrate form-a a.csv form-b b.csv"


@click.command("calibrate")
@click.argument("sittings", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="BUILD FILE...")
@click.option(
    "--into", type=click.Path(path_type=Path), metavar="BANK",
    help="Bank whose calibration.yaml is written: predictions of difficulty build on it from then on.",
)  # fmt: skip
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for the report and its tables; replaced whole."
)
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON.")
def command(sittings: tuple[Path, ...], into: Path | None, out: Path | None, as_json: bool) -> int:
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

    named = list(_grouped(sittings))
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
        written = report.write_report(out, told(found), as_data(found), "the calibration")
    kept_in = None if into is None else keep(found, [build.title for build in builds], into)
    if as_json:
        report.say(report.figures_json(as_data(found)))
    elif out is None:
        for line in as_text(told(found)):
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


def _grouped(paths: Sequence[Path]) -> Iterator[tuple[Path, list[Path]]]:
    """Each build with the files that follow it. Raises InputError `no-build`, `no-results-named`."""
    groups: list[tuple[Path, list[Path]]] = []
    for path in paths:
        if _is_build(path):
            groups.append((path, []))
        elif groups:
            groups[-1][1].append(path)
        else:
            hint = _WHAT
            if any(path.glob("form-*/staff/items.json")):
                hint = f"it holds forms: name each with its results, {path}/form-a first"
            message = f"{path} is no folder that a build wrote"
            raise InputError(Diagnostic("no-build", message, Span(str(path), 1, 1), hint=hint))
    for build, files in groups:
        if not files:
            message = f"no file of results follows the build {build}"
            raise InputError(Diagnostic("no-results-named", message, Span(str(build), 1, 1), hint=_WHAT))
    yield from groups


def _is_build(path: Path) -> bool:
    return (path / "staff" / "items.json").is_file()
