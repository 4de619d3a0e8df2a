"""A tree made ready to be shown for many values: its numbers taken out as leaves, its shapes remembered.

"Numbers are worked out, shape is kept": a rational part without a letter is one leaf and shows its value; roots
and whatever has a letter keep the author's shape. The display words `value`, `surd` and `factor` are leaves too
(they show the simplest exact form); `expand` multiplies out once, when the plan is made; `keep` stops the
working out inside it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, field
from typing import cast

from itembank.errors import DomainError
from itembank.expressions import tree
from itembank.expressions.canonical import Form, Kind
from itembank.expressions.display import Filling, Maths, Numeral, Over, Shape
from itembank.expressions.layout import ONE, ZERO, Known, LayoutNode, NoSolution, Spliced, lay_out
from itembank.expressions.tree import Node

RATIO, DECIMAL, VALUE, FACTORS, SOLUTIONS = "ratio", "decimal", "value", "factors", "solutions"


@dataclass(frozen=True, slots=True)
class Leaf:
    """A part of a plan that is worked out for each item.

    kind: `ratio` a rational number; `decimal` the same with `places` digits (-1: as many as it needs);
    `value` an exact value, perhaps a pair with ±; `factors` a quadratic taken apart; `solutions` the solution set
    of the statement, in the unknown `letter`.
    """

    kind: str
    source: Node
    index: int
    places: int = -1
    letter: str = ""
    place: tree.Place = field(default=tree.NOWHERE, compare=False)


@dataclass(slots=True, eq=False)
class Plan:
    """A tree with `leaves` taken out; `fill` gives the mathematics for given leaf forms."""

    root: Node
    leaves: tuple[Leaf, ...]
    _shapes: dict[tuple[Kind, ...], Shape] = field(default_factory=dict, repr=False)

    def fill(self, forms: tuple[Form, ...]) -> Maths:
        """The mathematics shown when leaf i has the i-th form."""
        if len(forms) == 1:
            kinds: tuple[Kind, ...] = (forms[0][0],)
            numbers: tuple[Filling, ...] = forms[0][1]
        else:
            kinds = tuple([form[0] for form in forms])
            numbers = tuple([n for form in forms for n in form[1]])
        shape = self._shapes.get(kinds)
        if shape is None:
            shape = self._shapes[kinds] = self._shape(kinds, len(numbers))
        return Maths(shape, numbers)

    def _shape(self, kinds: tuple[Kind, ...], holes: int) -> Shape:
        nodes: dict[int, LayoutNode] = {}
        used = 0
        for leaf, kind in zip(self.leaves, kinds, strict=True):
            nodes[leaf.index], used = node_of(kind, used, leaf.letter)
        if used != holes:
            raise DomainError("a form's numbers do not fit its kind")

        def put_back(node: Node) -> Node | None:
            return cast(Node, nodes[node.index]) if isinstance(node, Leaf) else None

        return lay_out(tree.transform(self.root, put_back), holes)

    def __getstate__(self) -> tuple[Node, tuple[Leaf, ...]]:
        return (self.root, self.leaves)

    def __setstate__(self, state: tuple[Node, tuple[Leaf, ...]]) -> None:
        self.root, self.leaves = state
        self._shapes = {}


def make_plan(node: Node, values: Collection[str], decimals: Callable[[str], int | None], expanded: Callable[[Node], Node]) -> Plan:
    """The plan of a tree.

    values: the names that stand for numbers; decimals(name) is a name's number of places, None for one that is no
    decimal; expanded multiplies a tree out (see `expand.py`).
    """
    maker = _Maker(frozenset(values), decimals, expanded)
    root = maker.plan(node)
    return Plan(root, tuple(maker.leaves))


def solution_plan(statement: Node, letter: str) -> Plan:
    """The plan that shows the solution set of a statement in one unknown: x = 3 ± 2√5, x = -2 or x = 5, ..."""
    leaf = Leaf(SOLUTIONS, statement, 0, letter=letter)
    return Plan(cast(Node, leaf), (leaf,))


class _Maker:
    def __init__(self, values: frozenset[str], decimals: Callable[[str], int | None], expanded: Callable[[Node], Node]):
        self.values = values
        self.decimals = decimals
        self.expanded = expanded
        self.leaves: list[Leaf] = []

    def _leaf(self, kind: str, source: Node, places: int = -1) -> Node:
        leaf = Leaf(kind, source, len(self.leaves), places, place=source.place)
        self.leaves.append(leaf)
        return cast(Node, leaf)

    def plan(self, node: Node) -> Node:
        if self._is_number(node):
            return self._number(node)
        match node:
            case tree.Call("keep", (inner,)):
                return tree.Call("keep", (self._kept(inner),), node.place)
            case tree.Call("value" | "surd", (inner,)):
                if not self._is_constant(inner):
                    raise DomainError("`value` and `surd` take numbers; a letter stands inside")
                return self._leaf(VALUE, node if node.function == "surd" else inner)
            case tree.Call("expand", (inner,)):
                return self.plan(self.expanded(inner))
            case tree.Call("factor", (inner,)):
                return self._leaf(FACTORS, inner)
            case tree.Product(factors):
                return tree.Product(tuple(self._runs(factors)), node.place) if len(factors) > 1 else node
            case _:
                return tree.rebuild(node, tuple(self.plan(part) for part in tree.children(node)))

    def _runs(self, factors: tuple[Node, ...]) -> list[Node]:
        """Factors with each run of neighbouring numbers made one leaf."""
        planned: list[Node] = []
        run: list[Node] = []
        for factor in (*factors, None):
            if factor is not None and self._is_number(factor):
                run.append(factor)
                continue
            if run:
                source = run[0] if len(run) == 1 else tree.Product(tuple(run), (run[0].place[0], run[-1].place[1]))
                planned.append(self._number(source))
                run = []
            if factor is not None:
                planned.append(self.plan(factor))
        return planned

    def _kept(self, node: Node) -> Node:
        match node:
            case tree.Number():
                return node
            case tree.Name(name) if name in self.values:
                return self._number(node)
            case tree.Call("value" | "surd" | "expand" | "factor"):
                return self.plan(node)
            case tree.Call("sqrt" | "root" | "abs" | "keep", arguments):
                return tree.Call(node.function, tuple(self._kept(argument) for argument in arguments), node.place)
            case tree.Call():
                return self.plan(node)
            case _:
                return tree.rebuild(node, tuple(self._kept(part) for part in tree.children(node)))

    def _is_constant(self, node: Node) -> bool:
        return all(name in self.values for name in tree.names(node))

    def _is_number(self, node: Node) -> bool:
        if isinstance(node, tree.STATEMENTS) or tree.has_plus_minus(node) or not self._is_constant(node):
            return False
        for part in tree.walk(node):
            if isinstance(part, tree.Call) and part.function in {"sqrt", "root", "surd", "keep", "factor", "discriminant"}:
                return False
            if isinstance(part, tree.Point):
                return False
        return True

    def _number(self, source: Node) -> Node:
        stripped = tree.transform(
            source, lambda part: part.arguments[0] if isinstance(part, tree.Call) and part.function == "value" else None
        )
        if isinstance(stripped, tree.Number) and stripped.places == 0:
            return stripped
        if isinstance(stripped, tree.Number):
            return self._leaf(DECIMAL, stripped, stripped.places)
        if isinstance(stripped, tree.Name) and self.decimals(stripped.name) is not None:
            return self._leaf(DECIMAL, stripped, self.decimals(stripped.name) or 0)
        involved = any(
            (isinstance(part, tree.Number) and part.places)
            or (isinstance(part, tree.Name) and self.decimals(part.name) is not None)
            for part in tree.walk(stripped)
        )
        return self._leaf(DECIMAL if involved else RATIO, stripped)


def node_of(kind: Kind, used: int, letter: str = "") -> tuple[LayoutNode, int]:
    """The layout node that shows a canonical form whose numbers begin at hole `used`; and the next free hole."""
    match kind:
        case ("set", *forms) | ("solutions", *forms):
            parts = []
            for form in forms:
                part, used = node_of(cast(Kind, form), used, letter)
                parts.append(part)
            if not parts:
                return NoSolution(), used
            return (cast(LayoutNode, tree.Or(tuple(cast(Node, p) for p in parts))) if len(parts) > 1 else parts[0]), used
        case ("none",):
            return NoSolution(), used
        case ("factors", scale, first, second):
            return _factors(cast(Kind, scale), cast(tuple[Kind, ...], first), cast(tuple[Kind, ...] | None, second), used, letter)
    value, used = _value_node(kind, used)
    if letter:
        return cast(LayoutNode, tree.Relation((tree.Name(letter), cast(Node, value)), ("=",))), used
    return value, used


def _value_node(kind: Kind, used: int) -> tuple[LayoutNode, int]:
    match kind:
        case ("0",):
            return ZERO, used
        case ("1",):
            return ONE, used
        case ("-1",):
            return Known(True, ONE.magnitude, unit=True), used
        case ("+",) | ("-",) | ("+.",) | ("-.",):
            return Known(str(kind[0])[0] == "-", Numeral(used)), used + 1
        case ("+/",) | ("-/",):
            return Known(kind[0] == "-/", Over(Numeral(used), Numeral(used + 1))), used + 2
        case ("surd", p, q, d, sign):
            return _surd_node(str(p), str(q), str(d), str(sign), used)
        case _:
            raise DomainError(f"no layout for the form {kind}")


def _surd_node(p: str, q: str, d: str, sign: str, used: int) -> tuple[LayoutNode, int]:
    first: LayoutNode | None = None
    if p != "0":
        first = Known(p == "-", Numeral(used))
        used += 1
    coefficient: Known = Known(q.startswith("-"), ONE.magnitude, unit=True)
    if q in "+-":
        coefficient = Known(q == "-", Numeral(used))
        used += 1
    root = tree.Call("sqrt", (cast(Node, Known(False, Numeral(used))),))
    used += 1
    surd: Node = tree.Product((cast(Node, coefficient), root))
    above: Node
    if first is None:
        above = tree.PlusMinus(surd) if sign == "±" else surd
    else:
        above = tree.Sum(cast(Node, first), ((sign, surd),))
    if d == "+":
        below = Known(False, Numeral(used))
        used += 1
        if first is None and sign == "±":
            return Spliced(cast(LayoutNode, tree.PlusMinus(tree.Quotient(surd, cast(Node, below))))), used
        return Spliced(cast(LayoutNode, tree.Quotient(above, cast(Node, below)))), used
    return Spliced(cast(LayoutNode, above)), used


def _factors(
    scale: Kind, first: tuple[Kind, ...], second: tuple[Kind, ...] | None, used: int, letter: str
) -> tuple[LayoutNode, int]:
    outside, used = _value_node(scale, used)
    brackets: list[Node] = []
    for kinds in (first, second):
        if kinds is None:
            continue
        a, used = _value_node(kinds[0], used)
        b, used = _value_node(kinds[1], used)
        x = tree.Name(letter)
        brackets.append(tree.Sum(tree.Product((cast(Node, a), x)), (("+", cast(Node, b)),)))
    body: Node = tree.Power(brackets[0], cast(Node, Known(False, Numeral(text="2")))) if second is None else tree.Product(tuple(brackets))
    factors = (cast(Node, outside), *(body.factors if isinstance(body, tree.Product) else (body,)))
    return cast(LayoutNode, tree.Product(factors)), used
