"""What the grammar lets through and the language does not: where statements, points and chains may stand."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.expressions import tree
from itembank.expressions.prescan import MAXIMUM_DEPTH, ExpressionError, too_deep
from itembank.expressions.tree import Node
from itembank.expressions.vocabulary import PROPERTY_NAMES

MAXIMUM_NESTING = 3 * MAXIMUM_DEPTH
"""How many nodes may stand one within the other: powers and quotients nest without brackets, too."""

_TAKE_STATEMENTS = frozenset({"discriminant", "keep", "expand"})


def check_nesting(node: Node) -> None:
    """Refuses a tree that nests too deeply for readings that recurse. Raises ExpressionError."""
    if tree.depth(node) > MAXIMUM_NESTING:
        raise too_deep(*node.place)


def check_tree(node: Node) -> None:
    """Refuses a tree with a statement, a point or a chain where none belongs. Raises ExpressionError.

    >>> from itembank.expressions.tree import Name, Negation, Relation
    >>> try:
    ...     check_tree(Negation(Relation((Name("x"), Name("y")), ("=",))))
    ... except ExpressionError as error:
    ...     print(error.message)
    a statement stands where a number is needed
    """
    for part in tree.walk(node):
        if isinstance(part, tree.Relation):
            _check_chain(part)
            _check_points(part)
        for child, wanted in _places(part):
            _check_place(child, wanted)


def _places(node: Node) -> Iterator[tuple[Node, str]]:
    """The direct parts of a node, and what each place takes.

    `statement`, `number`, `side` (a number or a point) or `either` (a statement or a number).
    """
    for child in tree.children(node):
        match node:
            case tree.And() | tree.Or() | tree.Not():
                yield child, "statement"
            case tree.Call(function) if function in _TAKE_STATEMENTS or function in PROPERTY_NAMES:
                yield child, "either"
            case tree.Relation():
                yield child, "side"
            case _:
                yield child, "number"


def says_something(node: Node) -> bool:
    """Whether a tree is true or false, and no number: a statement, or a property of something."""
    match node:
        case tree.Call("keep" | "expand", (inner,)):
            return says_something(inner)
        case tree.Call(function):
            return function in PROPERTY_NAMES
        case _:
            return tree.is_statement(node)


def _check_place(node: Node, wanted: str) -> None:
    if wanted == "statement" and not says_something(node):
        raise ExpressionError(
            "not-a-statement", "`and`, `or` and `not` join statements", *node.place,
            "write (x, y) = (2, -3) or (x, y) = (1, 4)" if isinstance(node, tree.Point)
            else "complete it with a relation: x = 3 or x = 5",
        )  # fmt: skip
    if wanted in {"side", "number"} and says_something(node):
        raise ExpressionError(
            "statement-inside", "a statement stands where a number is needed", *node.place,
            "statements are joined by `and` and `or` only",
        )  # fmt: skip
    if wanted == "number" and isinstance(node, tree.Point):
        raise ExpressionError(
            "point-inside", "a point stands where a number is needed", *node.place,
            "a point is a side of an equation: (x, y) = (2, -3)",
        )  # fmt: skip


def _check_points(relation: tree.Relation) -> None:
    points = [isinstance(operand, tree.Point) for operand in relation.operands]
    if any(points) and not all(points):
        raise ExpressionError(
            "point-beside-number", "a point stands on one side, and no point on the other", *relation.place,
            "write (x, y) = (2, -3) for a point, 2 < x < 5 for what lies between two numbers",
        )  # fmt: skip


def _check_chain(relation: tree.Relation) -> None:
    operators = set(relation.operators)
    if len(relation.operators) == 1:
        return
    if "!=" in operators:
        raise ExpressionError(
            "chained-unequal", "≠ cannot be chained", *relation.place, "write a != b and b != c"
        )
    if operators & {"<", "<="} and operators & {">", ">="}:
        raise ExpressionError(
            "chain-both-ways", "a chain runs one way", *relation.place, "turn one sign round"
        )


def says_whole(node: tree.Node) -> bool:
    """Whether a statement says, perhaps with others that hold too, that a letter is a whole number."""
    parts = node.parts if isinstance(node, tree.And) else (node,)
    return any(isinstance(part, tree.Relation) and part.operators == ("∈",) for part in parts)


def is_inequality(node: tree.Node) -> bool:
    """Whether a relation other than = stands in a statement."""
    return any(isinstance(part, tree.Relation) and set(part.operators) != {"="} for part in tree.walk(node))
