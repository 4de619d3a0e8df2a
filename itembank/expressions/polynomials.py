"""Polynomials with exact coefficients in any letters: the exact reading of an expression that has letters.

A monomial is a tuple of (letter, exponent), letters ascending, exponents >= 1; () is the constant.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from operator import itemgetter
from typing import TypeAlias

from itembank.errors import BoundExceeded, DomainError
from itembank.expressions import numbers
from itembank.expressions.numbers import MOST_ROOTS, Exact, Surd

Monomial: TypeAlias = tuple[tuple[str, int], ...]

MAXIMUM_TERMS = 200
"""No polynomial has more terms, each root in a coefficient counted apart."""

MAXIMUM_DEGREE = 200
"""No letter is raised to a higher power, however it came about."""

MAXIMUM_PAIRS = 10_000
"""No product takes more single products."""

MAXIMUM_EXPONENT = 12
"""No polynomial with letters and several terms is raised to a higher power."""

MAXIMUM_EXPONENT_OF_A_TERM = 40
"""No single term with letters is raised to a higher power."""


@dataclass(frozen=True, slots=True)
class Polynomial:
    """(monomial, coefficient) pairs, monomials ascending, no coefficient 0; so equality is `==`."""

    terms: tuple[tuple[Monomial, Exact], ...]

    @property
    def letters(self) -> tuple[str, ...]:
        """The letters that occur, ascending."""
        found = {letter for monomial, _ in self.terms for letter, _ in monomial}
        return tuple(sorted(found)) if len(found) > 1 else tuple(found)

    @property
    def is_number(self) -> bool:
        """Whether no letter occurs."""
        return not self.terms or (len(self.terms) == 1 and not self.terms[0][0])

    def is_linear_in(self, letter: str) -> bool:
        """Whether no power of `letter` occurs but the first."""
        return all(power == 1 for monomial, _ in self.terms for name, power in monomial if name == letter)

    def constant(self) -> Exact:
        """The number this polynomial is. Raises DomainError when a letter occurs."""
        if not self.is_number:
            raise DomainError("a letter stands where a number is needed")
        return self.terms[0][1] if self.terms else 0

    def in_powers_of(self, letter: str) -> dict[int, Polynomial]:
        """exponent of `letter` -> what multiplies it."""
        parts: dict[int, list[tuple[Monomial, Exact]]] = {}
        for monomial, value in self.terms:
            exponent, rest = 0, monomial
            for place, (name, power) in enumerate(monomial):
                if name == letter:
                    exponent, rest = power, monomial[:place] + monomial[place + 1 :]
            parts.setdefault(exponent, []).append((rest, value))
        return {
            exponent: Polynomial(tuple(terms if len(terms) == 1 else sorted(terms, key=_monomial)))
            for exponent, terms in parts.items()
        }


def make(terms: dict[Monomial, Exact]) -> Polynomial:
    """The polynomial with these terms; zeros go. Raises BoundExceeded for more than 200 terms.

    >>> make({(): 0}) == ZERO
    True
    """
    kept = [term for term in terms.items() if term[1] != 0]
    if len(kept) > 1:
        kept.sort(key=_monomial)
        if len(kept) * MOST_ROOTS > MAXIMUM_TERMS and _size(kept) > MAXIMUM_TERMS:
            raise BoundExceeded(f"a polynomial of more than {MAXIMUM_TERMS} terms")
    return Polynomial(tuple(kept))


_monomial = itemgetter(0)


def _size(terms: Sequence[tuple[Monomial, Exact]]) -> int:
    return sum([len(value.terms) if isinstance(value, Surd) else 1 for _, value in terms])


def number(value: Exact) -> Polynomial:
    """A constant."""
    return Polynomial((((), value),) if value != 0 else ())


@lru_cache(maxsize=256)
def letter(name: str) -> Polynomial:
    """The polynomial that is one letter."""
    return Polynomial(((((name, 1),), 1),))


def of_powers(letter: str, coefficients: Sequence[int], divisor: int) -> Polynomial:
    """A polynomial in one letter: whole coefficients, constant first, over a divisor that is not 0.

    Raises BoundExceeded for what grows too large.

    >>> of_powers("x", (3, 0, 4), 2) == Polynomial((((), Fraction(3, 2)), ((("x", 2),), 2)))
    True
    """
    if divisor == 1:
        values: Sequence[int | Fraction] = coefficients
    else:
        values = [Fraction(coefficient, divisor) for coefficient in coefficients]
    monomials = _powers(letter, len(coefficients))
    return Polynomial(
        tuple(
            [
                (monomial, numbers.whole(value))
                for monomial, value in zip(monomials, values, strict=True)
                if value
            ]
        )
    )


@lru_cache(maxsize=256)
def _powers(letter: str, count: int) -> tuple[Monomial, ...]:
    return tuple([((letter, power),) if power else () for power in range(count)])


ZERO = number(0)
ONE = number(1)


def add(first: Polynomial, second: Polynomial) -> Polynomial:
    """first + second."""
    if not first.terms:
        return second
    if not second.terms:
        return first
    total = dict(first.terms)
    for monomial, value in second.terms:
        total[monomial] = numbers.add(total[monomial], value) if monomial in total else value
    return make(total)


def negate(polynomial: Polynomial) -> Polynomial:
    """-polynomial."""
    return Polynomial(tuple((monomial, numbers.negate(value)) for monomial, value in polynomial.terms))


def subtract(first: Polynomial, second: Polynomial) -> Polynomial:
    """first - second."""
    if not second.terms:
        return first
    total = dict(first.terms)
    for monomial, value in second.terms:
        total[monomial] = (
            numbers.subtract(total[monomial], value) if monomial in total else numbers.negate(value)
        )
    return make(total)


def multiply(first: Polynomial, second: Polynomial) -> Polynomial:
    """first * second. Raises BoundExceeded for what grows too large."""
    if first.terms == ONE.terms:
        return second
    if len(second.terms) == 1 and not second.terms[0][0]:
        return _scaled(first, second.terms[0][1])
    if len(first.terms) + len(second.terms) > 6 and _size(first.terms) * _size(second.terms) > MAXIMUM_PAIRS:
        raise BoundExceeded("a product of two polynomials with too many terms")
    total: dict[Monomial, Exact] = {}
    for m1, v1 in first.terms:
        for m2, v2 in second.terms:
            monomial = _together(m1, m2) if m1 and m2 else m1 or m2
            value = numbers.multiply(v1, v2)
            total[monomial] = numbers.add(total[monomial], value) if monomial in total else value
    return make(total)


def _scaled(polynomial: Polynomial, factor: Exact) -> Polynomial:
    """A polynomial times a number that is not 0: its monomials stay as they are."""
    if factor == 1:
        return polynomial
    found = tuple([(monomial, numbers.multiply(value, factor)) for monomial, value in polynomial.terms])
    if len(found) * MOST_ROOTS > MAXIMUM_TERMS and _size(found) > MAXIMUM_TERMS:
        raise BoundExceeded(f"a polynomial of more than {MAXIMUM_TERMS} terms")
    return Polynomial(found)


def _together(first: Monomial, second: Monomial) -> Monomial:
    exponents = dict(first)
    for name, exponent in second:
        exponents[name] = exponents.get(name, 0) + exponent
        if exponents[name] > MAXIMUM_DEGREE:
            raise BoundExceeded(f"a power beyond {MAXIMUM_DEGREE} of a letter turned up")
    return tuple(sorted(exponents.items()))


def power(base: Polynomial, exponent: int) -> Polynomial:
    """base ^ exponent for 0 <= exponent <= 12 with letters (<= 40 of a single term), else by `numbers.power`.

    Raises DomainError for a negative power of a letter, BoundExceeded for what grows too large.
    """
    if base.is_number:
        return number(numbers.power(base.constant(), exponent))
    if exponent < 0:
        raise DomainError("a negative power of a letter is no polynomial")
    if len(base.terms) == 1:
        return _monomial_power(base, exponent)
    if exponent > MAXIMUM_EXPONENT:
        raise BoundExceeded(f"an expression with letters to a power beyond {MAXIMUM_EXPONENT}")
    result = ONE
    for _ in range(exponent):
        result = multiply(result, base)
    return result


def _monomial_power(base: Polynomial, exponent: int) -> Polynomial:
    if exponent > MAXIMUM_EXPONENT_OF_A_TERM:
        raise BoundExceeded(f"a letter to a power beyond {MAXIMUM_EXPONENT_OF_A_TERM}")
    ((monomial, value),) = base.terms
    raised = {name: each * exponent for name, each in monomial}
    if max(raised.values()) > MAXIMUM_DEGREE:
        raise BoundExceeded(f"a power beyond {MAXIMUM_DEGREE} of a letter turned up")
    kept = tuple((name, each) for name, each in raised.items() if each)
    return make({kept: numbers.power(value, exponent)})


def scale(polynomial: Polynomial, factor: Exact) -> Polynomial:
    """factor * polynomial."""
    return multiply(polynomial, number(factor))


def substitute(polynomial: Polynomial, name: str, value: Polynomial) -> Polynomial:
    """The polynomial with a letter replaced by another polynomial."""
    result = ZERO
    for exponent, part in polynomial.in_powers_of(name).items():
        result = add(result, multiply(part, power(value, exponent)) if exponent else part)
    return result


def quadratic_coefficients(polynomial: Polynomial, name: str) -> tuple[Polynomial, Polynomial, Polynomial]:
    """(a, b, c) of a*t^2 + b*t + c in the letter `name`. Raises DomainError above degree 2."""
    parts = polynomial.in_powers_of(name)
    if any(exponent > 2 for exponent in parts):
        raise DomainError(f"the degree in {name} is above 2")
    return parts.get(2, ZERO), parts.get(1, ZERO), parts.get(0, ZERO)


def discriminant(polynomial: Polynomial, name: str) -> Polynomial:
    """b^2 - 4ac of a*t^2 + b*t + c in one letter; 0 for a constant (DLMF 1.11.9).

    Raises DomainError above degree 2.

    >>> discriminant(add(multiply(letter("x"), letter("x")), number(-3)), "x") == number(12)
    True
    """
    a, b, c = quadratic_coefficients(polynomial, name)
    return subtract(multiply(b, b), scale(multiply(a, c), 4))


def letter_of(polynomial: Polynomial, main_letter: str = "") -> str:
    """The letter a polynomial is taken in: its only one, else `main_letter`; "" where it has none.

    Raises DomainError where it has several, none of them the main one.
    """
    letters = polynomial.letters
    if len(letters) <= 1:
        return letters[0] if letters else ""
    if main_letter not in letters:
        raise DomainError("a polynomial in several letters; it is not clear which one is meant")
    return main_letter
