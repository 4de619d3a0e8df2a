"""Quotients of exact polynomials, and what they are divided by: what an equation is with letters in denominators."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from itembank.errors import DomainError
from itembank.expressions import numbers, polynomials
from itembank.expressions.numbers import Surd
from itembank.expressions.polynomials import ONE, Polynomial

__all__ = ["Quotient"]


@dataclass(frozen=True, slots=True)
class Quotient:
    """above / below, polynomials. divisors: everything with letters that something is divided by on the way there.

    Where a divisor is 0 there is no value, whatever cancels.

    >>> x = polynomials.letter("x")
    >>> (Quotient(x) / Quotient(x)).divisors == (x,)
    True
    """

    above: Polynomial
    below: Polynomial = ONE
    divisors: tuple[Polynomial, ...] = ()

    def __add__(self, other: Quotient) -> Quotient:
        divisors = self.divisors + other.divisors
        if self.below == other.below:
            return Quotient(polynomials.add(self.above, other.above), self.below, divisors)
        left = polynomials.multiply(self.above, other.below)
        right = polynomials.multiply(other.above, self.below)
        return Quotient(polynomials.add(left, right), polynomials.multiply(self.below, other.below), divisors)

    def __neg__(self) -> Quotient:
        return Quotient(polynomials.scale(self.above, -1), self.below, self.divisors)

    def __sub__(self, other: Quotient) -> Quotient:
        return self + -other

    def __mul__(self, other: Quotient) -> Quotient:
        return Quotient(
            polynomials.multiply(self.above, other.above),
            polynomials.multiply(self.below, other.below),
            self.divisors + other.divisors,
        )

    def __truediv__(self, other: Quotient) -> Quotient:
        return self * other.inverse()

    def inverse(self) -> Quotient:
        """1 divided by it. Raises DomainError for 0."""
        if not self.above.letters:
            factor = numbers.invert(self.above.constant())
            return Quotient(polynomials.scale(self.below, factor), ONE, self.divisors)
        return Quotient(self.below, self.above, (*self.divisors, self.above))

    def reduced(self) -> Quotient:
        """The same function in lowest terms, unique: equal quotients become `==`. Its divisors are forgotten.

        One letter, rational coefficients: the greatest common divisor by Euclid's algorithm, the denominator with
        leading coefficient 1. Raises DomainError for more letters below, and for roots beside them.
        """
        if not self.below.letters:
            factor = numbers.invert(self.below.constant())
            return Quotient(polynomials.scale(self.above, factor))
        letters = {*self.above.letters, *self.below.letters}
        if len(letters) > 1:
            raise DomainError("a fraction with several letters")
        (letter,) = letters
        above, below = _dense(self.above, letter), _dense(self.below, letter)
        common, rest = below, above
        while rest:
            common, rest = rest, _divided(common, rest)[1]
        above, below = _divided(above, common)[0], _divided(below, common)[0]
        leading = below[-1]
        return Quotient(
            _polynomial([value / leading for value in above], letter),
            _polynomial([value / leading for value in below], letter),
        )

    def power(self, exponent: int) -> Quotient:
        """It raised to a whole number. Raises DomainError for a negative power of 0."""
        base = self if exponent >= 0 else self.inverse()
        return Quotient(
            polynomials.power(base.above, abs(exponent)),
            polynomials.power(base.below, abs(exponent)),
            base.divisors,
        )


def _dense(polynomial: Polynomial, letter: str) -> list[Fraction]:
    """Coefficients from the constant on; [] for 0."""
    values: dict[int, Fraction] = {}
    for exponent, part in polynomial.in_powers_of(letter).items():
        value = part.constant()
        if isinstance(value, Surd):
            raise DomainError("a fraction with letters and roots")
        values[exponent] = Fraction(value)
    return [values.get(exponent, Fraction(0)) for exponent in range(max(values, default=-1) + 1)]


def _divided(
    dividend: Sequence[Fraction], divisor: Sequence[Fraction]
) -> tuple[list[Fraction], list[Fraction]]:
    """Quotient and remainder of a division of polynomials, the divisor's last coefficient not 0."""
    rest = list(dividend)
    quotient = [Fraction(0)] * max(len(rest) - len(divisor) + 1, 0)
    for at in range(len(quotient) - 1, -1, -1):
        factor = quotient[at] = rest[at + len(divisor) - 1] / divisor[-1]
        for place, value in enumerate(divisor):
            rest[at + place] -= factor * value
    while rest and not rest[-1]:
        rest.pop()
    return quotient, rest


def _polynomial(values: Sequence[Fraction], letter: str) -> Polynomial:
    total = polynomials.ZERO
    for exponent, value in enumerate(values):
        power = polynomials.power(polynomials.letter(letter), exponent)
        total = polynomials.add(total, polynomials.scale(power, numbers.whole(value)))
    return total
