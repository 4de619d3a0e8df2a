"""The area model: its areas are those of the algebra, its labels stand clear, its words say what it shows."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.errors import DomainError
from itembank.figures import AreaModel, drawing, in_words
from itembank.figures.area_model import side_and_strip
from itembank.figures.drawing import Drawing, Rectangle
from tests.drawings import faults, name

LINEAR = st.builds(Fraction, st.integers(-10_000, 10_000).filter(bool), st.integers(1, 60))


def pieces(picture: Drawing) -> list[Rectangle]:
    """The areas, the white patches under labels apart."""
    return [mark for mark in picture.marks if isinstance(mark, Rectangle) and mark.outline]


@settings(max_examples=50, deadline=None)
@given(LINEAR, st.sampled_from([2, 3]))
def test_areas_agree_with_the_algebra(linear: Fraction, stage: int) -> None:
    """Where a strip is |b|/2 wide, x is a length, and every area is the one that is written in it."""
    model = AreaModel("x", linear, stage)
    side, strip = side_and_strip(model)
    unit = abs(model.half) / strip
    x = side * unit

    square, right, below, corner = (piece.area * unit * unit for piece in pieces(drawing(model)))

    assert (linear / 2) ** 2 == corner
    if linear > 0:
        assert (x**2, linear / 2 * x, linear / 2 * x) == (square, right, below)
        assert (x + linear / 2) ** 2 == square + right + below + corner
    else:
        # each strip reaches over the corner: two strips and the corner given back once leave the smaller square
        assert -linear / 2 * x == right + corner == below + corner
        assert x**2 + linear * x + corner == square == (x + linear / 2) ** 2


def test_the_first_stage_is_the_expression_itself() -> None:
    square, rectangle = pieces(drawing(AreaModel("x", Fraction(8), 1)))

    assert square.width == square.height == rectangle.height
    assert ["x^2", "8*x", "x", "8", "x"] == [
        name(label) for label in drawing(AreaModel("x", Fraction(8), 1)).labels
    ]


@settings(max_examples=50, deadline=None)
@given(LINEAR, st.sampled_from([1, 2, 3]), st.sampled_from(["x", "n", "m", "w"]))
def test_nothing_overlaps_or_leaves_the_frame(linear: Fraction, stage: int, letter: str) -> None:
    assert [] == faults(drawing(AreaModel(letter, linear, stage)))


@pytest.mark.parametrize(
    ("linear", "words"),
    [
        (
            Fraction(8),
            "Area model of x² + 8x, stage 3 of 3: a square of side x with two strips of width 4, one beside it and one "
            "below, each with the area 4x; the corner with the area 16 completes a square of side x + 4.",
        ),
        (
            Fraction(-7),
            "Area model of x² − 7x, stage 3 of 3: from a square of side x two strips of width 7/2 and area (7/2)x "
            "are taken away (hatched), one at the right and one below; the corner of area 49/4 where they meet is "
            "taken away twice, so it is added back once, and a square of side x − 7/2 is left.",
        ),
    ],
)
def test_the_words_say_what_the_picture_shows(linear: Fraction, words: str) -> None:
    assert words == in_words(drawing(AreaModel("x", linear)))


def test_labels_tell_the_half_and_its_square() -> None:
    told = {value for label in drawing(AreaModel("x", Fraction(-6))).labels for value in label.tells}

    assert {3, -3, 9} == told


def test_areas_are_told_apart_without_colour() -> None:
    assert ["", "tint", "tint", "crossed"] == [
        piece.fill for piece in pieces(drawing(AreaModel("x", Fraction(2))))
    ]
    assert ["", "hatched", "hatched", "crossed"] == [
        piece.fill for piece in pieces(drawing(AreaModel("x", Fraction(-2), 2)))
    ]


@pytest.mark.parametrize("wrong", [("x", Fraction(0), 3), ("x", Fraction(2), 0), ("x", Fraction(2), 4)])
def test_what_cannot_be_drawn_is_refused(wrong: tuple[str, Fraction, int]) -> None:
    with pytest.raises(DomainError):
        AreaModel(*wrong)
