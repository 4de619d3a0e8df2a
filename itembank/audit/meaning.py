"""From a formula to exact polynomials: expressions become quotients, statements conditions on polynomials.

A condition is an atom `polynomial sign 0`, or atoms joined by all / any. Where a formula divides by an expression
with letters, the condition that it is not 0 goes along, so that a value for which a side is undefined is no
solution.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import product
from math import gcd, lcm
from typing import Final, TypeAlias

from itembank.audit import formula, numbers, polynomials
from itembank.audit.findings import CannotTell
from itembank.audit.formula import Node
from itembank.audit.numbers import Number
from itembank.audit.polynomials import ONE, Polynomial

__all__ = ["FALSE", "TRUE", "All", "Any", "Atom", "Condition", "Ratio", "condition", "expression", "half_unit", "holds"]


@dataclass(frozen=True, slots=True)
class Ratio:
    """above / below; below is not the zero polynomial."""

    above: Polynomial
    below: Polynomial = field(default_factory=lambda: ONE)


@dataclass(frozen=True, slots=True)
class Atom:
    """polynomial sign 0, sign one of = ≠ < ≤ > ≥."""

    polynomial: Polynomial
    sign: str


@dataclass(frozen=True, slots=True)
class All:
    """Every part holds."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Any:
    """Some part holds."""

    parts: tuple[Condition, ...]


Condition: TypeAlias = Atom | All | Any
TRUE: Final = All(())
FALSE: Final = Any(())


@dataclass(slots=True)
class _Reading:
    """One reading of a formula: ± as `either`; guards gathers what must not be 0."""

    unknowns: Sequence[str]
    either: int
    guards: list[Polynomial]

    def ratio(self, node: Node) -> Ratio:
        match node:
            case formula.Numeral(text):
                value = Fraction(text)
                return Ratio(polynomials.number(value.numerator if value.denominator == 1 else value))
            case formula.Letter(name):
                return Ratio(polynomials.letter(name))
            case formula.Sum(terms):
                total = Ratio({})
                for sign, term in terms:
                    total = _plus(total, self.ratio(term), self._factor(sign))
                return total
            case formula.Product(factors):
                product = self.ratio(factors[0])
                for factor in factors[1:]:
                    product = _times(product, self.ratio(factor))
                return product
            case formula.Quotient(numerator, denominator):
                return _times(self.ratio(numerator), self._inverse(self.ratio(denominator)))
            case formula.Power(base, exponent):
                return self._power(self.ratio(base), _value(self.ratio(exponent)))
            case formula.Root(radicand, index):
                return Ratio(polynomials.number(numbers.exact_root(_value(self.ratio(radicand)), index)))
            case formula.Absolute(inner):
                value_inside = _value(self.ratio(inner))
                return Ratio(polynomials.number(value_inside if numbers.sign(value_inside) >= 0 else -value_inside))
            case formula.Apply(function, arguments):
                return self._apply(function, arguments)
            case _:
                raise CannotTell("a statement or a point stands inside an expression")

    def _factor(self, sign: str) -> int:
        if sign == "±":
            if not self.either:
                raise CannotTell("± has two values here")
            return self.either
        return -1 if sign == "-" else 1

    def _inverse(self, ratio: Ratio) -> Ratio:
        if not ratio.above:
            raise CannotTell("a division by zero")
        if polynomials.constant(ratio.above) is None:
            self.guards.append(ratio.above)
        return Ratio(ratio.below, ratio.above)

    def _power(self, base: Ratio, exponent: Number) -> Ratio:
        if not isinstance(exponent, int):
            raise CannotTell("an exponent that is not a whole number")
        if exponent < 0:
            base, exponent = self._inverse(base), -exponent
        return Ratio(polynomials.power(base.above, exponent), polynomials.power(base.below, exponent))

    def _apply(self, function: str, arguments: tuple[Node, ...]) -> Ratio:
        if function == "discriminant" and len(arguments) == 1:
            return Ratio(self._discriminant(arguments[0]))
        values = [_value(self.ratio(argument)) for argument in arguments]
        if function in {"min", "max"}:
            best = values[0]
            for value in values[1:]:
                if (numbers.sign(value - best) > 0) == (function == "max"):
                    best = value
            return Ratio(polynomials.number(best))
        whole = [value for value in values if isinstance(value, int)]
        if function not in {"gcd", "lcm"} or len(whole) != len(values):
            raise CannotTell(f"{function} of what are not whole numbers")
        return Ratio(polynomials.number(gcd(*whole) if function == "gcd" else lcm(*whole)))

    def _discriminant(self, argument: Node) -> Polynomial:
        name = formula.main_letter(argument, self.unknowns)
        if isinstance(argument, formula.Relation) and argument.sign == "=":
            argument = formula.sum_of([("+", argument.left), ("-", argument.right)])
        inner = self.ratio(argument)
        below = polynomials.constant(inner.below)
        if not name or below is None:
            raise CannotTell("it is not plain in which letter the discriminant is meant")
        parts = polynomials.by_powers(polynomials.scale(inner.above, numbers.divide(1, below)), name)
        if max(parts, default=0) != 2:
            raise CannotTell("the discriminant of what is no quadratic")
        first, second, third = (parts.get(exponent, {}) for exponent in (2, 1, 0))
        mixed = polynomials.scale(polynomials.multiply(first, third), 4)
        return polynomials.subtract(polynomials.multiply(second, second), mixed)


