"""What a formula says, as a tree of the audit's own; both readers build it, all the mathematics starts from it.

Built by `sum_of`, `product_of`, `all_of` and `any_of`, a tree has one shape for one formula: a product never holds a
product, a sum never begins with a plain sum, so that two readings of one formula are equal trees.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from functools import wraps
from typing import Any, Final, TypeAlias, TypeVar, dataclass_transform

__all__ = [
    "INVERSES",
    "MARK",
    "NAMED",
    "NOWHERE",
    "Absolute",
    "Alternatives",
    "Apply",
    "Conjunction",
    "Hashed",
    "Letter",
    "Looks",
    "Node",
    "Nothing",
    "Numeral",
    "Point",
    "Power",
    "Product",
    "Quotient",
    "Relation",
    "Root",
    "Scope",
    "Sum",
    "all_of",
    "any_of",
    "children",
    "free_letters",
    "has_either_sign",
    "has_function",
    "inverse_called",
    "is_statement",
    "is_telling",
    "looks_of",
    "may_have_false_roots",
    "of_one_look",
    "product_of",
    "remembering_hash",
    "replaced",
    "run_of_mark",
    "runs_of",
    "skeleton",
    "sum_of",
    "walk",
]  # fmt: skip


_Class = TypeVar("_Class")


class Hashed:
    """Room for a hash: formulas are looked up again and again, and a tree is long to walk."""

    __slots__ = ("_hash",)


class _Hashed(Hashed):
    """What is kept with a node besides: what is known of all formulas that differ from it in numerals only, and its
    own numerals. A node with these is put together when somebody first looks into it."""

    __slots__ = ("_looks", "_runs")

    def __getattr__(self, name: str) -> Any:
        """A field of a node that was not put together yet."""
        if name[0] == "_":
            raise AttributeError(name)
        whole = self._looks.whole(self._runs)
        for each in fields(whole):
            object.__setattr__(self, each.name, getattr(whole, each.name))
        return object.__getattribute__(self, name)


class Looks:
    """All formulas that differ in numerals only. known: what was found out about them."""

    def __init__(self, nodes: Callable[[Sequence[str]], Node]) -> None:
        self.known: dict[object, Any] = {}
        self.whole = nodes
        """A formula from its runs of digits."""

    def marked(self) -> Node:
        """The formula with a mark in the place of each numeral: MARK and the number of the run of digits."""
        return self.whole(_Marks())


class _Marks(Sequence[str]):
    def __getitem__(self, place: Any) -> Any:
        return f"{MARK}{place}"

    def __len__(self) -> int:
        return 0


MARK: Final = "#"


def run_of_mark(text: str) -> int | None:
    """The number of the run of digits a mark stands for, None for a numeral that is none."""
    return int(text.removeprefix(MARK)) if text.startswith(MARK) else None


def of_one_look(nodes: Callable[[Sequence[str]], Node]) -> Callable[[Sequence[str]], Node]:
    """A maker of nodes that differ in numerals only: what the looks decide is found out once for all of them."""
    looks = Looks(nodes)
    kind: Any = type(looks.marked())
    new, put_looks, put_runs = kind.__new__, kind._looks.__set__, kind._runs.__set__

    def made(runs: Sequence[str]) -> Node:
        node = new(kind)
        put_looks(node, looks)
        put_runs(node, runs)
        return node  # type: ignore[no-any-return]

    return made


def looks_of(node: Node) -> Looks | None:
    """The looks of a node, None for one that was made by itself."""
    return getattr(node, "_looks", None)


def runs_of(node: Any) -> Sequence[str]:
    """The runs of digits of a node that has looks."""
    return node._runs  # type: ignore[no-any-return]


_Decided = TypeVar("_Decided", bound=Callable[..., Any])


def by_looks(function: _Decided) -> _Decided:
    """A function of a node (and of hashable arguments) that no numeral plays a part in."""

    @wraps(function)
    def decided(node: Any, *arguments: Any) -> Any:
        looks = getattr(node, "_looks", None)
        if looks is None:
            return function(node, *arguments)
        key = function, arguments
        try:
            return looks.known[key]
        except KeyError:
            found = looks.known[key] = function(node, *arguments)
            return found

    return decided  # type: ignore[return-value]


def remembering_hash(made: type[_Class]) -> type[_Class]:
    """A frozen data class with room for it whose hash is worked out once."""
    of_fields: Any = made.__hash__

    def remembered(self: Any) -> int:
        try:
            return self._hash  # type: ignore[no-any-return]
        except AttributeError:
            found = of_fields(self)
            object.__setattr__(self, "_hash", found)
            return int(found)

    made.__hash__ = remembered  # type: ignore[method-assign]
    return made


@dataclass_transform(frozen_default=True)
def _node(cls: type[_Class]) -> type[_Class]:
    """A frozen data class whose hash is worked out once; a node that is compared with itself is not looked into."""
    made: Any = remembering_hash(dataclass(frozen=True, slots=True)(cls))
    of_fields = made.__eq__
    made.__eq__ = lambda self, other: self is other or of_fields(self, other)
    return made  # type: ignore[no-any-return]


@_node
class Numeral(_Hashed):
    """Digits, perhaps with a decimal point, as shown."""

    text: str


@_node
class Letter(_Hashed):
    """A letter, perhaps with an index: `x`, `x_1`, `α`."""

    name: str


@_node
class Sum(_Hashed):
    """(sign, term), each sign one of + - ±."""

    terms: tuple[tuple[str, Node], ...]


@_node
class Product(_Hashed):
    """Two or more factors."""

    factors: tuple[Node, ...]


@_node
class Quotient(_Hashed):
    """numerator over denominator."""

    numerator: Node
    denominator: Node


@_node
class Power(_Hashed):
    """base to an exponent."""

    base: Node
    exponent: Node


@_node
class Root(_Hashed):
    """A root; index 2 is the square root."""

    radicand: Node
    index: int = 2


@_node
class Absolute(_Hashed):
    """An absolute value."""

    inner: Node


INVERSES: Final = {"f": "f^-1", "g": "g^-1", "h": "h^-1"}
"""What texts may call a function -> its inverse."""
NAMED: Final = (*INVERSES, *INVERSES.values())
"""What texts may call functions of one number: these are shown, and what they are worth nobody says."""


@_node
class Apply(_Hashed):
    """A function by name."""

    function: str
    arguments: tuple[Node, ...]


@_node
class Point(_Hashed):
    """A point of the plane."""

    first: Node
    second: Node


@_node
class Relation(_Hashed):
    """left sign right; sign is one of = ≠ < ≤ > ≥ ≈. A chain is a conjunction of these."""

    left: Node
    sign: str
    right: Node


@_node
class Conjunction(_Hashed):
    """All of two or more statements."""

    parts: tuple[Node, ...]


@_node
class Alternatives(_Hashed):
    """At least one of two or more statements."""

    parts: tuple[Node, ...]


@_node
class Nothing(_Hashed):
    """No real solution."""


Node: TypeAlias = (
    Numeral | Letter | Sum | Product | Quotient | Power | Root | Absolute | Apply | Point | Relation | Conjunction
    | Alternatives | Nothing
)  # fmt: skip


def inverse_called(node: Node) -> str:
    """The inverse that a power of a function's name is, f^-1 of f with the exponent -1; "" for anything else.

    >>> inverse_called(Power(Letter("f"), Sum((("-", Numeral("1")),))))
    'f^-1'
    """
    if (
        isinstance(node, Power)
        and isinstance(node.base, Letter)
        and node.exponent == Sum((("-", Numeral("1")),))
    ):
        return INVERSES.get(node.base.name, "")
    return ""


def sum_of(terms: Iterable[tuple[str, Node]]) -> Node:
    """A sum; one plain term is itself, and a plain sum in first place joins in: (a + b) + c is a + b + c."""
    (sign, first), *rest = terms
    if sign == "+" and isinstance(first, Sum):
        return Sum((*first.terms, *rest)) if rest else first
    if sign == "+" and not rest:
        return first
    return Sum(((sign, first), *rest))


def product_of(factors: Iterable[Node]) -> Node:
    """A product; products among the factors join in."""
    flat: list[Node] = []
    for factor in factors:
        flat.extend(factor.factors if isinstance(factor, Product) else (factor,))
    return flat[0] if len(flat) == 1 else Product(tuple(flat))


def all_of(parts: Iterable[Node]) -> Node:
    """A conjunction; conjunctions among the parts join in."""
    flat: list[Node] = []
    for part in parts:
        flat.extend(part.parts if isinstance(part, Conjunction) else (part,))
    return flat[0] if len(flat) == 1 else Conjunction(tuple(flat))


def any_of(parts: Iterable[Node]) -> Node:
    """Alternatives; alternatives among the parts join in."""
    flat: list[Node] = []
    for part in parts:
        flat.extend(part.parts if isinstance(part, Alternatives) else (part,))
    return flat[0] if len(flat) == 1 else Alternatives(tuple(flat))


def values_of(letter: Node, values: Iterable[Node]) -> Node:
    """That a letter has one of some values, as a list behind one sign says it: n = 2, 3, 4."""
    return any_of(Relation(letter, "=", value) for value in values)


def children(node: Node) -> tuple[Node, ...]:
    """The direct parts of a node, in reading order."""
    match node:
        case Numeral() | Letter() | Nothing():
            return ()
        case Sum(terms):
            return tuple(term for _, term in terms)
        case Product(factors):
            return factors
        case Quotient(first, second) | Power(first, second) | Point(first, second):
            return (first, second)
        case Root(inner) | Absolute(inner):
            return (inner,)
        case Apply(_, arguments):
            return arguments
        case Relation(left, _, right):
            return (left, right)
        case Conjunction(parts) | Alternatives(parts):
            return parts


def walk(node: Node) -> Iterator[Node]:
    """The node and all below it."""
    yield node
    for child in children(node):
        yield from walk(child)


@by_looks
def is_telling(piece: Node) -> bool:
    """Whether a formula is large enough to be no chance likeness."""
    below = list(walk(piece))
    numerals = sum(isinstance(each, Numeral) for each in below)
    return numerals >= 2 and (any(isinstance(each, Letter) for each in below) or len(below) >= 5)


def is_one_number(node: Node) -> bool:
    """Whether a formula is a whole number or a fraction, with a sign or without."""
    return all(
        isinstance(each, Numeral | Quotient) or (isinstance(each, Sum) and len(each.terms) == 1)
        for each in walk(node)
    )


@by_looks
def has_function(node: Node, name: str) -> bool:
    """Whether a function is applied anywhere."""
    return any(isinstance(part, Apply) and part.function == name for part in walk(node))


def is_statement(node: Node) -> bool:
    """Whether the formula is a statement, not an expression."""
    return isinstance(node, Relation | Conjunction | Alternatives | Nothing)


@by_looks
def has_either_sign(node: Node) -> bool:
    """Whether a ± stands anywhere."""
    return any(isinstance(part, Sum) and any(sign == "±" for sign, _ in part.terms) for part in walk(node))


@by_looks
def may_have_false_roots(node: Node) -> bool:
    """Whether a letter stands under a root, in an exponent, or below: where working may lead to what is no solution."""
    return any(
        (isinstance(part, Root) and _has_letter(part.radicand))
        or (isinstance(part, Quotient) and _has_letter(part.denominator))
        or (isinstance(part, Power) and _has_letter(part.exponent))
        or (isinstance(part, Power) and isinstance(part.exponent, Sum) and _has_letter(part.base))
        for part in walk(node)
    )


def _has_letter(node: Node) -> bool:
    return any(isinstance(part, Letter) for part in walk(node))


@by_looks
def has_relation(node: Node, sign: str) -> bool:
    """Whether a relation sign stands anywhere."""
    return any(isinstance(part, Relation) and part.sign == sign for part in walk(node))


@remembering_hash
@dataclass(frozen=True, slots=True)
class Scope(Hashed):
    """What a formula stands among: the letters to be found, and the letter of discriminants where it is said."""

    unknowns: tuple[str, ...] = ()
    main_letter: str = ""

    def of_discriminant(self, argument: Node) -> str:
        """The letter a discriminant is taken in, "" where that is not plain.

        It is the one that is said; else the only letter that is not to be found; else the only letter.

        >>> Scope(("k",)).of_discriminant(sum_of([("+", Letter("x")), ("+", Letter("k"))]))
        'x'
        """
        letters = sorted({part.name for part in walk(argument) if isinstance(part, Letter)})
        if self.main_letter in letters:
            return self.main_letter
        known = [name for name in letters if name not in self.unknowns] or letters
        return known[0] if len(known) == 1 else ""


NOWHERE: Final = Scope()


@by_looks
def free_letters(node: Node, scope: Scope) -> frozenset[str]:
    """The letters a formula speaks of; the letter of a discriminant is not one of them."""
    if isinstance(node, Letter):
        return frozenset({node.name})
    below: frozenset[str] = frozenset()
    for child in children(node):
        below |= free_letters(child, scope)
    if isinstance(node, Apply) and node.function == "discriminant":
        below -= {scope.of_discriminant(node.arguments[0])}
    return below


INEQUALITIES: Final = frozenset("<≤>≥")
"""The signs of relations of which one is easily taken for another."""


@by_looks
def skeleton(node: Node) -> Node:
    """The formula without numerals, signs of sums and of inequalities: equal for those that differ in these only."""
    match node:
        case Numeral():
            return Numeral("")
        case Sum(terms):
            return Sum(tuple(("", skeleton(term)) for _, term in terms))
        case Relation(left, sign, right) if sign in INEQUALITIES:
            return Relation(skeleton(left), "", skeleton(right))
        case _:
            return _rebuilt(node, skeleton)


def replaced(node: Node, values: Mapping[str, Node]) -> Node:
    """The formula with letters replaced by formulas.

    >>> replaced(Power(Letter("p"), Numeral("2")), {"p": Numeral("3")})
    Power(base=Numeral(text='3'), exponent=Numeral(text='2'))
    """
    if isinstance(node, Letter):
        return values.get(node.name, node)
    return _rebuilt(node, lambda part: replaced(part, values))


def exchanged(node: Node, old: Node, new: Node) -> Node:
    """The formula with every part that is `old` exchanged for `new`.

    >>> exchanged(Absolute(Letter("p")), Absolute(Letter("p")), Letter("p"))
    Letter(name='p')
    """
    return new if node == old else _rebuilt(node, lambda part: exchanged(part, old, new))


def _rebuilt(node: Node, change: Callable[[Node], Node]) -> Node:
    """The node with each direct part changed."""
    match node:
        case Numeral() | Letter() | Nothing():
            return node
        case Sum(terms):
            return Sum(tuple((sign, change(term)) for sign, term in terms))
        case Product(factors):
            return Product(tuple(map(change, factors)))
        case Quotient(numerator, denominator):
            return Quotient(change(numerator), change(denominator))
        case Power(base, exponent):
            return Power(change(base), change(exponent))
        case Root(radicand, index):
            return Root(change(radicand), index)
        case Absolute(inner):
            return Absolute(change(inner))
        case Apply(function, arguments):
            return Apply(function, tuple(map(change, arguments)))
        case Point(first, second):
            return Point(change(first), change(second))
        case Relation(left, sign, right):
            return Relation(change(left), sign, change(right))
        case Conjunction(parts):
            return Conjunction(tuple(map(change, parts)))
        case Alternatives(parts):
            return Alternatives(tuple(map(change, parts)))
