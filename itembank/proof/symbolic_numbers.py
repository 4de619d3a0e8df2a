"""Sums of square roots over sympy's rational numbers and polynomial rings, in one normal form.

A value is kept as c_1*sqrt(r_1) + c_2*sqrt(r_2) + ... with different squarefree radicands r >= 1 and coefficients
that are not 0. The roots of different squarefree integers are linearly independent over the rational numbers, so
two values are equal exactly when their terms are: nothing is decided by looking at a difference that might have
been left unsimplified. Coefficients are elements of sympy's QQ, or of one of its polynomial rings over QQ where
letters stand in the value.

sympy's expression trees are kept out of this on purpose: put into a quadratic and expanded, one surd takes about
a millisecond there; its rings take a hundredth of that.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import gcd
from typing import Any, TypeAlias

import sympy
from sympy import QQ, factorint, integer_nthroot
from sympy.polys.rings import PolyElement

from itembank.errors import ItembankError

__all__ = ["CannotTell", "Coefficient", "Rooted", "rational", "root", "square_root", "square_root_parts"]

Coefficient: TypeAlias = Any
"""A rational number of sympy's QQ, or an element of a polynomial ring over QQ; sympy has no types of its own."""

LARGEST_FACTORED = 10**15
"""Radicands above this are not searched for square factors; squares come out at any size."""
MOST_TERMS = 32
LARGEST_EXPONENT = 100
LARGEST_EXPONENT_OF_LETTERS = 12
LARGEST_EXPONENT_OF_A_TERM = 40


class CannotTell(ItembankError):
    """This road does not lead to a decision; the text says why."""


