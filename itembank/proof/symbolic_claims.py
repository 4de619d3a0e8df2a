"""Guarantees and rows of words on the second road: each property from sympy's numbers, by its meaning.

The catalogue says what a property means; nothing here knows the other provers or the tests of the search.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import gcd
from types import MappingProxyType
from typing import Any

from sympy import QQ, igcd, integer_nthroot

from itembank.expressions import tree
from itembank.expressions.numbers import Exact, Surd
from itembank.expressions.plain import plain
from itembank.expressions.tree import Node
from itembank.items import Item
from itembank.proof.extensions import AGAIN
from itembank.proof.guarantees import with_displayed
from itembank.proof.symbolic_numbers import ZERO, CannotTell, Rooted, rational, square_root_parts
from itembank.proof.symbolic_part import Asked
from itembank.proof.symbolic_reading import Space, space
from itembank.properties.catalogue import PROPERTIES
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["SYMBOLIC_PROPERTIES", "claim_holds", "has_property", "prove_claim", "rooted"]

SIZE_BOUND = 10**100


def prove_claim(node: Node, item: Item, asked: Asked) -> Verdict:
    """Whether a guarantee holds for an item; `problem` in it is the problem of `asked`, read back."""
    try:
        holds = claim_holds(node, item, asked, {})
    except CannotTell as stuck:
        return Undecided(str(stuck))
    if holds:
        return Proved(f"{plain(node)} (sympy)")
    return Refuted(f"sympy finds {plain(node)} wrong")


def claim_holds(node: Node, item: Item, asked: Asked, answer: Mapping[str, Rooted]) -> bool:
    """Whether a statement holds, given values of unknowns beside the item's. Raises CannotTell."""
    values = {name: rooted(value) for name, value in item.values.items() if not isinstance(value, str)}
    return _Claim(asked, {**values, **answer}).holds(node)


def rooted(value: Exact) -> Rooted:
    """An exact number in sympy's numbers.

    >>> rooted(3) == rational(3)
    True
    """
    if isinstance(value, Surd):
        return Rooted({radicand: QQ(c.numerator, c.denominator) for radicand, c in value.terms})
    return rational(value.numerator, value.denominator)


class _Claim:
    def __init__(self, asked: Asked, values: Mapping[str, Rooted]) -> None:
        self.asked = asked
        self.values = values

    def holds(self, node: Node) -> bool:
        match node:
            case tree.And(parts):
                return self._decided(parts, False)
            case tree.Or(parts):
                return self._decided(parts, True)
            case tree.Not(part):
                return not self.holds(part)
            case tree.Call(name, arguments) if name in PROPERTIES:
                return has_property(name, self._arguments(name, arguments))
            case _:
                node = with_displayed(node, self.asked.part)
                return self._space(node).node_holds(node, self.values)

    def _decided(self, parts: tuple[Node, ...], deciding: bool) -> bool:
        """One part with the deciding truth value is enough, whatever the others are."""
        stuck: CannotTell | None = None
        for part in parts:
            try:
                if self.holds(part) == deciding:
                    return deciding
            except CannotTell as reason:
                stuck = reason
        if stuck is not None:
            raise stuck
        return not deciding

    def _space(self, node: Node) -> Space:
        letters = sorted(set(tree.names(node)) - set(self.values))
        return space(tuple(letters), self.asked.space.main_letter)

    def _arguments(self, name: str, arguments: tuple[Node, ...]) -> tuple[Any, ...]:
        if PROPERTIES[name].takes == "polynomial":
            return self._coefficients(arguments[0])
        return tuple(_rational(self._value(argument).number()) for argument in arguments)

    def _value(self, node: Node) -> Rooted:
        if node == tree.Name("problem"):
            return self.asked.space.value(self.asked.problem)
        node = with_displayed(node, self.asked.part)
        return self._space(node).of_node(node, self.values)

    def _coefficients(self, node: Node) -> tuple[Any, ...]:
        main = self.asked.space.main_letter
        if node == tree.Name("problem"):
            within, value = self.asked.space, self._problem()
        else:
            node = with_displayed(node, self.asked.part)
            within = self._space(node)
            value = (
                within.of_node(node.operands[0], self.values) - within.of_node(node.operands[1], self.values)
                if isinstance(node, tree.Relation) and node.operators == ("=",)
                else within.of_node(node, self.values)
            )
        found = within.letters_in(value)
        letter = found[0] if len(found) == 1 else main
        powers = within.powers(value, letter)
        if max(powers, default=0) > 2:
            raise CannotTell(f"the degree in {letter} is above 2")
        return tuple(_rational(powers.get(exponent, ZERO).number()) for exponent in (2, 1, 0))

    def _problem(self) -> Rooted:
        asked = self.asked
        if not asked.problem.pattern.is_statement:
            return asked.space.value(asked.problem)
        alternatives = asked.space.alternatives(asked.problem)
        if len(alternatives) != 1 or len(alternatives[0].zero) != 1 or alternatives[0].not_zero:
            raise CannotTell("the problem is not a single equation without letters in denominators")
        return alternatives[0].zero[0]


def _rational(value: Rooted) -> Any:
    if not value.is_rational():
        raise CannotTell("a root stands where a rational number is needed")
    return value.rational_part()


