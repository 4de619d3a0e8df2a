"""A tree made ready to be shown for many values: its numbers taken out as leaves, its shapes remembered.

"Numbers are worked out, shape is kept": a rational part without a letter is one leaf and shows its value;
roots and whatever has a letter keep the author's shape. The display words `value`, `surd` and `factor` are
leaves too (they show the simplest exact form); `expand` multiplies out once, when the plan is made; `keep`
stops the working out inside it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, field, replace
from typing import TypeAlias, cast

from itembank.errors import DomainError
from itembank.expressions import tree
from itembank.expressions.canonical import Form, Kind
from itembank.expressions.display import Bracket, Letter, Maths, Numeral, Shape, as_list
from itembank.expressions.form_layout import node_of
from itembank.expressions.layout import LayoutNode, lay_out
from itembank.expressions.tree import Node
from itembank.expressions.vocabulary import NAMED, PROPERTY_NAMES

__all__ = [
    "DECIMAL",
    "FACTORS",
    "FORMULA",
    "POINTS",
    "POLYNOMIAL",
    "RATIO",
    "SOLUTIONS",
    "VALUE",
    "Leaf",
    "Places",
    "Plan",
    "has_decimal",
    "in_its_brackets",
    "make_plan",
    "node_of",
    "solution_plan",
]

RATIO, DECIMAL, VALUE, FACTORS, SOLUTIONS = "ratio", "decimal", "value", "factors", "solutions"
POLYNOMIAL = "polynomial"
POINTS = "points"
FORMULA = "formula"
POSITIVE = "positive formula"

Places: TypeAlias = int | tuple[tuple[int, int, int], ...]
"""How many digits stand behind the point: so many, as many as are needed (-1), or for each of listed values its own
number, as (numerator, denominator, digits), -1 digits for one that is written as a fraction."""

Decimals: TypeAlias = Callable[[str], Places | None]
"""name -> its decimal places; None for one that is no decimal."""


@dataclass(frozen=True, slots=True)
class Leaf:
    """A part of a plan that is worked out for each item.

    kind: `ratio` a rational number; `decimal` the same with `places` digits;
    `value` an exact value, perhaps a pair with ±; `factors` a quadratic in `letter` taken apart;
    `solutions` the solution set of the statement, in the unknown `letter`; `points` the same in two unknowns, both
    in `letter` with a blank between; `polynomial` an expression with letters, for comparing and not for showing, and
    `formula` an equation with letters solved for `letter`, for the same, `positive formula` where every letter is
    a positive number.
    """

    kind: str
    source: Node
    index: int
    places: Places = -1
    letter: str = ""
    place: tree.Place = field(default=tree.NOWHERE, compare=False)


@dataclass(slots=True, eq=False)
class Plan:
    """A tree with `leaves` taken out; `fill` gives the mathematics for given leaf forms.

    bracketed: brackets stand around the whole, unless one numeral or letter is all there is. listed: several values
    of a letter are shown as a list.
    """

    root: Node
    leaves: tuple[Leaf, ...]
    bracketed: bool = False
    listed: bool = False
    _shapes: dict[tuple[Kind, ...], Shape] = field(default_factory=dict, repr=False)

    def fill(self, forms: tuple[Form, ...]) -> Maths:
        """The mathematics shown when leaf i has the i-th form.

        Raises DomainError where that cannot be shown (a division by zero, a form that is no leaf's).
        """
        # one or two leaves, as nearly all have, without a list
        if len(forms) == 1:
            ((kind, numbers),) = forms
            kinds: tuple[Kind, ...] = (kind,)
        elif len(forms) == 2:
            (first, some), (second, more) = forms
            kinds, numbers = (first, second), some + more
        else:
            kinds = tuple([form[0] for form in forms])
            numbers = tuple([n for form in forms for n in form[1]])
        shape = self._shapes.get(kinds)
        if shape is None:
            shape = self._shapes[kinds] = self._shape(kinds, len(numbers))
        return Maths(shape, numbers)

    def _shape(self, kinds: tuple[Kind, ...], holes: int) -> Shape:
        if len(kinds) != len(self.leaves):
            raise DomainError("a plan needs one form for each of its leaves")
        nodes: dict[int, LayoutNode] = {}
        used = 0
        for leaf, kind in zip(self.leaves, kinds, strict=True):
            nodes[leaf.index], used = node_of(kind, used, leaf.letter)
        if used != holes:
            raise DomainError("a form's numbers do not fit its kind")

        def put_back(node: Node) -> Node | None:
            return cast(Node, nodes[node.index]) if isinstance(node, Leaf) else None

        shape = lay_out(tree.transform(self.root, put_back), holes)
        if self.bracketed and not isinstance(shape.display, Numeral | Letter):
            return replace(shape, display=Bracket(shape.display))
        return replace(shape, display=as_list(shape.display)) if self.listed else shape

    def __getstate__(self) -> tuple[Node, tuple[Leaf, ...], bool, bool]:
        return (self.root, self.leaves, self.bracketed, self.listed)

    def __setstate__(self, state: tuple[Node, tuple[Leaf, ...], bool, bool]) -> None:
        self.root, self.leaves, self.bracketed, self.listed = state
        self._shapes = {}


def make_plan(
    node: Node, values: Collection[str], decimals: Decimals, expanded: Callable[[Node], Node]
) -> Plan:
    """The plan of a tree.

    values: the names that stand for numbers; decimals(name) is a name's decimal places, None for one that
    is no decimal; expanded multiplies a tree out (see `expand`). Raises DomainError for a display word
    around what it cannot show.

    >>> from itembank.expressions.parser import parse
    >>> from itembank.expressions.spelling import terminal
    >>> plan = make_plan(parse("(x - h)^2 = k"), {"h", "k"}, lambda name: None, lambda node: node)
    >>> terminal(plan.fill(((("-",), (3,)), (("+",), (5,)))))
    '(x + 3)² = 5'
    """
    maker = _Maker(frozenset(values), decimals, expanded)
    root = maker.plan(node)
    return Plan(root, tuple(maker.leaves))


def in_its_brackets(plan: Plan, text: str) -> Plan:
    """The plan of a formula in a text, with the brackets its author wrote around the whole of it.

    The tree knows no brackets; within a formula those that are needed are seen. Around a whole one they are seen as
    written, *(x - 2) is a factor*, but not around what is worked out to a number, a point or a statement.

    >>> from itembank.expressions.parser import parse
    >>> from itembank.expressions.spelling import terminal
    >>> text = "(x - h)"
    >>> plan = make_plan(parse(text), {"h"}, lambda name: None, lambda node: node)
    >>> terminal(in_its_brackets(plan, text).fill(((("+",), (3,)),)))
    '(x − 3)'
    """
    shows_itself = isinstance(plan.root, Leaf | tree.Point) or tree.is_statement(plan.root)
    if shows_itself or not _is_in_brackets(text.strip()):
        return plan
    return Plan(plan.root, plan.leaves, bracketed=True)


def _is_in_brackets(text: str) -> bool:
    """Whether the bracket that opens a text is closed at its very end."""
    depth = 0
    for character in text[:-1]:
        depth += (character == "(") - (character == ")")
        if depth == 0:
            return False
    return depth == 1 and text.endswith(")")


def solution_plan(statement: Node, letter: str) -> Plan:
    """The plan that shows the solution set of a statement in one unknown: x = 3 ± 2√5, x = -2 or x = 5."""
    leaf = Leaf(SOLUTIONS, statement, 0, letter=letter)
    return Plan(cast(Node, leaf), (leaf,))


_INDEX = "the index of a shown root is a plain whole number, as in root(k, 3); where it varies, `when` chooses lines"
_OPPOSITE = {"+": "-", "-": "+"}
_KEEPS_ITS_SHAPE = frozenset({"sqrt", "root", "surd", "keep", "factor", "discriminant", *NAMED})


class _Maker:
    def __init__(self, values: frozenset[str], decimals: Decimals, expanded: Callable[[Node], Node]) -> None:
        self.values = values
        self.decimals = decimals
        self.expanded = expanded
        self.leaves: list[Leaf] = []

    def _leaf(self, kind: str, source: Node, places: Places = -1, letter: str = "") -> Node:
        leaf = Leaf(kind, source, len(self.leaves), places, letter, place=source.place)
        self.leaves.append(leaf)
        return cast(Node, leaf)

    def plan(self, node: Node) -> Node:
        """The tree with its numbers made leaves."""
        if self._is_number(node):
            return self._number(node)
        match node:
            case tree.Call("keep", (inner,)):
                return tree.Call("keep", (self._kept(inner),), node.place)
            case tree.Call("value" | "surd" | "expand" | "factor", (inner,)):
                return self._worked_out(node, inner)
            case tree.Call("root", (_, index)) if not isinstance(index, tree.Number):
                raise DomainError(_INDEX)
            case tree.Product(factors):
                planned = tuple(self._runs(factors))
                return tree.Product(planned, node.place) if len(planned) > 1 else planned[0]
            case tree.Sum(first, rest):
                return self._sum(node, [("+", first), *rest])
            case _:
                return tree.rebuild(node, tuple(self.plan(part) for part in tree.children(node)))

    def _sum(self, node: Node, terms: list[tuple[str, Node]]) -> Node:
        """A sum; the terms of one that was multiplied out join it."""
        planned: list[tuple[str, Node]] = []
        for operator, term in terms:
            part = self.plan(term)
            if _is_multiplied_out(term) and isinstance(part, tree.Sum) and operator != "±":
                inner = (("+", part.first), *part.rest)
                planned += [(operator if sign == "+" else _OPPOSITE[operator], each) for sign, each in inner]
            else:
                planned.append((operator, part))
        (_, first), *rest = planned
        return tree.Sum(first, tuple(rest), node.place)

    def _worked_out(self, node: tree.Call, inner: Node) -> Node:
        named = next(
            (p.function for p in tree.walk(inner) if isinstance(p, tree.Call) and p.function in NAMED), ""
        )
        if named:
            raise DomainError(f"the function {named} has no value that could be worked out here")
        match node.function:
            case "expand":
                return self.plan(self.expanded(inner))
            case "factor":
                letters = [name for name in tree.names(inner) if name not in self.values]
                if len(letters) != 1 or tree.is_statement(inner):
                    raise DomainError("`factor` takes a quadratic in one letter")
                return self._leaf(FACTORS, inner, letter=letters[0])
            case function:
                if not self._is_constant(inner) or tree.is_statement(inner):
                    raise DomainError("`value` and `surd` take numbers; a letter stands inside")
                return self._leaf(VALUE, node if function == "surd" else inner)

    def _runs(self, factors: tuple[Node, ...]) -> list[Node]:
        """Factors with each run of neighbouring numbers made one leaf."""
        planned: list[Node] = []
        run: list[Node] = []
        for factor in factors:
            if self._is_number(factor):
                run.append(factor)
                continue
            planned += self._run(run)
            run = []
            planned.append(self.plan(factor))
        return [*planned, *self._run(run)]

    def _run(self, run: list[Node]) -> list[Node]:
        if len(run) < 2:
            return [self._number(factor) for factor in run]
        return [self._number(tree.Product(tuple(run), (run[0].place[0], run[-1].place[1])))]

    def _kept(self, node: Node) -> Node:
        match node:
            case tree.Number():
                return node
            case tree.Name(name) if name in self.values:
                return self._number(node)
            case tree.Call("root", (_, index)) if not isinstance(index, tree.Number):
                raise DomainError(_INDEX)
            case tree.Call("sqrt" | "root" | "abs" | "keep", arguments):
                return tree.Call(node.function, tuple(self._kept(part) for part in arguments), node.place)
            case tree.Call():
                return self.plan(node)
            case _:
                return tree.rebuild(node, tuple(self._kept(part) for part in tree.children(node)))

    def _is_constant(self, node: Node) -> bool:
        return all(name in self.values for name in tree.names(node))

    def _is_number(self, node: Node) -> bool:
        """Whether a part is rational by its shape and has no letter, so that its value is shown."""
        if tree.has_plus_minus(node) or not self._is_constant(node):
            return False
        if isinstance(node, tree.Call) and node.function == "round":
            return True
        return not any(
            isinstance(part, (tree.Point, *tree.STATEMENTS))
            or (isinstance(part, tree.Call) and part.function in _KEEPS_ITS_SHAPE | PROPERTY_NAMES)
            for part in tree.walk(node)
        )

    def _number(self, source: Node) -> Node:
        stripped = _stripped(source)
        match stripped:
            case tree.Number() | tree.Negation(tree.Number()):
                return stripped
            case tree.Call("round", (_, tree.Number(places_asked))):
                return self._leaf(DECIMAL, stripped, places_asked.numerator)
            case tree.Name(name) if (places := self.decimals(name)) is not None:
                return self._leaf(DECIMAL, stripped, places)
            case _:
                return self._leaf(DECIMAL if has_decimal(stripped, self.decimals) else RATIO, stripped)


def has_decimal(node: Node, decimals: Decimals) -> bool:
    """Whether a decimal stands in a tree, so that a rational number made of it is shown as one."""
    return any(
        (isinstance(part, tree.Number) and part.places > 0)
        or (isinstance(part, tree.Name) and decimals(part.name) is not None)
        for part in tree.walk(node)
    )


def _is_multiplied_out(node: Node) -> bool:
    return isinstance(node, tree.Call) and node.function == "expand"


def _stripped(node: Node) -> Node:
    """The tree without the word `value`, which changes nothing about a number."""

    def inside(part: Node) -> Node | None:
        match part:
            case tree.Call("value", (inner,)):
                return _stripped(inner)
            case _:
                return None

    return tree.transform(node, inside)
