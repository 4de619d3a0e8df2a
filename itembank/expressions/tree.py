"""The parsed tree of an expression: plain immutable nodes, with the place each was written at.

Node classes only: each reading (exact value, integer code, layout, ...) is a module of its own that knows
nothing of the others. Two trees are equal when they say the same, wherever they were written.

A statement is a relation, or relations joined by `and`, `or`, `not`; everything else is a term.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import TypeAlias

Place: TypeAlias = tuple[int, int]
"""Start and end offset of a node in the text it was parsed from."""

NOWHERE: Place = (0, 0)


@dataclass(frozen=True, slots=True)
class Number:
    """A numeral as written: value >= 0; `places` is how many digits follow the decimal point."""

    value: Fraction
    places: int = 0
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Name:
    """A letter or a word of letters: a parameter, a derived value, an unknown or a free letter."""

    name: str
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Negation:
    """A leading minus sign."""

    operand: Node
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class PlusMinus:
    """A leading ±; inside a sum it is an operator of `Sum`."""

    operand: Node
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Sum:
    """first op term op term ...: `rest` holds (operator, term) with operator one of + - ±; never empty."""

    first: Node
    rest: tuple[tuple[str, Node], ...]
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Product:
    """Two or more factors, in the author's order."""

    factors: tuple[Node, ...]
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Quotient:
    """numerator / denominator."""

    numerator: Node
    denominator: Node
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Power:
    """base ^ exponent."""

    base: Node
    exponent: Node
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Call:
    """function(argument, ...)."""

    function: str
    arguments: tuple[Node, ...]
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Point:
    """(first, second): a point of the plane."""

    first: Node
    second: Node
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Relation:
    """operand op operand op ...: one more operand than operators, each one of = != < <= > >= ≈."""

    operands: tuple[Node, ...]
    operators: tuple[str, ...]
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class And:
    """All of two or more statements."""

    parts: tuple[Node, ...]
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Or:
    """At least one of two or more statements."""

    parts: tuple[Node, ...]
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Not:
    """The opposite of a statement."""

    part: Node
    place: Place = field(default=NOWHERE, compare=False)


Node: TypeAlias = (
    Number | Name | Negation | PlusMinus | Sum | Product | Quotient | Power | Call | Point
    | Relation | And | Or | Not
)  # fmt: skip
STATEMENTS = (Relation, And, Or, Not)
NODE_KINDS: tuple[type, ...] = (
    Number, Name, Negation, PlusMinus, Sum, Product, Quotient, Power, Call, Point, Relation, And, Or, Not,
)  # fmt: skip


def children(node: Node) -> tuple[Node, ...]:
    """The direct parts of a node, in written order."""
    match node:
        case Number() | Name():
            return ()
        case Negation(operand) | PlusMinus(operand):
            return (operand,)
        case Sum(first, rest):
            return (first, *(term for _, term in rest))
        case Product(factors):
            return factors
        case Quotient(numerator, denominator):
            return (numerator, denominator)
        case Power(base, exponent):
            return (base, exponent)
        case Call(_, arguments):
            return arguments
        case Point(first, second):
            return (first, second)
        case Relation(operands):
            return operands
        case And(parts) | Or(parts):
            return parts
        case Not(part):
            return (part,)


def rebuild(node: Node, parts: tuple[Node, ...]) -> Node:
    """The same node with other direct parts, given in the order of `children`."""
    match node:
        case Number() | Name():
            return node
        case Negation() | PlusMinus():
            return replace(node, operand=parts[0])
        case Sum(_, rest):
            operators = (operator for operator, _ in rest)
            return replace(node, first=parts[0], rest=tuple(zip(operators, parts[1:], strict=True)))
        case Product():
            return replace(node, factors=parts)
        case Quotient():
            return replace(node, numerator=parts[0], denominator=parts[1])
        case Power():
            return replace(node, base=parts[0], exponent=parts[1])
        case Call():
            return replace(node, arguments=parts)
        case Point():
            return replace(node, first=parts[0], second=parts[1])
        case Relation():
            return replace(node, operands=parts)
        case And() | Or():
            return replace(node, parts=parts)
        case Not():
            return replace(node, part=parts[0])