def has_property(name: str, arguments: tuple[Any, ...]) -> bool:
    """Whether rational numbers (elements of QQ) have a property of the catalogue. Raises CannotTell.

    arguments: a polynomial's three coefficients from the highest power; one number; integers; a numerator and a
    denominator as written.
    """
    for argument in arguments:
        if max(abs(QQ.numer(argument)), QQ.denom(argument)) > SIZE_BOUND:
            raise CannotTell("a number has more than 100 digits, and there the proofs stop")
    if name in AGAIN:
        return bool(AGAIN[name](*(Fraction(int(QQ.numer(v)), int(QQ.denom(v))) for v in arguments)))
    if PROPERTIES[name].takes == "polynomial":
        return SYMBOLIC_PROPERTIES[name](_Polynomial(*arguments))
    if PROPERTIES[name].takes == "number":
        (value,) = arguments
        return SYMBOLIC_PROPERTIES[name](int(QQ.numer(value)), int(QQ.denom(value)))
    if any(QQ.denom(argument) != 1 for argument in arguments):
        raise CannotTell("a whole number is needed here")
    return SYMBOLIC_PROPERTIES[name](*(int(QQ.numer(argument)) for argument in arguments))


@dataclass(frozen=True)
class _Polynomial:
    """a*t^2 + b*t + c over QQ."""

    a: Any
    b: Any
    c: Any

    @property
    def degree(self) -> int:
        """2, 1 or 0; 0 for the zero polynomial too."""
        return 2 if self.a else 1 if self.b else 0

    @cached_property
    def discriminant(self) -> Any:
        """b^2 - 4ac."""
        return self.b**2 - 4 * self.a * self.c

    @cached_property
    def count(self) -> int:
        """How many distinct real roots; 0 for a constant."""
        if self.degree < 2:
            return self.degree
        return 1 + int(self.discriminant > 0) - int(self.discriminant < 0)

    @cached_property
    def rational(self) -> tuple[Any, ...] | None:
        """The distinct real roots where they are rational, else None."""
        if self.degree == 0:
            return ()
        if self.degree == 1:
            return (-self.c / self.b,)
        root = _rational_root(self.discriminant)
        return None if root is None else tuple({(sign * root - self.b) / (2 * self.a) for sign in (1, -1)})

    @property
    def integers(self) -> bool:
        """Whether all real roots are integers."""
        return self.rational is not None and all(map(_is_integer, self.rational))

    @property
    def factorable(self) -> bool:
        """Whether a quadratic with rational linear factors."""
        return self.degree == 2 and self.count > 0 and self.rational is not None


def _rational_root(value: Any) -> Any | None:
    """The root >= 0 of a rational number where it is rational, else None."""
    if value < 0:
        return None
    (above, over), (below, under) = (
        integer_nthroot(int(part), 2) for part in (QQ.numer(value), QQ.denom(value))
    )
    return QQ(int(above), int(below)) if over and under else None


def _is_integer(value: Any) -> bool:
    return bool(QQ.denom(value) == 1)


def _primitive(polynomial: _Polynomial) -> bool:
    coefficients = (polynomial.a, polynomial.b, polynomial.c)
    return all(map(_is_integer, coefficients)) and igcd(*(int(QQ.numer(c)) for c in coefficients)) == 1


def _squarefree(n: int, d: int) -> bool:
    return d == 1 and n >= 1 and square_root_parts(n) == (1, n)


def _simplifiable(n: int, d: int) -> bool:
    return d == 1 and n >= 2 and 1 not in square_root_parts(n)


def _terminating(n: int, d: int) -> bool:
    for prime in (2, 5):
        while d % prime == 0:
            d //= prime
    return d == 1


SYMBOLIC_PROPERTIES: Mapping[str, Callable[..., bool]] = MappingProxyType(
    {
        "real_roots": lambda p: p.count > 0,
        "no_real_roots": lambda p: p.count == 0 and bool(p.a or p.b or p.c),
        "distinct_roots": lambda p: p.count == 2,
        "repeated_root": lambda p: p.degree == 2 and p.count == 1,
        "factorable": lambda p: p.factorable,
        "not_factorable": lambda p: p.degree == 2 and not p.factorable,
        "rational_roots": lambda p: p.count > 0 and p.rational is not None,
        "irrational_roots": lambda p: p.count == 2 and p.rational is None,
        "integer_roots": lambda p: p.count > 0 and p.integers,
        "perfect_square": lambda p: p.degree == 2 and p.count == 1 and _rational_root(p.a) is not None,
        "monic": lambda p: p.degree > 0 and (p.a or p.b) == 1,
        "even_linear_coefficient": lambda p: p.degree == 2 and _is_integer(p.b / 2),
        "primitive": _primitive,
        "integer_valued": lambda n, d: d == 1,
        "is_square": lambda n, d: d == 1 and n >= 0 and bool(integer_nthroot(n, 2)[1]),
        "squarefree": _squarefree,
        "simplest_surd": lambda n, d: n >= 2 and _squarefree(n, d),
        "simplifiable_surd": _simplifiable,
        "terminating_decimal": _terminating,
        "coprime": lambda *integers: igcd(*integers) == 1,
        "reduced": lambda n, d: d > 0 and gcd(n, d) == 1,
    }
)
"""Every property of the catalogue by its name."""
