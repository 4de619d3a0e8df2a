"""What of an item matters to a form."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from itembank.assembly.blueprint import Where
from itembank.assembly.information import information
from itembank.items import Item

__all__ = ["Candidate", "candidate", "fits"]


@dataclass(frozen=True, slots=True)
class Candidate:
    """An item to choose from. minutes: in tenths; difficulty: in thousandths of a logit; asked: equal for enemies,
    items that ask the same problems; steps: how much harder than the item each of its marks is, () for unknown.
    """

    code: str
    template: str
    strand: str
    band: str
    topics: tuple[str, ...]
    statements: tuple[str, ...]
    level: str
    demand: str
    calculator: str
    kinds: tuple[str, ...]
    marks: int
    minutes: int
    difficulty: int
    asked: bytes
    steps: tuple[int, ...] = ()

    def information_at(self, ability: int) -> int:
        """Its information, in millionths, at an ability in thousandths of a logit."""
        return information(self.difficulty, ability, self.steps)


def candidate(
    item: Item, strand: str, kinds: tuple[str, ...], asked: bytes, steps: tuple[int, ...] = ()
) -> Candidate:
    """What of an item matters. Items that say no minutes, or have no predicted difficulty, count with 0.

    steps: as observed of its template; of other marks than the item has they say nothing.
    """
    about = item.about
    return Candidate(
        item.code, item.address.template, strand, item.band, about.topics, about.curriculum, about.level, about.demand,
        about.calculator, kinds, item.marks, int(10 * Fraction(about.minutes or "0")),
        item.difficulty.thousandths if item.difficulty is not None else 0, asked,
        steps if len(steps) == item.marks else (),
    )  # fmt: skip


def fits(each: Candidate, where: Where) -> bool:
    """Whether an item is one of those that are meant."""
    return (
        (not where.template or each.template in where.template)
        and (not where.strand or _is_below(each.strand, where.strand))
        and (not where.topic or any(_is_below(topic, where.topic) for topic in each.topics))
        and (not where.statement or not set(where.statement).isdisjoint(each.statements))
        and (not where.level or each.level in where.level)
        and (not where.demand or each.demand in where.demand)
        and (not where.kind or not set(where.kind).isdisjoint(each.kinds))
        and (not where.band or each.band in where.band)
        and (not where.calculator or each.calculator in where.calculator)
    )


def _is_below(path: str, names: tuple[str, ...]) -> bool:
    """Whether a strand or topic is one of some names, or lies below one: `surds/simplify` lies below `surds`."""
    return any(path == name or path.startswith(name + "/") for name in names)
