"""The audit's own exact numbers, against laws and against ball arithmetic of another library."""

from __future__ import annotations

from fractions import Fraction
from functools import reduce

import flint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.audit import numbers
from itembank.audit.findings import CannotTell
from itembank.audit.numbers import Number, Radicals, divide, exact_root, sign, square_part, square_root
from itembank.audit.root_counting import count_real_roots

rationals = st.fractions(min_value=-30, max_value=30, max_denominator=12)


@st.composite
def sums_of_roots(draw: st.DrawFn) -> Number:
    """A rational combination of up to three square roots."""
    parts = draw(st.lists(st.tuples(rationals, st.integers(min_value=0, max_value=60)), max_size=3))
    return reduce(lambda total, part: total + square_root(part[1]) * part[0], parts, draw(rationals))


def ball(number: Number) -> flint.arb:
    """The number as an interval of another library."""
    terms = number.terms if isinstance(number, Radicals) else ((1, number),)
    total = flint.arb(0)
    for radicand, factor in terms:
        fraction = Fraction(factor)
        total += flint.arb(flint.fmpq(fraction.numerator, fraction.denominator)) * flint.arb(radicand).sqrt()
    return total


@given(sums_of_roots(), sums_of_roots(), sums_of_roots())
@settings(max_examples=60, deadline=None)
def test_they_are_a_field(a: Number, b: Number, c: Number) -> None:
    """Sums and products in any order, and division undone by multiplication."""
    assert a + b == b + a
    assert a * (b + c) == a * b + a * c
    assert (a * b) * c == a * (b * c)
    assert a - a == 0
    if b != 0:
        assert divide(a, b) * b == a


@given(sums_of_roots(), sums_of_roots())
@settings(max_examples=100, deadline=None)
def test_their_order_is_that_of_ball_arithmetic(a: Number, b: Number) -> None:
    """With 200 digits a ball that leaves 0 out has a sign; equal numbers have a difference of exactly 0."""
    with flint.ctx.workprec(700):
        difference = ball(a) - ball(b)
        expected = 1 if difference > 0 else -1 if difference < 0 else 0

    assert expected == sign(a - b)
    assert (expected == 0) == (a == b)


@given(st.integers(min_value=1, max_value=10**9))
@settings(max_examples=100, deadline=None)
def test_what_stays_under_a_root_is_free_of_squares(number: int) -> None:
    """s²r is the number, and no prime divides r twice."""
    root, radicand = square_part(number)
    found = dict(flint.fmpz(radicand).factor())

    assert number == root * root * radicand
    assert set(found.values()) <= {1}


@given(st.integers(min_value=0, max_value=500), st.integers(min_value=1, max_value=60))
def test_a_root_squared_is_what_was_under_it(above: int, below: int) -> None:
    """Of fractions too."""
    root = square_root(Fraction(above, below))

    assert Fraction(above, below) == root * root
    assert sign(root) >= 0


def test_a_root_of_a_sum_with_a_root_is_taken_where_it_can_be() -> None:
    """√(4 + 2√3) = 1 + √3, √(5 − 2√6) = √3 − √2; √(1 + √2) stays out of reach."""
    assert 1 + square_root(3) == square_root(4 + 2 * square_root(3))
    assert square_root(3) - square_root(2) == square_root(5 - 2 * square_root(6))
    with pytest.raises(CannotTell):
        square_root(1 + square_root(2))


def test_a_cube_root_is_taken_of_cubes_only() -> None:
    """Of negative ones as well."""
    assert Fraction(-2, 3) == exact_root(Fraction(-8, 27), 3)
    with pytest.raises(CannotTell):
        exact_root(9, 3)


@pytest.mark.parametrize("number", [-1, Fraction(-1, 4), 10**16 + 1])
def test_a_root_out_of_reach_is_never_guessed(number: int | Fraction) -> None:
    """Negative numbers, and numbers too large to be taken apart."""
    with pytest.raises(CannotTell):
        square_root(number)


def test_a_large_square_is_still_taken() -> None:
    """Above the bound only squares are."""
    assert 10**20 == square_root(10**40)


@given(st.lists(st.integers(min_value=-9, max_value=9), min_size=2, max_size=6))
@settings(max_examples=100, deadline=None)
def test_real_roots_are_counted_as_another_library_finds_them(coefficients: list[int]) -> None:
    """Different real roots, of any degree to 5."""
    if not any(coefficients[1:]):
        return
    polynomial = {
        ((("x", power),) if power else ()): factor for power, factor in enumerate(coefficients) if factor
    }
    found = flint.fmpz_poly(coefficients).complex_roots()

    assert sum(bool(root.imag == 0) for root, _ in found) == count_real_roots(polynomial, "x")


def test_division_by_nothing_is_an_error() -> None:
    """Not an infinity."""
    with pytest.raises(ZeroDivisionError):
        numbers.divide(1, 0)
