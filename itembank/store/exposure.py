"""Exposure: how often items and templates were used, and which were never."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from itembank.store.record import Record, Uses

__all__ = ["Exposure", "TemplateUse", "exposure"]


@dataclass(frozen=True, slots=True)
class TemplateUse:
    """How much a template was used. items: different ones that were sat; uses: of all of them together; most: of one.

    last: the day on which one was sat last, "" for never. is_there: whether the bank has the template still.
    """

    template: str
    items: int = 0
    uses: int = 0
    most: int = 0
    last: str = ""
    is_there: bool = True


@dataclass(frozen=True, slots=True)
class Exposure:
    """The use of a bank's items among some sittings. templates: in the bank's order, then those that it has no more.

    over: the items that were used more often than a limit, () where none was set.
    """

    sittings: int
    items: tuple[Uses, ...]
    templates: tuple[TemplateUse, ...]
    over: tuple[Uses, ...] = ()

    @property
    def never(self) -> tuple[str, ...]:
        """The templates of the bank of which no item was used."""
        return tuple(each.template for each in self.templates if not each.uses)


def exposure(record: Record, templates: Iterable[str], limit: int | None = None) -> Exposure:
    """How often items were used.

    record: of the sittings that count. templates: names of those that the bank has now. limit: more uses of one item
    than these are too many, None for no limit. A use is a sitting that had the item; common practice, no source.
    """
    uses = record.uses()
    of: dict[str, list[Uses]] = {name: [] for name in templates}
    known = set(of)
    for each in uses:
        of.setdefault(each.item.template, []).append(each)
    rows = tuple(_template(name, found, name in known) for name, found in of.items())
    over = () if limit is None else tuple(each for each in uses if len(each.sittings) > limit)
    return Exposure(len(record.sittings), uses, rows, over)


def _template(name: str, uses: list[Uses], is_there: bool) -> TemplateUse:
    numbers = [len(each.sittings) for each in uses]
    last = max((each.sittings[-1].on for each in uses), default="")
    return TemplateUse(name, len(uses), sum(numbers), max(numbers, default=0), last, is_there)
