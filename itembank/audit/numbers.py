"""Exact real numbers: rational combinations of square roots of whole numbers.

A number is an int, a Fraction, or `Radicals`: a sum of rational multiples of √r for different squarefree r. Such
sums are unique (square roots of different squarefree numbers are independent over the rationals), so equality is
equality of the data, and order is decided by squaring, without a float.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import gcd, isqrt
from typing import Final, TypeAlias

from itembank.audit.findings import CannotTell

__all__ = [
    "Number",
    "Radicals",
    "Rational",
    "as_whole",
    "compared",
    "divide",
    "exact_root",
    "ratio",
    "sign",
    "square_part",
    "square_root",
]

Rational: TypeAlias = int | Fraction
# trial division goes up to the cube root: 100 000 steps at the bound
FACTOR_BOUND: Final = 10**15
BITS: Final = 2048


@dataclass(frozen=True, slots=True)
class Radicals:
    """(r, q) for each q√r, r squarefree, ascending, q != 0; at least one r > 1."""

    terms: tuple[tuple[int, Rational], ...]

    def __add__(self, other: Number) -> Number:
        if not isinstance(other, Radicals):
            return self._beside(other)
        total = dict(self.terms)
        for radicand, factor in _terms(other):
            total[radicand] = total.get(radicand, 0) + factor
        return _made(total)

    __radd__ = __add__

    def _beside(self, other: Rational) -> Radicals:
        """With a rational number added: what is irrational stays."""
        (radicand, factor), *others = self.terms
        if radicand != 1:
            return Radicals(((1, as_whole(other)), *self.terms)) if other else self
        total = as_whole(factor + other)
        return Radicals(((1, total), *others) if total else tuple(others))

    def __neg__(self) -> Radicals:
        return Radicals(tuple([(radicand, -factor) for radicand, factor in self.terms]))

    def __sub__(self, other: Number) -> Number:
        return self + (-other)

    def __rsub__(self, other: Number) -> Number:
        return (-self) + other

    def __mul__(self, other: Number) -> Number:
        if not isinstance(other, Radicals):
            if not other:
                return 0
            return Radicals(tuple([(radicand, as_whole(factor * other)) for radicand, factor in self.terms]))
        total: dict[int, Rational] = {}
        for first, by in self.terms:
            for second, factor in _terms(other):
                common = gcd(first, second)
                radicand = first // common * (second // common)
                total[radicand] = total.get(radicand, 0) + by * factor * common
        return _made(total)

    __rmul__ = __mul__


Number: TypeAlias = int | Fraction | Radicals


def divide(first: Number, second: Number) -> Number:
    """first / second, exactly. Raises ZeroDivisionError.

    >>> divide(6, 4)
    Fraction(3, 2)
    """
    if not isinstance(second, Radicals):
        if not isinstance(first, Radicals):
            return ratio(first, second)
        return Radicals(tuple([(radicand, ratio(factor, second)) for radicand, factor in first.terms]))
    mirrored = _conjugate(second, _prime(second.terms[-1][0]))
    return divide(first * mirrored, second * mirrored)


def sign(number: Number) -> int:
    """-1, 0 or 1.

    >>> sign(square_root(2) * 5 - 7)    # 50 > 49
    1
    """
    if not isinstance(number, Radicals):
        return (number > 0) - (number < 0)
    (radicand, rational), *others = number.terms
    if not others:
        return 1 if rational > 0 else -1
    if radicand == 1 and len(others) == 1:
        ((radicand, factor),) = others
        # a whole number or a fraction beside one root: the larger square wins where they pull in different ways
        rational_wins = (rational > 0) == (factor > 0) or rational * rational > factor * factor * radicand
        return 1 if (rational if rational_wins else factor) > 0 else -1
    prime = _prime(number.terms[-1][0])
    without = _made({radicand: factor for radicand, factor in number.terms if radicand % prime})
    beside = _made({radicand // prime: factor for radicand, factor in number.terms if not radicand % prime})
    first, second = sign(without), sign(beside)
    if first == 0 or first == second:
        return second
    # without and beside·√prime pull in different ways: the larger square wins, and they are never equal
    return first if sign(without * without - beside * beside * prime) > 0 else second


def compared(first: Number, second: Number) -> int:
    """-1, 0 or 1, as the first is less than, equal to or greater than the second.

    >>> compared(square_root(2) + 1, square_root(3))
    1
    """
    if isinstance(first, Radicals) and isinstance(second, Radicals):
        *ours, (radicand, factor) = first.terms
        *theirs, (other, by) = second.terms
        if radicand == other and ours == theirs:  # as of two roots of one equation
            return (factor > by) - (factor < by)
    return sign(first - second)


def square_root(number: Number) -> Number:
    """The non-negative root. Raises CannotTell for a negative number and for a root that needs nested roots.

    >>> square_root(72)
    Radicals(terms=((2, 6),))
    """
    if isinstance(number, Radicals):
        return _denested(number)
    if number < 0:
        raise CannotTell("the square root of a negative number")
    if type(number) is int:
        root, radicand = square_part(number)
        return Radicals(((radicand, root),)) if radicand > 1 and root else root
    fraction = Fraction(number)
    root, radicand = square_part(fraction.numerator * fraction.denominator)
    return _made({radicand: Fraction(root, fraction.denominator)})


def exact_root(number: Number, index: int) -> Number:
    """The real root of an index >= 2. Raises CannotTell where it is no number of this room."""
    if index == 2:
        return square_root(number)
    if not isinstance(number, int | Fraction) or (number < 0 and index % 2 == 0):
        raise CannotTell(f"a root of index {index} that is not rational")
    size = abs(Fraction(number))
    found = Fraction(_whole_root(size.numerator, index), _whole_root(size.denominator, index))
    return as_whole(found if number >= 0 else -found)


@lru_cache(maxsize=4096)
def square_part(number: int) -> tuple[int, int]:
    """(s, r) with number = s²·r and r squarefree. number >= 0. Raises CannotTell above the bound.

    >>> square_part(72)
    (6, 2)
    """
    if number == 0:
        return 0, 1
    if number > FACTOR_BOUND:
        whole = isqrt(number)
        if number.bit_length() <= BITS and whole * whole == number:
            return whole, 1
        raise CannotTell("the number under the root is too large to be taken apart")
    root, free, rest, divisor = 1, 1, number, 2
    while divisor * divisor * divisor <= rest:
        while rest % (divisor * divisor) == 0:
            rest //= divisor * divisor
            root *= divisor
        if rest % divisor == 0:
            rest //= divisor
            free *= divisor
        divisor += 1 if divisor == 2 else 2
    # what is left has at most two prime factors: it is a square, or free of squares
    whole = isqrt(rest)
    return (root * whole, free) if whole * whole == rest else (root, free * rest)


def _denested(number: Radicals) -> Number:
    """√(a + b√r) as the sum of two roots, where a² − b²r is the square of a rational."""
    terms = dict(number.terms)
    rational = terms.pop(1, 0)
    if len(terms) != 1 or sign(number) < 0:
        raise CannotTell("a root of a sum of roots")
    ((radicand, factor),) = terms.items()
    inside = rational * rational - factor * factor * radicand
    half = square_root(inside) if inside >= 0 else None
    if not isinstance(half, int | Fraction):
        raise CannotTell("a root of a sum of roots")
    first, second = square_root(Fraction(rational + half) / 2), square_root(Fraction(rational - half) / 2)
    return first + second if factor > 0 else first - second


def _terms(number: Number) -> tuple[tuple[int, Rational], ...]:
    return number.terms if isinstance(number, Radicals) else ((1, number),)


def _made(terms: Mapping[int, Rational]) -> Number:
    kept = sorted((radicand, as_whole(factor)) for radicand, factor in terms.items() if factor)
    if not kept:
        return 0
    if kept[-1][0] == 1:
        return kept[0][1]
    return Radicals(tuple(kept))


def ratio(first: Rational, second: Rational) -> Rational:
    """first / second, a whole number where it is one. Raises ZeroDivisionError."""
    if isinstance(first, int) and isinstance(second, int):
        whole, rest = divmod(first, second)
        return Fraction(first, second) if rest else whole
    return as_whole(Fraction(first) / second)


def as_whole(number: Rational) -> Rational:
    """The same number, as an int where it is one."""
    if isinstance(number, int):
        return number
    return number.numerator if number.denominator == 1 else number


def _conjugate(number: Radicals, prime: int) -> Radicals:
    """√prime replaced by −√prime."""
    return Radicals(
        tuple((radicand, factor if radicand % prime else -factor) for radicand, factor in number.terms)
    )


@lru_cache(maxsize=4096)
def _prime(number: int) -> int:
    """The smallest prime factor of a number > 1. Raises CannotTell where finding it would take long."""
    divisor = 2
    while divisor * divisor <= number:
        if number % divisor == 0:
            return divisor
        divisor += 1
        if divisor > 200_000:
            raise CannotTell("the number under the root is too large to be taken apart")
    return number


def _whole_root(number: int, index: int) -> int:
    low, high = 0, 1 << (number.bit_length() // index + 1)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if middle**index <= number else (low, middle - 1)
    if low**index != number:
        raise CannotTell(f"a root of index {index} that is not rational")
    return low
