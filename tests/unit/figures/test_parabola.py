"""A parabola: what is drawn lies where the algebra says, nothing overlaps, and the words tell no more than it does."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.errors import DomainError
from itembank.expressions.numbers import compare
from itembank.figures import Parabola, drawing, in_words
from itembank.figures.drawing import Box, Curve, Dot, Drawing, Label, Line, Point, Rectangle, on_curve
from itembank.figures.scale import near
from tests.drawings import faults, name
from tests.figure_samples import ALL_PARTS, PARABOLAS, parabola

NUMBERS = st.builds(Fraction, st.integers(-400, 400), st.integers(1, 12))
CURVES = st.builds(
    Parabola, st.just("x"), NUMBERS.filter(bool), NUMBERS, NUMBERS,
    st.lists(st.sampled_from([*ALL_PARTS, "grid"]), unique=True).map(tuple),
)  # fmt: skip


def only(picture: Drawing, kind: type) -> list:  # type: ignore[type-arg]
    return [mark for mark in picture.marks if isinstance(mark, kind)]


class Plane:
    """The coordinates of a picture, found from the numbers at its ticks alone."""

    def __init__(self, picture: Drawing) -> None:
        scale = [label for label in picture.labels if label.is_scale]
        self.across = self._line([(label.at.x, value(label)) for label in scale if label.anchor == "above"])
        self.up = self._line([(label.at.y, value(label)) for label in scale if label.anchor == "right"])

    @staticmethod
    def _line(known: list[tuple[Fraction, Fraction]]) -> tuple[Fraction, Fraction]:
        (first, low), (last, high) = known[0], known[-1]
        unit = (high - low) / (last - first)
        assert all(low + unit * (at - first) == number for at, number in known), "the scale is not even"
        return low - unit * first, unit

    def at(self, point: Point) -> tuple[Fraction, Fraction]:
        return self.across[0] + self.across[1] * point.x, self.up[0] + self.up[1] * point.y


def value(label: Label) -> Fraction:
    return Fraction(name(label))


@settings(max_examples=60)
@given(CURVES)
def test_the_curve_is_the_polynomial_at_true_scale(curve: Parabola) -> None:
    picture = drawing(curve)
    plane = Plane(picture)
    (drawn,) = only(picture, Curve)

    for part in range(9):
        x, y = plane.at(on_curve(drawn.start, drawn.control, drawn.end, Fraction(part, 8)))
        assert curve.a * x * x + curve.b * x + curve.c == y


@settings(max_examples=60)
@given(CURVES)
def test_vertex_roots_and_intercept_lie_where_they_are(curve: Parabola) -> None:
    picture = drawing(Parabola(curve.letter, curve.a, curve.b, curve.c, ALL_PARTS))
    plane = Plane(picture)
    found = [plane.at(dot.centre) for dot in only(picture, Dot)]
    h = -curve.b / (2 * curve.a)

    assert (h, curve.a * h * h + curve.b * h + curve.c) == found[0]
    assert (0, curve.c) in found or curve.c == 0
    discriminant = curve.b**2 - 4 * curve.a * curve.c
    assert len(curve.roots) == (discriminant > 0) + (discriminant >= 0)
    for root in curve.roots:
        x = near(root)
        assert (x, 0) in found
        # a root changes the sign of the polynomial, or is its double root: checked without square roots
        close = Fraction(1, 10**6)
        assert discriminant == 0 or curve.value(x - close) * curve.value(x + close) < 0


@settings(max_examples=150)
@given(CURVES)
def test_nothing_overlaps_or_leaves_the_frame(curve: Parabola) -> None:
    assert [] == faults(drawing(curve))


@pytest.mark.parametrize("curve", PARABOLAS, ids=repr)
def test_the_samples_are_clean(curve: Parabola) -> None:
    assert [] == faults(drawing(curve))


@pytest.mark.parametrize("curve", PARABOLAS, ids=repr)
def test_the_curve_and_its_axes_lie_in_the_plot(curve: Parabola) -> None:
    picture = drawing(curve)
    plot = only(picture, Rectangle)[0]
    box = Box(plot.corner.x, plot.corner.y, plot.corner.x + plot.width, plot.corner.y + plot.height)

    for dot in only(picture, Dot):
        assert Box(dot.centre.x, dot.centre.y, dot.centre.x, dot.centre.y).lies_within(box)
    (drawn,) = only(picture, Curve)
    for end in (drawn.start, drawn.end):
        assert Box(end.x, end.y, end.x, end.y).lies_within(box)


def test_labels_and_words_tell_what_is_shown_and_nothing_else() -> None:
    shown = drawing(parabola("1", "-8", "13", "vertex"))

    assert {4, -3} == {value for label in shown.labels for value in label.tells}
    assert (
        "A parabola that opens upward and crosses the horizontal axis in two points; its lowest point is (4, −3). The "
        "horizontal scale runs from −2 to 10, the vertical one from −10 to 25."
    ) == in_words(shown)
    bare = in_words(drawing(parabola("1", "-8", "13")))
    assert "√" not in bare
    assert "lowest" not in bare


def test_the_words_name_every_part_that_is_marked() -> None:
    assert (
        "A parabola that opens upward and crosses the horizontal axis in two points, at 4 − √3 and 4 + √3; its lowest "
        "point is (4, −3); its axis of symmetry is the line x = 4; it meets the vertical axis at (0, 13). The "
        "horizontal scale runs from −2 to 10, the vertical one from −10 to 25."
    ) == in_words(drawing(PARABOLAS[0]))


@pytest.mark.parametrize(("c", "words"), [("5", "does not meet"), ("4", "touches"), ("3", "crosses")])
def test_the_words_say_how_the_curve_meets_the_axis(c: str, words: str) -> None:
    assert f"opens upward and {words} the horizontal axis" in in_words(drawing(parabola("1", "4", c)))


def test_the_axis_of_symmetry_is_dashed_and_named() -> None:
    picture = drawing(parabola("1", "-3", "1", "axis"))

    (dashed,) = [line for line in only(picture, Line) if line.dashed]
    assert Fraction(3, 2) == Plane(picture).at(dashed.points[0])[0]
    assert "x = 3/2" in [name(label) for label in picture.labels]


def test_roots_ascend() -> None:
    for curve in PARABOLAS:
        assert len(curve.roots) < 2 or compare(curve.roots[0], curve.roots[1]) < 0


def test_a_line_is_no_parabola() -> None:
    with pytest.raises(DomainError):
        parabola("0", "1", "1")
