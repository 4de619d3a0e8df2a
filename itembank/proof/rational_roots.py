"""Rational roots of polynomials with rational coefficients, found by the divisors of their outer coefficients."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from math import gcd, isqrt, lcm

__all__ = ["count_real_roots", "split_off"]

LARGEST = 10**10
"""Outer coefficients up to this are taken apart into divisors, by trial."""
MOST_CANDIDATES = 20_000


def split_off(coefficients: Sequence[Fraction]) -> tuple[list[Fraction], list[int]]:
    """The rational roots, each as often as it is one, and the whole coefficients of what is left over.

    coefficients: from the highest power, the first not 0, of degree 1 or more. Nothing is split off where the outer
    coefficients are beyond LARGEST or have too many divisors. Source: the rational root theorem, as in G. Chrystal,
    Algebra, part I, 1886, chapter XV (from memory).

    >>> split_off([Fraction(2), Fraction(-3), Fraction(-3), Fraction(2)])
    ([Fraction(-1, 1), Fraction(1, 2), Fraction(2, 1)], [1])
    """
    shared = lcm(*(value.denominator for value in coefficients))
    left = [int(value * shared) for value in coefficients]
    roots: list[Fraction] = []
    while len(left) > 1 and left[-1] == 0:
        roots.append(Fraction(0))
        left.pop()
    for candidate in _candidates(left):
        while len(left) > 1 and (below := _divided(left, candidate)) is not None:
            roots.append(candidate)
            left = below
    return sorted(roots), left


def _candidates(whole: list[int]) -> Iterator[Fraction]:
    above, below = _divisors(abs(whole[-1])), _divisors(abs(whole[0]))
    if 2 * len(above) * len(below) > MOST_CANDIDATES:
        return
    for n in above:
        for d in below:
            if gcd(n, d) == 1:
                yield Fraction(n, d)
                yield Fraction(-n, d)


def _divisors(n: int) -> list[int]:
    if not 0 < n <= LARGEST:
        return []
    small = [d for d in range(1, isqrt(n) + 1) if n % d == 0]
    return sorted({*small, *(n // d for d in small)})


def _divided(whole: list[int], root: Fraction) -> list[int] | None:
    """The coefficients after division by (d*t - n), None where n/d is no root."""
    n, d = root.numerator, root.denominator
    found: list[int] = []
    carried = 0
    for coefficient in whole[:-1]:
        value, rest = divmod(coefficient + n * carried, d)
        if rest:
            return None
        found.append(value)
        carried = value
    return found if whole[-1] + n * carried == 0 else None


def count_real_roots(coefficients: Sequence[Fraction | int]) -> int:
    """How many distinct real roots there are, without finding them.

    coefficients: from the highest power, the first not 0. Source: Sturm's theorem, as in N. Jacobson, Basic Algebra I,
    2nd edition, 1985, section 5.2 (from memory).

    >>> count_real_roots([1, 0, -9, 8]), count_real_roots([1, 3, 7, 6, 4])
    (3, 0)
    """
    degree = len(coefficients) - 1
    chain = [[Fraction(each) for each in coefficients]]
    chain.append([value * (degree - place) for place, value in enumerate(chain[0][:-1])])
    while chain[-1]:
        chain.append([-value for value in _rest(chain[-2], chain[-1])])
    chain.pop()
    far_right = [each[0] > 0 for each in chain]
    far_left = [(each[0] > 0) == (len(each) % 2 == 1) for each in chain]
    return _changes(far_left) - _changes(far_right)


def _rest(dividend: list[Fraction], divisor: list[Fraction]) -> list[Fraction]:
    """What a division of polynomials leaves, without leading zeros; [] for nothing."""
    rest = list(dividend)
    while len(rest) >= len(divisor):
        times = rest[0] / divisor[0]
        padded = [*divisor, *([Fraction(0)] * (len(rest) - len(divisor)))]
        rest = [value - times * other for value, other in zip(rest, padded, strict=True)][1:]
    while rest and rest[0] == 0:
        rest.pop(0)
    return rest


def _changes(signs: list[bool]) -> int:
    return sum(first != second for first, second in pairwise(signs))
