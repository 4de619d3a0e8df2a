"""What statements ask: conditions on exact polynomials.

A condition is an atom `polynomial sign 0`, or atoms joined by all / any. Where a side divides by an expression
with letters, the condition that it is not 0 goes along, so that a value for which it is undefined is no
solution.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from typing import Final, TypeAlias

from itembank.audit import formula, numbers, polynomials
from itembank.audit.findings import CannotTell
from itembank.audit.formula import NOWHERE, Node, Scope
from itembank.audit.polynomials import ONE, Polynomial
from itembank.audit.ratios import Ratio, Reading, either_signs, plus

__all__ = [
    "FALSE",
    "TRUE",
    "All",
    "Any",
    "Atom",
    "Condition",
    "alternatives",
    "condition",
    "half_unit",
    "holds",
    "of_every",
    "related",
]


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


def condition(node: Node, scope: Scope = NOWHERE, for_every: Sequence[str] = ()) -> Condition:
    """What a statement asks of its letters; with `for_every`, that it holds for every value of those.

    The two signs of ± are read over the whole statement. Raises CannotTell as `expression` does.
    """
    readings = []
    for sign in either_signs(node):
        readings.append(_statement(node, Reading(scope, sign, []), for_every))
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


def _statement(node: Node, reading: Reading, for_every: Sequence[str]) -> Condition:
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
        case formula.Relation(_, "∈", _):
            raise CannotTell("a letter is said to be a whole number within alternatives")
        case formula.Relation(left, sign, right):
            return _related(left, sign, right, reading, for_every)
        case _:
            raise CannotTell("an expression stands where a statement should")


_MOST_MODULI: Final = 4


def _by_cases(
    size: formula.Absolute, whole: formula.Relation, reading: Reading, for_every: Sequence[str]
) -> Condition:
    """A relation with an absolute value: what is inside is not negative and stands there, or its opposite does."""
    if for_every:
        raise CannotTell("a modulus, for every value of a letter")
    cases = []
    for sign, inner in (("≥", size.inner), ("<", formula.sum_of([("-", size.inner)]))):
        where = formula.Relation(size.inner, sign, formula.Numeral("0"))
        here = formula.exchanged(whole, size, inner)
        cases.append(All(tuple(_statement(part, reading, ()) for part in (here, where))))
    return Any(tuple(cases))


def _moduli(node: Node) -> list[formula.Absolute]:
    """Those of what has letters, outer ones first."""
    return [
        each
        for each in formula.walk(node)
        if isinstance(each, formula.Absolute)
        and any(isinstance(part, formula.Letter) for part in formula.walk(each))
    ]


def _related(left: Node, sign: str, right: Node, reading: Reading, for_every: Sequence[str]) -> Condition:
    whole = formula.Relation(left, sign, right)
    if moduli := _moduli(whole):
        if len(moduli) > _MOST_MODULI:
            raise CannotTell("too many moduli")
        return _by_cases(moduli[0], whole, reading, for_every)
    here = Reading(reading.scope, reading.either, [])
    difference = plus(here.ratio(left), here.ratio(right), -1)
    if sign == "≈":
        half = Ratio(polynomials.number(half_unit(right)))
        atoms = [_signed(plus(difference, half, -1), "≤"), _signed(plus(difference, half, 1), "≥")]
    elif sign in {"=", "≠"}:
        atoms = [Atom(difference.above, sign)]
    else:
        atoms = [_signed(difference, sign)]
    asked: list[Condition] = [of_every(atom, for_every) for atom in atoms]
    asked += [_not_everywhere_zero(guard, for_every) for guard in here.guards]
    if here.beside and for_every:
        raise CannotTell("a letter under a root or in an exponent, for every value of a letter")
    asked += [Atom(polynomial, of_it) for polynomial, of_it in here.beside]
    return asked[0] if len(asked) == 1 else All(tuple(asked))


def _signed(ratio: Ratio, sign: str) -> Atom:
    """above/below has the sign of above·below, where below is not 0."""
    if ratio.below == ONE:
        return Atom(ratio.above, sign)
    return Atom(polynomials.multiply(ratio.above, ratio.below), sign)


def of_every(atom: Atom, for_every: Sequence[str]) -> Condition:
    """What an atom asks where it is to hold for every value of some letters. Raises CannotTell for an inequality."""
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
