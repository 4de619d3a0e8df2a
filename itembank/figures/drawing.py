"""One drawing for every reading: lines, curves, rectangles, dots and labels at exact places.

Lengths are millimetres on paper, x to the right and y upward, all of them fractions: what is drawn can be compared
with what is meant exactly. Nothing tells by colour alone: areas are told apart by tint, hatching and labels. The
pens (`svg.py`, `tikz.py`) turn a drawing into marks of their format; only they round.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache, reduce
from typing import Final, NamedTuple, TypeAlias, assert_never

from itembank.expressions.conventions import USUAL, Conventions
from itembank.expressions.display import Maths
from itembank.expressions.numbers import Exact
from itembank.figures.lettering import lettering

__all__ = [
    "ANCHORS", "ARROW", "EM", "FILLS", "UNIT", "WEIGHTS", "Box", "Curve", "Description", "Dot", "Drawing", "Label",
    "Line", "Mark", "Point", "Rectangle", "bounds", "hatching", "label_corner", "on_curve",
]  # fmt: skip

EM: Final = Fraction(7, 2)
"""Size of a label's letters: ten points."""
UNIT: Final = EM / 1000
"""What lettering measures in: a thousandth of the size of letters."""

ARROW: Final = (Fraction(2), Fraction(8, 10))
"""Length and half width of an arrow's head."""

WEIGHTS: Final = {
    "thin": Fraction(15, 100), "medium": Fraction(3, 10), "heavy": Fraction(6, 10), "bold": Fraction(11, 10),
}  # fmt: skip
_HALVES: Final = {"": Fraction(0), **{name: width / 2 for name, width in WEIGHTS.items()}}
FILLS: Final = ("", "white", "tint", "hatched", "crossed")
ANCHORS: Final = ("centre", "left", "right", "below", "above", "base")
"""Which point of a label stands at its place: its middle, the middle of its left or right side, of its lower or
upper side, or (`base`) the middle of its base line."""

Description: TypeAlias = tuple[str | Maths, ...]
"""A picture in words, for who cannot see it: sentences with mathematics in them."""


class Point(NamedTuple):
    """A place."""

    x: Fraction
    y: Fraction


class Box(NamedTuple):
    """An upright rectangle around something."""

    left: Fraction
    bottom: Fraction
    right: Fraction
    top: Fraction

    def overlaps(self, other: Box) -> bool:
        """Whether the two share more than an edge."""
        return (
            _below(self.left, other.right) and _below(other.left, self.right)
            and _below(self.bottom, other.top) and _below(other.bottom, self.top)
        )  # fmt: skip

    def lies_within(self, other: Box) -> bool:
        """Whether no part of this one is outside the other."""
        return not (
            _below(self.left, other.left) or _below(other.right, self.right)
            or _below(self.bottom, other.bottom) or _below(other.top, self.top)
        )  # fmt: skip

    def grown(self, by: Fraction) -> Box:
        """The same with a margin on all sides."""
        return Box(self.left - by, self.bottom - by, self.right + by, self.top + by)

    @staticmethod
    def around(boxes: Iterator[Box]) -> Box:
        """The smallest one that holds them all."""
        lefts, bottoms, rights, tops = zip(*boxes, strict=True)
        return Box(_least(lefts), _least(bottoms), _greatest(rights), _greatest(tops))


def _below(first: Fraction, second: Fraction) -> bool:
    """first < second. A picture asks hundreds of times, and so it takes a third of what the sign takes."""
    return first.numerator * second.denominator < second.numerator * first.denominator


def _least(values: Iterable[Fraction]) -> Fraction:
    return reduce(lambda least, value: value if _below(value, least) else least, values)


def _greatest(values: Iterable[Fraction]) -> Fraction:
    return reduce(lambda greatest, value: value if _below(greatest, value) else greatest, values)


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points; with an arrow's head at the last one."""

    points: tuple[Point, ...]
    weight: str = "medium"
    dashed: bool = False
    arrow: bool = False


@dataclass(frozen=True, slots=True)
class Curve:
    """A piece of a parabola: the quadratic Bezier curve of three points is one exactly.

    control: where the tangents at both ends meet. Source: common practice, no source (the identity is elementary).
    """

    start: Point
    control: Point
    end: Point
    weight: str = "heavy"


@dataclass(frozen=True, slots=True)
class Rectangle:
    """An upright rectangle; `fill` is one of FILLS, `outline` "" for none."""

    corner: Point
    width: Fraction
    height: Fraction
    fill: str = ""
    outline: str = "medium"
    dashed: bool = False

    @property
    def area(self) -> Fraction:
        """In square millimetres."""
        return self.width * self.height


@dataclass(frozen=True, slots=True)
class Dot:
    """A point that is marked: full, or a ring around white."""

    centre: Point
    radius: Fraction = Fraction(9, 10)
    is_full: bool = True


