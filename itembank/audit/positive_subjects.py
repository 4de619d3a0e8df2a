"""Formulas in positive letters: what an equation says of one letter that may stand squared or under a root.

It says that the letter is plain + order·√radicand, quotients of polynomials in the other letters. A polynomial all of
whose coefficients are above 0 is positive there, and both sides may be squared where they are seen to be positive.
"""

from __future__ import annotations

from typing import NamedTuple

from itembank.audit import formula, numbers, polynomials
from itembank.audit.findings import CannotTell
from itembank.audit.formula import Node, Scope
from itembank.audit.hidden_letters import root_letter
from itembank.audit.polynomials import ONE, Polynomial
from itembank.audit.ratios import Ratio, Reading, plus

__all__ = ["holds_where_positive", "same_where_positive", "says_all_positive"]


class _Told(NamedTuple):
    """plain + order·√radicand; order 0 where there is no root."""

    plain: Ratio
    order: int
    radicand: Ratio


def same_where_positive(first: Node, second: Node, subject: str, scope: Scope) -> bool:
    """Whether two equations say the same of the subject, whatever positive numbers the letters are.

    Two values p + σ√R and q + τ√S are equal only where ((p - q)² + R - S)² = 4(p - q)²R. Raises CannotTell.
    """
    ours, theirs = _told(first, subject, scope), _told(second, subject, scope)
    between = plus(ours.plain, theirs.plain, -1)
    under = plus(ours.radicand, theirs.radicand, -1)
    if not between.above and not under.above:
        return ours.order == theirs.order or not ours.radicand.above
    squared = _times(between, between)
    inner = plus(squared, under, 1)
    four = Ratio(polynomials.scale(squared.above, 4), squared.below)
    if plus(_times(inner, inner), _times(four, ours.radicand), -1).above:
        return False
    if ours.order and theirs.order:
        raise CannotTell("it is not plain whether two sums with roots are equal")
    # one of them has no root, and the other's is the square of what is between them
    order = _sign(between) * (1 if theirs.order else -1)
    if not order:
        raise CannotTell("the sign of what is squared under a root is not seen")
    return order == (theirs.order or ours.order)


def holds_where_positive(node: Node, problem: Node, subject: str, scope: Scope) -> bool:
    """Whether an equation is true of what the problem says of the subject. Raises CannotTell."""
    value = _told(problem, subject, scope)
    difference, roots = _equation(node, scope)
    if roots:
        return same_where_positive(node, problem, subject, scope)
    even, odd = Ratio({}), Ratio({})
    for exponent, part in sorted(polynomials.by_powers(difference, subject).items()):
        plain, beside = Ratio(ONE), Ratio({})
        for _ in range(exponent):  # times plain + order·√radicand
            plain, beside = (
                plus(_times(plain, value.plain), _times(beside, value.radicand), value.order),
                plus(_times(beside, value.plain), plain, value.order),
            )
        even = plus(even, _times(plain, Ratio(part)), 1)
        odd = plus(odd, _times(beside, Ratio(part)), 1)
    return not even.above and (not odd.above or not value.radicand.above)


def says_all_positive(node: Node | None) -> frozenset[str]:
    """The letters of which a domain says that they are above 0, and nothing else; empty where it says more."""
    parts = node.parts if isinstance(node, formula.Conjunction) else (node,)
    found = set()
    for part in parts:
        match part:
            case formula.Relation(formula.Letter(name), ">", formula.Numeral("0")):
                found.add(name)
            case _:
                return frozenset()
    return frozenset(found)


class _PositiveReading(Reading):
    """Keeps what stands under each root, and takes the line of a quotient out of it."""

    def __init__(self, scope: Scope) -> None:
        super().__init__(scope, 0, [])
        self.roots: dict[str, Polynomial] = {}

    def ratio(self, node: Node) -> Ratio:
        match node:
            case formula.Root(radicand, 2):
                inside = super().ratio(radicand)
                if polynomials.letters(inside.above) or polynomials.letters(inside.below):
                    return self._under_root(inside)
        return super().ratio(node)

    def _under_root(self, radicand: Ratio) -> Ratio:
        below = _sign_of(radicand.below)
        if not below:
            raise CannotTell("the sign of what is divided by under a root is not seen")
        inside = polynomials.multiply(radicand.above, radicand.below)
        if polynomials.letters(inside) & set(self.roots):
            raise CannotTell("a root stands under a root")
        name = root_letter(inside, 2)
        self.roots[name] = inside
        return Ratio(polynomials.letter(name), polynomials.scale(radicand.below, below))


