"""Quotients of exact polynomials, and what they are divided by: what an equation is with letters in denominators."""

from __future__ import annotations

from dataclasses import dataclass

from itembank.expressions import numbers, polynomials
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

    def power(self, exponent: int) -> Quotient:
        """It raised to a whole number. Raises DomainError for a negative power of 0."""
        base = self if exponent >= 0 else self.inverse()
        return Quotient(
            polynomials.power(base.above, abs(exponent)),
            polynomials.power(base.below, abs(exponent)),
            base.divisors,
        )
