"""Polynomials in any letters with exact real coefficients, as plain mappings that nobody changes.

A monomial is a tuple of (letter, exponent), letters ascending, exponents >= 1; () is the constant one. A
polynomial holds no zero coefficient, so two polynomials are equal exactly when their mappings are.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final, TypeAlias

from itembank.audit.findings import CannotTell
from itembank.audit.numbers import BITS, Number, Radicals

__all__ = [
    "ONE", "Monomial", "Polynomial", "add", "by_powers", "constant", "joined", "letter", "letters", "multiply",
    "number", "power", "put_in", "scale", "subtract",
]  # fmt: skip

Monomial: TypeAlias = tuple[tuple[str, int], ...]
Polynomial: TypeAlias = Mapping[Monomial, Number]

TERMS: Final = 400
EXPONENT: Final = 40


def number(value: Number) -> Polynomial:
    """A constant."""
    return {(): value} if value != 0 else {}


def letter(name: str) -> Polynomial:
    """A letter alone."""
    return {((name, 1),): 1}


ONE: Final[Polynomial] = number(1)


def letters(polynomial: Polynomial) -> frozenset[str]:
    """Every letter that occurs."""
    return frozenset(name for monomial in polynomial for name, _ in monomial)


def constant(polynomial: Polynomial) -> Number | None:
    """The value of a polynomial without letters, None where there is a letter."""
    if not polynomial:
        return 0
    return polynomial.get(()) if len(polynomial) == 1 else None


def add(first: Polynomial, second: Polynomial) -> Polynomial:
    """first + second."""
    total = dict(first)
    for monomial, factor in second.items():
        total[monomial] = total[monomial] + factor if monomial in total else factor
    return {monomial: factor for monomial, factor in total.items() if factor != 0}


def scale(polynomial: Polynomial, factor: Number) -> Polynomial:
    """factor times the polynomial."""
    if factor == 0:
        return {}
    return {monomial: by * factor for monomial, by in polynomial.items()}


def subtract(first: Polynomial, second: Polynomial) -> Polynomial:
    """first - second."""
    return add(first, scale(second, -1))


def multiply(first: Polynomial, second: Polynomial) -> Polynomial:
    """first times second. Raises CannotTell where the result is over a bound.

    >>> multiply({(("x", 1),): 1, (): 3}, {(("x", 1),): 1, (): -3})    # (x + 3)(x - 3)
    {(('x', 2),): 1, (): -9}
    """
    total: dict[Monomial, Number] = {}
    for left, by in first.items():
        for right, factor in second.items():
            monomial = joined(left, right)
            product = by * factor
            total[monomial] = total[monomial] + product if monomial in total else product
    if len(total) > TERMS:
        raise CannotTell("the expression has too many terms when multiplied out")
    result = {monomial: factor for monomial, factor in total.items() if factor != 0}
    _bounded(result.values())
    return result


def power(base: Polynomial, exponent: int) -> Polynomial:
    """The base to an exponent from 0 to EXPONENT. Raises CannotTell above it."""
    if exponent > EXPONENT:
        raise CannotTell("the exponent is too large")
    result = ONE
    for _ in range(exponent):
        result = multiply(result, base)
    return result


def by_powers(polynomial: Polynomial, name: str) -> dict[int, Polynomial]:
    """The coefficient of each power of a letter, each a polynomial in the other letters, never zero."""
    found: dict[int, dict[Monomial, Number]] = {}
    for monomial, factor in polynomial.items():
        exponent = next((count for each, count in monomial if each == name), 0)
        rest = tuple(pair for pair in monomial if pair[0] != name)
        found.setdefault(exponent, {})[rest] = factor
    return dict(found)


def put_in(polynomial: Polynomial, name: str, value: Polynomial) -> Polynomial:
    """The polynomial with a letter replaced."""
    total: Polynomial = {}
    for exponent, part in by_powers(polynomial, name).items():
        total = add(total, multiply(part, power(value, exponent)) if exponent else part)
    return total


def joined(left: Monomial, right: Monomial) -> Monomial:
    """The product of two monomials."""
    if not left:
        return right
    if not right:
        return left
    total = dict(left)
    for name, exponent in right:
        total[name] = total.get(name, 0) + exponent
    return tuple(sorted(total.items()))


def _bounded(values: Iterable[Number]) -> None:
    for value in values:
        for part in [factor for _, factor in value.terms] if isinstance(value, Radicals) else [value]:
            if part.numerator.bit_length() + part.denominator.bit_length() > BITS:
                raise CannotTell("a number is too large")
