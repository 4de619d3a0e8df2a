"""A blueprint: what every form of a test has to hold. Frozen; marks and items are counted in whole numbers, minutes in
tenths, difficulties in thousandths of a logit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple, TypeAlias

from itembank.bank.bank import LeaveOut
from itembank.errors import Span

__all__ = ["Blueprint", "Place", "Range", "Row", "Where"]

Place: TypeAlias = tuple[Span, str]
"""Where something is written, and the line that stands there."""


class Range(NamedTuple):
    """From least to most, both included; None for no bound."""

    least: int | None = None
    most: int | None = None


class Where(NamedTuple):
    """Which items are meant: of each key one of its words has to fit; () where a key does not matter."""

    template: tuple[str, ...] = ()
    strand: tuple[str, ...] = ()
    topic: tuple[str, ...] = ()
    statement: tuple[str, ...] = ()
    level: tuple[str, ...] = ()
    demand: tuple[str, ...] = ()
    kind: tuple[str, ...] = ()
    band: tuple[str, ...] = ()
    calculator: tuple[str, ...] = ()

    def __str__(self) -> str:
        """In words.

        >>> str(Where(strand=("surds",), demand=("know", "use")))
        'strand surds, demand know or use'
        """
        told = [f"{key} {' or '.join(words)}" for key, words in self._asdict().items() if words]
        return ", ".join(told) or "any item"


@dataclass(frozen=True, slots=True)
class Row:
    """Some of the items of a form, and how many of them there are, or what they add up to."""

    where: Where
    items: Range | None = None
    marks: Range | None = None
    minutes: Range | None = None
    difficulty: Range | None = None


@dataclass(frozen=True, slots=True)
class Blueprint:
    """What forms have to hold; see `BlueprintShape` for each key.

    of_each_template: None for one, or what a row asks for. most_information_at: thousandths of a logit. seed: None for
    the bank's. leave_out: what was used and is not to come again, None for what the bank says. places:
    key, or key and number from 0, -> where it is written; () the file.
    """

    name: str
    title: str
    forms: int = 1
    items: Range | None = None
    marks: Range | None = None
    minutes: Range | None = None
    difficulty: Range | None = None
    rows: tuple[Row, ...] = ()
    of_each_template: int | None = None
    apart: tuple[tuple[str, ...], ...] = ()
    shared: int = 0
    shared_from: tuple[str, ...] = ()
    alike: str = "templates"
    most_information_at: tuple[int, ...] = ()
    pool: int = 20
    seed: int | None = None
    order: str = "rising"
    leave_out: LeaveOut | None = None
    places: Mapping[tuple[str | int, ...], Place] = field(default_factory=dict)

    def place(self, *path: str | int) -> Place | None:
        """Where a key is written; what holds it where the key itself is not there."""
        while path and path not in self.places:
            path = path[:-1]
        return self.places.get(path)
