"""Quotients of exact polynomials, and what they are divided by: what an equation is with letters in denominators."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from itembank.errors import BoundExceeded, DomainError
from itembank.expressions import numbers, polynomials
from itembank.expressions.common_factors import common_divisor, exact_quotient, leading_coefficient
from itembank.expressions.hidden import Hidden, in_exponent, power_of, smallest_base, under_root
from itembank.expressions.numbers import Exact, Surd
from itembank.expressions.polynomials import ONE, Polynomial

__all__ = ["Quotient", "power_of_number", "root_of"]

LARGEST_FACTOR = 40
"""Of a letter in an exponent (its numerator), once its base is no power of a smaller number."""

LARGEST_BASE = 10**9
"""Of a power with a letter in its exponent: prime factors of it are looked for."""


@dataclass(frozen=True, slots=True)
class Quotient:
    """above / below, polynomials. divisors: everything with letters that something is divided by on the way there.

    Where a divisor is 0 there is no value, whatever cancels. hidden: letters of it that stand for a root of an unknown
    or a power with one, and what they stand for; those that have gone out of it too.

    >>> x = polynomials.letter("x")
    >>> (Quotient(x) / Quotient(x)).divisors == (x,)
    True
    """

    above: Polynomial
    below: Polynomial = ONE
    divisors: tuple[Polynomial, ...] = ()
    hidden: tuple[Hidden, ...] = ()

    def __add__(self, other: Quotient) -> Quotient:
        divisors, hidden = self.divisors + other.divisors, self.hidden + other.hidden
        if self.below == other.below:
            return Quotient(polynomials.add(self.above, other.above), self.below, divisors, hidden)
        left = polynomials.multiply(self.above, other.below)
        right = polynomials.multiply(other.above, self.below)
        below = polynomials.multiply(self.below, other.below)
        return Quotient(polynomials.add(left, right), below, divisors, hidden)

    def __neg__(self) -> Quotient:
        return Quotient(polynomials.scale(self.above, -1), self.below, self.divisors, self.hidden)

    def __sub__(self, other: Quotient) -> Quotient:
        return self + -other

    def __mul__(self, other: Quotient) -> Quotient:
        return Quotient(
            polynomials.multiply(self.above, other.above),
            polynomials.multiply(self.below, other.below),
            self.divisors + other.divisors,
            self.hidden + other.hidden,
        )

    def __truediv__(self, other: Quotient) -> Quotient:
        return self * other.inverse()

    def inverse(self) -> Quotient:
        """1 divided by it. Raises DomainError for 0."""
        if not self.above.letters:
            factor = numbers.invert(self.above.constant())
            return Quotient(polynomials.scale(self.below, factor), ONE, self.divisors, self.hidden)
        return Quotient(self.below, self.above, (*self.divisors, self.above), self.hidden)

    def reduced(self) -> Quotient:
        """The same function in lowest terms, unique: equal quotients become `==`. Its divisors are forgotten.

        With letters below coefficients are rational: the greatest common divisor by Euclid's algorithm, the denominator
        with leading coefficient 1. Raises DomainError for roots beside them.
        """
        if self.hidden:
            raise DomainError("a letter under a root or in an exponent may stand in an equation only")
        if not self.below.letters:
            factor = numbers.invert(self.below.constant())
            return Quotient(polynomials.scale(self.above, factor))
        letters = {*self.above.letters, *self.below.letters}
        if len(letters) > 1:
            return self._reduced_in_several_letters()
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

    def _reduced_in_several_letters(self) -> Quotient:
        common = common_divisor(self.above, self.below)
        above, below = (exact_quotient(each, common) for each in (self.above, self.below))
        factor = numbers.whole(1 / leading_coefficient(below))
        return Quotient(polynomials.scale(above, factor), polynomials.scale(below, factor))

    def power(self, exponent: int) -> Quotient:
        """It raised to a whole number. Raises DomainError for a negative power of 0."""
        base = self if exponent >= 0 else self.inverse()
        return Quotient(
            polynomials.power(base.above, abs(exponent)),
            polynomials.power(base.below, abs(exponent)),
            base.divisors,
            base.hidden,
        )


def root_of(radicand: Quotient, index: int, *, positive: bool = False) -> Quotient:
    """The root of a term with letters, as a letter that is hidden.

    positive: every letter is a positive number, so that √(a/b) is √(ab)/b where all coefficients of b are above 0.
    Raises DomainError for any other letters below.
    """
    if radicand.below.letters:
        if not positive or index != 2 or any(numbers.sign(value) < 0 for _, value in radicand.below.terms):
            raise DomainError("a letter in a denominator under a root")
        inside = polynomials.multiply(radicand.above, radicand.below)
        found = under_root(inside, index)
        divisors = (*radicand.divisors, radicand.below)
        return Quotient(polynomials.letter(found.name), radicand.below, divisors, (*radicand.hidden, found))
    if not 2 <= index <= 12:
        raise DomainError("a root has an index of 2 to 12")
    inside = polynomials.scale(radicand.above, numbers.invert(radicand.below.constant()))
    found = under_root(inside, index)
    return Quotient(polynomials.letter(found.name), ONE, radicand.divisors, (*radicand.hidden, found))


def power_of_number(base: Exact, exponent: Polynomial) -> Quotient:
    """A number to a linear exponent with letters: b^(m*x/d + n) as (b^(x/d))^m * b^n, b^(x/d) a letter that is hidden.

    Raises DomainError for other bases and exponents.
    """
    if isinstance(base, Surd) or base <= 0 or base == 1:
        raise DomainError(
            "a power with an unknown in its exponent has a positive rational number as its base, and not 1"
        )
    if max(Fraction(base).as_integer_ratio()) > LARGEST_BASE:
        raise BoundExceeded("a power with an unknown in its exponent has a base beyond 10^9")
    root, times = smallest_base(base)
    product = Quotient(ONE)
    for monomial, value in exponent.terms:
        factor = numbers.multiply(value, times)
        if sum(power for _, power in monomial) > 1 or isinstance(factor, Surd):
            raise DomainError("an exponent with an unknown in it is m*x + n with rational numbers m and n")
        if not monomial:
            product = product * Quotient(polynomials.number(power_of(root, factor)))
            continue
        factor, over = Fraction(factor).as_integer_ratio()
        if abs(factor) > LARGEST_FACTOR:
            raise BoundExceeded(f"an unknown in an exponent has a factor beyond {LARGEST_FACTOR}")
        found = in_exponent(root, monomial[0][0], over)
        product = product * Quotient(polynomials.letter(found.name), hidden=(found,)).power(factor)
    return product


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
