"""Points in boxes: which points they are, and whether the boxes of both coordinates belong together."""

from __future__ import annotations

from fractions import Fraction

from itembank.items import BoxValue, EntryResponse, Part
from itembank.proof import identity
from itembank.proof.box_values import box_values
from itembank.proof.identity import Identity


def entered_points(
    part: Part, response: EntryResponse, values: tuple[tuple[tuple[BoxValue, ...], ...], ...]
) -> Identity:
    """The identity of entered points: for each blank one group of boxes for each point."""
    unknowns = [blank.unknown for blank in response.blanks]
    columns = [unknowns.index(name) for name in part.problem.unknowns]
    found = frozenset(
        tuple(box_values(response.blanks[column], groups[column])[0] for column in columns)
        for groups in zip(*values, strict=True)
    )
    return identity.of_set(found, len(columns))


def point_fault(response: EntryResponse) -> str:
    """What is wrong with the way the blanks of points are keyed, "" for nothing."""
    if len(response.blanks) != 2:
        return "a point has two coordinates"
    first, second = response.blanks
    if len(first.values) != len(second.values):
        return "a point is keyed by one of its coordinates only"
    if first.slots != second.slots or first.slots < len(first.values):
        return "there are not boxes enough for the points"
    points = list(zip(first.values, second.values, strict=True))
    if len(set(points)) < len(points):
        return "a point is keyed twice"
    if first.marks or second.marks:
        return "a coordinate has marks of its own"
    if points and response.share not in {0, Fraction(response.marks, len(points))}:
        return f"{len(points)} points at {response.share} marks are not {response.marks}"
    return ""
