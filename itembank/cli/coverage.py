"""`itembank coverage BANK`"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from fractions import Fraction
from pathlib import Path
from typing import Any

import click

from itembank.bank.bank import Entry, bank_of
from itembank.bank.coverage import Available, Coverage, Covered, coverage
from itembank.bank.predictions import WHOLE, Predictions, drawn_predictions, spreads, told
from itembank.bank.sources import entries_of
from itembank.cli import report
from itembank.difficulty import Spread, logits
from itembank.errors import Diagnostic, InputError, Span
from itembank.generator.bound import Bound
from itembank.generator.counting import Counter


@click.command("coverage")
@click.argument("bank", type=click.Path(path_type=Path))
@click.option(
    "--templates", "each", is_flag=True, help="Also every template with its bands, from easy to hard."
)
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON.")
def command(bank: Path, each: bool, as_json: bool) -> int:
    """Tell what a BANK covers: strand, demand and kind of response, with items, minutes, marks and difficulty."""
    entries, doubts, read = entries_of(bank)
    _of_one_bank(bank, entries)
    if doubts:
        report.tell_diagnostics(doubts)
    available = {}
    predicted: dict[str, Predictions] = {}
    for entry in report.progress(entries, len(entries), "templates", shown_from=1):
        count = Counter(Bound(entry.recipe)).count()
        available[entry.recipe.template.name] = Available(count.feasible, count.exact)
        predicted[entry.recipe.template.name] = drawn_predictions(entry)
    statements = read.facts.publication.statements if read is not None else ()
    found = coverage(entries, available, statements, predicted)
    spread = {entry.recipe.template.name: spreads(predicted[entry.recipe.template.name], entry.weights)
              for entry in entries}  # fmt: skip
    if as_json:
        report.say_json(_data(found, spread))
    else:
        _say(found)
        if each:
            _say_each(spread)
    return 0


def _of_one_bank(path: Path, entries: Sequence[Entry]) -> None:
    """Raises InputError where templates of several banks would be counted together: banks may share names."""
    banks = sorted({str(bank_of(Path(entry.path).parent) or path) for entry in entries})
    if len(banks) > 1:
        message = f"{path} holds templates of {len(banks)} banks"
        shown = banks if path.is_absolute() else [os.path.relpath(each) for each in banks]
        hint = f"name one of them: {', '.join(shown[:5])}{', ...' if len(shown) > 5 else ''}"
        raise InputError(Diagnostic("several-banks", message, Span(str(path), 1, 1), hint=hint))


_HEAD = ("strand", "demand", "kind", "templates", "items", "minutes", "marks", "difficulty")


def _say(found: Coverage) -> None:
    lines = [_HEAD, *(_cells(row) for row in found.rows)]
    widths = [max(len(line[at]) for line in lines) for at in range(len(_HEAD))]
    for line in lines:
        texts = [cell.ljust(width) for cell, width in zip(line[:3], widths, strict=False)]
        numbers = [cell.rjust(width) for cell, width in zip(line[3:], widths[3:], strict=True)]
        report.say("  ".join([*texts, *numbers]).rstrip())
    report.say()
    report.say("minutes and marks: of one item of each template; difficulty: predicted, in logits")
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
        "-" if row.difficulty is None else _range(row.difficulty),
    )


def _range(spread: Spread) -> str:
    least, greatest = logits(spread.least), logits(spread.greatest)
    return least if least == greatest else f"{least} to {greatest}"


def _say_each(found: Mapping[str, Mapping[str, Spread]]) -> None:
    """Templates by the median of their items, and below each its bands, both from the easiest on."""
    report.say()
    for name, spread in sorted(found.items(), key=lambda pair: pair[1][WHOLE].median if pair[1] else 0):
        for band, each in spread.items():
            report.say(f"{f'    band {band}' if band else name}: {told(each)}")


def _number(value: Fraction) -> str:
    tenths = value * 10
    return str(value) if value.denominator == 1 else f"{tenths.numerator // 10}.{tenths.numerator % 10}"


def _data(found: Coverage, spread: Mapping[str, Mapping[str, Spread]]) -> dict[str, Any]:
    rows = [
        {**asdict(row), "minutes": None if row.minutes is None else _number(row.minutes)}
        for row in found.rows
    ]
    return {
        "coverage": rows,
        "difficulty": {
            name: {band or "all": asdict(each) for band, each in bands.items()}
            for name, bands in spread.items()
        },
        "statements": [asdict(statement) for statement in found.statements],
        "without_items": list(found.without_items),
    }
