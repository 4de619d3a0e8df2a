"""`itembank check PATH...`"""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from itembank.bank.line_shares import percent, shares_told
from itembank.bank.predictions import WHOLE, observed_told, told
from itembank.bank.review import Review
from itembank.cli import report
from itembank.cli.machine import MOST_WORKERS, processors
from itembank.store.checking import check


@click.command("check")
@click.argument("paths", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--workers",
    type=click.IntRange(1, MOST_WORKERS),
    help="Processes to share many templates among; as many as there are processors unless said.",
)
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON.")
def command(paths: tuple[Path, ...], workers: int | None, as_json: bool) -> int:
    """Tell everything wrong or doubtful in templates, folders or banks, and what each template can produce.

    Templates for which nothing has changed since the last check are not looked at again: what was found is told again.
    """
    checked = check(
        paths,
        workers or processors(),
        lambda reviews, total: report.progress(reviews, total, "templates", shown_from=1),
    )
    if as_json:
        report.say_json(
            {
                "templates": [_data(r) for r in checked.reviews],
                "diagnostics": [report.as_data(d) for d in checked.diagnostics],
                "record": list(checked.recorded),
            }
        )
    else:
        for found in checked.reviews:
            _say(found)
        for diagnostic in checked.diagnostics:
            for line in report.diagnostic_lines(diagnostic):
                report.say(line)
        for line in (*checked.compared, *checked.recorded):
            report.say(line)
        templates = "1 template" if len(checked.reviews) == 1 else f"{len(checked.reviews)} templates"
        if checked.blueprints:
            blueprints = f"{checked.blueprints} blueprint" + "s" * (checked.blueprints != 1)
            templates = f"{templates}, {blueprints}" if checked.reviews else blueprints
        report.say(f"{templates}; {report.summary(checked.diagnostics)}")
    return 0 if checked.ok else 1


def _say(found: Review) -> None:
    count = found.count
    about = "at most " if found.unfit else "" if count.exact else "about "
    report.say(
        f"{found.template.name}: {about}{count.feasible} items of {count.size} assignments, "
        f"{found.proved} of them proved"
    )
    if WHOLE in found.difficulty:
        report.say(f"    predicted difficulty: {told(found.difficulty[WHOLE])}")
    if found.observed is not None and any(found.observed):
        report.say(f"    observed in sittings: {observed_told(found.observed)}")
    for name, number in zip((name for name, _ in found.template.bands), count.bands, strict=False):
        difficulty = f", {told(found.difficulty[name])}" if name in found.difficulty else ""
        report.say(f"    band {name}: {about}{number}{difficulty}")
    for line in shares_told(found.lines, count.size):
        report.say(f"    {line}")
    for sentence in found.all_values:
        report.say(f"    for all values, {sentence}")
    for slip in found.slips:
        other = ", ".join(
            f"{word} {percent(times, slip.seen)}" for word, times in slip.fates if word != slip.use
        )
        report.say(
            f"    slip {slip.name}: {slip.use} {percent(slip.used, slip.seen)}{f' ({other})' if other else ''}"
        )


def _data(found: Review) -> dict[str, Any]:
    count = found.count
    return {
        "template": found.template.name,
        "version": found.template.version,
        "path": found.template.path,
        "assignments": count.size,
        "allowed": count.allowed,
        "count": count.feasible,
        "exact": count.exact,
        "bands": dict(zip((name for name, _ in found.template.bands), count.bands, strict=False)),
        "difficulty": {name or "all": asdict(spread) for name, spread in found.difficulty.items()},
        **({"observed": found.observed._asdict()} if found.observed is not None else {}),
        "proved": found.proved,
        "for_all_values": found.all_values,
        "lines": [
            {
                "text": s.text,
                "kind": s.kind,
                "line": s.span.line,
                "rejects_alone": s.alone,
                "rejects_after": s.after,
                "left_before": s.before,
            }
            for s in found.lines
        ],
        "slips": [
            {"slip": s.name, "line": s.span.line, "seen": s.seen, **dict(s.fates)} for s in found.slips
        ],
    }
