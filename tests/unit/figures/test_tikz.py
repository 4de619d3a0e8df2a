"""The rendering for paper: ASCII, its words escaped by the document, its description for who reads the source."""

from __future__ import annotations

from fractions import Fraction

import pytest

from itembank.figures import AreaModel, Figure
from itembank.figures.drawing import Curve, Drawing, Label, Point
from itembank.figures.tikz import rendered, tikz
from itembank.writers.latex.characters import escape
from tests.figure_samples import FIGURES


@pytest.mark.parametrize("figure", FIGURES, ids=repr)
def test_the_source_is_ascii_and_balanced(figure: Figure) -> None:
    source = tikz(figure, escape)

    assert source.isascii()
    assert source.count("{") == source.count("}")
    assert source.endswith("\\end{tikzpicture}")


def test_a_description_cannot_leave_its_comment() -> None:
    picture = Drawing(Fraction(9), Fraction(9), (), ("one\n\\input{x}\r\nand more √",))

    comment, _, rest = rendered(picture, escape).partition("\\begin{tikzpicture}")

    assert ["% one \\input{x} and more ?"] == comment.splitlines()
    assert "input" not in rest


def test_words_are_escaped_by_the_document() -> None:
    label = Label(Point(Fraction(4), Fraction(4)), "50% of_x")

    assert r"50\% of\_x" in rendered(Drawing(Fraction(9), Fraction(9), (label,), ()), escape)


def test_a_parabola_becomes_the_cubic_curve_that_is_the_same() -> None:
    """Source: degree elevation of a quadratic Bezier curve (elementary): controls two thirds of the way."""
    curve = Curve(*(Point(Fraction(x), Fraction(y)) for x, y in ((0, 9), (6, 0), (12, 9))))

    source = rendered(Drawing(Fraction(12), Fraction(9), (curve,), ()), escape)

    assert "(0,9) .. controls (4,3) and (8,3) .. (12,9)" in source


def test_mathematics_is_set_by_tex() -> None:
    assert r"\PictureLetters $\frac{7}{2}x$" in tikz(AreaModel("x", Fraction(7), 2), escape)
