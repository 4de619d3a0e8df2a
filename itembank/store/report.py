"""What is told of a record: headings, lines and tables, as the analysis of results has them; and data for programs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from itembank.analysis.blocks import Block, Heading, Lines, Report, Table
from itembank.store.exposure import Exposure
from itembank.store.record import Record, Uses

__all__ = ["as_data", "report"]


def report(record: Record, found: Exposure, limit: int | None = None, *, items: bool = True) -> Report:
    """The report. found: the exposure in the record; limit: as there; items: with a table of every item used."""
    blocks: list[Block] = [Heading("What was used", 1), Lines(tuple(_whole(found)))]
    blocks += [Heading("Sittings"), _sittings(record), Heading("Templates"), _templates(found)]
    if items:
        blocks += [Heading("Items that were used"), _items("items", found.items, found.sittings)]
    if limit is not None:
        title = f"Items used more than {_many(limit, 'time')}"
        blocks += [Heading(title)]
        blocks += [_items("over-the-limit", found.over, found.sittings)] if found.over else [Lines(("none",))]
    blocks += [Heading("How it is counted"), Lines(_NOTES)]
    return tuple(blocks)


_NOTES = (
    "an item is used by a sitting that had it, once, however many forms of that sitting share it",
    "exposure: the sittings that had the item, of all that are told here (common practice, no source)",
    "items of one template that ask the same are one item, whatever code, seed or version they had",
)


def _many(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"


def _whole(found: Exposure) -> Iterator[str]:
    yield f"{_many(found.sittings, 'sitting')}, {_many(len(found.items), 'different item')} used"
    yield f"never used: {', '.join(found.never)}" if found.never else "of every template some item was used"
    gone = [each.template for each in found.templates if not each.is_there]
    if gone:
        yield f"not in the bank now: {', '.join(gone)}"


def _sittings(record: Record) -> Table:
    rows = tuple(
        (each.name, each.on, each.group, each.title, each.note, str(len(record.items_of(each))))
        for each in record.sittings
    )
    if not any(each.note for each in record.sittings):
        return Table(
            "sittings", ("sitting", "day", "group", "what", "items"), tuple((*r[:4], r[5]) for r in rows), 4
        )
    return Table("sittings", ("sitting", "day", "group", "what", "note", "items"), rows, 5)


def _templates(found: Exposure) -> Table:
    rows = (
        (each.template, each.last or "never", str(each.items), str(each.uses), str(each.most))
        for each in found.templates
    )
    return Table("templates", ("template", "last used", "items", "uses", "most of one"), tuple(rows), 2)


def _items(name: str, items: Sequence[Uses], sittings: int) -> Table:
    rows = (
        (
            each.item.code, each.item.template, each.item.asks, "; ".join(each.groups), each.sittings[-1].on,
            f"{len(each.sittings)} of {sittings}",
        )
        for each in items
    )  # fmt: skip
    return Table(name, ("item", "template", "asks", "groups", "last used", "exposure"), tuple(rows), 5)


def as_data(record: Record, found: Exposure) -> dict[str, Any]:
    """The same for programs."""
    return {
        "sittings": [
            {
                "sitting": each.name, "day": each.on, "group": each.group, "note": each.note,
                "forms": [{"form": f.name, "title": f.title, "digest": f.digest} for f in each.forms],
                "items": [item.code for item in record.items_of(each)],
            }
            for each in record.sittings
        ],
        "items": [
            {
                "code": each.item.code, "address": each.item.address, "asks": each.item.asks,
                "marks": each.item.marks, "uses": len(each.sittings), "sittings": [s.name for s in each.sittings],
                "groups": list(each.groups), "last": each.sittings[-1].on,
            }
            for each in found.items
        ],
        "templates": [
            {
                "template": each.template, "items": each.items, "uses": each.uses, "most": each.most,
                "last": each.last, "in_the_bank": each.is_there,
            }
            for each in found.templates
        ],
        "never": list(found.never),
        "over_the_limit": [each.item.code for each in found.over],
    }  # fmt: skip
