"""Text to tree. Everything an author may not write is refused here, with the remedy.

The grammar stands in `grammar.lark`. Bounds come first, so that no text is waited for: bytes, digits and
nesting are counted before the grammar is asked.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Any

from lark import Lark, Token, Transformer, UnexpectedInput, v_args
from lark.exceptions import UnexpectedCharacters, UnexpectedEOF, UnexpectedToken, VisitError

from itembank.errors import ItembankError
from itembank.expressions import tree
from itembank.expressions.tree import Node, Place
from itembank.expressions.vocabulary import FUNCTIONS, nearest

MAXIMUM_LENGTH = 2_000
MAXIMUM_DEPTH = 30
MAXIMUM_DIGITS = 30

_SPELLINGS = {"−": "-", "×": "*", "≠": "!=", "≤": "<=", "≥": ">="}
_REFUSED = (
    (r"==", "double-equals", "`==` is not used here", "write a single ="),
    (r"\*\*", "double-star", "`**` is not used here", "write ^ for a power"),
    (r"[⁰¹²³⁴-⁹]", "raised-digit", "raised digits are not read", "write ^ and the digit: x^2"),
    (r"√", "root-sign", "the sign √ is not read", "write sqrt(...)"),
    (r"\|", "bars", "bars are not read", "write abs(...)"),
    (r"[\[\]{}]", "wrong-bracket", "only round brackets are read", "write ( and )"),
    (r"(?<![0-9])\.[0-9]", "bare-point", "a number may not begin with its point", "write the 0 before it: 0.5"),
    (r"[0-9](?:[eE][+-]?[0-9])", "power-of-ten", "the shorthand 1e3 is not read", "write 1000, or 10^3"),
    (r"[0-9]\.(?![0-9])", "bare-point", "a number may not end with its point", "leave the point out"),
    (r"∓", "minus-plus", "the sign ∓ is not read", "write one ±; both signs are read over the whole statement"),
    (r"÷", "division-sign", "the sign ÷ is not read", "write /"),
    (r"[·⋅]", "dot", "the dot is not read as a multiplication", "write *"),
)


class ExpressionError(ItembankError):
    """The text is no expression: `code`, `message`, `hint`, and the offsets `start`, `end` in the text."""

    def __init__(self, code: str, message: str, start: int, end: int, hint: str = "") -> None:
        self.code = code
        self.message = message
        self.start = start
        self.end = max(end, start + 1)
        self.hint = hint
        super().__init__(f"{message}; {hint}" if hint else message)


@dataclass(frozen=True, slots=True)
class _Respelt:
    """A text with accepted spellings made one, and where each character came from."""

    text: str
    origin: tuple[int, ...]


def parse(text: str) -> Node:
    """The tree of an expression or statement.

    text: the author's own; at most 2000 characters, 30 digits a number, 30 brackets deep.
    Returns a `tree.Node` whose places are offsets into `text`. Raises ExpressionError.

    >>> from itembank.expressions.plain import plain
    >>> plain(parse("2x^2 - 3x"))
    '2*x^2 - 3*x'
    """
    _check_bounds(text)
    respelt = _respell(text)
    _check_refused(text)
    try:
        node: Node = _BUILD.transform(_lark().parse(respelt.text))
    except VisitError as wrapped:
        if isinstance(wrapped.orig_exc, ExpressionError):
            raise _at_origin(wrapped.orig_exc, respelt, len(text)) from None
        raise
    except UnexpectedInput as found:
        raise _at_origin(_explain(respelt.text, found), respelt, len(text)) from None
    if respelt.text != text:
        node = _move(node, respelt)
    _check_statement(node)
    return node


def _check_bounds(text: str) -> None:
    if len(text) > MAXIMUM_LENGTH:
        raise ExpressionError(
            "expression-too-long", f"an expression of {len(text)} characters; {MAXIMUM_LENGTH} are read",
            0, 1, "split it into derived values",
        )  # fmt: skip
    if not text.strip():
        raise ExpressionError("empty-expression", "an expression is missing here", 0, 1, "write one, such as x^2 - 3")
    depth = 0
    for offset, character in enumerate(text):
        depth += (character == "(") - (character == ")")
        if depth > MAXIMUM_DEPTH:
            raise ExpressionError(
                "too-deep", f"brackets are nested more than {MAXIMUM_DEPTH} deep", offset, offset + 1,
                "name the inner part as a derived value",
            )  # fmt: skip
    for match in re.finditer(r"[0-9]+", text):
        if len(match[0]) > MAXIMUM_DIGITS:
            raise ExpressionError(
                "number-too-long", f"a number of {len(match[0])} digits; {MAXIMUM_DIGITS} are read",
                match.start(), match.end(), "use smaller numbers",
            )  # fmt: skip


def _respell(text: str) -> _Respelt:
    parts: list[str] = []
    origin: list[int] = []
    offset = 0
    while offset < len(text):
        step = 3 if text.startswith("+/-", offset) else 1
        written = "±" if step == 3 else _SPELLINGS.get(text[offset], text[offset])
        parts.append(written)
        origin.extend([offset] * len(written))
        offset += step
    origin.append(len(text))
    return _Respelt("".join(parts), tuple(origin))


def _check_refused(text: str) -> None:
    for pattern, code, message, hint in _REFUSED:
        match = re.search(pattern, text)
        if match:
            raise ExpressionError(code, message, match.start(), match.end(), hint)
    depth = 0
    for offset, character in enumerate(text):
        depth += (character == "(") - (character == ")")
        if depth < 0:
            raise ExpressionError(
                "unopened-bracket", "this bracket was never opened", offset, offset + 1, "take it out, or open it before"
            )
        if character == "," and depth == 0:
            raise ExpressionError(
                "comma", "a comma does not join statements", offset, offset + 1,
                "write `or` between alternatives, `and` between things that hold together",
            )  # fmt: skip


def _at_origin(error: ExpressionError, respelt: _Respelt, length: int) -> ExpressionError:
    last = len(respelt.origin) - 1
    start = respelt.origin[min(error.start, last)]
    end = respelt.origin[min(error.end, last)]
    if start >= length and length:
        start, end = length - 1, length
    return ExpressionError(error.code, error.message, start, max(end, start + 1), error.hint)


def _move(node: Node, respelt: _Respelt) -> Node:
    parts = tuple(_move(part, respelt) for part in tree.children(node))
    start, end = node.place
    return replace(tree.rebuild(node, parts), place=(respelt.origin[start], respelt.origin[end]))


_WORDS = {
    "RPAR": "a closing bracket", "LPAR": "an opening bracket", "NUMBER": "a number", "NAME": "a letter or name",
    "FUNCTION": "a function", "RELATION": "one of = < > <= >= !=", "PLUS_MINUS": "±", "PLUS": "+", "MINUS": "-",
    "STAR": "*", "SLASH": "/", "CIRCUMFLEX": "^", "COMMA": "a comma", "AND": "and", "OR": "or", "NOT": "not",
    "$END": "the end",
}  # fmt: skip


def _explain(text: str, found: UnexpectedInput) -> ExpressionError:
    if isinstance(found, UnexpectedCharacters):
        start = found.pos_in_stream
        character = text[start]
        named = f"`{character}` (U+{ord(character):04X})" if ord(character) > 126 else f"`{character}`"
        return ExpressionError(
            "unknown-character", f"{named} has no meaning in an expression", start, start + 1,
            "use letters, digits and + - * / ^ ( ) = < > ±",
        )  # fmt: skip
    if isinstance(found, UnexpectedToken) and found.token.type != "$END":
        start = found.token.start_pos or 0
        end = start + len(found.token)
        return _explain_token(text, found, start, end)
    if isinstance(found, UnexpectedToken | UnexpectedEOF):
        end = len(text.rstrip())
        open_brackets = text.count("(") - text.count(")")
        if open_brackets > 0:
            where = _unclosed(text)
            return ExpressionError(
                "unclosed-bracket", "this bracket is never closed", where, where + 1, "close it with )"
            )
        return ExpressionError(
            "unfinished", f"the expression stops too early; expected {_expected(found)}", end - 1, end, ""
        )
    raise found  # pragma: no cover - lark has no other kind for a LALR parser


def _explain_token(text: str, found: UnexpectedToken, start: int, end: int) -> ExpressionError:
    token, before = str(found.token), text[:start].rstrip()
    kind = found.token.type
    if kind in {"LPAR", "NAME", "FUNCTION", "NUMBER"} and before:
        if re.search(r"/\s*[A-Za-z0-9_.]+$", before):
            return ExpressionError(
                "ambiguous-quotient", f"it is not clear whether `{token}` stands below the line", start, end,
                "write (1/2)*x or 1/(2*x)",
            )  # fmt: skip
        if re.search(r"\^\s*-?\s*[A-Za-z0-9_.]+$", before):
            return ExpressionError(
                "factor-after-power", "a factor after a power needs a *", start, end, "write (x + 1)^2*(x - 2)"
            )
        if kind == "NUMBER" and re.search(r"[A-Za-z]$", before):
            return ExpressionError(
                "number-after-letter", f"`{token}` directly after a letter", start, end,
                "write the number first (2x), x*2, or x_2 for a name",
            )  # fmt: skip
        if before[-1].isalnum() or before[-1] == ")":
            return ExpressionError("missing-operator", f"an operator is missing before `{token}`", start, end, "write *")
    if token == "±":
        return ExpressionError(
            "misplaced-plus-minus", "± may stand only at the beginning of a sum or between its terms", start, end, ""
        )
    if kind in {"PLUS", "MINUS", "STAR", "SLASH"}:
        return ExpressionError(
            "two-operators", f"`{token}` cannot stand here; expected {_expected(found)}", start, end,
            "put a negative number in brackets: 2 - (-3)",
        )  # fmt: skip
    return ExpressionError("unexpected", f"`{token}` cannot stand here; expected {_expected(found)}", start, end, "")


def _expected(found: UnexpectedInput) -> str:
    accepted = getattr(found, "accepts", None) or getattr(found, "expected", None) or ()
    words = sorted({_WORDS.get(name, name.lower()) for name in accepted})
    if {"a number", "a letter or name"} <= set(words):
        return "a number, a letter or a bracket"
    return ", ".join(words[:-1]) + (" or " if words[:-1] else "") + words[-1] if words else "something else"


def _unclosed(text: str) -> int:
    stack: list[int] = []
    for offset, character in enumerate(text):
        if character == "(":
            stack.append(offset)
        elif character == ")" and stack:
            stack.pop()
    return stack[-1]


def _check_statement(node: Node) -> None:
    signs = [part for part in tree.walk(node) if isinstance(part, tree.PlusMinus)]
    inside = [(part, op) for part in tree.walk(node) if isinstance(part, tree.Sum) for op, _ in part.rest if op == "±"]
    if len(signs) + len(inside) > 1:
        raise ExpressionError(
            "two-plus-minus", "more than one ± in a statement", *node.place,
            "use one ±; both its signs are read over the whole statement",
        )  # fmt: skip
    for part in tree.walk(node):
        if isinstance(part, tree.Relation):
            _check_chain(part)
        elif not isinstance(part, tree.And | tree.Or | tree.Not | tree.Call):
            for child in tree.children(part):
                if tree.is_statement(child):
                    raise ExpressionError(
                        "statement-inside", "a statement stands where a number is needed", *child.place,
                        "statements are joined by `and` and `or` only",
                    )  # fmt: skip
        if isinstance(part, tree.And | tree.Or | tree.Not):
            for child in tree.children(part):
                if not tree.is_statement(child) and not isinstance(child, tree.Call):
                    raise ExpressionError(
                        "not-a-statement", "`and`, `or` and `not` join statements", *child.place,
                        "complete it with a relation: x = 3 or x = 5",
                    )  # fmt: skip


def _check_chain(relation: tree.Relation) -> None:
    operators = set(relation.operators)
    if len(relation.operators) == 1:
        return
    if "!=" in operators:
        raise ExpressionError("chained-unequal", "≠ cannot be chained", *relation.place, "write a != b and b != c")
    if operators & {"<", "<="} and operators & {">", ">="}:
        raise ExpressionError("chain-both-ways", "a chain runs one way", *relation.place, "turn one sign round")


def _place(meta: Any) -> Place:
    return (meta.start_pos, meta.end_pos)


def _product(parts: list[Node], place: Place) -> Node:
    flat = [inner for part in parts for inner in (part.factors if isinstance(part, tree.Product) else (part,))]
    return tree.Product(tuple(flat), place)


@v_args(meta=True)
class _Build(Transformer[Token, Node]):
    """One method for each rule of the grammar."""

    def number(self, meta: Any, parts: list[Token]) -> Node:
        text = str(parts[0])
        return tree.Number(Fraction(text), len(text.partition(".")[2]), _place(meta))

    def name(self, meta: Any, parts: list[Token]) -> Node:
        return tree.Name(str(parts[0]), _place(meta))

    def bracket(self, meta: Any, parts: list[Node]) -> Node:
        return parts[0]

    def call(self, meta: Any, parts: list[Any]) -> Node:
        name, arguments = str(parts[0]), tuple(parts[1:])
        start = parts[0].start_pos
        if name not in FUNCTIONS:
            near = nearest(name, FUNCTIONS)
            product = f"{name}*(...)" if len(name) <= 2 or name.count("_") == 1 and name[-1].isdigit() else ""
            hint = f"for a product write {product}" if product else ""
            if near:
                hint = f"{hint}; nearest known function: {near}" if hint else f"nearest known function: {near}"
            raise ExpressionError("unknown-function", f"`{name}` is no function", start, start + len(name), hint)
        least, most = FUNCTIONS[name].least, FUNCTIONS[name].most
        if not least <= len(arguments) <= most:
            wanted = str(least) if least == most else f"{least} or more" if most > 20 else f"{least} to {most}"
            raise ExpressionError(
                "wrong-number-of-arguments", f"`{name}` takes {wanted} argument(s), here are {len(arguments)}",
                *_place(meta), FUNCTIONS[name].example,
            )  # fmt: skip
        return tree.Call(name, arguments, _place(meta))

    def point(self, meta: Any, parts: list[Node]) -> Node:
        return tree.Point(parts[0], parts[1], _place(meta))

    def power(self, meta: Any, parts: list[Node]) -> Node:
        return tree.Power(parts[0], parts[1], _place(meta))

    def negative(self, meta: Any, parts: list[Node]) -> Node:
        return tree.Negation(parts[0], _place(meta))

    def either_sign(self, meta: Any, parts: list[Any]) -> Node:
        return tree.PlusMinus(parts[-1], _place(meta))

    def juxtaposed(self, meta: Any, parts: list[Node]) -> Node:
        return _product(parts, _place(meta))

    def juxtaposed_power(self, meta: Any, parts: list[Node]) -> Node:
        *before, last, exponent = parts
        raised = tree.Power(last, exponent, (last.place[0], exponent.place[1]))
        return _product([*before, raised], _place(meta))

    def times(self, meta: Any, parts: list[Node]) -> Any:
        return ("*", parts[0])

    def times_negative(self, meta: Any, parts: list[Node]) -> Any:
        return ("*", tree.Negation(parts[0], parts[0].place))

    def over(self, meta: Any, parts: list[Node]) -> Any:
        return ("/", parts[0])

    def over_negative(self, meta: Any, parts: list[Node]) -> Any:
        return ("/", tree.Negation(parts[0], parts[0].place))

    def term(self, meta: Any, parts: list[Any]) -> Node:
        start = meta.start_pos
        result: Node = parts[0]
        for operator, factor in parts[1:]:
            place = (start, factor.place[1])
            if operator == "/":
                result = tree.Quotient(result, factor, place)
            else:
                result = _product([result, factor], place)
        return result

    def sum_operator(self, meta: Any, parts: list[Token]) -> Any:
        return str(parts[0])

    def sum(self, meta: Any, parts: list[Any]) -> Node:
        return tree.Sum(parts[0], tuple(zip(parts[1::2], parts[2::2], strict=True)), _place(meta))

    def relation(self, meta: Any, parts: list[Any]) -> Node:
        return tree.Relation(tuple(parts[0::2]), tuple(str(op) for op in parts[1::2]), _place(meta))

    def conjunction(self, meta: Any, parts: list[Node]) -> Node:
        return tree.And(tuple(parts), _place(meta))

    def disjunction(self, meta: Any, parts: list[Node]) -> Node:
        return tree.Or(tuple(parts), _place(meta))

    def opposite(self, meta: Any, parts: list[Node]) -> Node:
        return tree.Not(parts[0], _place(meta))


@cache
def _lark() -> Lark:
    grammar = files("itembank.expressions").joinpath("grammar.lark").read_text("utf-8")
    return Lark(grammar, parser="lalr", start="start", propagate_positions=True, maybe_placeholders=False)


_BUILD = _Build()
