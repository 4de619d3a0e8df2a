"""A number line for a solution set: points, segments and rays with open and closed ends, at true scale.

An end is labelled with its exact number and drawn where that number lies, within a billionth of a unit.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, NamedTuple

from itembank.errors import DomainError
from itembank.expressions.display import Maths
from itembank.expressions.numbers import Exact, compare
from itembank.figures import labels
from itembank.figures.drawing import Description, Drawing, Point
from itembank.figures.labels import height, width
from itembank.figures.pen import Pen
from itembank.figures.scale import apart, near, scale, tick_label
from itembank.figures.wording import ENGLISH, phrase
from itembank.words import Words

__all__ = ["NumberLine", "Piece", "draw"]

_LENGTH: Final = Fraction(100)
_MOST: Final = 10
_BEYOND: Final = Fraction(5)
"""How far the line goes on past its first and last tick."""
_ZERO: Final = Fraction(0)
_LIFT: Final = Fraction(5)
"""How far above the line the labels of ends stand."""


class Piece(NamedTuple):
    """All numbers between two ends, None where it goes on for ever; a point has the same end twice, closed."""

    low: Exact | None
    low_closed: bool
    high: Exact | None
    high_closed: bool

    @property
    def is_point(self) -> bool:
        """Whether it is one number."""
        return self.low is not None and self.low == self.high


@dataclass(frozen=True, slots=True)
class NumberLine:
    """What is drawn: disjoint pieces, ascending; () for no number at all. Raises DomainError for others."""

    letter: str
    pieces: tuple[Piece, ...]

    def __post_init__(self) -> None:
        last: Exact | None = None
        for number, piece in enumerate(self.pieces):
            is_wrong = piece.low is None and number > 0
            if piece.low is not None:
                is_wrong |= last is not None and compare(last, piece.low) > 0
                is_wrong |= piece.high is not None and compare(piece.low, piece.high) > 0
            if is_wrong or (piece.high is None and number < len(self.pieces) - 1):
                raise DomainError("the pieces of a number line ascend and do not overlap")
            last = piece.high

    def ends(self) -> tuple[tuple[Exact, bool], ...]:
        """(number, whether it belongs to the set) of each end, ascending; an end that two pieces share stands once.

        Two open ends that meet leave one number out.
        """
        found: dict[Exact, bool] = {}
        for piece in self.pieces:
            for value, closed in ((piece.low, piece.low_closed), (piece.high, piece.high_closed)):
                if value is not None:
                    found[value] = found.get(value, False) or closed
        return tuple(found.items())


def draw(line: NumberLine, said: Words = ENGLISH) -> Drawing:
    """The picture. said: the words of its description."""
    pen = Pen()
    ends = line.ends()
    values = [near(value) for value, _ in ends] or [_ZERO]
    spread = values[-1] - values[0]
    room = spread * Fraction(2, 5) if spread else Fraction(5)
    axis = scale(values[0] - room, values[-1] + room, _LENGTH, _MOST)
    right = axis.at(axis.high) + _BEYOND
    pen.line(Point(_ZERO, _ZERO), Point(-_BEYOND, _ZERO), arrow=True)
    pen.line(Point(_ZERO, _ZERO), Point(right, _ZERO), arrow=True)
    pen.label(Point(right + 1, _ZERO), labels.letter(line.letter), "left")
    texts = {value: tick_label(value, axis.step) for value in axis.ticks()}
    every = int(-(-(max(map(width, texts.values())) + 2) // (axis.step * axis.unit))) * axis.step
    for value in texts:
        pen.line(Point(axis.at(value), Fraction(1)), Point(axis.at(value), Fraction(-1)), weight="thin")
        if value % every == 0:
            pen.label(Point(axis.at(value), Fraction(-2)), tick_label(value, every), "above", is_scale=True)
    for piece in line.pieces:
        if not piece.is_point:
            start = -_BEYOND + 2 if piece.low is None else axis.at(near(piece.low))
            stop = right - 2 if piece.high is None else axis.at(near(piece.high))
            pen.line(Point(start, _ZERO), Point(stop, _ZERO), weight="bold")
    for end, is_in in ends:
        pen.dot(Point(axis.at(near(end)), _ZERO), is_in)
    _label_ends(pen, [(axis.at(near(end)), end) for end, _ in ends])
    return pen.finished(*_words(line, said), facts={"kind": "number-line"})


def _label_ends(pen: Pen, ends: list[tuple[Fraction, Exact]]) -> None:
    texts = [labels.number(value) for _, value in ends]
    centres = apart([(place, width(text)) for (place, _), text in zip(ends, texts, strict=True)], Fraction(2))
    for (x, value), centre, text in zip(ends, centres, texts, strict=True):
        pen.line(Point(x, Fraction(3, 2)), Point(centre, _LIFT - Fraction(1, 2)), weight="thin")
        pen.label(Point(centre, _LIFT + height(text) / 2), text, "centre", (value,))


def _words(line: NumberLine, said: Words) -> Iterator[str | Maths]:
    yield from phrase(said, "number-line", letter=labels.letter(line.letter))
    yield " "
    if not line.pieces:
        yield from phrase(said, "number-line-none")
    for index, piece in enumerate(line.pieces):
        yield f"; {said('and')} " if index else ""
        yield from _piece(piece, said)
    yield "."


def _piece(piece: Piece, said: Words) -> Iterator[str | Maths]:
    ends = {"low": _end(piece.low, piece.low_closed, said), "high": _end(piece.high, piece.high_closed, said)}
    if piece.is_point:
        return phrase(said, "number-line-point", low=ends["low"][:1])
    names = {(): "all", ("low",): "from", ("high",): "up-to", ("low", "high"): "between"}
    return phrase(said, f"number-line-{names[tuple(name for name, end in ends.items() if end)]}", **ends)


def _end(value: Exact | None, closed: bool, said: Words) -> Description:
    """The number, and whether it belongs to the set; () where a piece goes on for ever."""
    return () if value is None else (labels.number(value), f" {said('end-closed' if closed else 'end-open')}")
