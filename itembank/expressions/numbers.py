"""Exact numbers: rationals, and sums of rational multiples of square roots of whole numbers.

A number is an int or a Fraction when it is rational and a `Surd` when it is not, so equality is `==`: square
roots of distinct squarefree integers are linearly independent over the rationals (OEIS A005117, comment), hence
the form is unique. No float anywhere; signs of surds are decided by exact rational bounds.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import gcd, isqrt
from typing import TypeAlias

from itembank.errors import BoundExceeded, DomainError

LARGEST_FACTORED = 10**15
"""Above this no square factor is looked for."""

LARGEST_DIGITS = 400
"""No number of an item may have more bits than this; a bound on coefficients."""


@dataclass(frozen=True, slots=True)
class Surd:
    """sum of coefficient * sqrt(radicand), radicands squarefree and ascending, coefficients not 0.

    Radicand 1 is the rational part. At least one radicand is above 1.
    """

    terms: tuple[tuple[int, Fraction], ...]

    @property
    def rational_part(self) -> Fraction:
        """The part without a root."""
        return self.terms[0][1] if self.terms[0][0] == 1 else Fraction(0)


Exact: TypeAlias = int | Fraction | Surd


@lru_cache(maxsize=65_536)
def square_root_parts(n: int) -> tuple[int, int]:
    """(s, r) with sqrt(n) = s * sqrt(r) and r squarefree; (0, 1) for n = 0.

    n: 0 <= n <= 10^15. Raises DomainError below, BoundExceeded above. Square factors come out by trial
    division from the largest possible square for small n, by prime powers otherwise.

    >>> square_root_parts(72)
    (6, 2)
    """
    if n < 0:
        raise DomainError(f"the square root of {n} is not real")
    if n == 0:
        return 0, 1
    root = isqrt(n)
    if root * root == n:
        return root, 1
    if n > LARGEST_FACTORED:
        raise BoundExceeded(f"{n} is too large to look for square factors (bound 10^15)")
    outside, inside, rest, divisor = 1, 1, n, 2
    while divisor * divisor * divisor <= rest:
        exponent = 0
        while rest % divisor == 0:
            rest //= divisor
            exponent += 1
        outside *= divisor ** (exponent // 2)
        inside *= divisor ** (exponent % 2)
        divisor += 1 if divisor == 2 else 2
    last = isqrt(rest)
    if last * last == rest:
        return outside * last, inside
    return outside, inside * rest


def make(terms: dict[int, Fraction]) -> Exact:
    """The number with these coefficients of square roots of squarefree radicands, in its simplest type."""
    kept = tuple(sorted((radicand, value) for radicand, value in terms.items() if value))
    if not kept:
        return 0
    if len(kept) == 1 and kept[0][0] == 1:
        return whole(kept[0][1])
    return Surd(kept)


def whole(value: Fraction) -> int | Fraction:
    """An int where the fraction is one; refuses numbers beyond the bound on size."""
    if value.numerator.bit_length() > LARGEST_DIGITS or value.denominator.bit_length() > LARGEST_DIGITS:
        raise BoundExceeded("a number of more than 120 digits turned up")
    return value.numerator if value.denominator == 1 else value


def terms_of(number: Exact) -> dict[int, Fraction]:
    """radicand -> coefficient, the inverse of `make`."""
    if isinstance(number, Surd):
        return dict(number.terms)
    return {1: Fraction(number)} if number else {}


def add(first: Exact, second: Exact) -> Exact:
    """first + second."""
    if not isinstance(first, Surd) and not isinstance(second, Surd):
        return first + second if isinstance(first, int) and isinstance(second, int) else whole(Fraction(first + second))
    total = terms_of(first)
    for radicand, value in terms_of(second).items():
        total[radicand] = total.get(radicand, Fraction(0)) + value
    return make(total)


def negate(number: Exact) -> Exact:
    """-number."""
    if isinstance(number, Surd):
        return Surd(tuple((radicand, -value) for radicand, value in number.terms))
    return -number


def subtract(first: Exact, second: Exact) -> Exact:
    """first - second."""
    return add(first, negate(second))


def multiply(first: Exact, second: Exact) -> Exact:
    """first * second."""
    if not isinstance(first, Surd) and not isinstance(second, Surd):
        return whole(Fraction(first * second))
    total: dict[int, Fraction] = {}
    for r1, c1 in terms_of(first).items():
        for r2, c2 in terms_of(second).items():
            common = gcd(r1, r2)
            radicand = (r1 // common) * (r2 // common)
            total[radicand] = total.get(radicand, Fraction(0)) + c1 * c2 * common
    return make(total)


def invert(number: Exact) -> Exact:
    """1 / number, the denominator made rational by conjugates. Raises DomainError for 0."""
    if not isinstance(number, Surd):
        if number == 0:
            raise DomainError("division by zero")
        return whole(1 / Fraction(number))
    numerator: Exact = 1
    denominator: Exact = number
    while isinstance(denominator, Surd):
        prime = _smallest_prime(max(radicand for radicand, _ in denominator.terms))
        conjugate = Surd(tuple((r, -c if r % prime == 0 else c) for r, c in denominator.terms))
        numerator = multiply(numerator, conjugate)
        denominator = multiply(denominator, conjugate)
    return multiply(numerator, invert(denominator))


def divide(first: Exact, second: Exact) -> Exact:
    """first / second. Raises DomainError for second = 0."""
    return multiply(first, invert(second))


def power(base: Exact, exponent: int) -> Exact:
    """base ^ exponent for |exponent| <= 64; 0^0 and 0 to a negative power are refused (DomainError)."""
    if abs(exponent) > 64:
        raise BoundExceeded(f"the exponent {exponent} is beyond 64")
    if exponent < 0:
        return power(invert(base), -exponent)
    if exponent == 0 and base == 0:
        raise DomainError("0^0 has no value")
    result: Exact = 1
    for _ in range(exponent):
        result = multiply(result, base)
    return result


def square_root(number: Exact) -> Exact:
    """The root >= 0, simplified. Raises DomainError for negatives and for roots that do not come out simply.

    >>> square_root(Fraction(8, 45))
    Surd(terms=((10, Fraction(2, 15)),))
    """
    if isinstance(number, Surd):
        return _denested(number)
    exact = Fraction(number)
    outside, inside = square_root_parts(exact.numerator * exact.denominator)
    return make({inside: Fraction(outside, exact.denominator)})


def sign(number: Exact) -> int:
    """-1, 0 or 1, decided by exact rational bounds around each root, ever closer."""
    if not isinstance(number, Surd):
        return (number > 0) - (number < 0)
    scale = 1
    for _ in range(12):
        scale *= 10**16
        low = high = Fraction(0)
        for radicand, value in number.terms:
            root = isqrt(radicand * scale * scale)
            exactly = root * root == radicand * scale * scale
            below, above = Fraction(root, scale), Fraction(root if exactly else root + 1, scale)
            low += value * (below if value > 0 else above)
            high += value * (above if value > 0 else below)
        if low > 0:
            return 1
        if high < 0:
            return -1
    raise BoundExceeded("two surds lie too close together to be told apart")  # never 0: the form is unique


def compare(first: Exact, second: Exact) -> int:
    """-1, 0 or 1 as first is below, equal to or above second."""
    return sign(subtract(first, second))


def _smallest_prime(n: int) -> int:
    divisor = 2
    while divisor * divisor <= n:
        if n % divisor == 0:
            return divisor
        divisor += 1
    return n


def _denested(number: Surd) -> Exact:
    """sqrt(a + b*sqrt(r)) as a sum of two roots where a^2 - b^2*r is a square (Gkioulekas 2017, IJMEST 48(6))."""
    if sign(number) < 0:
        raise DomainError("the square root of a negative number is not real")
    irrational = [(radicand, value) for radicand, value in number.terms if radicand != 1]
    rational = number.rational_part
    if len(irrational) != 1:
        raise DomainError("a root of this sum does not simplify")
    radicand, value = irrational[0]
    norm = square_root(whole(rational * rational - value * value * radicand)) if rational * rational >= (
        value * value * radicand
    ) else None
    if norm is None or isinstance(norm, Surd):
        raise DomainError("this nested root does not simplify")
    first = square_root(whole((rational + norm) / 2))
    second = square_root(whole((rational - norm) / 2))
    return add(first, second) if value > 0 else subtract(first, second)
