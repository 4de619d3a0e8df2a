"""How an answer is written down: the key's or a slip's tree as leaves whose canonical forms are compared and shown.

One plan shape for each kind of problem, so that all options of a choice look alike: `x = 3 ± 2√5`, `p = -4 and
q = 7`, `6√2`.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import cast

from itembank.errors import BoundExceeded, DomainError
from itembank.expressions import tree
from itembank.expressions.expand import coefficients
from itembank.expressions.plan import (
    FACTORS,
    FORMULA,
    POINTS,
    POLYNOMIAL,
    POSITIVE,
    SOLUTIONS,
    VALUE,
    Leaf,
    Plan,
)
from itembank.expressions.tree import Node
from itembank.templates.template import NO_SOLUTION


@dataclass(frozen=True, slots=True)
class Answer:
    """kind: `set` (one unknown), `point` (several), `points` (two unknowns, any number of points), `value` (a number),
    `expression` (with letters), `factors` (taken apart into brackets), `none`.

    leaves: in display order, but of an `expression`, which is shown as its author wrote it: what it is compared by.

    explicit: the leaves' sources say the values; otherwise `statement` must be solved for the unknowns.
    """

    kind: str
    leaves: tuple[Leaf, ...]
    statement: Node | None = None

    @property
    def explicit(self) -> bool:
        """Whether nothing is left to solve."""
        return self.statement is None


def answer_of(
    node: Node | None,
    unknowns: Sequence[str],
    known: Mapping[str, Node],
    letter: str = "",
    *,
    several: bool = False,
) -> Answer:
    """The answer a tree is.

    node: None for no real solution; known: earlier unknowns -> their own keys' trees, put in where they are named;
    letter: of an expression that is taken apart into brackets; several: the answer may be any number of points.
    """
    if node is None or node == NO_SOLUTION:
        return Answer("none", ())
    node = tree.substitute(node, {name: value for name, value in known.items() if name not in unknowns})
    if not unknowns and letter:
        return Answer("factors", (Leaf(FACTORS, node, 0, letter=letter),))
    if not unknowns:
        return Answer("value", (Leaf(VALUE, node, 0),))
    if len(unknowns) == 1:
        return Answer("set", (Leaf(SOLUTIONS, node, 0, letter=unknowns[0]),))
    if several:
        return Answer("points", (points_leaf(node, unknowns),))
    values = explicit_values(node, unknowns)
    if values is None:
        return Answer(
            "point", tuple(Leaf(VALUE, tree.Name(name), i) for i, name in enumerate(unknowns)), node
        )
    return Answer("point", tuple(Leaf(VALUE, values[name], i) for i, name in enumerate(unknowns)))


def expression_answers(nodes: Sequence[Node], values: Collection[str]) -> list[Answer]:
    """The answers that expressions with letters are: equal where their leaves have equal forms.

    values: the names that stand for numbers. Polynomials whose powers are fixed are compared by their coefficients,
    each a leaf, in one order for all; others (`x^n` with a parameter n) are worked out as a whole for each item.
    """
    try:
        found = [coefficients(node, values) for node in nodes]
    except (DomainError, BoundExceeded):
        return [Answer("expression", (Leaf(POLYNOMIAL, node, 0),)) for node in nodes]
    monomials = sorted({monomial for each in found for monomial in each})
    nought: Node = tree.Number(Fraction(0))
    return [
        Answer(
            "expression",
            tuple(Leaf(VALUE, each.get(monomial, nought), i) for i, monomial in enumerate(monomials)),
        )
        for each in found
    ]


def formula_answers(
    nodes: Sequence[Node], subject: str, values: Collection[str], *, positive: bool = False
) -> list[Answer]:
    """The answers that equations are of which one letter is made the subject: equal where it is the same in the others.

    values: the names that stand for numbers. What says `subject = ...` is compared by what stands on the right.
    positive: every letter is a positive number.
    """
    if positive:
        return [Answer("expression", (Leaf(POSITIVE, node, 0, letter=subject),)) for node in nodes]
    told = [explicit_values(node, (subject,)) for node in nodes]
    right = [each[subject] for each in told if each is not None]
    if len(right) == len(nodes):
        return expression_answers(right, values)
    return [Answer("expression", (Leaf(FORMULA, node, 0, letter=subject),)) for node in nodes]


def explicit_values(node: Node, unknowns: Sequence[str]) -> dict[str, Node] | None:
    """unknown -> tree where a statement says `u = ... and v = ...` for each of them; None elsewhere."""
    parts = node.parts if isinstance(node, tree.And) else (node,)
    values: dict[str, Node] = {}
    for part in (equation for each in parts for equation in tree.coordinates(each) or (each,)):
        if not isinstance(part, tree.Relation) or part.operators != ("=",):
            return None
        name, value = part.operands
        if not isinstance(name, tree.Name) or name.name not in unknowns or name.name in values:
            return None
        values[name.name] = value
    if set(values) != set(unknowns):
        return None
    for _ in unknowns:
        values = {
            name: tree.substitute(value, {n: v for n, v in values.items() if n != name})
            for name, value in values.items()
        }
        if not any(set(tree.names(value)) & set(unknowns) for value in values.values()):
            return values
    return None


def branches(node: Node) -> tuple[Node, ...]:
    """What `or` joins, on every level."""
    return (
        tuple(each for part in node.parts for each in branches(part))
        if isinstance(node, tree.Or)
        else (node,)
    )


def explicit_points(node: Node, unknowns: Sequence[str]) -> list[dict[str, Node]] | None:
    """unknown -> tree for each point that a statement says outright; None where something is left to solve.

    A ± is read with both signs, each over the whole branch.
    """
    found: list[dict[str, Node]] = []
    for branch in branches(node):
        for sign in (1, -1) if tree.has_plus_minus(branch) else (0,):
            values = explicit_values(tree.with_sign(branch, sign) if sign else branch, unknowns)
            if values is None:
                return None
            found.append(values)
    return found


def points_leaf(node: Node, unknowns: Sequence[str]) -> Leaf:
    """The leaf of any number of points: the points themselves where they are said, else what is to be solved."""
    first, second = unknowns
    said = explicit_points(node, unknowns)
    if said is not None:
        names = tree.Point(tree.Name(first), tree.Name(second))
        told = tuple(
            tree.Relation((names, tree.Point(values[first], values[second])), ("=",)) for values in said
        )
        node = told[0] if len(told) == 1 else tree.Or(cast("tuple[Node, ...]", told))
    return Leaf(POINTS, node, 0, letter=f"{first} {second}")


def answer_plan(kind: str, unknowns: Sequence[str], letter: str = "") -> Plan:
    """The plan that shows an answer of a kind: the same for key, slips and options."""
    if kind == "point":
        leaves = tuple(Leaf(VALUE, tree.Name(name), index) for index, name in enumerate(unknowns))
        relations = tuple(
            cast(Node, tree.Relation((tree.Name(name), cast(Node, leaf)), ("=",)))
            for name, leaf in zip(unknowns, leaves, strict=True)
        )
        return Plan(tree.And(relations), leaves)
    if kind == "points":
        points = points_leaf(tree.And(tuple(map(tree.Name, unknowns))), unknowns)
        return Plan(cast(Node, points), (points,))
    if kind == "factors":
        factors = Leaf(FACTORS, tree.Name(letter), 0, letter=letter)
        return Plan(cast(Node, factors), (factors,))
    letter = unknowns[0] if unknowns else ""
    leaf = Leaf(SOLUTIONS, tree.Name(letter or "x"), 0, letter=letter)
    return Plan(cast(Node, leaf), (leaf,))
