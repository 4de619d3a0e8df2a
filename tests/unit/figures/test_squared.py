"""Squared paper: so many squares of five millimetres, axes that cross on the lines, nothing outside the frame."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from itembank.errors import DomainError
from itembank.figures.drawing import Drawing, Line, bounds
from itembank.figures.squared import MOST, SQUARE, squared
from tests.drawings import name

sides = st.integers(1, MOST)


def _lines(picture: Drawing) -> tuple[list[Fraction], list[Fraction]]:
    """Where the thin upright lines stand, and where those across."""
    thin = [mark.points for mark in picture.marks if isinstance(mark, Line) and mark.weight == "thin"]
    upright = [first.x for first, last in thin if first.x == last.x]
    across = [first.y for first, last in thin if first.y == last.y]
    assert len(thin) == len(upright) + len(across)
    return upright, across


@given(sides, sides)
def test_lines_stand_five_millimetres_apart(across: int, up: int) -> None:
    for found, count in zip(_lines(squared(across, up, "paper")), (across, up), strict=True):
        assert [found[0] + SQUARE * n for n in range(count + 1)] == found


@given(sides.map(lambda n: n // 2 * 2 + 2), sides.map(lambda n: n // 2 * 2 + 2))
def test_axes_cross_in_the_middle_and_bear_their_letters(across: int, up: int) -> None:
    if across > MOST or up > MOST:
        with pytest.raises(DomainError):
            squared(across, up, "paper", ("t", "y"))
        return
    picture = squared(across, up, "paper", ("t", "y"))
    level, upright = (mark for mark in picture.marks if isinstance(mark, Line) and mark.arrow)
    columns, rows = _lines(picture)

    assert {point.y for point in level.points} == {rows[up // 2]}
    assert {point.x for point in upright.points} == {columns[across // 2]}
    assert level.points[-1].x > columns[-1]
    assert upright.points[-1].y > rows[-1]
    assert ["t", "y"] == [name(label) for label in picture.labels]
    assert all(bounds(mark).lies_within(picture.frame) for mark in picture.marks)
    boxes = [bounds(label) for label in picture.labels]
    assert not boxes[0].overlaps(boxes[1])
    assert all(not bounds(line).overlaps(box) for line in (level, upright) for box in boxes)


@pytest.mark.parametrize(
    ("across", "up", "axes"), [(0, 4, None), (4, MOST + 1, None), (3, 4, ("x", "y")), (4, 3, ("x", "y"))]
)
def test_what_cannot_be_drawn_is_refused(across: int, up: int, axes: tuple[str, str] | None) -> None:
    with pytest.raises(DomainError):
        squared(across, up, "paper", axes)
