"""Equations whose unknown stands under a root or in an exponent: solved for what hides it, then for itself.

What hides an unknown is a letter of its own (`expressions/hidden.py`). Beside the equations stands what each root is
the root of; of the solutions those are kept whose roots are what a root can be, whose powers are positive, and whose
exponents fit every power. So a root that squaring brings in is never a solution.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import reduce
from math import gcd, lcm

from itembank.errors import DomainError
from itembank.expressions import numbers, polynomials
from itembank.expressions.exact import whole_root
from itembank.expressions.hidden import Hidden, InExponent, UnderRoot, in_exponent, logarithm, power_of
from itembank.expressions.numbers import Exact, Surd
from itembank.expressions.polynomials import Polynomial
from itembank.expressions.quotients import LARGEST_FACTOR

__all__ = ["Covered", "put_in", "with_hidden"]


def put_in(polynomial: Polynomial, values: Mapping[str, Exact]) -> Polynomial:
    """The polynomial with numbers for some of its letters."""
    for name, value in values.items():
        if name in polynomial.letters:
            polynomial = polynomials.substitute(polynomial, name, polynomials.number(value))
    return polynomial


def with_hidden(hidden: Iterable[Hidden], values: Mapping[str, Exact]) -> dict[str, Exact] | None:
    """Values of letters with those of the hidden letters beside; None where a root is not real.

    Raises DomainError for a root or a power that has no exact form here, and where a letter has no value.
    """
    found = dict(values)
    for each in hidden:
        if isinstance(each, InExponent):
            if each.letter not in found:
                raise DomainError(f"the exponent {each.letter} has no value")
            found[each.name] = power_of(
                each.base, numbers.multiply(found[each.letter], Fraction(1, each.over))
            )
            continue
        radicand = put_in(each.radicand, found).constant()
        if each.index % 2 == 0 and numbers.sign(radicand) < 0:
            return None
        found[each.name] = _root(radicand, each.index)
    return found


def _root(radicand: Exact, index: int) -> Exact:
    if index == 2:
        return numbers.square_root(radicand)
    if isinstance(radicand, Surd):
        raise DomainError("a root of a surd")
    return whole_root(Fraction(radicand), index)


@dataclass(frozen=True, slots=True)
class Covered:
    """Polynomials that are 0, and some that are not, in unknowns and in letters that hide some of them."""

    zero: tuple[Polynomial, ...]
    not_zero: tuple[Polynomial, ...]
    hidden: tuple[Hidden, ...]
    unknowns: tuple[str, ...]

    @classmethod
    def of(
        cls,
        zero: Iterable[Polynomial],
        not_zero: Iterable[Polynomial],
        hidden: Iterable[Hidden],
        unknowns: Sequence[str],
    ) -> Covered:
        """The same with one letter for 2^(x/2) and 2^(x/3), of which they are powers: 2^(x/6)."""
        letters = list(dict.fromkeys(hidden))
        powers: dict[tuple[object, str], list[InExponent]] = {}
        for each in letters:
            if isinstance(each, InExponent):
                powers.setdefault((each.base, each.letter), []).append(each)
        zero, not_zero = tuple(zero), tuple(not_zero)
        for several in powers.values():
            over = lcm(*(each.over for each in several))
            if len(several) == 1 or over > LARGEST_FACTOR:
                continue
            common = in_exponent(several[0].base, several[0].letter, over)
            for each in several:
                raised = polynomials.power(polynomials.letter(common.name), over // each.over)
                if each != common:
                    zero = tuple(polynomials.substitute(value, each.name, raised) for value in zero)
                    not_zero = tuple(polynomials.substitute(value, each.name, raised) for value in not_zero)
            letters = [each for each in letters if each not in several] + [common]
        return cls(zero, not_zero, tuple(letters), tuple(unknowns))

    @property
    def equations(self) -> list[Polynomial]:
        """What is to be solved: letters of powers to the smallest power of them that occurs."""
        return [self._lowered(each) for each in self._plain]

    @property
    def letters(self) -> tuple[str, ...]:
        """What it is to be solved for: an unknown that stands in exponents only is found afterwards."""
        return tuple(dict.fromkeys([name for name in self.unknowns if name not in self._found_later]
                                   + [each.name for each in self.hidden]))  # fmt: skip

    def uncovered(self, values: Mapping[str, Exact]) -> Iterator[dict[str, Exact]]:
        """A solution with every unknown, where what hides them can have such values. Raises DomainError."""
        found = dict(values)
        for each in self.hidden:
            if isinstance(each, UnderRoot):
                if not each.may_be(found[each.name]):
                    return
            elif each.letter not in found:
                exponent = logarithm(found[each.name], each.base ** self._steps(each))
                if exponent is None:
                    return
                found[each.letter] = numbers.multiply(exponent, each.over)
            elif (
                power_of(
                    each.base ** self._steps(each),
                    numbers.multiply(found[each.letter], Fraction(1, each.over)),
                )
                != found[each.name]
            ):
                return
        yield found

    def divides(self, values: Mapping[str, Exact]) -> bool:
        """Whether nothing is divided by 0 in a solution."""
        return all(put_in(self._lowered(each), values).constant() != 0 for each in self.not_zero)

    @property
    def twice(self) -> str:
        """An unknown that stands in an exponent and elsewhere, "" where none does."""
        inside = sorted(
            {each.letter for each in self.hidden if isinstance(each, InExponent)} - self._found_later
        )
        return inside[0] if inside else ""

    @property
    def _plain(self) -> list[Polynomial]:
        roots = [each.equation for each in self.hidden if isinstance(each, UnderRoot)]
        return [*map(self._without_powers, self.zero), *roots]

    def _without_powers(self, polynomial: Polynomial) -> Polynomial:
        """It divided by a power, which is never 0, where what is left can be taken up: u^3 = 4 of u^4 = 4*u."""
        for each in self.hidden:
            if isinstance(each, InExponent):
                parts = polynomial.in_powers_of(each.name)
                lowest = min(parts, default=0)
                if lowest and gcd(*(exponent - lowest for exponent in parts)) > 1:
                    terms = [
                        polynomials.multiply(
                            part, polynomials.power(polynomials.letter(each.name), exponent - lowest)
                        )
                        for exponent, part in parts.items()
                    ]
                    polynomial = reduce(polynomials.add, terms)
        return polynomial

    @property
    def _found_later(self) -> frozenset[str]:
        inside = {each.letter for each in self.hidden if isinstance(each, InExponent)}
        return frozenset(inside - {letter for each in self._plain for letter in each.letters})

    def _steps(self, power: InExponent) -> int:
        """The greatest common divisor of the exponents that the letter of a power has."""
        both = [*self._plain, *self.not_zero]
        return gcd(*(exponent for each in both for exponent in each.in_powers_of(power.name))) or 1

    def _lowered(self, polynomial: Polynomial) -> Polynomial:
        for each in self.hidden:
            steps = self._steps(each) if isinstance(each, InExponent) else 1
            if steps > 1:
                lowered = polynomials.ZERO
                for exponent, part in polynomial.in_powers_of(each.name).items():
                    power = polynomials.power(polynomials.letter(each.name), exponent // steps)
                    lowered = polynomials.add(lowered, polynomials.multiply(part, power))
                polynomial = lowered
        return polynomial
