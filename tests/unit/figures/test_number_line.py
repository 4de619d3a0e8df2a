"""A number line: ends lie where their numbers are, full or open, and the words say the same set."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.errors import DomainError
from itembank.expressions.numbers import Exact, make
from itembank.figures import NumberLine, Piece, drawing, in_words
from itembank.figures.drawing import Dot, Line
from itembank.figures.scale import apart, near, step_of
from tests.drawings import faults, name
from tests.figure_samples import NUMBER_LINES, number_line

RATIONALS = st.builds(Fraction, st.integers(-3000, 3000), st.integers(1, 30))
ENDS: st.SearchStrategy[list[Exact]] = st.lists(
    RATIONALS.flatmap(
        lambda p: st.sampled_from([p, make({1: p, 2: Fraction(1)}), make({1: p, 5: Fraction(-3, 2)})])
    ),
    min_size=1, max_size=6, unique=True,
).map(lambda found: sorted(found, key=near))  # fmt: skip


@st.composite
def lines(draw: st.DrawFn) -> NumberLine:
    """Pieces between ends, some of them points, the outer ones sometimes rays."""
    ends: list[Exact | None] = [*draw(ENDS)]
    pieces = []
    if draw(st.booleans()):
        pieces.append(Piece(None, False, ends.pop(0), draw(st.booleans())))
    while len(ends) > 1:
        low = ends.pop(0)
        high = low if draw(st.booleans()) else ends.pop(0)
        pieces.append(Piece(low, low == high or draw(st.booleans()), high, low == high))
    if ends and draw(st.booleans()):
        pieces.append(Piece(ends.pop(), draw(st.booleans()), None, False))
    return NumberLine("x", tuple(pieces))


@settings(max_examples=100)
@given(lines())
def test_nothing_overlaps_or_leaves_the_frame(line: NumberLine) -> None:
    assert [] == faults(drawing(line))


@settings(max_examples=60)
@given(lines())
def test_every_end_is_a_dot_where_its_number_lies(line: NumberLine) -> None:
    picture = drawing(line)
    scale = [label for label in picture.labels if label.is_scale]
    first, last = scale[0], scale[-1]
    unit = (Fraction(name(last)) - Fraction(name(first))) / (last.at.x - first.at.x)
    dots = [mark for mark in picture.marks if isinstance(mark, Dot)]

    assert [(near(value), closed) for value, closed in line.ends()] == [
        (Fraction(name(first)) + (dot.centre.x - first.at.x) * unit, dot.is_full) for dot in dots
    ]
    assert [value for value, _ in line.ends()] == [label.tells[0] for label in picture.labels if label.tells]


@settings(max_examples=40)
@given(lines())
def test_every_piece_but_points_is_a_bold_line(line: NumberLine) -> None:
    bold = [mark for mark in drawing(line).marks if isinstance(mark, Line) and mark.weight == "bold"]

    assert len([piece for piece in line.pieces if not piece.is_point]) == len(bold)


def test_the_words_say_the_set() -> None:
    assert [
        "Number line for x: all numbers up to −2 (ring, it does not belong to them); and all numbers from 5 (full dot, "
        "it belongs to them) on.",
        "Number line for x: all numbers from −3 (ring, it does not belong to them) to 4 (full dot, it belongs to "
        "them).",
    ] == [in_words(drawing(line)) for line in NUMBER_LINES[:2]]
    assert "Number line for x: no number is marked." == in_words(drawing(number_line()))
    assert "the point 2; and the point 2001/1000." in in_words(drawing(NUMBER_LINES[3]))


@pytest.mark.parametrize(
    "pieces",
    [
        ((3, True, 1, True),),
        ((None, False, 3, True), (2, True, 5, True)),
        ((1, True, None, False), (2, True, 5, True)),
        ((1, True, 2, True), (None, False, 5, True)),
    ],
)
def test_pieces_in_another_order_are_refused(
    pieces: tuple[tuple[Exact | None, bool, Exact | None, bool], ...],
) -> None:
    with pytest.raises(DomainError):
        number_line(*pieces)


@given(st.lists(st.tuples(st.integers(-50, 50), st.integers(1, 30)), min_size=1, max_size=8))
def test_labels_in_a_row_stay_apart_and_in_order(found: list[tuple[int, int]]) -> None:
    wanted = [(Fraction(centre), Fraction(width)) for centre, width in sorted(found)]

    centres = apart(wanted, Fraction(2))

    placed = [(centre, width) for centre, (_, width) in zip(centres, wanted, strict=True)]
    for (before, one), (after, other) in pairwise(placed):
        assert before + one / 2 + 2 <= after - other / 2
    if all(after - before >= (one + other) / 2 + 2 for (before, one), (after, other) in pairwise(wanted)):
        assert [centre for centre, _ in wanted] == centres


@given(st.builds(Fraction, st.integers(1, 10**9), st.integers(1, 10**6)))
def test_a_step_is_one_two_or_five_times_a_power_of_ten(least: Fraction) -> None:
    step = step_of(least)

    digits = str(step.numerator * 10**12 // step.denominator).rstrip("0")
    assert digits in {"1", "2", "5"}
    assert least <= step < 3 * least or digits == "1"
