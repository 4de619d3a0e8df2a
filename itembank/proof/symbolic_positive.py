"""Formulas in positive letters on the second road: sums of roots over sympy's field of quotients, in one normal form.

A value is kept as c_1*√r_1 + c_2*√r_2 + ... with different radicands, each a squarefree polynomial times a squarefree
integer, and coefficients that are quotients: the roots of different such radicands are linearly independent over the
quotients, so two values are equal exactly when their terms are. All letters are positive numbers, and so is every
polynomial whose coefficients are all above 0.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache, reduce
from typing import Any

from sympy import QQ
from sympy.polys.fields import FracField

from itembank.expressions import tree
from itembank.expressions.tree import Node
from itembank.proof.symbolic_numbers import CannotTell, Rooted, square_root_parts
from itembank.proof.symbolic_text import Piece

__all__ = ["PositiveFormula", "positive_holds_for", "positive_letters", "solved_where_positive"]

LARGEST_EXPONENT = 12


@dataclass(frozen=True, slots=True)
class PositiveFormula:
    """What a subject is: radicand -> coefficient, as a set."""

    terms: frozenset[tuple[Any, Any]]


def solved_where_positive(read: Piece, subject: str, letters: Sequence[str]) -> PositiveFormula:
    """What an equation says of its subject where every letter is positive; letters: the others.

    Raises CannotTell where it does not say one thing.
    """
    reader = _Reader(read, _field((subject, *letters)))
    found = _solve(_difference(reader, read), reader.field)
    return PositiveFormula(frozenset(found.items()))


def positive_holds_for(read: Piece, subject: str, letters: Sequence[str], value: PositiveFormula) -> bool:
    """Whether an equation is true with a formula put in for its subject, whatever positive numbers the letters are."""
    field = _field((subject, *letters))
    reader = _Reader(read, field, {subject: dict(value.terms)})
    return not _difference(reader, read)


def positive_letters(read: Piece) -> frozenset[str] | None:
    """The letters of which a statement says that they are above 0; None where it says anything else."""
    parts = read.node.parts if isinstance(read.node, tree.And) else (read.node,)
    found = set()
    for part in parts:
        match part:
            case tree.Relation((tree.Name(name), tree.Number(ordinal)), (">",)) if not (
                read.numerals[int(ordinal)].value
            ):
                found.add(name)
            case _:
                return None
    return frozenset(found)


_Value = dict[Any, Any]
"""radicand, a polynomial of the field's ring -> coefficient, an element of the field, never 0."""


@lru_cache(maxsize=200)
def _field(letters: tuple[str, ...]) -> Any:
    return FracField(letters, QQ)


def _difference(reader: _Reader, read: Piece) -> _Value:
    match read.node:
        case tree.Relation((left, right), ("=",)) if not read.pattern.has_either_sign:
            return reader.plus(reader.value(left), reader.value(right), -1)
        case _:
            raise CannotTell("a formula is one equation")


def _order(polynomial: Any) -> int:
    """The sign of a polynomial all of whose coefficients have it; 0 where it is not seen."""
    signs = {1 if value > 0 else -1 for value in polynomial.values()}
    return signs.pop() if len(signs) == 1 else 0


def _sign(quotient: Any) -> int:
    return _order(quotient.numer) * _order(quotient.denom)


