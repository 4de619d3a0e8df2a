"""Multiplying out a tree once, with its parameters as letters: descending powers of the unknowns."""

from __future__ import annotations

from collections.abc import Callable, Collection
from fractions import Fraction
from typing import TypeAlias, TypeVar

from itembank.errors import BoundExceeded, DomainError
from itembank.expressions import tree
from itembank.expressions.plain import plain
from itembank.expressions.tree import Node

T = TypeVar("T")
Powers: TypeAlias = tuple[tuple[T, int], ...]
"""Different bases with their exponents, ascending by their text."""

Letters: TypeAlias = Powers[str]
Atoms: TypeAlias = Powers[Node]
"""Parts without a letter, which are worked out for each item."""

Terms: TypeAlias = dict[tuple[Letters, Atoms], Fraction]

_ROOTS = frozenset({"sqrt", "surd", "root"})

MAXIMUM_TERMS = 200
MAXIMUM_EXPONENT = 12


def expanded(node: Node, values: Collection[str]) -> Node:
    """The tree of the expanded polynomial: coefficient * letters, highest degree first.

    node: a polynomial in the names that are no values, or an equation of two.
    values: names that stand for numbers; they go into the coefficients, which are worked out for each item (a
    coefficient with a root is shown in its simplest form).
    Raises DomainError for what is no polynomial in the other names, BoundExceeded for more than 200 terms.

    >>> from itembank.expressions.parser import parse
    >>> from itembank.expressions.plain import plain
    >>> plain(expanded(parse("(x - h)*(2x + 3)"), {"h"}))
    '2*x^2 + (3 - 2*h)*x - 3*h'
    """
    if isinstance(node, tree.Relation):
        sides = tuple(expanded(operand, values) for operand in node.operands)
        return tree.Relation(sides, node.operators, node.place)
    coefficients: dict[Letters, Terms] = {}
    for (letters, atoms), factor in _terms(node, frozenset(values)).items():
        coefficients.setdefault(letters, {})[(), atoms] = factor
    ordered = sorted(coefficients, key=lambda letters: (-_degree(letters), [(n, -e) for n, e in letters]))
    return _sum([_term(letters, coefficients[letters]) for letters in ordered])


def coefficients(node: Node, values: Collection[str]) -> dict[Letters, Node]:
    """Monomial -> the tree of its coefficient, which has no letter: what two polynomials are compared by.

    node, values, errors: as in `expanded`; display words change how a tree is shown and not what it is worth.

    >>> from itembank.expressions.parser import parse
    >>> from itembank.expressions.plain import plain
    >>> found = coefficients(parse("keep((x - h)*(x + h))"), {"h"})
    >>> {letters: plain(coefficient) for letters, coefficient in found.items()}
    {(('x', 2),): '1', (): '-h^2'}
    """
    grouped: dict[Letters, list[_Signed]] = {}
    for (letters, atoms), factor in _terms(_without_display_words(node), frozenset(values)).items():
        grouped.setdefault(letters, []).append((factor < 0, _number(abs(factor), atoms)))
    return {letters: _sum(terms) for letters, terms in grouped.items()}


def _without_display_words(node: Node) -> Node:
    def inside(part: Node) -> Node | None:
        match part:
            case tree.Call("keep" | "value" | "expand" | "factor", (inner,)):
                return _without_display_words(inner)
            case _:
                return None

    return tree.transform(node, inside)


def _degree(letters: Letters) -> int:
    return sum(exponent for _, exponent in letters)


def _terms(node: Node, values: frozenset[str]) -> Terms:
    match node:
        case tree.Number(value, 0):
            return _kept({((), ()): value})
        case tree.Name(name) if name not in values:
            return {(((name, 1),), ()): Fraction(1)}
        case tree.Negation(operand):
            return {key: -factor for key, factor in _terms(operand, values).items()}
        case tree.Sum(first, rest):
            total = _terms(first, values)
            for operator, part in rest:
                total = _added(total, operator, _terms(part, values))
            return total
        case tree.Product(factors):
            product: Terms = {((), ()): Fraction(1)}
            for factor in factors:
                product = _multiplied(product, _terms(factor, values))
            return product
        case tree.Quotient(numerator, denominator) if _is_constant(denominator, values):
            return _divided(_terms(numerator, values), denominator)
        case tree.Power(base, tree.Number(exponent)) if not _is_constant(base, values):
            return _raised(_terms(base, values), exponent)
        case _ if _is_constant(node, values):
            return {((), ((node, 1),)): Fraction(1)}
        case _:
            raise DomainError("`expand` takes a polynomial")