@dataclass(frozen=True, slots=True)
class Label:
    """Mathematics or words at a place.

    tells: the values that who reads it learns; () for names (x, y), and for the numbers of a scale, which tell
    nothing of their own.
    """

    at: Point
    text: Maths | str
    anchor: str = "centre"
    tells: tuple[Exact, ...] = ()
    is_scale: bool = False


Mark: TypeAlias = Line | Curve | Rectangle | Dot | Label


@dataclass(frozen=True, slots=True)
class Drawing:
    """A finished picture: its marks lie within (0, 0) and (width, height), later ones over earlier ones.

    facts: what it was drawn of (its kind, exact numbers), so that who reads the picture can check it. signs: the
    decimal mark, and what stands between coordinates, in labels and words.
    """

    width: Fraction
    height: Fraction
    marks: tuple[Mark, ...]
    description: Description
    facts: tuple[tuple[str, str], ...] = ()
    signs: Conventions = USUAL

    @property
    def frame(self) -> Box:
        """What nothing may leave."""
        return Box(Fraction(0), Fraction(0), self.width, self.height)

    @property
    def labels(self) -> tuple[Label, ...]:
        """The labels, in the order they were made."""
        return tuple(mark for mark in self.marks if isinstance(mark, Label))


class _Extent(NamedTuple):
    """A label in millimetres: its width and half of it, how far it reaches above and below its base line, and how far
    that line is above its middle.
    """

    width: Fraction
    half: Fraction
    above: Fraction
    below: Fraction
    lift: Fraction


@lru_cache(maxsize=4096)
def _extent(text: Maths | str) -> _Extent:
    laid = lettering(text)
    width, above, below = laid.width * UNIT, laid.above * UNIT, laid.below * UNIT
    return _Extent(width, width / 2, above, below, (below - above) / 2)


def label_corner(label: Label) -> tuple[Point, Fraction]:
    """(left end of a label's base line, its size): where its letters begin."""
    extent, anchor = _extent(label.text), label.anchor
    x, y = label.at
    left = x if anchor == "left" else x - (extent.width if anchor == "right" else extent.half)
    if anchor == "above":
        base = y - extent.above
    elif anchor == "below":
        base = y + extent.below
    elif anchor == "base":
        base = y
    else:
        base = y + extent.lift
    return Point(left, base), EM


def bounds(mark: Mark) -> Box:
    """The box around a mark, the width of its lines included."""
    match mark:
        case Line(points, weight, _, arrow):
            return _around(points).grown(max(_HALVES[weight], ARROW[1]) if arrow else _HALVES[weight])
        case Curve(start, control, end, weight):
            return _curve_box(start, control, end).grown(_HALVES[weight])
        case Rectangle(corner, width, height, _, outline):
            opposite = Point(corner.x + width, corner.y + height)
            return _around((corner, opposite)).grown(_HALVES[outline])
        case Dot(centre, radius):
            return _around((centre,)).grown(radius + _HALVES["medium"])
        case Label():
            (x, y), _ = label_corner(mark)
            extent = _extent(mark.text)
            return Box(x, y - extent.below, x + extent.width, y + extent.above)
        case _:
            assert_never(mark)


def _around(points: tuple[Point, ...]) -> Box:
    across, up = zip(*points, strict=True)
    return Box(_least(across), _least(up), _greatest(across), _greatest(up))


def _curve_box(start: Point, control: Point, end: Point) -> Box:
    """Ends, and where the curve turns in y: the x of our curves runs evenly, so they turn nowhere in x."""
    points = [start, end]
    bend = start.y - 2 * control.y + end.y
    if bend:
        t = (start.y - control.y) / bend
        if 0 < t < 1:
            points.append(on_curve(start, control, end, t))
    return _around(tuple(points))


def on_curve(start: Point, control: Point, end: Point, t: Fraction) -> Point:
    """The point of a curve at t, from 0 at its start to 1 at its end."""
    x, y = (
        (1 - t) ** 2 * s + 2 * t * (1 - t) * c + t * t * e
        for s, c, e in zip(start, control, end, strict=True)
    )
    return Point(x, y)


def hatching(rectangle: Rectangle, spacing: Fraction = Fraction(2)) -> Iterator[tuple[Point, Point]]:
    """The lines of a hatched rectangle, rising at 45 degrees, with those of a crossed one also falling; clipped."""
    if rectangle.fill not in {"hatched", "crossed"}:
        return
    (left, bottom), width, height = rectangle.corner, rectangle.width, rectangle.height
    step = spacing
    offset = step
    while offset < width + height:
        first = Point(left + max(Fraction(0), offset - height), bottom + min(height, offset))
        last = Point(left + min(width, offset), bottom + max(Fraction(0), offset - width))
        # mirrored, so that the lines rise
        yield Point(2 * left + width - first.x, first.y), Point(2 * left + width - last.x, last.y)
        if rectangle.fill == "crossed":
            yield first, last
        offset += step
