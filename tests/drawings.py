"""What is looked for in every drawing: labels on labels, lines through labels, marks outside the frame."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations, pairwise

from itembank.expressions.spelling import plain
from itembank.figures.drawing import (
    Box,
    Curve,
    Dot,
    Drawing,
    Label,
    Line,
    Mark,
    Point,
    Rectangle,
    bounds,
    on_curve,
)

PIECES = 64
"""A curve is looked at in so many pieces."""


def faults(drawing: Drawing) -> list[str]:
    """Everything that leaves the frame or lies where it should not; [] for a clean drawing."""
    found = [
        f"{mark} leaves the frame" for mark in drawing.marks if not bounds(mark).lies_within(drawing.frame)
    ]
    labels = [(label, bounds(label)) for label in drawing.labels]
    found += [
        f"{name(first)} and {name(second)} overlap"
        for (first, one), (second, other) in combinations(labels, 2)
        if one.overlaps(other)
    ]
    for number, mark in enumerate(drawing.marks):
        pieces = list(segments(mark))
        for label, box in labels:
            runs_through = any(crosses(start, end, box) for start, end in pieces)
            if runs_through and not is_covered(box, drawing.marks[number + 1 :]):
                found.append(f"{type(mark).__name__} {mark} runs through {name(label)}")
            if isinstance(mark, Dot) and bounds(mark).overlaps(box):
                found.append(f"a dot lies on {name(label)}")
    return found


def is_covered(box: Box, later: tuple[Mark, ...]) -> bool:
    """Whether something white is laid under a label, over what was drawn before."""
    return any(
        isinstance(mark, Rectangle) and mark.fill == "white" and box.lies_within(bounds(mark))
        for mark in later
    )


def name(label: Label) -> str:
    """What a label reads."""
    return label.text if isinstance(label.text, str) else plain(label.text)


def segments(mark: Mark) -> Iterator[tuple[Point, Point]]:
    """The straight pieces of what is drawn as a line; hatching, which lies under labels on white, is none."""
    match mark:
        case Line(points):
            yield from pairwise(points)
        case Curve(start, control, end):
            yield from pairwise(
                [on_curve(start, control, end, Fraction(n, PIECES)) for n in range(PIECES + 1)]
            )
        case Rectangle(corner, width, height, _, outline) if outline:
            left, bottom, right, top = corner.x, corner.y, corner.x + width, corner.y + height
            yield from pairwise(
                [
                    Point(left, bottom),
                    Point(right, bottom),
                    Point(right, top),
                    Point(left, top),
                    Point(left, bottom),
                ]
            )


def crosses(start: Point, end: Point, box: Box) -> bool:
    """Whether a straight line enters the inside of a box (Liang and Barsky's clipping, 1984)."""
    if (
        (start.x <= box.left and end.x <= box.left)
        or (start.x >= box.right and end.x >= box.right)
        or (start.y <= box.bottom and end.y <= box.bottom)
        or (start.y >= box.top and end.y >= box.top)
    ):
        return False  # all of it on one side, as most lines are
    first, last = Fraction(0), Fraction(1)
    across, up = end.x - start.x, end.y - start.y
    for change, room in (
        (-across, start.x - box.left), (across, box.right - start.x),
        (-up, start.y - box.bottom), (up, box.top - start.y),
    ):  # fmt: skip
        if change == 0:
            if room <= 0:
                return False
        elif change < 0:
            first = max(first, room / change)
        else:
            last = min(last, room / change)
    return first < last
