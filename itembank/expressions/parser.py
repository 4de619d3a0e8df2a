"""Text to tree. Everything an author may not write is refused, at its place and with the remedy.

The grammar stands in `grammar.lark`; `prescan` looks at the text before it, `statement_checks` at the tree
after it, and `remedies` says what is wrong where it stops. Only this module knows the parser library.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Any

from lark import Lark, Token, UnexpectedInput, v_args
from lark.exceptions import UnexpectedCharacters, UnexpectedToken, VisitError
from lark.tree import Meta
from lark.visitors import Transformer_NonRecursive

from itembank.expressions import prescan, remedies, tree
from itembank.expressions.prescan import MAXIMUM_DEPTH, MAXIMUM_DIGITS, MAXIMUM_LENGTH, ExpressionError
from itembank.expressions.statement_checks import check_nesting, check_tree
from itembank.expressions.tree import Node, Place
from itembank.expressions.vocabulary import FUNCTIONS, LEFT_OUT, NAMED

__all__ = ["MAXIMUM_DEPTH", "MAXIMUM_DIGITS", "MAXIMUM_LENGTH", "ExpressionError", "parse"]

_SPELLINGS = {
    "−": "-", "×": "*", "≠": "!=", "≤": "<=", "≥": ">=", "…": f" {LEFT_OUT} ",
    "...": f" {LEFT_OUT} ", "+/-": "±", "+/−": "±",
}  # fmt: skip


def parse(text: str, *, in_text: bool = False) -> Node:
    """The tree of an expression or statement.

    text: the author's own; at most 2000 characters, 30 digits a number, 30 brackets deep. in_text: it stands in a text,
    where f(x) is shown as it is.
    Returns a `tree.Node` whose places are offsets into `text`. Raises ExpressionError.

    >>> from itembank.expressions.plain import plain
    >>> plain(parse("2x^2 - 3x"))
    '2*x^2 - 3*x'
    >>> plain(parse("f(x + 1) = 3f(x)", in_text=True))
    'f(x + 1) = 3*f(x)'
    """
    prescan.check_text(text)
    respelt = _respell(text)
    try:
        node: Node = (_BUILD_IN_TEXT if in_text else _BUILD).transform(_lark().parse(respelt.text))
        check_nesting(node)
    except ExpressionError as error:
        raise _at_origin(error, respelt) from None
    except VisitError as wrapped:
        if not isinstance(wrapped.orig_exc, ExpressionError):
            raise
        raise _at_origin(wrapped.orig_exc, respelt) from None
    except UnexpectedInput as found:
        raise _at_origin(_explain(respelt.text, found), respelt) from None
    if respelt.text != text:
        node = _moved(node, respelt)
    check_tree(node)
    return node


@dataclass(frozen=True, slots=True)
class _Respelt:
    """A text with accepted spellings made one, and where each character, and the end, came from."""

    text: str
    origin: tuple[int, ...]


def _respell(text: str) -> _Respelt:
    parts: list[str] = []
    origin: list[int] = []
    offset = 0
    while offset < len(text):
        step = 3 if text[offset : offset + 3] in _SPELLINGS else 1
        written = _SPELLINGS.get(text[offset : offset + step], text[offset])
        parts.append(written)
        origin.extend([offset] * len(written))
        offset += step
    origin.append(len(text))
    return _Respelt("".join(parts), tuple(origin))


def _at_origin(error: ExpressionError, respelt: _Respelt) -> ExpressionError:
    start, end = respelt.origin[error.start], respelt.origin[error.end]
    return ExpressionError(error.code, error.message, start, end, error.hint)


def _moved(node: Node, respelt: _Respelt) -> Node:
    parts = tuple(_moved(part, respelt) for part in tree.children(node))
    start, end = node.place
    return replace(tree.rebuild(node, parts), place=(respelt.origin[start], respelt.origin[end]))


def _explain(text: str, found: UnexpectedInput) -> ExpressionError:
    start = found.pos_in_stream or 0
    if isinstance(found, UnexpectedCharacters):
        return remedies.unknown_character(text, start)
    expected = set(found.accepts or found.expected) if isinstance(found, UnexpectedToken) else set()
    if isinstance(found, UnexpectedToken) and found.token.type != "$END":
        return remedies.unexpected_token(text, found.token.type, start, start + len(found.token), expected)
    return remedies.stopped_early(text, expected)


def _place(meta: Meta) -> Place:
    return (meta.start_pos, meta.end_pos)


def _product(parts: list[Node], place: Place) -> Node:
    flat = [
        inner for part in parts for inner in (part.factors if isinstance(part, tree.Product) else (part,))
    ]
    return tree.Product(tuple(flat), place)


@v_args(meta=True)
class _Build(Transformer_NonRecursive[Token, Node]):
    """One method for each rule of the grammar; no recursion, so that no nesting overflows the stack."""

    def __init__(self, named: tuple[str, ...] = ()) -> None:
        super().__init__()
        self._named = named

    def number(self, meta: Meta, parts: list[Token]) -> Node:
        text = str(parts[0])
        return tree.Number(Fraction(text), len(text.partition(".")[2]), _place(meta))

    def name(self, meta: Meta, parts: list[Token]) -> Node:
        return tree.Name(str(parts[0]).replace(" ", ""), _place(meta))

    def bracket(self, meta: Meta, parts: list[Node]) -> Node:
        return replace(parts[0], place=_place(meta))

    def call(self, meta: Meta, parts: list[Any]) -> Node:
        name, arguments = str(parts[0]).replace("(-1)", "-1"), tuple(parts[1:])
        if name in self._named and len(arguments) == 1:
            return tree.Call(name, arguments, _place(meta))
        if name not in FUNCTIONS:
            raise remedies.unknown_function(name, meta.start_pos, len(arguments))
        if not FUNCTIONS[name].least <= len(arguments) <= FUNCTIONS[name].most:
            raise remedies.wrong_number_of_arguments(name, len(arguments), *_place(meta))
        return tree.Call(name, arguments, _place(meta))

    def point(self, meta: Meta, parts: list[Node]) -> Node:
        return tree.Point(parts[0], parts[1], _place(meta))

    def power(self, meta: Meta, parts: list[Node]) -> Node:
        return tree.Power(parts[0], parts[1], _place(meta))

    def negative(self, meta: Meta, parts: list[Node]) -> Node:
        return tree.Negation(parts[0], _place(meta))

    def either_sign(self, meta: Meta, parts: list[Any]) -> Node:
        return tree.PlusMinus(parts[-1], _place(meta))

    def juxtaposed(self, meta: Meta, parts: list[Node]) -> Node:
        return _product(parts, _place(meta))

    def juxtaposed_power(self, meta: Meta, parts: list[Node]) -> Node:
        *before, last, exponent = parts
        raised = tree.Power(last, exponent, (last.place[0], exponent.place[1]))
        return _product([*before, raised], _place(meta))

    def minus(self, meta: Meta, parts: list[Token]) -> int:
        return meta.start_pos

    def times(self, meta: Meta, parts: list[Node]) -> tuple[str, Node]:
        return ("*", parts[0])

    def times_negative(self, meta: Meta, parts: list[Any]) -> tuple[str, Node]:
        return ("*", tree.Negation(parts[1], (parts[0], parts[1].place[1])))

    def over(self, meta: Meta, parts: list[Node]) -> tuple[str, Node]:
        return ("/", parts[0])

    def over_negative(self, meta: Meta, parts: list[Any]) -> tuple[str, Node]:
        return ("/", tree.Negation(parts[1], (parts[0], parts[1].place[1])))

    def term(self, meta: Meta, parts: list[Any]) -> Node:
        result: Node = parts[0]
        for operator, factor in parts[1:]:
            place = (meta.start_pos, factor.place[1])
            over = operator == "/"
            result = tree.Quotient(result, factor, place) if over else _product([result, factor], place)
        return result

    def sum_operator(self, meta: Meta, parts: list[Token]) -> str:
        return str(parts[0])

    def sum(self, meta: Meta, parts: list[Any]) -> Node:
        return tree.Sum(parts[0], tuple(zip(parts[1::2], parts[2::2], strict=True)), _place(meta))

    def relation(self, meta: Meta, parts: list[Any]) -> Node:
        return tree.Relation(tuple(parts[0::2]), tuple(str(op) for op in parts[1::2]), _place(meta))

    def conjunction(self, meta: Meta, parts: list[Node]) -> Node:
        return tree.And(tuple(parts), _place(meta))

    def disjunction(self, meta: Meta, parts: list[Node]) -> Node:
        return tree.Or(tuple(parts), _place(meta))

    def opposite(self, meta: Meta, parts: list[Node]) -> Node:
        return tree.Not(parts[0], _place(meta))


@cache
def _lark() -> Lark:
    grammar = files("itembank.expressions").joinpath("grammar.lark").read_text("utf-8")
    return Lark(grammar, parser="lalr", start="start", propagate_positions=True, maybe_placeholders=False)


_BUILD, _BUILD_IN_TEXT = _Build(), _Build(NAMED)