def expression(node: Node, unknowns: Sequence[str] = ()) -> list[Ratio]:
    """What an expression is; two quotients where it shows ±, the upper sign first.

    Raises CannotTell for statements, roots of letters, and what is over a bound.
    """
    return [_Reading(unknowns, sign, []).ratio(node) for sign in _either_signs(node)]


def condition(node: Node, unknowns: Sequence[str] = (), for_every: Sequence[str] = ()) -> Condition:
    """What a statement asks of its letters; with `for_every`, that it holds for every value of those.

    The two signs of ± are read over the whole statement. Raises CannotTell as `expression` does.
    """
    readings = []
    for sign in _either_signs(node):
        readings.append(_statement(node, _Reading(unknowns, sign, []), for_every))
    return readings[0] if len(readings) == 1 else Any(tuple(readings))


def holds(asked: Condition) -> bool | None:
    """Whether a condition without letters is true; None where letters decide."""
    match asked:
        case Atom(polynomial, sign):
            value = polynomials.constant(polynomial)
            return None if value is None else related(numbers.sign(value), sign)
        case All(parts):
            found = [holds(part) for part in parts]
            return False if False in found else None if None in found else True
        case Any(parts):
            found = [holds(part) for part in parts]
            return True if True in found else None if None in found else False


def related(order: int, sign: str) -> bool:
    """Whether a number of sign `order` (-1, 0, 1) stands to 0 as asked."""
    return {
        "=": order == 0, "≠": order != 0, "<": order < 0, "≤": order <= 0, ">": order > 0, "≥": order >= 0,
    }[sign]  # fmt: skip


def half_unit(node: Node) -> Fraction:
    """Half a unit in the last place shown of a decimal, perhaps with a sign. Raises CannotTell for anything else."""
    if isinstance(node, formula.Sum) and len(node.terms) == 1 and node.terms[0][0] != "±":
        return half_unit(node.terms[0][1])
    if not isinstance(node, formula.Numeral):
        raise CannotTell("≈ is not followed by a decimal")
    return Fraction(1, 2 * 10 ** len(node.text.partition(".")[2]))


def _either_signs(node: Node) -> tuple[int, ...]:
    return (1, -1) if formula.has_either_sign(node) else (0,)


def _statement(node: Node, reading: _Reading, for_every: Sequence[str]) -> Condition:
    match node:
        case formula.Nothing():
            return FALSE
        case formula.Conjunction(parts):
            return All(tuple(_statement(part, reading, for_every) for part in parts))
        case formula.Alternatives(parts):
            # for equations "for every x" distributes over "or": a product of polynomials is zero when one of
            # them is; for other signs it does not
            if for_every and any(formula.has_relation(node, sign) for sign in "≠<≤>≥≈"):
                raise CannotTell("alternatives of inequalities for every value of a letter")
            return Any(tuple(_statement(part, reading, for_every) for part in parts))
        case formula.Relation(formula.Point(x, y), "=", formula.Point(u, v)):
            both = (formula.Relation(x, "=", u), formula.Relation(y, "=", v))
            return All(tuple(_statement(part, reading, for_every) for part in both))
        case formula.Relation(left, sign, right):
            return _related(left, sign, right, reading, for_every)
        case _:
            raise CannotTell("an expression stands where a statement should")


