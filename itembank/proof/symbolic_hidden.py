"""Unknowns under roots and in exponents on the second road: a generator of the ring for each root and each power.

A generator u for a root of r is kept by u^n = r and its sign; one for a power b^x by its logarithm, which must be
rational, found by the prime factors of both and tried out with whole numbers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import gcd, lcm, prod
from typing import TYPE_CHECKING, TypeAlias

import sympy
from sympy import QQ

from itembank.expressions import tree
from itembank.expressions.tree import Node
from itembank.proof.symbolic_numbers import ZERO, CannotTell, Rooted, rational, root
from itembank.proof.symbolic_text import Numeral

if TYPE_CHECKING:
    from itembank.proof.symbolic_reading import Space, System

__all__ = ["Hidden", "InExponent", "UnderRoot", "equations", "exponent_of", "generators", "in_exponent", "name_of",
           "over_of", "power_of", "smallest_base", "with_exponents", "with_hidden"]  # fmt: skip

LARGEST_BASE = 10**9
Values: TypeAlias = Mapping[str, Rooted]


@dataclass(frozen=True, slots=True)
class UnderRoot:
    """The generator `name` is the root of an index of a value with letters."""

    name: str
    radicand: Rooted
    index: int


@dataclass(frozen=True, slots=True)
class InExponent:
    """The generator `name` is base^(letter/over); base above 1."""

    name: str
    base: Fraction
    letter: str
    over: int


Hidden: TypeAlias = UnderRoot | InExponent


def generators(node: Node, numerals: Sequence[Numeral]) -> frozenset[str]:
    """The names of the generators that a piece needs for its roots of letters and its powers with letters above."""
    found: set[str] = set()
    over = over_of(node, numerals)
    for part in tree.walk(node):
        match part:
            case tree.Call("sqrt" | "root" | "surd") if tree.names(part):
                found.add(name_of(part, numerals))
            case tree.Power(tree.Number(ordinal), exponent) if tree.names(exponent):
                base, _ = smallest_base(numerals[int(ordinal)].value)
                found |= {in_exponent(base, letter, over).name for letter in tree.names(exponent)}
            case tree.Power(tree.Quotient(tree.Number(above), tree.Number(below)), exponent) if tree.names(
                exponent
            ):
                value = numerals[int(above)].value * numerals[int(below)].value.inverse()
                base, _ = smallest_base(value)
                found |= {in_exponent(base, letter, over).name for letter in tree.names(exponent)}
    return frozenset(found)


def in_exponent(base: Fraction, letter: str, over: int) -> InExponent:
    """The generator of base^(letter/over)."""
    return InExponent(f"{base}^{letter}/{over}", base, letter, over)


def over_of(node: Node, numerals: Sequence[Numeral]) -> int:
    """A number that every coefficient in the exponents with letters is whole times: what stands below in them."""
    exponents = [
        part.exponent
        for part in tree.walk(node)
        if isinstance(part, tree.Power) and tree.names(part.exponent)
    ]
    return lcm(*(_below(each, numerals) for each in exponents))


def _below(exponent: Node, numerals: Sequence[Numeral]) -> int:
    """The product of all that stands below in an exponent."""
    found = 1
    for part in tree.walk(exponent):
        if isinstance(part, tree.Number):
            value = numerals[int(part.value)].value.number()
            if value.is_rational() and value:
                found *= int(QQ.denom(value.rational_part()))
        elif isinstance(part, tree.Quotient):
            below = [
                numerals[int(each.value)].value.number()
                for each in tree.walk(part.denominator)
                if isinstance(each, tree.Number)
            ]
            found *= prod(int(QQ.numer(each.rational_part())) or 1 for each in below if each.is_rational())
    return abs(found)


def name_of(node: Node, numerals: Sequence[Numeral]) -> str:
    """The name of a root's generator: how it is written."""
    match node:
        case tree.Number(ordinal):
            return str(numerals[int(ordinal)].value.rational_part())
        case tree.Name(name):
            return name
        case tree.Sum(_, rest):
            return f"Sum{[sign for sign, _ in rest]}({_names_of(node, numerals)})"
        case tree.Call(function):
            return f"{function}({_names_of(node, numerals)})"
        case _:
            return f"{type(node).__name__}({_names_of(node, numerals)})"


def _names_of(node: Node, numerals: Sequence[Numeral]) -> str:
    return ", ".join(name_of(part, numerals) for part in tree.children(node))