def _root(radicand: Any, field: Any) -> _Value:
    """The square root of a quotient, its squares taken out."""
    if not radicand:
        return {}
    below = _order(radicand.denom)
    if not below:
        raise CannotTell("the sign of what is divided by under a root is not seen")
    content, factors = (radicand.numer * radicand.denom).sqf_list()
    content = QQ.to_sympy(QQ.convert(content))
    sign = 1 if content > 0 else -1
    outside_number, inside_number = square_root_parts(int(abs(content.p) * content.q))
    outside = field(QQ(below * outside_number, int(content.q))) / field(radicand.denom)
    inside = field.ring(QQ(sign * inside_number))
    for factor, power in factors:
        if power // 2 % 2 and not _order(factor):
            raise CannotTell("the sign of what is squared under a root is not seen")
        outside = outside * field((factor * (_order(factor) or 1)) ** (power // 2))
        if power % 2:
            inside = inside * factor
    if _order(inside) < 0:
        raise CannotTell("a root of what is negative where all letters are positive")
    return {inside: outside}


class _Reader:
    """Reads a tree. known: values that are put in for letters."""

    def __init__(self, read: Piece, field: Any, known: Mapping[str, _Value] | None = None) -> None:
        self.numerals = read.numerals
        self.field = field
        self.one = field.ring(1)
        self.known = known or {}
        self.letters = dict(zip(map(str, field.symbols), field.gens, strict=True))

    def value(self, node: Node) -> _Value:
        match node:
            case tree.Number(ordinal):
                return self._number(self.numerals[int(ordinal)].value)
            case tree.Name(name) if name in self.known:
                return self.known[name]
            case tree.Name(name):
                if name not in self.letters:
                    raise CannotTell(f"{name} is no letter of the formula")
                return {self.one: self.letters[name]}
            case tree.Sum(first, rest):
                total = self.value(first)
                for operator, term in rest:
                    total = self.plus(total, self.value(term), -1 if operator == "-" else 1)
                return total
            case tree.Negation(operand):
                return self.plus({}, self.value(operand), -1)
            case tree.Product(factors):
                return reduce(self.times, map(self.value, factors))
            case tree.Quotient(numerator, denominator):
                return self.times(self.value(numerator), self.inverse(self.value(denominator)))
            case tree.Power(base, exponent):
                return self._power(self.value(base), self._integer(exponent))
            case tree.Call("sqrt" | "surd", (radicand,)):
                inside = self.value(radicand)
                if set(inside) - {self.one}:
                    raise CannotTell("a root stands under a root")
                return _root(inside.get(self.one, self.field(0)), self.field)
            case tree.Call("keep" | "value" | "expand" | "factor", (inner,)):
                return self.value(inner)
            case _:
                raise CannotTell("something is not read where all letters are positive")

    def plus(self, first: _Value, second: _Value, factor: int) -> _Value:
        """first + factor * second."""
        total = dict(first)
        for radicand, coefficient in second.items():
            total[radicand] = total.get(radicand, self.field(0)) + coefficient * factor
        return {radicand: coefficient for radicand, coefficient in total.items() if coefficient}

    def times(self, first: _Value, second: _Value) -> _Value:
        total: _Value = {}
        for one, factor in first.items():
            for other, by in second.items():
                if one == other:
                    product = {self.one: self.field(one)}
                else:
                    product = _root(self.field(one) * self.field(other), self.field)
                scaled = {radicand: value * factor * by for radicand, value in product.items()}
                total = self.plus(total, scaled, 1)
        return total

    def inverse(self, value: _Value) -> _Value:
        """1 divided by a value of one term, or of a plain one and a root."""
        if not value:
            raise CannotTell("something is divided by 0")
        if len(value) == 1:
            ((radicand, coefficient),) = value.items()
            return {radicand: 1 / (coefficient * self.field(radicand))}
        if len(value) > 2 or self.one not in value:
            raise CannotTell("something is divided by a sum of roots")
        turned = {radicand: part if radicand == self.one else -part for radicand, part in value.items()}
        return self.times(turned, self.inverse(self.times(value, turned)))

    def _power(self, base: _Value, exponent: int) -> _Value:
        if abs(exponent) > LARGEST_EXPONENT:
            raise CannotTell(f"the exponent {exponent} is out of bounds")
        factor = base if exponent >= 0 else self.inverse(base)
        return reduce(self.times, [factor] * abs(exponent), {self.one: self.field(1)})

    def _integer(self, node: Node) -> int:
        found = self.value(node)
        number = found.get(self.one, self.field(0))
        if set(found) - {self.one} or not number.numer.is_ground or number.denom != 1:
            raise CannotTell("an exponent that is no whole number")
        value = QQ.to_sympy(QQ.convert(number.numer.coeff(1)))
        if value.q != 1:
            raise CannotTell("an exponent that is no whole number")
        return int(value)

    def _number(self, number: Rooted) -> _Value:
        plain = number.rational_part()
        return {self.one: self.field(plain)} if plain else {}


def _solve(whole: _Value, field: Any) -> _Value:
    """The subject, the field's first letter, from a value that is 0."""
    one = field.ring(1)
    if not whole:
        raise CannotTell("both sides are the same, whatever the subject is")
    shared = reduce(lambda total, part: _common(total, part.denom), whole.values(), one)
    whole = {radicand: part * field(shared) for radicand, part in whole.items()}
    beside = [radicand for radicand in whole if radicand != one]
    if one in whole and beside:
        powers = _powers(whole[one], field)
        free = all(
            not radicand.degree(0) > 0 and _powers(whole[radicand], field).keys() == {0}
            for radicand in beside
        )
        if free and max(powers) == 1:
            found = {radicand: -whole[radicand] / powers[1] for radicand in beside}
            rest = powers.get(0)
            return {**found, one: -rest / powers[1]} if rest else found
    if len(whole) == 1:
        ((_, alone),) = whole.items()
        return _from_one(alone, field)
    if len(whole) > 2:
        raise CannotTell("more than one root stands beside other terms")
    (first, by), (second, factor) = whole.items()
    if _sign(by) * _sign(factor) != -1:
        raise CannotTell("it is not seen that both sides are positive")
    return _from_one(by**2 * field(first) - factor**2 * field(second), field)


def _from_one(value: Any, field: Any) -> _Value:
    powers = _powers(value, field)
    lowest, highest = min(powers), max(powers)
    if len(powers) != 2 or highest - lowest > 2:
        raise CannotTell("it is no equation in one power of the subject, the first or the second")
    found = -powers[lowest] / powers[highest]
    return {field.ring(1): found} if highest - lowest == 1 else _root(found, field)


def _powers(value: Any, field: Any) -> dict[int, Any]:
    """exponent of the first letter -> its coefficient, above the line; below it does not stand any more."""
    found: dict[int, Any] = {}
    for monomial, number in value.numer.iterterms():
        rest = field(field.ring.term_new((0, *monomial[1:]), number))
        found[monomial[0]] = found.get(monomial[0], field(0)) + rest
    return found


def _common(first: Any, second: Any) -> Any:
    return first.lcm(second)
