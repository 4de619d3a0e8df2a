"""Exact numbers: sums of square roots, simplified, compared and inverted without a float."""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from math import isqrt

import pytest
import sympy

from itembank.errors import DomainError
from itembank.expressions import exact, numbers, polynomials
from itembank.expressions.numbers import Exact, Surd
from itembank.expressions.parser import parse
from tests.expressions.oracles import as_sympy, is_same


def value(source: str) -> Exact:
    return exact.number(parse(source), {})


def test_square_factors_come_out_as_in_the_prime_factorisation() -> None:
    for n in [
        *range(1, 2_000),
        10**12,
        999_983**2 * 3,
        999_999_999_999_989,
        2 * 499_979 * 999_983,
        31_607**2 * 7,
    ]:
        outside, inside = numbers.square_root_parts(n)
        powers = sympy.factorint(n)
        assert sympy.prod(p ** (e // 2) for p, e in powers.items()) == outside
        assert sympy.prod(p for p, e in powers.items() if e % 2) == inside


def test_zero_has_the_root_zero_and_negatives_have_none() -> None:
    assert (0, 1) == numbers.square_root_parts(0)
    with pytest.raises(DomainError):
        numbers.square_root_parts(-1)


def test_a_large_square_has_its_root_though_it_is_beyond_the_bound() -> None:
    assert (10**40, 1) == numbers.square_root_parts(10**80)


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("sqrt(8/45)", "2*sqrt(10)/15"),
        ("1/(3 + sqrt(2))", "(3 - sqrt(2))/7"),
        ("1/(sqrt(2) + sqrt(3) + sqrt(5))", "sqrt(2)/4 + sqrt(3)/6 - sqrt(30)/12"),
        ("sqrt(6)*sqrt(10)", "2*sqrt(15)"),
        ("(1 + sqrt(2))^-2", "3 - 2*sqrt(2)"),
        ("sqrt(3 + 2*sqrt(2))", "1 + sqrt(2)"),
        ("sqrt(3 - 2*sqrt(2))", "sqrt(2) - 1"),
        ("sqrt(5 + 2*sqrt(6))", "sqrt(2) + sqrt(3)"),
        ("sqrt(4 - sqrt(7))", "(sqrt(14) - sqrt(2))/2"),
        ("abs(1 - sqrt(2))", "sqrt(2) - 1"),
        ("max(sqrt(2), 3/2, sqrt(3) - 1/3)", "3/2"),
        ("min(sqrt(2), 3/2, sqrt(3) - 1/3)", "sqrt(3) - 1/3"),
        ("root(-27/8, 3)", "-3/2"),
        ("root(1024, 10)", "2"),
        ("mod(-7, 3)", "2"),
        ("mod(7, -3)", "-2"),
        ("mod(7/2, 2/3)", "1/6"),
        ("round(-2.5)", "-3"),
        ("round(2.345, 2)", "2.35"),
        ("gcd(-12, 18, 0)", "6"),
        ("lcm(4, -6)", "12"),
        ("lcm(4, 0)", "0"),
        ("numerator(-6/4)", "-3"),
        ("denominator(-6/4)", "2"),
        ("16^(-3/4)", "1/8"),
        ("8^(2/3)", "4"),
        ("27^(-2/3)", "1/9"),
        ("(16/25)^(1/2)", "4/5"),
        ("4^(3/2)", "8"),
        ("3^(3/2)", "3*sqrt(3)"),
        ("(7 + 4*sqrt(3))^(1/2)", "2 + sqrt(3)"),
    ],
)
def test_a_value_is_simplified(source: str, expected: str) -> None:
    assert value(expected) == value(source)