def walk(node: Node) -> Iterator[Node]:
    """The node and all below it, in written order."""
    yield node
    for child in children(node):
        yield from walk(child)


def depth(node: Node) -> int:
    """How many nodes stand one within the other, counted without recursion: a bound for all that recurses.

    >>> depth(Negation(Name("x")))
    2
    """
    deepest = 0
    waiting = [(node, 1)]
    while waiting:
        part, level = waiting.pop()
        deepest = max(deepest, level)
        waiting += [(child, level + 1) for child in children(part)]
    return deepest


def transform(node: Node, change: Callable[[Node], Node | None]) -> Node:
    """The tree with each node for which `change` gives another one replaced, from the root downwards."""
    changed = change(node)
    if changed is not None:
        return changed
    parts = children(node)
    new = tuple(transform(part, change) for part in parts)
    return node if all(a is b for a, b in zip(parts, new, strict=True)) else rebuild(node, new)


def substitute(node: Node, values: dict[str, Node]) -> Node:
    """The tree with names replaced by trees, all at once.

    >>> substitute(Name("h"), {"h": Number(Fraction(3))})
    Number(value=Fraction(3, 1), places=0, place=(0, 0))
    """
    return transform(node, lambda part: values.get(part.name) if isinstance(part, Name) else None)


_TURNED = {"<": ">", ">": "<", "<=": ">=", ">=": "<="}


def turned(node: Node) -> Node:
    """The tree with the signs of its inequalities the other way round.

    >>> turned(Relation((Name("x"), Name("k")), ("<",))).operators
    ('>',)
    """

    def change(part: Node) -> Node | None:
        if not isinstance(part, Relation):
            return None
        return replace(part, operators=tuple(_TURNED.get(sign, sign) for sign in part.operators))

    return transform(node, change)


def names(node: Node) -> tuple[str, ...]:
    """Every name in the tree, once each, in order of first appearance.

    >>> names(Product((Name("b"), Name("x"), Name("b"))))
    ('b', 'x')
    """
    return tuple(dict.fromkeys(part.name for part in walk(node) if isinstance(part, Name)))


def calls(node: Node, function: str) -> bool:
    """Whether a function is called anywhere in the tree.

    >>> calls(Sum(Name("x"), (("+", Call("keep", (Number(2),))),)), "keep")
    True
    """
    return any(isinstance(part, Call) and part.function == function for part in walk(node))


def has_plus_minus(node: Node) -> bool:
    """Whether a ± stands anywhere in the tree."""
    return any(
        isinstance(part, PlusMinus) or (isinstance(part, Sum) and any(op == "±" for op, _ in part.rest))
        for part in walk(node)
    )


def is_statement(node: Node) -> bool:
    """Whether the node is a relation or relations joined by words.

    >>> is_statement(Relation((Name("x"), Number(Fraction(3))), ("=",)))
    True
    """
    return isinstance(node, STATEMENTS)


def coordinates(node: Node) -> tuple[Node, Node] | None:
    """x = 2, y = 5 of (x, y) = (2, 5), each with the place of the whole; None for anything else.

    >>> two = Number(Fraction(2))
    >>> coordinates(Relation((Point(Name("x"), Name("y")), Point(two, two)), ("=",)))[1].operands[0]
    Name(name='y', place=(0, 0))
    """
    match node:
        case Relation((Point(x, y), Point(a, b)), ("=",)):
            return Relation((x, a), ("=",), node.place), Relation((y, b), ("=",), node.place)
        case _:
            return None


def with_sign(node: Node, sign: int) -> Node:
    """One of the two readings of a tree with ±: the upper sign for sign = 1, the lower for -1.

    >>> with_sign(PlusMinus(Name("x")), -1)
    Negation(operand=Name(name='x', place=(0, 0)), place=(0, 0))
    """

    def change(part: Node) -> Node | None:
        if isinstance(part, PlusMinus):
            inner = transform(part.operand, change)
            return inner if sign > 0 else Negation(inner, part.place)
        if isinstance(part, Sum) and any(op == "±" for op, _ in part.rest):
            chosen = "+" if sign > 0 else "-"
            rest = tuple((chosen if op == "±" else op, transform(term, change)) for op, term in part.rest)
            return Sum(transform(part.first, change), rest, part.place)
        return None

    return transform(node, change)
