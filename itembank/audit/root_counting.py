"""How many real roots a polynomial has, when the roots themselves are out of reach.

Source: Sturm's theorem (J. C. F. Sturm, 1835): the number of different real roots is the number of sign changes of
the chain at −∞ less that at +∞; common factors of a polynomial and its derivative do no harm.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from itembank.audit import polynomials
from itembank.audit.findings import CannotTell
from itembank.audit.numbers import Number
from itembank.audit.polynomials import Polynomial

__all__ = ["count_real_roots", "is_root"]


def count_real_roots(polynomial: Polynomial, letter: str) -> int:
    """The number of different real roots of a polynomial with rational coefficients that is not 0.

    Raises CannotTell for other letters or coefficients.

    >>> count_real_roots({(("x", 3),): 1, (("x", 1),): -3, (): 1}, "x")
    3
    """
    chain = [_coefficients(polynomial, letter)]
    chain.append(_derivative(chain[0]))
    while chain[-1]:
        chain.append([-number for number in _remainder(chain[-2], chain[-1])])
    ends = [(each[0], len(each) % 2) for each in chain[:-1]]
    right = [leading > 0 for leading, _ in ends]
    # a polynomial with an even number of coefficients has odd degree, and the other sign at −∞
    left = [(leading > 0) == bool(odd_length) for leading, odd_length in ends]
    return _changes(left) - _changes(right)


def is_root(polynomial: Polynomial, letter: str, value: Number) -> bool:
    """Whether a value makes a polynomial in one letter 0."""
    return not polynomials.put_in(polynomial, letter, polynomials.number(value))


def _coefficients(polynomial: Polynomial, letter: str) -> list[Fraction]:
    """From the highest power."""
    parts = polynomials.by_powers(polynomial, letter)
    found: list[Fraction] = []
    for exponent in range(max(parts), -1, -1):
        value = polynomials.constant(parts.get(exponent, {}))
        if not isinstance(value, int | Fraction):
            raise CannotTell("a polynomial of higher degree with coefficients that are not rational")
        found.append(Fraction(value))
    return found


def _derivative(coefficients: Sequence[Fraction]) -> list[Fraction]:
    degree = len(coefficients) - 1
    return [number * (degree - place) for place, number in enumerate(coefficients[:-1])]


def _remainder(dividend: Sequence[Fraction], divisor: Sequence[Fraction]) -> list[Fraction]:
    rest = list(dividend)
    while len(rest) >= len(divisor):
        factor = rest[0] / divisor[0]
        rest = [a - factor * b for a, b in zip(rest, [*divisor, *[Fraction(0)] * len(rest)], strict=False)][
            1:
        ]
    while rest and rest[0] == 0:
        rest = rest[1:]
    return rest


def _changes(signs: Sequence[bool]) -> int:
    return sum(first != second for first, second in pairwise(signs))
