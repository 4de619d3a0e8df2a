"""What reports are made of: headings, lines and tables."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final, TypeAlias

from itembank.analysis.exact import CannotTell, Statistic, rounded

__all__ = ["ON_PAPER", "UNTOLD", "Block", "Heading", "Lines", "Report", "Table", "counted", "shown"]

UNTOLD: Final = "?"
ON_PAPER: Final = "on paper"
"""The head of columns that tell where something stands in the paper."""


@dataclass(frozen=True, slots=True)
class Heading:
    """The title of what follows; level 1 is the report's own."""

    text: str
    level: int = 2


@dataclass(frozen=True, slots=True)
class Lines:
    """Sentences, each on a line of its own."""

    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """name: of its file; head, and rows of as many cells. texts: how many columns, from the left, hold words.

    bars: the column whose numbers a page draws as bars, too.
    """

    name: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    texts: int = 1
    bars: int | None = None


Block: TypeAlias = Heading | Lines | Table
Report: TypeAlias = tuple[Block, ...]


def shown(value: Statistic | Decimal, places: int = 2) -> str:
    """A figure for people; `?` where it cannot be told."""
    match value:
        case CannotTell():
            return UNTOLD
        case Decimal():
            return str(value)
        case _:
            return str(rounded(value, places))


def counted(number: int, word: str) -> str:
    """
    >>> counted(1, "pupil"), counted(2, "pupil")
    ('1 pupil', '2 pupils')
    """
    return f"{number} {word}{'s' * (number != 1)}"
