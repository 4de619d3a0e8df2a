"""The greatest common divisor of polynomials in several letters with rational coefficients, and exact division.

By remainders of primitive polynomials, letter by letter (Knuth, The Art of Computer Programming, volume 2, section
4.6.1, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import reduce

from itembank.errors import DomainError
from itembank.expressions import numbers, polynomials
from itembank.expressions.numbers import Exact, Surd
from itembank.expressions.polynomials import ONE, ZERO, Monomial, Polynomial

__all__ = ["common_divisor", "exact_quotient", "leading_coefficient"]


def common_divisor(first: Polynomial, second: Polynomial) -> Polynomial:
    """The greatest common divisor, its leading coefficient 1; 0 where both are 0.

    Raises DomainError for roots in coefficients, BoundExceeded for what grows too large on the way.

    >>> a, b = polynomials.letter("a"), polynomials.letter("b")
    >>> square = polynomials.subtract(polynomials.power(a, 2), polynomials.power(b, 2))
    >>> common_divisor(square, polynomials.subtract(polynomials.multiply(a, b), polynomials.power(b, 2))) == (
    ...     polynomials.subtract(a, b))
    True
    """
    if not first.terms or not second.terms:
        return _monic(first if first.terms else second)
    if len(first.terms) == 1 or len(second.terms) == 1:
        return _common_monomial([monomial for monomial, _ in (*first.terms, *second.terms)])
    here, there = set(first.letters), set(second.letters)
    if not here or not there:
        return ONE
    for one, other, letters in ((first, second, here - there), (second, first, there - here)):
        if letters:
            # what divides both is free of a letter that only one of them has
            return common_divisor(_content(one, min(letters)), other)
    letter = min(here, key=lambda name: (max(first.in_powers_of(name)), name))
    outside = common_divisor(_content(first, letter), _content(second, letter))
    higher, lower = _primitive(first, letter), _primitive(second, letter)
    if _degree(higher, letter) < _degree(lower, letter):
        higher, lower = lower, higher
    while _degree(lower, letter) > 0:
        rest = _remainder(higher, lower, letter)
        if not rest.terms:
            return _monic(polynomials.multiply(outside, lower))
        higher, lower = lower, _primitive(rest, letter)
    return _monic(outside)


def _common_monomial(monomials: Sequence[Monomial]) -> Polynomial:
    """The letters that stand in every monomial, each as often as in all of them."""
    powers = [dict(monomial) for monomial in monomials]
    shared = {letter: min(each.get(letter, 0) for each in powers) for letter in powers[0]}
    return polynomials.make({tuple((letter, power) for letter, power in sorted(shared.items()) if power): 1})


def exact_quotient(dividend: Polynomial, divisor: Polynomial) -> Polynomial:
    """What gives the dividend when multiplied by the divisor. Raises DomainError where nothing does."""
    if not divisor.terms:
        raise DomainError("a division by zero")
    if divisor.terms == ONE.terms:
        return dividend
    letters = sorted({*dividend.letters, *divisor.letters})
    at, by = _leading(divisor, letters)
    found, rest = ZERO, dividend
    while rest.terms:
        monomial, value = _leading(rest, letters)
        missing = _without(monomial, at)
        if missing is None:
            raise DomainError("one polynomial does not divide the other")
        term = polynomials.make({missing: numbers.divide(value, by)})
        found = polynomials.add(found, term)
        rest = polynomials.subtract(rest, polynomials.multiply(term, divisor))
    return found


def leading_coefficient(polynomial: Polynomial) -> Fraction:
    """Of the monomial that comes first by the alphabet of its letters. The polynomial is not 0.

    Raises DomainError for a root.
    """
    return _rational(_leading(polynomial, polynomial.letters)[1])


def _leading(polynomial: Polynomial, letters: Sequence[str]) -> tuple[Monomial, Exact]:
    return max(polynomial.terms, key=lambda term: [dict(term[0]).get(letter, 0) for letter in letters])


def _without(monomial: Monomial, divisor: Monomial) -> Monomial | None:
    """The monomial divided by another, None where that leaves a negative exponent."""
    left = dict(monomial)
    for letter, exponent in divisor:
        left[letter] = left.get(letter, 0) - exponent
        if left[letter] < 0:
            return None
    return tuple((letter, exponent) for letter, exponent in sorted(left.items()) if exponent)


def _monic(polynomial: Polynomial) -> Polynomial:
    if not polynomial.terms:
        return polynomial
    return polynomials.scale(polynomial, numbers.whole(1 / leading_coefficient(polynomial)))


def _degree(polynomial: Polynomial, letter: str) -> int:
    return max(polynomial.in_powers_of(letter), default=0)


def _content(polynomial: Polynomial, letter: str) -> Polynomial:
    """The greatest common divisor of the coefficients of a letter's powers."""
    return reduce(common_divisor, polynomial.in_powers_of(letter).values(), ZERO)


def _primitive(polynomial: Polynomial, letter: str) -> Polynomial:
    return _monic(exact_quotient(polynomial, _content(polynomial, letter)))


def _remainder(dividend: Polynomial, divisor: Polynomial, letter: str) -> Polynomial:
    """Of a multiple of the dividend by what has no letter, so that every division on the way comes out."""
    by = divisor.in_powers_of(letter)
    degree = max(by)
    rest = dividend
    while rest.terms and (over := _degree(rest, letter)) >= degree:
        leading = rest.in_powers_of(letter)[over]
        lifted = polynomials.multiply(leading, polynomials.power(polynomials.letter(letter), over - degree))
        rest = polynomials.subtract(
            polynomials.multiply(by[degree], rest), polynomials.multiply(lifted, divisor)
        )
    return rest


def _rational(value: Exact) -> Fraction:
    if isinstance(value, Surd):
        raise DomainError("a fraction with letters and roots")
    return Fraction(value)
