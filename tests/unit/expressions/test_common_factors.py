"""Greatest common divisors in several letters, and quotients in lowest terms. Outside reference: sympy."""

from __future__ import annotations

import pytest
import sympy
from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.errors import DomainError
from itembank.expressions import exact, polynomials
from itembank.expressions.common_factors import common_divisor, exact_quotient
from itembank.expressions.parser import parse
from itembank.expressions.polynomials import Polynomial
from itembank.expressions.quotients import Quotient

LETTERS = ("a", "b", "x")


def polynomial(text: str) -> Polynomial:
    return exact.polynomial(parse(text), {})


def as_sympy(read: Polynomial) -> sympy.Expr:
    terms = [
        sympy.Rational(str(value)) * sympy.prod([sympy.Symbol(name) ** power for name, power in monomial])
        for monomial, value in read.terms
    ]
    return sympy.Add(*terms)


@st.composite
def some_polynomials(draw: st.DrawFn) -> Polynomial:
    total = polynomials.ZERO
    for _ in range(draw(st.integers(1, 3))):
        term = polynomials.number(draw(st.integers(-4, 4)))
        for name in LETTERS:
            power = polynomials.power(polynomials.letter(name), draw(st.integers(0, 2)))
            term = polynomials.multiply(term, power)
        total = polynomials.add(total, term)
    return total


@given(some_polynomials(), some_polynomials(), some_polynomials())
@settings(max_examples=60, deadline=None)
def test_the_divisor_is_sympys_up_to_a_number(
    shared: Polynomial, first: Polynomial, second: Polynomial
) -> None:
    one, other = polynomials.multiply(shared, first), polynomials.multiply(shared, second)

    found = common_divisor(one, other)

    wanted = sympy.gcd(as_sympy(one), as_sympy(other))
    if wanted == 0:
        assert polynomials.ZERO == found
    else:
        ratio = sympy.cancel(as_sympy(found) / wanted)
        assert ratio.is_number
        assert ratio != 0
        assert one == polynomials.multiply(exact_quotient(one, found), found)


@given(some_polynomials(), some_polynomials(), some_polynomials())
@settings(max_examples=60, deadline=None)
def test_equal_quotients_have_one_form(above: Polynomial, below: Polynomial, more: Polynomial) -> None:
    if not below.terms or not more.terms:
        return
    longer = Quotient(polynomials.multiply(above, more), polynomials.multiply(below, more))

    assert Quotient(above, below).reduced() == longer.reduced()
    assert Quotient(polynomials.add(above, below), below).reduced() != longer.reduced()


def test_a_quotient_in_several_letters_in_lowest_terms() -> None:
    found = exact.quotient(parse("(a^2 - b^2)/(2*a*x - 2*b*x)"), {}).reduced()

    assert polynomial("a/2 + b/2") == found.above
    assert polynomial("x") == found.below


def test_what_does_not_divide_is_refused() -> None:
    with pytest.raises(DomainError, match="does not divide"):
        exact_quotient(polynomial("a^2 + b"), polynomial("a - b"))
    with pytest.raises(DomainError, match="division by zero"):
        exact_quotient(polynomial("a"), polynomials.ZERO)
    with pytest.raises(DomainError, match="letters and roots"):
        common_divisor(polynomial("sqrt(2)*a + b"), polynomial("a + b"))
