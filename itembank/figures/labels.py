"""Labels from the expression language: exact numbers put into a tree and laid out by the house's own tidy rules."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Any

from itembank.expressions import canonical, exact, tree
from itembank.expressions.display import Decimal, Maths
from itembank.expressions.numbers import Exact
from itembank.expressions.plan import Plan, make_plan
from itembank.expressions.tree import Node
from itembank.figures.drawing import EM
from itembank.figures.lettering import lettering

__all__ = ["decimal", "height", "letter", "number", "power", "product", "shown", "total", "width"]


def shown(node: Node, values: Mapping[str, Exact]) -> Maths:
    """A tree as displayed mathematics, its names in `values` shown as these numbers, other names as letters."""
    plan = _plan(node, frozenset(values))
    forms = [canonical.exact(exact.number(leaf.source, values)) for leaf in plan.leaves]
    return plan.fill(tuple(forms))


@lru_cache(maxsize=512)
def _plan(node: Node, values: frozenset[str]) -> Plan:
    return make_plan(node, values, lambda name: None, lambda inner: inner)


def number(value: Exact) -> Maths:
    """A number.

    >>> from itembank.expressions.spelling import terminal
    >>> terminal(number(Fraction(-7, 2)))
    '−7/2'
    """
    return shown(tree.Name("n"), {"n": value})


def decimal(value: Decimal) -> Maths:
    """A number with a decimal point, not 0.

    >>> from itembank.expressions.spelling import terminal
    >>> terminal(decimal(Decimal(Fraction(-3, 2), 1)))
    '−1.5'
    """
    plan = _plan(tree.Name("n"), frozenset({"n"}))
    size: Any = Decimal(abs(value.value), value.places)
    return plan.fill((((("-." if value.value < 0 else "+."),), (size,)),))


def letter(name: str) -> Maths:
    """A letter."""
    return shown(tree.Name(name), {})


def product(value: Exact, name: str) -> Maths:
    """A number times a letter."""
    number_name = "n" if name != "n" else "m"
    return shown(tree.Product((tree.Name(number_name), tree.Name(name))), {number_name: value})


def power(base: Node, values: Mapping[str, Exact]) -> Maths:
    """A tree squared."""
    return shown(tree.Power(base, tree.Number(Fraction(2))), values)


def total(*terms: Node) -> Node:
    """The sum of terms."""
    first, *rest = terms
    return tree.Sum(first, tuple(("+", term) for term in rest)) if rest else first


def width(text: Maths | str) -> Fraction:
    """How wide a label is, in millimetres."""
    return lettering(text).width * EM / 1000


def height(text: Maths | str) -> Fraction:
    """How high a label is, in millimetres."""
    laid = lettering(text)
    return (laid.above + laid.below) * EM / 1000
