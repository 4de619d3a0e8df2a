"""A sign table: one row for each factor of a product and one for the product, one column for each interval and zero.

Source: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from itembank.errors import DomainError
from itembank.expressions.display import Maths
from itembank.expressions.numbers import Exact
from itembank.figures import labels
from itembank.figures.drawing import Drawing, Point
from itembank.figures.labels import height, width
from itembank.figures.pen import Pen
from itembank.figures.wording import ENGLISH, phrase
from itembank.words import Words

__all__ = ["Row", "SignTable", "draw"]

_INTERVAL, _PADDING = Fraction(13), Fraction(2)
_SIGNS: Final = {-1: "−", 0: "0", 1: "+"}
_NAMES: Final = {-1: "sign-negative", 0: "sign-zero", 1: "sign-positive"}
_ZERO: Final = Fraction(0)


@dataclass(frozen=True, slots=True)
class Row:
    """A factor, or the product: what is written, and its sign (-1, 0, 1) in each column."""

    text: Maths
    signs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class SignTable:
    """What is drawn. zeros: ascending; columns: the interval before the first zero, the zero, the next interval, ...

    The last row is the product's. Raises DomainError where a row has another number of signs.
    """

    letter: str
    zeros: tuple[Exact, ...]
    rows: tuple[Row, ...]

    def __post_init__(self) -> None:
        if not self.rows or any(len(row.signs) != 2 * len(self.zeros) + 1 for row in self.rows):
            raise DomainError("a sign table has a sign for each interval and each zero")


def draw(table: SignTable, said: Words = ENGLISH) -> Drawing:
    """The picture. said: the words of its description."""
    pen = Pen()
    letter = labels.letter(table.letter)
    zeros = [labels.number(zero) for zero in table.zeros]
    first = max(width(text) for text in (letter, *(row.text for row in table.rows))) + 2 * _PADDING
    widths = [_INTERVAL]
    for zero in zeros:
        widths += [max(width(zero) + _PADDING, Fraction(6)), _INTERVAL]
    lefts = [first]
    for wide in widths:
        lefts.append(lefts[-1] + wide)
    heights = [max(height(text) for text in (letter, *zeros)) + 2]
    heights += [height(row.text) + 2 for row in table.rows]
    top = _ZERO
    for number, high in enumerate(heights):
        middle = top - high / 2
        row = table.rows[number - 1] if number else None
        pen.label(Point(first / 2, middle), row.text if row else letter)
        for column, wide in enumerate(widths):
            centre = Point(lefts[column] + wide / 2, middle)
            if row is not None:
                pen.label(centre, _SIGNS[row.signs[column]], is_scale=True)
            elif column % 2:
                pen.label(centre, zeros[column // 2], tells=(table.zeros[column // 2],))
        top -= high
        weight = "medium" if number in {0, len(heights) - 2, len(heights) - 1} else "thin"
        pen.line(Point(_ZERO, top), Point(lefts[-1], top), weight=weight)
    pen.line(Point(_ZERO, _ZERO), Point(lefts[-1], _ZERO))
    for x in (_ZERO, first, lefts[-1]):
        pen.line(Point(x, _ZERO), Point(x, top))
    for column in range(1, len(widths), 2):
        for x in (lefts[column], lefts[column + 1]):
            pen.line(Point(x, _ZERO), Point(x, top), weight="thin")
    return pen.finished(*_words(table, said), facts={"kind": "sign-table"})


def _words(table: SignTable, said: Words) -> Iterator[str | Maths]:
    yield from phrase(said, "sign-table", letter=labels.letter(table.letter))
    for number, row in enumerate(table.rows):
        yield "; " if number else " "
        yield from phrase(said, "sign-row", row=row.text)
        for column, sign in enumerate(row.signs):
            yield f"{', ' if column else ' '}{said(_NAMES[sign])} "
            yield from _where(table, column, said)
    yield "."


def _where(table: SignTable, column: int, said: Words) -> Iterator[str | Maths]:
    at = column // 2
    zeros = tuple(map(labels.number, table.zeros))
    if column % 2:
        return phrase(said, "sign-at", at=zeros[at])
    if not zeros:
        return phrase(said, "sign-everywhere")
    if column == 0:
        return phrase(said, "sign-below", at=zeros[0])
    if at == len(zeros):
        return phrase(said, "sign-above", at=zeros[-1])
    return phrase(said, "sign-between", low=zeros[at - 1], high=zeros[at])