@dataclass(frozen=True, slots=True)
class Rooted:
    """A sum of coefficient * sqrt(radicand): `terms` maps each squarefree radicand to its coefficient, never 0."""

    terms: Mapping[int, Coefficient]

    def __add__(self, other: Rooted) -> Rooted:
        terms = dict(self.terms)
        for radicand, coefficient in other.terms.items():
            total = terms[radicand] + coefficient if radicand in terms else coefficient
            if total:
                terms[radicand] = total
            else:
                del terms[radicand]
        return Rooted(terms)

    def __neg__(self) -> Rooted:
        return Rooted({radicand: -coefficient for radicand, coefficient in self.terms.items()})

    def __sub__(self, other: Rooted) -> Rooted:
        return self + -other

    def __mul__(self, other: Rooted) -> Rooted:
        if len(self.terms) * len(other.terms) > MOST_TERMS:
            raise CannotTell("too many different roots")
        found = ZERO
        for r, a in self.terms.items():
            for s, b in other.terms.items():
                common = gcd(r, s)
                product = Rooted({r // common * (s // common): a * b * common if common > 1 else a * b})
                found = found + product if found.terms else product
        return found

    def __bool__(self) -> bool:
        return bool(self.terms)

    def __hash__(self) -> int:
        return hash(frozenset(self.terms.items()))

    def power(self, exponent: int) -> Rooted:
        """The value to a power; a negative one of a number only. Raises CannotTell for 0^0 and beyond the bounds."""
        lettered = [c for c in self.terms.values() if isinstance(c, PolyElement) and not c.is_ground]
        largest = LARGEST_EXPONENT
        if lettered:
            is_term = len(self.terms) == 1 and 1 in self.terms and len(lettered[0]) == 1
            largest = LARGEST_EXPONENT_OF_A_TERM if is_term else LARGEST_EXPONENT_OF_LETTERS
        if abs(exponent) > largest:
            raise CannotTell(f"the exponent {exponent} is out of bounds")
        if exponent < 0:
            return self.inverse().power(-exponent)
        if exponent == 0 and not self.terms:
            raise CannotTell("0 to the power 0 has no value")
        if len(self.terms) == 1 and 1 in self.terms:
            return Rooted({1: self.terms[1] ** exponent})
        found = ONE
        for _ in range(exponent):
            found = found * self
        return found

    def number(self) -> Rooted:
        """The same with plain rational coefficients. Raises CannotTell where a letter is left.

        >>> rational(3).number() == rational(3)
        True
        """
        if not any(isinstance(c, PolyElement) for c in self.terms.values()):
            return self
        return Rooted({radicand: _constant(c) for radicand, c in self.terms.items()})

    def is_rational(self) -> bool:
        """Whether a number is free of roots."""
        return all(radicand == 1 for radicand in self.terms)

    def rational_part(self) -> Coefficient:
        """The coefficient of sqrt(1)."""
        return self.terms.get(1, QQ.zero)

    def sign(self) -> int:
        """-1, 0 or 1 for a number: A + B*sqrt(p) with A, B free of sqrt(p) is told by A^2 - p*B^2, over and over.

        >>> (square_root(rational(11)) - rational(3)).sign()    # 11 > 9
        1
        """
        value = self.number()
        if not value.terms:
            return 0
        if len(value.terms) == 1:
            (coefficient,) = value.terms.values()
            return 1 if coefficient > 0 else -1
        prime, without, beside = value._split()
        first, second = without.sign(), beside.sign()
        if first * second >= 0:
            return first or second
        return first * (without * without - Rooted({1: QQ(prime)}) * beside * beside).sign()

    def inverse(self) -> Rooted:
        """1/value for a number, its denominator made rational. Raises CannotTell for 0 and for letters."""
        value = self.number()
        if not value.terms:
            raise CannotTell("division by zero")
        if len(value.terms) == 1:
            ((radicand, coefficient),) = value.terms.items()
            return Rooted({radicand: 1 / (coefficient * radicand)})
        prime, without, beside = value._split()
        conjugate = without - beside * Rooted({prime: QQ.one})
        return conjugate * (value * conjugate).inverse()

    def _split(self) -> tuple[int, Rooted, Rooted]:
        """(p, A, B) with self = A + B*sqrt(p) and p a prime in none of the radicands of A and B."""
        prime = _prime_factor(max(self.terms))
        without = {r: c for r, c in self.terms.items() if r % prime}
        beside = {r // prime: c for r, c in self.terms.items() if r % prime == 0}
        return prime, Rooted(without), Rooted(beside)

    def as_expression(self) -> Any:
        """The sympy expression."""
        return sympy.Add(
            *(_expression(coefficient) * sympy.sqrt(radicand) for radicand, coefficient in self.terms.items())
        )


ZERO = Rooted({})
ONE = Rooted({1: QQ.one})


def rational(numerator: int, denominator: int = 1) -> Rooted:
    """A rational number; denominator not 0.

    >>> rational(6, 4) == rational(3, 2)
    True
    """
    value = QQ(numerator, denominator)
    return Rooted({1: value}) if value else ZERO


@lru_cache(maxsize=20_000)
def square_root_parts(n: int) -> tuple[int, int]:
    """(s, r) with sqrt(n) = s*sqrt(r) and r squarefree, from sympy's factorisation.

    n: >= 1. Raises CannotTell above 10^15 unless it is a square.

    >>> square_root_parts(72)
    (6, 2)
    """
    whole, exact = integer_nthroot(n, 2)
    if exact:
        return int(whole), 1
    if n > LARGEST_FACTORED:
        raise CannotTell("a number above 10^15 is too large to look for its square factors")
    outside, inside = 1, 1
    for prime, power in factorint(n).items():
        outside *= int(prime) ** (power // 2)
        inside *= int(prime) ** (power % 2)
    return outside, inside


def square_root(value: Rooted) -> Rooted:
    """The root >= 0 of a number; of a + b*sqrt(r) where sympy finds it as a sum of roots. Raises CannotTell.

    >>> square_root(rational(8, 45)).as_expression()
    2*sqrt(10)/15
    """
    number = value.number()
    if number.sign() < 0:
        raise CannotTell("the square root of a negative number is not real")
    if not number.terms:
        return ZERO
    if not number.is_rational():
        return _denested(number)
    above, below = _parts(number.terms[1])
    outside, inside = square_root_parts(above * below)
    return Rooted({inside: QQ(outside, below)})


def root(value: Rooted, index: int) -> Rooted:
    """The real root of an index 2 to 12; but for square roots it must come out rational. Raises CannotTell.

    >>> root(rational(-8, 27), 3) == rational(-2, 3)
    True
    """
    if index == 2:
        return square_root(value)
    number = value.number()
    if not 2 <= index <= 12 or not number.is_rational():
        raise CannotTell("only rational roots with an index of 2 to 12 are taken")
    sign = number.sign()
    if sign < 0 and index % 2 == 0:
        raise CannotTell("an even root of a negative number is not real")
    roots = [integer_nthroot(abs(part), index) for part in _parts(number.rational_part())]
    if not all(exact for _, exact in roots):
        raise CannotTell("this root does not come out")
    (above, _), (below, _) = roots
    return rational(sign * int(above), int(below))


def _denested(number: Rooted) -> Rooted:
    found = sympy.sqrtdenest(sympy.sqrt(number.as_expression()))
    total = ZERO
    for term, coefficient in found.as_coefficients_dict().items():
        if not coefficient.is_Rational or not (term**2).is_Integer or not term.is_positive:
            raise CannotTell("a root in a root that does not come out")
        outside, inside = square_root_parts(int(term**2))
        total += Rooted({inside: QQ(int(coefficient.p), int(coefficient.q)) * outside})
    if total.sign() < 0 or total * total != number:
        raise CannotTell("a root in a root that does not come out")
    return total


@lru_cache(maxsize=4_000)
def _prime_factor(n: int) -> int:
    return int(max(factorint(n)))


def _parts(value: Coefficient) -> tuple[int, int]:
    return int(QQ.numer(value)), int(QQ.denom(value))


def _constant(coefficient: Coefficient) -> Coefficient:
    if not isinstance(coefficient, PolyElement):
        return coefficient
    if not coefficient.is_ground:
        raise CannotTell("a letter stands where a number is needed")
    return coefficient.coeff(1)


def _expression(coefficient: Coefficient) -> Any:
    return coefficient.as_expr() if isinstance(coefficient, PolyElement) else QQ.to_sympy(coefficient)
