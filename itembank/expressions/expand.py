"""Multiplying out a tree once, with its parameters as letters: descending powers of the unknowns."""

from __future__ import annotations

from collections.abc import Collection
from fractions import Fraction

from itembank.errors import DomainError
from itembank.expressions import tree
from itembank.expressions.tree import Node

Terms = dict[tuple[tuple[str, int], ...], list[Node]]


def expanded(node: Node, values: Collection[str]) -> Node:
    """The tree of the expanded polynomial: coefficient * letters, highest degree first.

    values: names that stand for numbers; they go into the coefficients, which are worked out for each item.
    Raises DomainError for what is no polynomial in the other names.
    """
    terms = _terms(node, frozenset(values))
    ordered = sorted(terms.items(), key=lambda item: (-sum(e for _, e in item[0]), [(n, -e) for n, e in item[0]]))
    parts = [_term(monomial, coefficients) for monomial, coefficients in ordered]
    if not parts:
        return tree.Number(Fraction(0))
    return parts[0] if len(parts) == 1 else tree.Sum(parts[0], tuple(("+", part) for part in parts[1:]), node.place)


def _term(monomial: tuple[tuple[str, int], ...], coefficients: list[Node]) -> Node:
    first, *rest = coefficients
    value = tree.Sum(first, tuple(("+", part) for part in rest)) if rest else first
    letters = [
        tree.Name(name) if exponent == 1 else tree.Power(tree.Name(name), tree.Number(Fraction(exponent)))
        for name, exponent in monomial
    ]
    return tree.Product((value, *letters)) if letters else value


def _terms(node: Node, values: frozenset[str]) -> Terms:
    if all(name in values for name in tree.names(node)):
        return {(): [node]}
    match node:
        case tree.Name(name):
            return {((name, 1),): [tree.Number(Fraction(1))]}
        case tree.Negation(operand):
            return {m: [tree.Negation(c) for c in cs] for m, cs in _terms(operand, values).items()}
        case tree.Sum(first, rest):
            total = dict(_terms(first, values))
            for operator, part in rest:
                if operator == "±":
                    raise DomainError("± cannot be multiplied out")
                for monomial, found in _terms(part, values).items():
                    signed: list[Node] = [tree.Negation(c) for c in found] if operator == "-" else found
                    total[monomial] = [*total.get(monomial, []), *signed]
            return total
        case tree.Product(factors):
            product: Terms = {(): [tree.Number(Fraction(1))]}
            for factor in factors:
                product = _multiplied(product, _terms(factor, values))
            return product
        case tree.Quotient(numerator, denominator) if all(name in values for name in tree.names(denominator)):
            return {m: [tree.Quotient(c, denominator) for c in cs] for m, cs in _terms(numerator, values).items()}
        case tree.Power(base, tree.Number(value)) if value.denominator == 1 and 0 < value <= 6:
            inner = _terms(base, values)
            result = inner
            for _ in range(value.numerator - 1):
                result = _multiplied(result, inner)
            return result
        case _:
            raise DomainError("`expand` takes a polynomial")


def _multiplied(first: Terms, second: Terms) -> Terms:
    total: Terms = {}
    for m1, cs1 in first.items():
        for m2, cs2 in second.items():
            exponents = dict(m1)
            for name, exponent in m2:
                exponents[name] = exponents.get(name, 0) + exponent
            monomial = tuple(sorted(exponents.items()))
            products: list[Node] = [tree.Product((a, b)) for a in cs1 for b in cs2]
            total[monomial] = [*total.get(monomial, []), *products]
    return total
