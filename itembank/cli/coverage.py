"""`itembank coverage BANK`"""

from __future__ import annotations

from dataclasses import asdict
from fractions import Fraction
from pathlib import Path
from typing import Any

import click

from itembank.bank.coverage import Available, Coverage, Covered, coverage
from itembank.cli import report
from itembank.cli.sources import entries_of
from itembank.generator.bound import Bound
from itembank.generator.counting import Counter


@click.command("coverage")
@click.argument("bank", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON.")
def command(bank: Path, as_json: bool) -> int:
    """Tell what a BANK covers: strand, demand and kind of response, with items, minutes and marks."""
    entries, doubts, read = entries_of(bank)
    if doubts:
        report.tell_diagnostics(doubts)
    available = {}
    for entry in report.progress(entries, 200 * len(entries), "templates"):
        count = Counter(Bound(entry.recipe)).count()
        available[entry.recipe.template.name] = Available(count.feasible, count.exact)
    found = coverage(entries, available, read.facts.publication.statements if read is not None else ())
    if as_json:
        report.say_json(_data(found))
    else:
        _say(found)
    return 0


_HEAD = ("strand", "demand", "kind", "templates", "items", "minutes", "marks")


def _say(found: Coverage) -> None:
    lines = [_HEAD, *(_cells(row) for row in found.rows)]
    widths = [max(len(line[at]) for line in lines) for at in range(len(_HEAD))]
    for line in lines:
        texts = [cell.ljust(width) for cell, width in zip(line[:3], widths, strict=False)]
        numbers = [cell.rjust(width) for cell, width in zip(line[3:], widths[3:], strict=True)]
        report.say("  ".join([*texts, *numbers]).rstrip())
    report.say()
    report.say("minutes and marks: of one item of each template")
    if not found.statements:
        return
    report.say()
    width = max(len(statement.code) for statement in found.statements)
    for statement in found.statements:
        templates = "1 template" if statement.templates == 1 else f"{statement.templates} templates"
        told = f"{statement.items} items of {templates}" if statement.items else "no item"
        report.say(
            f"{statement.code.ljust(width)}  {told}{f'  ({statement.says})' if statement.says else ''}"
        )


def _cells(row: Covered) -> tuple[str, ...]:
    items = f"{'' if row.is_exact else 'about '}{row.items}"
    minutes = "-" if row.minutes is None else _number(row.minutes)
    return (
        row.strand or "-",
        row.demand or "-",
        row.kind,
        str(row.templates),
        items,
        minutes,
        str(row.marks),
    )


def _number(value: Fraction) -> str:
    tenths = value * 10
    return str(value) if value.denominator == 1 else f"{tenths.numerator // 10}.{tenths.numerator % 10}"


def _data(found: Coverage) -> dict[str, Any]:
    rows = [
        {**asdict(row), "minutes": None if row.minutes is None else _number(row.minutes)}
        for row in found.rows
    ]
    return {
        "coverage": rows,
        "statements": [asdict(statement) for statement in found.statements],
        "without_items": list(found.without_items),
    }