def _is_constant(node: Node, values: frozenset[str]) -> bool:
    return all(name in values for name in tree.names(node))


def _added(total: Terms, operator: str, more: Terms) -> Terms:
    if operator == "±":
        raise DomainError("± cannot be multiplied out")
    result = dict(total)
    for key, factor in more.items():
        result[key] = result.get(key, Fraction(0)) + (factor if operator == "+" else -factor)
    return _kept(result)


def _multiplied(first: Terms, second: Terms) -> Terms:
    result: Terms = {}
    for (letters, atoms), factor in first.items():
        for (more_letters, more_atoms), more_factor in second.items():
            key = (_joined(letters, more_letters, str), _joined(atoms, more_atoms, plain))
            result[key] = result.get(key, Fraction(0)) + factor * more_factor
    return _kept(result)


def _joined(first: Powers[T], second: Powers[T], order: Callable[[T], str]) -> Powers[T]:
    exponents = dict(first)
    for base, exponent in second:
        exponents[base] = exponents.get(base, 0) + exponent
    return tuple(sorted(exponents.items(), key=lambda item: order(item[0])))


def _raised(base: Terms, exponent: Fraction) -> Terms:
    if exponent.denominator != 1 or exponent > MAXIMUM_EXPONENT:
        raise DomainError(f"`expand` takes whole powers up to {MAXIMUM_EXPONENT}")
    result: Terms = {((), ()): Fraction(1)}
    for _ in range(exponent.numerator):
        result = _multiplied(result, base)
    return result


def _divided(terms: Terms, denominator: Node) -> Terms:
    if isinstance(denominator, tree.Number) and denominator.places == 0:
        if denominator.value == 0:
            raise DomainError("division by zero")
        return {key: factor / denominator.value for key, factor in terms.items()}
    inverse: Node = tree.Quotient(tree.Number(Fraction(1)), denominator, denominator.place)
    return _multiplied(terms, {((), ((inverse, 1),)): Fraction(1)})


def _kept(terms: Terms) -> Terms:
    kept = {key: factor for key, factor in terms.items() if factor}
    if len(kept) > MAXIMUM_TERMS:
        raise BoundExceeded(f"multiplied out, this has more than {MAXIMUM_TERMS} terms")
    return kept


# back to trees: (negative, tree without a leading sign)

_Signed: TypeAlias = tuple[bool, Node]


def _sum(terms: list[_Signed]) -> Node:
    if not terms:
        return tree.Number(Fraction(0))
    (negative, first), *rest = terms
    head: Node = tree.Negation(first) if negative else first
    return tree.Sum(head, tuple(("-" if minus else "+", part) for minus, part in rest)) if rest else head


def _term(letters: Letters, coefficient: Terms) -> _Signed:
    powers = [_power(tree.Name(name), exponent) for name, exponent in letters]
    if len(coefficient) == 1:
        ((_, atoms), factor) = next(iter(coefficient.items()))
        number = _number(abs(factor), atoms)
        is_one = number == tree.Number(Fraction(1))
        parts = powers if is_one and powers else [*_factors(_simplest(number)), *powers]
        return factor < 0, parts[0] if len(parts) == 1 else tree.Product(tuple(parts))
    inner = _sum([(factor < 0, _number(abs(factor), atoms)) for (_, atoms), factor in coefficient.items()])
    return False, tree.Product((_simplest(inner), *powers)) if powers else _simplest(inner)


def _factors(node: Node) -> tuple[Node, ...]:
    return node.factors if isinstance(node, tree.Product) else (node,)


def _simplest(number: Node) -> Node:
    """A number with a root shows its simplest form; every other one is worked out anyway."""
    rooted = any(isinstance(part, tree.Call) and part.function in _ROOTS for part in tree.walk(number))
    return tree.Call("value", (number,)) if rooted else number


def _number(factor: Fraction, atoms: Atoms) -> Node:
    parts = [_power(atom, exponent) for atom, exponent in atoms]
    if factor.numerator != 1 or not parts:
        parts.insert(0, tree.Number(Fraction(factor.numerator)))
    product = parts[0] if len(parts) == 1 else tree.Product(tuple(parts))
    if factor.denominator == 1:
        return product
    return tree.Quotient(product, tree.Number(Fraction(factor.denominator)))


def _power(base: Node, exponent: int) -> Node:
    return base if exponent == 1 else tree.Power(base, tree.Number(Fraction(exponent)))
