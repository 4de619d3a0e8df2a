"""Exact numbers: rationals, and sums of rational multiples of square roots of whole numbers.

A number is an int or a Fraction when it is rational and a `Surd` when it is not, so equality is `==`: square
roots of distinct squarefree integers are linearly independent over the rationals (OEIS A005117, comment),
hence the form is unique. No float anywhere; signs of surds are decided by exact rational bounds.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import gcd, isqrt, lcm
from typing import TypeAlias

from itembank.errors import BoundExceeded, DomainError

LARGEST_FACTORED = 10**15
"""Above this no square factor is looked for."""

LARGEST_BITS = 400
"""No numerator, denominator or radicand of an item may have more bits than this: about 120 digits."""

LARGEST_EXPONENT = 64
"""No number is raised to a higher power."""

MOST_ROOTS = 32
"""No sum may have more terms than this, as it has where five independent roots meet."""

TOO_CLOSE = "two surds lie too close together to be told apart"

_CLOSER = 12
"""How often bounds are drawn closer, by sixteen digits each time."""


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

    n: 0 <= n <= 10^15, or any square. Raises DomainError below, BoundExceeded above. Prime factors up to
    the cube root are divided out; what is left is then 1, a prime, its square, or two primes.

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
        raise BoundExceeded("a number above 10^15 is too large to look for its square factors")
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
    """The number with these coefficients of square roots of squarefree radicands, in its simplest type.

    terms: squarefree radicand >= 1 -> coefficient. Raises BoundExceeded for more than 32 terms or 120 digits.

    >>> make({1: Fraction(4), 13: Fraction(0)})
    4
    """
    kept = tuple(sorted((radicand, _bounded(value)) for radicand, value in terms.items() if value))
    if not kept:
        return 0
    if len(kept) == 1 and kept[0][0] == 1:
        return whole(kept[0][1])
    if len(kept) > MOST_ROOTS or kept[-1][0].bit_length() > LARGEST_BITS:
        raise BoundExceeded(
            f"a sum of more than {MOST_ROOTS} roots, or one of a number of 120 digits, turned up"
        )
    return Surd(kept)


def whole(value: Fraction | int) -> int | Fraction:
    """An int where the fraction is one. Raises BoundExceeded for more than 120 digits above or below.

    >>> whole(Fraction(6, 3)), whole(Fraction(1, 2))
    (2, Fraction(1, 2))
    """
    if value.numerator.bit_length() > LARGEST_BITS or value.denominator.bit_length() > LARGEST_BITS:
        raise BoundExceeded("a number of more than 120 digits turned up")
    return value.numerator if value.denominator == 1 else value


def _bounded(value: Fraction) -> Fraction:
    whole(value)
    return value


def terms_of(number: Exact) -> dict[int, Fraction]:
    """radicand -> coefficient, the inverse of `make`."""
    if isinstance(number, Surd):
        return dict(number.terms)
    return {1: Fraction(number)} if number else {}


def add(first: Exact, second: Exact) -> Exact:
    """first + second."""
    if type(first) is int and type(second) is int:
        total_of_both = first + second
        return total_of_both if total_of_both.bit_length() <= LARGEST_BITS else whole(total_of_both)
    if not isinstance(first, Surd) and not isinstance(second, Surd):
        return whole(first + second)
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
    if type(first) is int and type(second) is int:
        return add(first, -second)
    if not isinstance(first, Surd) and not isinstance(second, Surd):
        return whole(first - second)
    return add(first, negate(second))


def multiply(first: Exact, second: Exact) -> Exact:
    """first * second."""
    if type(first) is int and type(second) is int:
        product = first * second
        return product if product.bit_length() <= LARGEST_BITS else whole(product)
    if not isinstance(first, Surd) and not isinstance(second, Surd):
        return whole(first * second)
    total: dict[int, Fraction] = {}
    for r1, c1 in terms_of(first).items():
        for r2, c2 in terms_of(second).items():
            common = gcd(r1, r2)
            radicand = (r1 // common) * (r2 // common)
            total[radicand] = total.get(radicand, Fraction(0)) + c1 * c2 * common
    return make(total)


def invert(number: Exact) -> Exact:
    """1 / number, the denominator made rational by conjugates. Raises DomainError for 0.

    >>> invert(make({1: Fraction(3), 2: Fraction(1)}))    # 1/(3 + sqrt(2)) = (3 - sqrt(2))/7
    Surd(terms=((1, Fraction(3, 7)), (2, Fraction(-1, 7))))
    """
    if not isinstance(number, Surd):
        if number == 0:
            raise DomainError("division by zero")
        if number == 1 or number == -1:
            return number
        return whole(Fraction(number.denominator, number.numerator))
    numerator: Exact = 1
    denominator: Exact = number
    base = _coprime_base([radicand for radicand, _ in number.terms])
    for part in base:
        if isinstance(denominator, Surd):
            conjugate = Surd(tuple((r, -c if r % part == 0 else c) for r, c in denominator.terms))
            numerator = multiply(numerator, conjugate)
            denominator = multiply(denominator, conjugate)
    return multiply(numerator, invert(denominator))


def _coprime_base(radicands: list[int]) -> list[int]:
    """Numbers > 1 without common factors, each radicand a product of some of them: found by gcds alone.

    Turning the sign of the root of one of them is an automorphism, so a conjugate needs no prime factors,
    which could be waited for in vain (a first version looked for the smallest prime by trial division).
    Radicands are squarefree.
    """
    base: list[int] = []
    waiting = [radicand for radicand in radicands if radicand > 1]
    while waiting:
        new = waiting.pop()
        for index, old in enumerate(base):
            common = gcd(new, old)
            if common > 1:
                base.pop(index)
                waiting += [part for part in (common, new // common, old // common) if part > 1]
                break
        else:
            base.append(new)
    return base


def divide(first: Exact, second: Exact) -> Exact:
    """first / second. Raises DomainError for second = 0."""
    return multiply(first, invert(second))


def power(base: Exact, exponent: int) -> Exact:
    """base ^ exponent for |exponent| <= 64; 0^0 and 0 to a negative power are refused (DomainError).

    >>> power(Fraction(2, 3), -2)
    Fraction(9, 4)
    """
    if abs(exponent) > LARGEST_EXPONENT:
        raise BoundExceeded(f"an exponent beyond {LARGEST_EXPONENT}")
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
    above, inside = square_root_parts(exact.numerator)  # apart, since the product may be too large to factor
    below, under = square_root_parts(exact.denominator)
    return make({inside * under: Fraction(above, below * under)})


def sign(number: Exact) -> int:
    """-1, 0 or 1, decided by whole bounds around each root, ever closer.

    >>> sign(make({1: Fraction(-3), 11: Fraction(1)}))    # sqrt(11) is above 3
    1
    """
    if not isinstance(number, Surd):
        return (number > 0) - (number < 0)
    for low, high, _ in bounds(number):
        if low > 0:
            return 1
        if high < 0:
            return -1
    raise BoundExceeded(TOO_CLOSE)  # never 0: the form is unique


def bounds(number: Surd) -> Iterator[tuple[int, int, int]]:
    """Whole bounds around a surd, ever closer, twelve times: low/scale and high/scale.

    >>> low, high, scale = next(bounds(Surd(((2, Fraction(1)),))))
    >>> low**2 < 2 * scale**2 < high**2
    True
    """
    shared = lcm(*[value.denominator for _, value in number.terms])
    # value * sqrt(radicand) is, but for the shared denominator, the root of a whole number
    roots = [
        (value > 0, (value.numerator * (shared // value.denominator)) ** 2 * radicand)
        for radicand, value in number.terms
    ]
    scale = 1
    for _ in range(_CLOSER):
        low = high = 0
        for is_added, square in roots:
            root = isqrt(square * scale * scale)
            above = root if root * root == square * scale * scale else root + 1
            low += root if is_added else -above
            high += above if is_added else -root
        yield low, high, shared * scale
        scale *= 10**16


def compare(first: Exact, second: Exact) -> int:
    """-1, 0 or 1 as first is below, equal to or above second."""
    return sign(subtract(first, second))


def _denested(number: Surd) -> Exact:
    """sqrt(a + b*sqrt(r)) as a sum of two roots, where a^2 - b^2*r is a square.

    Source: Gkioulekas, "On the denesting of nested square roots", IJMEST 48(6), 2017.
    """
    if sign(number) < 0:
        raise DomainError("the square root of a negative number is not real")
    irrational = [(radicand, value) for radicand, value in number.terms if radicand != 1]
    if len(irrational) != 1:
        raise DomainError("a root of this sum does not simplify")
    radicand, value = irrational[0]
    rational = number.rational_part
    square = rational * rational - value * value * radicand
    norm = square_root(whole(square)) if square >= 0 else None
    if norm is None or isinstance(norm, Surd):
        raise DomainError("this nested root does not simplify")
    first = square_root(whole((rational + norm) / 2))
    second = square_root(whole((rational - norm) / 2))
    return add(first, second) if value > 0 else subtract(first, second)