def smallest_base(value: Rooted) -> tuple[Fraction, int]:
    """(b, k) with value = b^k, b above 1 and the size of k the largest.

    Raises CannotTell for what is no positive rational number, and for 1.
    """
    number = value.number()
    part = number.rational_part()
    if not number.is_rational() or part <= 0 or part == 1:
        raise CannotTell(
            "a power with an unknown in its exponent has a positive rational number as its base, and not 1"
        )
    above, below = int(QQ.numer(part)), int(QQ.denom(part))
    if max(above, below) > LARGEST_BASE:
        raise CannotTell("the base of a power is too large")
    primes = [sympy.factorint(above), sympy.factorint(below)]
    times = gcd(*(int(count) for each in primes for count in each.values()))
    root_above, root_below = (
        prod(int(p) ** (int(count) // times) for p, count in each.items()) for each in primes
    )
    base = Fraction(root_above, root_below)
    return (base, times) if base > 1 else (1 / base, -times)


def exponent_of(value: Rooted, base: Fraction) -> Rooted | None:
    """The rational x with base^x = value; None where value is not positive. Raises CannotTell where there is none.

    >>> exponent_of(rational(27), Fraction(9)) == rational(3, 2)
    True
    """
    number = value.number()
    if number.sign() <= 0:
        return None
    square = number * number
    if len(number.terms) == 1 and square.is_rational():
        part = square.rational_part()
        above, below = int(QQ.numer(part)), int(QQ.denom(part))
        prime, times = next(iter(sympy.factorint(base.numerator).items()))
        count = int(sympy.multiplicity(prime, above)) - int(sympy.multiplicity(prime, below))
        x = QQ(count, 2 * int(times))
        # base^(2x) is the square exactly when base^(2*numerator) is its power to the denominator
        raised = rational(base.numerator, base.denominator).power(2 * int(QQ.numer(x)))
        if square.power(int(QQ.denom(x))) == raised:
            return Rooted({1: x}) if x else ZERO
    raise CannotTell(f"the exponent of {base} is not rational")


def power_of(base: Fraction, exponent: Rooted) -> Rooted:
    """base^exponent. Raises CannotTell for what is neither rational nor a square root."""
    number = exponent.number()
    if not number.is_rational():
        raise CannotTell("an exponent that is not rational")
    part = number.rational_part()
    raised, below = rational(base.numerator, base.denominator).power(int(QQ.numer(part))), int(QQ.denom(part))
    return raised if below == 1 else root(raised, below)


def with_hidden(space: Space, hidden: Sequence[Hidden], values: Values) -> dict[str, Rooted] | None:
    """Numbers for letters with those of the generators beside; None where a root is not real. Raises CannotTell."""
    found = dict(values)
    for each in hidden:
        if isinstance(each, InExponent):
            if each.letter not in found:
                raise CannotTell(f"the exponent {each.letter} has no value")
            found[each.name] = power_of(each.base, found[each.letter] * rational(1, each.over))
            continue
        inside = each.radicand
        for letter, number in found.items():
            inside = space.put_in(inside, letter, number)
        if each.index % 2 == 0 and inside.sign() < 0:
            return None
        found[each.name] = root(inside, each.index)
    return found


def equations(
    space: Space, system: System, unknowns: Sequence[str]
) -> tuple[list[Rooted], list[Rooted], tuple[str, ...], list[Hidden]]:
    """What is 0, what is not, the letters to be found for it, and what is hidden.

    Each power is taken as far up as it goes. An unknown that stands in exponents only is not among the letters.
    """
    hidden = list(dict.fromkeys(system.hidden))
    zero = list(system.zero)
    for each in hidden:
        if isinstance(each, UnderRoot):
            zero.append(_letter(space, each.name).power(each.index) - each.radicand)
    not_zero = list(system.not_zero)
    for place, each in enumerate(hidden):
        if isinstance(each, InExponent):
            zero = [_without_power(space, value, each.name) for value in zero]
            step = gcd(*(power for value in (*zero, *not_zero) for power in space.powers(value, each.name)))
            if step > 1:
                zero = [_in_steps(space, value, each.name, step) for value in zero]
                not_zero = [_in_steps(space, value, each.name, step) for value in not_zero]
                hidden[place] = replace(each, base=each.base**step)
    plain = {letter for value in zero for letter in space.letters_in(value)}
    later = {each.letter for each in hidden if isinstance(each, InExponent)} - plain
    letters = [name for name in unknowns if name not in later] + [each.name for each in hidden]
    return [value for value in zero if value], not_zero, tuple(letters), hidden


def with_exponents(hidden: Sequence[Hidden], solution: Values) -> dict[str, Rooted] | None:
    """A solution with the unknowns in exponents; None where a root or a power of a number cannot be so."""
    found = dict(solution)
    for each in hidden:
        value = found[each.name]
        if isinstance(each, UnderRoot):
            if each.index % 2 == 0 and value.sign() < 0:
                return None
        elif each.letter in found:
            if power_of(each.base, found[each.letter] * rational(1, each.over)) != value:
                return None
        else:
            exponent = exponent_of(value, each.base)
            if exponent is None:
                return None
            found[each.letter] = exponent * rational(each.over)
    return found


def _letter(space: Space, name: str) -> Rooted:
    if name not in space.letters:
        raise CannotTell("a root or a power of a letter that no piece of the item shows")
    return Rooted({1: space.ring.gens[space.letters.index(name)]})


def _without_power(space: Space, value: Rooted, name: str) -> Rooted:
    """It divided by a power, which is never 0, where all exponents are then whole times one number above 1."""
    parts = space.powers(value, name)
    lowest = min(parts, default=0)
    if not lowest or gcd(*(exponent - lowest for exponent in parts)) < 2:
        return value
    letter = _letter(space, name)
    return sum((part * letter.power(e - lowest) if e > lowest else part for e, part in parts.items()), ZERO)


def _in_steps(space: Space, value: Rooted, name: str, step: int) -> Rooted:
    total = ZERO
    for exponent, part in space.powers(value, name).items():
        total = total + (part * _letter(space, name).power(exponent // step) if exponent else part)
    return total
