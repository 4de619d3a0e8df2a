"""Figures of every kind, for tests of renderings: signs, fractions, large numbers, and what is left out."""

from __future__ import annotations

from fractions import Fraction

from itembank.expressions.numbers import Exact, make, negate
from itembank.figures import AreaModel, Figure, NumberLine, Parabola, Piece, Row, SignTable
from tests.samples import maths

AREA_MODELS: tuple[Figure, ...] = tuple(
    AreaModel("x", Fraction(linear), stage)
    for linear in ("8", "-8", "7", "-7", "2", "-2", "1/3", "-25/7", "123456")
    for stage in (1, 2, 3)
)


def parabola(a: str, b: str, c: str, *shows: str) -> Parabola:
    """y = ax^2 + bx + c with some of its parts."""
    return Parabola("x", Fraction(a), Fraction(b), Fraction(c), shows)


ALL_PARTS = ("vertex", "axis", "roots", "intercept")
PARABOLAS: tuple[Parabola, ...] = (
    parabola("1", "-8", "13", *ALL_PARTS),  # two surds
    parabola("1", "-18", "79", "vertex", "roots"),  # far from the vertical axis
    parabola("1", "-18", "79", *ALL_PARTS),  # the same, with that axis wanted
    parabola("1", "4", "4", *ALL_PARTS),  # a double root
    parabola("1", "0", "0", *ALL_PARTS),  # everything at the origin
    parabola("1", "2", "5", *ALL_PARTS),  # no root
    parabola("-2", "4", "6", *ALL_PARTS),  # downward
    parabola("-1", "0", "-3", *ALL_PARTS),  # downward, no root
    parabola("1/20", "1", "-3", *ALL_PARTS),  # wide
    parabola("1", "-1000", "249900", *ALL_PARTS),  # large numbers
    parabola("1/3", "-1/2", "1/7", *ALL_PARTS),  # fractions
    parabola("1", "-2", "-3", "grid"),
    parabola("1", "-2", "-3", "grid", *ALL_PARTS),
)


def number_line(*pieces: tuple[Exact | None, bool, Exact | None, bool]) -> NumberLine:
    """A number line of such pieces."""
    return NumberLine("x", tuple(Piece(*piece) for piece in pieces))


_ROOT = make({1: Fraction(4), 3: Fraction(1)})
NUMBER_LINES: tuple[NumberLine, ...] = (
    number_line((None, False, -2, False), (5, True, None, False)),
    number_line((-3, False, 4, True)),
    number_line((negate(_ROOT), True, _ROOT, True)),
    number_line((2, True, 2, True), (Fraction(2001, 1000), True, Fraction(2001, 1000), True)),
    number_line((None, False, 0, False), (0, False, None, False)),
    number_line((1000, False, None, False)),
    number_line((None, False, None, False)),
    number_line(),
)


def sign_table(*rows: tuple[str, tuple[int, ...]], zeros: tuple[Exact, ...]) -> SignTable:
    """A sign table of such rows."""
    return SignTable("x", zeros, tuple(Row(maths(text), signs) for text, signs in rows))


SIGN_TABLES: tuple[SignTable, ...] = (
    sign_table(
        ("x + 2", (-1, 0, 1, 1, 1)),
        ("x - 5", (-1, -1, -1, 0, 1)),
        ("(x + 2)*(x - 5)", (1, 0, -1, 0, 1)),
        zeros=(-2, 5),
    ),
    sign_table(("x^2 + 1", (1,)), ("-2*(x^2 + 1)", (-1,)), zeros=()),
)
FIGURES: tuple[Figure, ...] = (*AREA_MODELS, *PARABOLAS, *NUMBER_LINES, *SIGN_TABLES)
