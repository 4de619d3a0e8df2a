"""What hides an unknown in an equation: a root that it stands under, an exponent that it stands in.

Each is taken as a letter of its own, so that what is left is an equation of polynomials:
u is the n-th root of r exactly when u^n = r and, for even n, u >= 0 (DLMF 1.2.20); u is b^(x/d) for some x exactly
when u > 0, and x is then d times the logarithm of u (DLMF 4.2.26), which must be rational here.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import gcd
from typing import TypeAlias

from itembank.errors import BoundExceeded, DomainError
from itembank.expressions import numbers, polynomials
from itembank.expressions.numbers import LARGEST_BITS, LARGEST_EXPONENT, Exact, Surd
from itembank.expressions.polynomials import Polynomial

Rational: TypeAlias = int | Fraction

__all__ = [
    "Hidden",
    "InExponent",
    "UnderRoot",
    "in_exponent",
    "logarithm",
    "perfect_power",
    "power_of",
    "smallest_base",
    "under_root",
]


@dataclass(frozen=True, slots=True)
class UnderRoot:
    """The letter `name` is the root of an index (2 to 12) of the radicand, a polynomial with letters."""

    name: str
    radicand: Polynomial
    index: int

    @property
    def equation(self) -> Polynomial:
        """What is 0 where the letter is such a root, or minus one for an even index."""
        power = polynomials.power(polynomials.letter(self.name), self.index)
        return polynomials.subtract(power, self.radicand)

    def may_be(self, value: Exact) -> bool:
        """Whether a root can have a value: a root of an even index is not negative."""
        return self.index % 2 == 1 or numbers.sign(value) >= 0


@dataclass(frozen=True, slots=True)
class InExponent:
    """The letter `name` is base^(letter/over); base rational and above 1, over a whole number from 1 on."""

    name: str
    base: Rational
    letter: str
    over: int = 1


Hidden: TypeAlias = UnderRoot | InExponent


def under_root(radicand: Polynomial, index: int) -> UnderRoot:
    """The letter for a root of a polynomial with letters; equal roots have equal letters."""
    return UnderRoot(f"{'' if index == 2 else index}√({_spelled(radicand)})", radicand, index)


def in_exponent(base: Rational, letter: str, over: int = 1) -> InExponent:
    """The letter for base^(letter/over)."""
    return InExponent(f"{base}^{letter}" + (f"/{over}" if over > 1 else ""), base, letter, over)


def _spelled(polynomial: Polynomial) -> str:
    terms = [
        "*".join([str(value), *(f"{name}^{power}" for name, power in monomial)])
        for monomial, value in polynomial.terms
    ]
    return " + ".join(terms)


@lru_cache(maxsize=1_000)
def perfect_power(number: int) -> tuple[int, int]:
    """(b, k) with number = b^k and the largest k. number: from 2 on. Raises BoundExceeded above 120 digits.

    >>> perfect_power(64), perfect_power(12)
    ((2, 6), (12, 1))
    """
    if number.bit_length() > LARGEST_BITS:
        raise BoundExceeded("a number of more than 120 digits turned up")
    for exponent in range(number.bit_length(), 1, -1):
        low, high = 1, 1 << (number.bit_length() // exponent + 1)
        while low < high:
            middle = (low + high + 1) // 2
            low, high = (middle, high) if middle**exponent <= number else (low, middle - 1)
        if low > 1 and low**exponent == number:
            return low, exponent
    return number, 1


def smallest_base(number: Rational) -> tuple[Rational, int]:
    """(b, k) with number = b^k, b above 1 and the size of k the largest. number: positive, and not 1.

    Raises BoundExceeded above 120 digits.

    >>> smallest_base(64), smallest_base(Fraction(8, 27))
    ((2, 6), (Fraction(3, 2), -3))
    """
    if number < 1:
        base, times = smallest_base(1 / Fraction(number))
        return base, -times
    above, below = Fraction(number).as_integer_ratio()
    root, times = perfect_power(above)
    if below == 1:
        return root, times
    other, further = perfect_power(below)
    common = gcd(times, further)
    return Fraction(root ** (times // common), other ** (further // common)), common


def logarithm(value: Exact, base: Rational) -> int | Fraction | None:
    """x with base^x = value; None where there is none, as the value is not positive.

    Raises DomainError where x is not rational. A sum of several different roots is no rational power of a number: its
    conjugates would be itself and its opposite, and then its square would be rational.

    >>> logarithm(32, 4), logarithm(Fraction(1, 9), 3)
    (Fraction(5, 2), -2)
    """
    if numbers.sign(value) <= 0:
        return None
    root, times = smallest_base(base)
    above, below = Fraction(root).as_integer_ratio()
    square = Fraction(0) if _is_sum(value) else Fraction(_rational(numbers.multiply(value, value)))
    count = 0
    while square and square.denominator % above == 0 and square.numerator % below == 0:
        square, count = square * root, count - 1
    while square and square.numerator % above == 0 and square.denominator % below == 0:
        square, count = square / root, count + 1
    if square != 1:
        raise DomainError(f"the exponent would be a logarithm, for the value is no rational power of {base}")
    return numbers.whole(Fraction(count, 2 * times))


def _is_sum(value: Exact) -> bool:
    return isinstance(value, Surd) and len(value.terms) > 1


def _rational(value: Exact) -> Rational:
    assert not isinstance(value, Surd)
    return value


def power_of(base: Rational, exponent: Exact) -> Exact:
    """base^exponent, where it is a number or a square root of one. Raises DomainError for any other exponent.

    >>> power_of(8, Fraction(2, 3))
    4
    """
    root, times = smallest_base(base)
    if isinstance(exponent, Surd):
        raise DomainError("an exponent that is not rational")
    doubled = Fraction(exponent) * times * 2
    if doubled.denominator != 1:
        raise DomainError("a power that is neither rational nor a square root")
    half, odd = divmod(doubled.numerator, 2)
    if abs(half) >= LARGEST_EXPONENT:
        raise BoundExceeded(f"an exponent beyond {LARGEST_EXPONENT}")
    whole = numbers.power(root, half)
    return numbers.multiply(whole, numbers.square_root(root)) if odd else whole
