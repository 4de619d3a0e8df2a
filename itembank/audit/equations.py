"""Equations of degree 2 at most in one unknown, alone or as alternatives: their solutions without detours.

What is asked besides, such as a domain, is tried on each solution.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from math import gcd

from itembank.audit import numbers
from itembank.audit.conditions import All, Any, Atom, Condition, related
from itembank.audit.numbers import Number, Radicals
from itembank.audit.polynomials import Polynomial

__all__ = ["points", "roots", "satisfying"]


def points(asked: Condition, letter: str) -> frozenset[Number] | None:
    """All real solutions of a condition; None where it is not of this kind, or everything may be a solution.

    >>> sorted(points(Atom({(("x", 2),): 1, (): -9}, "="), "x"))
    [-3, 3]
    """
    match asked:
        case Atom(polynomial, "="):
            return _roots(polynomial, letter)
        case Any(parts) if parts:
            found: set[Number] = set()
            for part in parts:
                some = points(part, letter)
                if some is None:
                    return None
                found |= some
            return frozenset(found)
        case All(parts) if parts:
            return _first_and_others(parts, letter)
        case _:
            return None


def _first_and_others(parts: tuple[Condition, ...], letter: str) -> frozenset[Number] | None:
    found = points(parts[0], letter)
    for part in parts[1:]:
        if found is None:
            return None
        held = _among(part, letter, found)
        if held is None:
            return None
        found = held
    return found


def _among(part: Condition, letter: str, found: Iterable[Number]) -> frozenset[Number] | None:
    """Those of some numbers that satisfy a condition."""
    if isinstance(part, Atom):
        coefficients = _coefficients(part.polynomial, letter)
        return None if coefficients is None else satisfying(found, *coefficients, part.sign)
    some = points(part, letter)
    return None if some is None else some & frozenset(found)


def _coefficients(polynomial: Polynomial, letter: str) -> tuple[Number, Number, Number] | None:
    """Of x^2, of x and without x; None for other letters and higher powers."""
    a: Number = 0
    b: Number = 0
    c: Number = 0
    for monomial, value in polynomial.items():
        if not monomial:
            c = value
        elif monomial == ((letter, 1),):
            b = value
        elif monomial == ((letter, 2),):
            a = value
        else:
            return None
    return a, b, c


def _roots(polynomial: Polynomial, letter: str) -> frozenset[Number] | None:
    coefficients = _coefficients(polynomial, letter)
    return None if coefficients is None else roots(*coefficients)


def satisfying(found: Iterable[Number], a: Number, b: Number, c: Number, sign: str) -> frozenset[Number]:
    """Those of some numbers for which ax² + bx + c stands to 0 as the sign says."""
    return frozenset([x for x in found if related(numbers.sign((a * x + b) * x + c), sign)])


def roots(a: Number, b: Number, c: Number) -> frozenset[Number] | None:
    """All real x with ax² + bx + c = 0; None where that is every one.

    >>> sorted(roots(2, -1, -1))
    [Fraction(-1, 2), 1]
    """
    if a == 0:
        if b == 0:
            return None if c == 0 else frozenset()
        return frozenset((-c if b == 1 else numbers.divide(-c, b),))
    if isinstance(a, int) and isinstance(b, int) and isinstance(c, int):
        common = gcd(a, b, c)
        return _whole_quadratic(a // common, b // common, c // common)
    inside = b * b - a * c * 4
    if numbers.sign(inside) < 0:
        return frozenset()
    root = numbers.square_root(inside)
    return frozenset({numbers.divide(-b - root, a * 2), numbers.divide(root - b, a * 2)})


@lru_cache(maxsize=8192)
def _whole_quadratic(a: int, b: int, c: int) -> frozenset[Number]:
    inside = b * b - 4 * a * c
    if inside < 0:
        return frozenset()
    factor, radicand = numbers.square_part(inside)
    if radicand == 1:
        return frozenset((numbers.ratio(-b - factor, 2 * a), numbers.ratio(factor - b, 2 * a)))
    middle, half = numbers.ratio(-b, 2 * a), numbers.ratio(factor, 2 * a)
    rational = ((1, middle),) if middle else ()
    return frozenset((Radicals((*rational, (radicand, half))), Radicals((*rational, (radicand, -half)))))
