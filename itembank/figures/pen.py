"""The recording pen: diagrams draw with it wherever they like, and it hands over a drawing that begins at (0, 0)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Final, TypeVar, assert_never

from itembank.expressions.display import Maths
from itembank.expressions.numbers import Exact
from itembank.figures.drawing import (
    Box,
    Curve,
    Description,
    Dot,
    Drawing,
    Label,
    Line,
    Mark,
    Point,
    Rectangle,
    bounds,
)

__all__ = ["Pen", "told"]

_M = TypeVar("_M", Line, Curve, Rectangle, Dot, Label)
_MARGIN: Final = Fraction(1)


class Pen:
    """Takes marks down in the order they are made."""

    def __init__(self) -> None:
        self.marks: list[Mark] = []

    def line(self, *points: Point, weight: str = "medium", dashed: bool = False, arrow: bool = False) -> Line:
        """A line through points."""
        return self._taken(Line(points, weight, dashed, arrow))

    def curve(self, start: Point, control: Point, end: Point) -> Curve:
        """A piece of a parabola."""
        return self._taken(Curve(start, control, end))

    def rectangle(
        self, corner: Point, width: Fraction, height: Fraction, fill: str = "", outline: str = "medium",
        dashed: bool = False,
    ) -> Rectangle:  # fmt: skip
        """An upright rectangle."""
        return self._taken(Rectangle(corner, width, height, fill, outline, dashed))

    def dot(self, centre: Point, is_full: bool = True) -> Dot:
        """A marked point."""
        return self._taken(Dot(centre, is_full=is_full))

    def label(
        self, at: Point, text: Maths | str, anchor: str = "centre", tells: tuple[Exact, ...] = (),
        is_scale: bool = False,
    ) -> Label:  # fmt: skip
        """Mathematics or words."""
        return self._taken(Label(at, text, anchor, tells, is_scale))

    def _taken(self, mark: _M) -> _M:
        self.marks.append(mark)
        return mark

    def finished(self, *description: str | Maths, facts: Mapping[str, str]) -> Drawing:
        """The drawing of all marks, moved so that a small margin is left on every side.

        facts: what it is drawn of, for who checks it.
        """
        box = Box.around(bounds(mark) for mark in self.marks).grown(_MARGIN)
        by = Point(-box.left, -box.bottom)
        marks = tuple(_moved(mark, by) for mark in self.marks)
        words: Description = description
        return Drawing(box.right - box.left, box.top - box.bottom, marks, words, tuple(facts.items()))


def told(*numbers: Fraction) -> str:
    """Numbers as one fact.

    >>> told(Fraction(1), Fraction(-7, 2))
    '1 -7/2'
    """
    return " ".join(map(str, numbers))


def _moved(mark: Mark, by: Point) -> Mark:
    def put(point: Point) -> Point:
        return Point(point.x + by.x, point.y + by.y)

    match mark:
        case Line(points, weight, dashed, arrow):
            return Line(tuple([put(point) for point in points]), weight, dashed, arrow)
        case Curve(start, control, end, weight):
            return Curve(put(start), put(control), put(end), weight)
        case Rectangle():
            return replace(mark, corner=put(mark.corner))
        case Dot(centre, radius, is_full):
            return Dot(put(centre), radius, is_full)
        case Label(at, text, anchor, tells, is_scale):
            return Label(put(at), text, anchor, tells, is_scale)
        case _:
            assert_never(mark)