def _equation(node: Node, scope: Scope) -> tuple[Polynomial, dict[str, Polynomial]]:
    """What is 0 where an equation holds, and what stands under the letters that are roots."""
    if not isinstance(node, formula.Relation) or node.sign != "=" or formula.has_either_sign(node):
        raise CannotTell("a formula is one equation")
    reading = _PositiveReading(scope)
    difference = plus(reading.ratio(node.left), reading.ratio(node.right), -1)
    return difference.above, reading.roots


def _told(node: Node, subject: str, scope: Scope) -> _Told:
    whole, roots = _equation(node, scope)
    without, with_roots, root = _apart(whole, roots)
    inside = _product_of(root, roots)
    if not with_roots:
        return _from_one(without, subject)
    if not without:
        return _from_one(with_roots, subject)
    if not polynomials.letters(with_roots) & {subject} and subject not in polynomials.letters(inside):
        powers = polynomials.by_powers(without, subject)
        if max(powers) == 1:
            order = -_sign_of(powers[1]) * _sign_of(with_roots)
            if not order:
                raise CannotTell("the sign of what stands before a root is not seen")
            radicand = polynomials.multiply(polynomials.power(with_roots, 2), inside)
            plain = Ratio(polynomials.scale(powers.get(0, {}), -1), powers[1])
            return _real(_Told(plain, order, Ratio(radicand, polynomials.power(powers[1], 2))))
    if _sign_of(without) * _sign_of(with_roots) != -1:
        raise CannotTell("it is not seen that both sides are positive")
    left = polynomials.power(without, 2)
    right = polynomials.multiply(polynomials.power(with_roots, 2), inside)
    return _from_one(polynomials.subtract(left, right), subject)


def _apart(whole: Polynomial, roots: dict[str, Polynomial]) -> tuple[Polynomial, Polynomial, frozenset[str]]:
    """What stands beside no root, what beside one product of roots, and which; of two products all is taken times one.

    Where each of two groups has roots, the whole is multiplied by those of the first.
    """
    groups = _groups(whole, roots)
    if frozenset() not in groups and len(groups) == 2:
        for name in sorted(next(iter(groups))):
            whole = polynomials.multiply(whole, polynomials.letter(name))
        groups = _groups(whole, roots)
    if len(groups.keys() - {frozenset()}) > 1:
        raise CannotTell("more than one root stands beside other terms")
    without = groups.pop(frozenset(), {})
    names, beside = next(iter(groups.items()), (frozenset[str](), {}))
    return without, beside, names


def _groups(whole: Polynomial, roots: dict[str, Polynomial]) -> dict[frozenset[str], Polynomial]:
    found: dict[frozenset[str], Polynomial] = {}
    for monomial, factor in whole.items():
        term: Polynomial = {tuple(pair for pair in monomial if pair[0] not in roots): factor}
        odd = frozenset(name for name, count in monomial if name in roots and count % 2)
        for name, count in monomial:
            if name in roots:
                term = polynomials.multiply(term, polynomials.power(roots[name], count // 2))
        found[odd] = polynomials.add(found.get(odd, {}), term)
    return {names: part for names, part in found.items() if part}


def _product_of(names: frozenset[str], roots: dict[str, Polynomial]) -> Polynomial:
    """What stands under the root that a product of roots is."""
    product = ONE
    for name in sorted(names):
        product = polynomials.multiply(product, roots[name])
    return product


def _from_one(polynomial: Polynomial, subject: str) -> _Told:
    powers = polynomials.by_powers(polynomial, subject)
    lowest, highest = min(powers, default=0), max(powers, default=0)
    if len(powers) != 2 or highest - lowest > 2:
        raise CannotTell(f"it is no equation in one power of {subject}, the first or the second")
    found = Ratio(polynomials.scale(powers[lowest], -1), powers[highest])
    if highest - lowest == 1:
        return _Told(found, 0, Ratio({}))
    return _real(_Told(Ratio({}), 1, found))


def _real(told: _Told) -> _Told:
    if _sign(told.radicand) < 0:
        raise CannotTell("a root of what is negative where all letters are positive")
    return told


def _sign(ratio: Ratio) -> int:
    return _sign_of(ratio.above) * _sign_of(ratio.below)


def _sign_of(polynomial: Polynomial) -> int:
    """1 or -1 where all coefficients have this sign, 0 where it is not seen."""
    signs = {numbers.sign(value) for value in polynomial.values()}
    return signs.pop() if len(signs) == 1 else 0


def _times(first: Ratio, second: Ratio) -> Ratio:
    return Ratio(
        polynomials.multiply(first.above, second.above), polynomials.multiply(first.below, second.below)
    )
