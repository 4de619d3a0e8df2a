"""Points on paper: their boxes, how the key tells them, and how many an entry has right."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

from itembank.expressions.display import Compared, Display, Joined, Letter, Maths, Pair, Shape
from itembank.items import Blank, EntryResponse

__all__ = ["PointBlank", "entry_blanks", "pair", "points_alone", "right_points"]


@cache
def pair(first: str, second: str) -> Maths:
    """Two letters as a point, the same object for the same names."""
    return Maths(Shape(Pair(Letter(first), Letter(second)), 0))


class PointBlank(NamedTuple):
    """The boxes of points: the blanks of both coordinates."""

    first: Blank
    second: Blank


def entry_blanks(response: EntryResponse) -> tuple[Blank | PointBlank, ...]:
    """What stands in the answer line of an entry: its blanks, or the boxes of its points."""
    if not response.points:
        return response.blanks
    first, second = response.blanks
    return (PointBlank(first, second),)


def right_points(response: EntryResponse, values: Sequence[Sequence[object]]) -> int:
    """How many of an entry's points stand among entered ones; none where a wrong one is entered beside all of them.

    values: for each blank its boxes, one tuple for each point.
    """
    keyed = set(zip(*(blank.values for blank in response.blanks), strict=True))
    found = set(zip(*values, strict=True))
    is_more = len(keyed) < response.blanks[0].slots and not found <= keyed
    return 0 if is_more else len(found & keyed)


@cache
def points_alone(shape: Shape) -> Shape:
    """(-1, 3) and (2, 5) for (x, y) = (-1, 3) or (x, y) = (2, 5); anything else as it is."""
    node = shape.display
    told = node.parts if isinstance(node, Joined) and node.word == "or" else (node,)
    points: list[Display] = []
    for each in told:
        match each:
            case Compared((Pair(), Pair() as point), ("=",)):
                points.append(point)
            case _:
                return shape
    return Shape(Joined("and", tuple(points)) if len(points) > 1 else points[0], shape.holes)