def _related(left: Node, sign: str, right: Node, reading: _Reading, for_every: Sequence[str]) -> Condition:
    here = _Reading(reading.unknowns, reading.either, [])
    difference = _plus(here.ratio(left), here.ratio(right), -1)
    if sign == "≈":
        half = Ratio(polynomials.number(half_unit(right)))
        atoms = [_signed(_plus(difference, half, -1), "≤"), _signed(_plus(difference, half, 1), "≥")]
    elif sign in {"=", "≠"}:
        atoms = [Atom(difference.above, sign)]
    else:
        atoms = [_signed(difference, sign)]
    asked: list[Condition] = [_for_every(atom, for_every) for atom in atoms]
    asked += [_not_everywhere_zero(guard, for_every) for guard in here.guards]
    return asked[0] if len(asked) == 1 else All(tuple(asked))


def _signed(ratio: Ratio, sign: str) -> Atom:
    """above/below has the sign of above·below, where below is not 0."""
    if ratio.below == ONE:
        return Atom(ratio.above, sign)
    return Atom(polynomials.multiply(ratio.above, ratio.below), sign)


def _for_every(atom: Atom, for_every: Sequence[str]) -> Condition:
    if polynomials.letters(atom.polynomial).isdisjoint(for_every):
        return atom
    if atom.sign != "=":
        raise CannotTell("an inequality for every value of a letter")
    return All(tuple(Atom(part, "=") for part in _coefficients(atom.polynomial, for_every)))


def _not_everywhere_zero(guard: Polynomial, for_every: Sequence[str]) -> Condition:
    parts = _coefficients(guard, for_every)
    return Atom(parts[0], "≠") if len(parts) == 1 else Any(tuple(Atom(part, "≠") for part in parts))


def _coefficients(polynomial: Polynomial, for_every: Sequence[str]) -> list[Polynomial]:
    parts = [polynomial]
    for name in for_every:
        parts = [part for each in parts for part in polynomials.by_powers(each, name).values()]
    return parts


def _plus(first: Ratio, second: Ratio, factor: int) -> Ratio:
    if first.below == second.below:
        above = polynomials.add(first.above, polynomials.scale(second.above, factor))
        return Ratio(above, first.below)
    left = polynomials.multiply(first.above, second.below)
    right = polynomials.scale(polynomials.multiply(second.above, first.below), factor)
    return Ratio(polynomials.add(left, right), polynomials.multiply(first.below, second.below))


def _times(first: Ratio, second: Ratio) -> Ratio:
    above = polynomials.multiply(first.above, second.above)
    below = polynomials.multiply(first.below, second.below)
    value = polynomials.constant(below)
    if value is not None and value != 1:
        return Ratio(polynomials.scale(above, numbers.divide(1, value)))
    return Ratio(above, below)


def _value(ratio: Ratio) -> Number:
    above, below = polynomials.constant(ratio.above), polynomials.constant(ratio.below)
    if above is None or below is None:
        raise CannotTell("a letter under a root, in an exponent or between bars")
    return numbers.divide(above, below)


def alternatives(asked: Condition, bound: int = 64) -> list[list[Atom]]:
    """The condition as alternatives, each a list of atoms that hold together. Raises CannotTell above the bound."""
    match asked:
        case Atom():
            return [[asked]]
        case Any(parts):
            found = [each for part in parts for each in alternatives(part, bound)]
        case All(parts):
            found = [[]]
            for part in parts:
                found = [[*a, *b] for a, b in product(found, alternatives(part, bound))]
                if len(found) > bound:
                    raise CannotTell("too many alternatives")
    if len(found) > bound:
        raise CannotTell("too many alternatives")
    return found
