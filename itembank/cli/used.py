"""`itembank used BANK`"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from itembank.bank.cache import load_bank
from itembank.cli import report
from itembank.store.before import unknown_groups
from itembank.store.exposure import Exposure, exposure
from itembank.store.reading import read_record
from itembank.store.record import Record, Uses


@click.command("used")
@click.argument("bank", type=click.Path(path_type=Path))
@click.option(
    "--by", multiple=True, metavar="GROUP", help="Sittings of this group alone; several may be named."
)
@click.option(
    "--since",
    callback=report.a_day,
    metavar="DATE",
    help="Sittings on this day or later, such as 2026-01-01.",
)
@click.option("--limit", type=click.IntRange(min=0), help="Tell which items were used more often than that.")
@click.option("--items", "each", is_flag=True, help="Also every item that was used, with what it asks.")
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON.")
def command(bank: Path, by: tuple[str, ...], since: str, limit: int | None, each: bool, as_json: bool) -> int:
    """Tell what was sat of a BANK: its sittings, and how often items of each template were used."""
    read = load_bank(bank, str(bank))
    whole = read_record(bank)
    if doubts := unknown_groups(whole, by, bank):
        report.tell_diagnostics(doubts)
    record = whole.among(by, since)
    found = exposure(record, [entry.recipe.template.name for entry in read.entries], limit)
    if as_json:
        report.say_json(_data(record, found))
    elif not record.sittings:
        some = " of these" if whole.sittings else ""
        report.say(
            f"no sitting{some} is recorded: itembank record BUILD --into {bank} --group NAME --on DATE"
        )
    else:
        _say(record, found, limit, each)
    return 0


def _say(record: Record, found: Exposure, limit: int | None, each: bool) -> None:
    rows = [("sitting", "day", "group", "what", "items")]
    rows += [(s.name, s.on, s.group, s.title, str(len(record.items_of(s)))) for s in record.sittings]
    _table(rows, 4)
    report.say()
    rows = [("template", "last", "items", "uses", "most of one")]
    rows += [
        (
            t.template if t.is_there else f"{t.template} (not in the bank now)",
            t.last or "never", str(t.items), str(t.uses), str(t.most),
        )
        for t in found.templates
    ]  # fmt: skip
    _table(rows, 2)
    report.say()
    never = f"never used: {', '.join(found.never)}" if found.never else "every template was used"
    report.say(
        f"{_many(found.sittings, 'sitting')}, {_many(len(found.items), 'different item')} used; {never}"
    )
    if each:
        _say_items("every item that was used", found.items)
    if limit is not None:
        _say_items(f"used more than {_many(limit, 'time')}", found.over)


def _many(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"


def _say_items(title: str, items: Sequence[Uses]) -> None:
    report.say()
    report.say(f"{title}: {len(items)}")
    rows = [
        (each.item.code, each.item.template, each.item.asks, "; ".join(each.groups), str(len(each.sittings)))
        for each in items
    ]
    if rows:
        _table([("item", "template", "asks", "groups", "uses"), *rows], 4)


def _table(rows: Sequence[tuple[str, ...]], texts: int) -> None:
    """Rows under each other, the first columns to the left, the others to the right."""
    widths = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))]
    for row in rows:
        cells = [
            c.ljust(w) if at < texts else c.rjust(w)
            for at, (c, w) in enumerate(zip(row, widths, strict=True))
        ]
        report.say("  ".join(cells).rstrip())


def _data(record: Record, found: Exposure) -> dict[str, Any]:
    return {
        "sittings": [
            {
                "sitting": s.name, "day": s.on, "group": s.group, "note": s.note,
                "forms": [{"form": f.name, "title": f.title, "digest": f.digest} for f in s.forms],
                "items": [item.code for item in record.items_of(s)],
            }
            for s in record.sittings
        ],
        "items": [_use(each) for each in found.items],
        "templates": [
            {
                "template": t.template, "items": t.items, "uses": t.uses, "most": t.most, "last": t.last,
                "in_the_bank": t.is_there,
            }
            for t in found.templates
        ],
        "never": list(found.never),
        "over_the_limit": [each.item.code for each in found.over],
    }  # fmt: skip


def _use(each: Uses) -> dict[str, Any]:
    return {
        "code": each.item.code, "address": each.item.address, "asks": each.item.asks, "marks": each.item.marks,
        "uses": len(each.sittings), "sittings": [s.name for s in each.sittings], "groups": list(each.groups),
        "last": each.sittings[-1].on,
    }  # fmt: skip
