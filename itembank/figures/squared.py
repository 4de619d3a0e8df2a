"""Squared paper to work on: squares of five millimetres, with or without axes through the middle.

It belongs to no item and shows nothing of one; the pens render it as they render every drawing.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import Final

from itembank.errors import DomainError
from itembank.figures import labels
from itembank.figures.drawing import Drawing, Point
from itembank.figures.pen import Pen

__all__ = ["SQUARE", "squared"]

SQUARE: Final = Fraction(5)
"""Millimetres of a square's side. Source: common practice, no source (school exercise books)."""

MOST: Final = 60
_BEYOND: Final = Fraction(4)


@lru_cache(maxsize=64)
def squared(across: int, up: int, told: str, axes: tuple[str, str] | None = None) -> Drawing:
    """A grid of so many squares.

    told: its description in words. axes: the letters of the horizontal and the vertical axis, which cross in the
    middle; None for no axes. Raises DomainError for no squares, for more than MOST a side, and where axes would not
    cross on the lines of the grid.
    """
    if not (0 < across <= MOST and 0 < up <= MOST):
        raise DomainError(f"squared paper has 1 to {MOST} squares a side")
    if axes is not None and (across % 2 or up % 2):
        raise DomainError("axes cross in the middle of an even number of squares")
    pen = Pen()
    width, height = across * SQUARE, up * SQUARE
    for column in range(across + 1):
        pen.line(Point(column * SQUARE, Fraction(0)), Point(column * SQUARE, height), weight="thin")
    for row in range(up + 1):
        pen.line(Point(Fraction(0), row * SQUARE), Point(width, row * SQUARE), weight="thin")
    if axes is not None:
        middle = Point(width / 2, height / 2)
        right, top = Point(width + _BEYOND, middle.y), Point(middle.x, height + _BEYOND)
        pen.line(Point(-_BEYOND, middle.y), right, weight="heavy", arrow=True)
        pen.line(Point(middle.x, -_BEYOND), top, weight="heavy", arrow=True)
        pen.label(Point(right.x + 1, right.y), labels.letter(axes[0]), "left")
        pen.label(Point(top.x + 2, top.y), labels.letter(axes[1]), "left")
    facts = {"kind": "squared-paper", "squares": f"{across} {up}"}
    return pen.finished(told, facts=facts)