@pytest.mark.parametrize(
    "source",
    ["sqrt(1 - sqrt(2))", "sqrt(1 + sqrt(2))", "sqrt(sqrt(2))", "sqrt(1 + sqrt(2) + sqrt(3))", "root(4, 13)",
     "root(4, 1)", "root(sqrt(2), 3)", "gcd(sqrt(2), 2)", "round(2, 13)", "round(2, -1)", "denominator(sqrt(2))",
     "2^sqrt(2)", "2^(1/3)", "(-4)^(1/2)", "(-8)^(1/3)", "0^(-1/2)", "2^(1/13)",
     "2^(131/2)", "0^0", "0^-1", "1/(sqrt(8) - 2*sqrt(2))"],
)  # fmt: skip
def test_what_has_no_value_here_is_refused(source: str) -> None:
    with pytest.raises(DomainError):
        value(source)


def test_signs_of_sums_of_roots_agree_with_squaring() -> None:
    for p, q, r in product(range(-12, 13), range(-5, 6), (2, 3, 5, 7)):
        if q:
            number = numbers.make({1: Fraction(p), r: Fraction(q)})
            larger = p * p > q * q * r
            expected = (p > 0) - (p < 0) if larger else (q > 0) - (q < 0)
            assert expected == numbers.sign(number)


def test_signs_of_close_calls_are_found() -> None:
    close = value("sqrt(2) + sqrt(3) - sqrt(5 + 2*sqrt(6))")
    root = isqrt(2 * 10**60)

    assert close == 0
    assert numbers.sign(numbers.subtract(numbers.square_root(2), Fraction(root, 10**30))) == 1
    assert numbers.sign(numbers.subtract(numbers.square_root(2), Fraction(root + 1, 10**30))) == -1


def test_inverses_times_their_numbers_are_one() -> None:
    for coefficients in product((-2, 0, 1), repeat=4):
        number = numbers.make({r: Fraction(c, 3) for r, c in zip((1, 2, 6, 15), coefficients, strict=True)})
        if number != 0:
            assert numbers.multiply(number, numbers.invert(number)) == 1
            assert is_same(1 / as_sympy(number), as_sympy(numbers.invert(number)))


def test_a_rational_result_of_roots_is_a_plain_number() -> None:
    assert type(value("sqrt(2)*sqrt(8)")) is int
    assert type(value("sqrt(1/2)*sqrt(1/8)")) is Fraction
    assert isinstance(value("sqrt(2)"), Surd)


def test_whole_numbers_given_as_fractions_are_read_as_whole_numbers() -> None:
    assert exact.number(parse("gcd(h, 4)^h"), {"h": Fraction(2, 1)}) == 4


def test_a_discriminant_takes_the_only_letter_or_the_main_one() -> None:
    assert exact.number(parse("discriminant(2*y^2 - 3*y + 1)"), {}, "x") == 1
    assert exact.number(parse("discriminant(x^2 = 3*x - 1)"), {}) == 5
    assert exact.number(parse("discriminant(7)"), {}) == 0

    two = exact.polynomial(parse("discriminant(x^2 + y*x + 1)"), {}, "x")
    assert exact.polynomial(parse("y^2 - 4"), {}) == two
    with pytest.raises(DomainError, match="several letters"):
        exact.polynomial(parse("discriminant(x^2 + y*x + 1)"), {})


def test_a_polynomial_is_replaced_letter_by_letter() -> None:
    square = exact.polynomial(parse("x^2 + y"), {})

    shifted = polynomials.substitute(square, "x", exact.polynomial(parse("x - y"), {}))

    assert exact.polynomial(parse("x^2 - 2*x*y + y^2 + y"), {}) == shifted


def test_truth_looks_no_further_than_it_must() -> None:
    def never(name: str, arguments: object) -> bool:
        raise AssertionError(name)

    assert exact.truth(parse("h = 1 or 1/h > 1 or is_square(h)"), {"h": 1}, never)
    assert not exact.truth(parse("h != 0 and 1/h > 1"), {"h": 0}, never)
    assert exact.truth(parse("1 < sqrt(2) < 3/2"), {}, never)
    with pytest.raises(DomainError, match="nothing exact"):
        exact.truth(parse("sqrt(2) ≈ 1.41"), {}, never)
    with pytest.raises(DomainError, match="true or false"):
        exact.truth(parse("h"), {"h": 1}, never)
