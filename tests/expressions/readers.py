"""Readers of displayed mathematics, written for the tests: LaTeX, presentation and content MathML.

They share no code with the package. All three give the same plain trees of tuples:

    ("number", text) ("letter", name) ("sum", ((sign, part), ...)) ("times", parts) ("over", a, b)
    ("power", a, b) ("root", a, index) ("abs", a) ("call", name, parts) ("point", a, b)
    ("relation", signs, parts) ("and", parts) ("or", parts) ("none",)

Each refuses (ValueError) what it does not know; none guesses.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any, TypeAlias
from xml.etree import ElementTree

Tree: TypeAlias = tuple[Any, ...]
Token: TypeAlias = tuple[str, Any]
"""("operand", tree), ("open", sign), ("close", sign), ("sign", + - ± * , or a relation), ("word", and/or),
("apply", name)."""

GREEK = [
    "alpha", "beta", "gamma", "delta", "epsilon", "zeta", "eta", "theta", "iota", "kappa", "lambda", "mu", "nu", "xi",
    "pi", "rho", "sigma", "tau", "upsilon", "phi", "chi", "psi", "omega", "Gamma", "Delta", "Theta", "Lambda", "Xi",
    "Pi", "Sigma", "Upsilon", "Phi", "Psi", "Omega", "ldots",
]  # fmt: skip
_GREEK_LETTERS = dict(zip("αβγδεζηθικλμνξπρστυφχψωΓΔΘΛΞΠΣΥΦΨΩ…", GREEK, strict=True))
_RELATIONS = {"=", "!=", "<", "<=", ">", ">=", "≈"}


class _Row:
    """A row of tokens, read by strength: or, and, relation, sum, product, operand."""

    def __init__(self, tokens: Sequence[Token]) -> None:
        self.tokens = list(tokens)
        self.at = 0

    def whole(self) -> Tree:
        tree = self.joined("or", lambda: self.joined("and", self.relation))
        if self.at != len(self.tokens):
            raise ValueError(f"left over: {self.tokens[self.at :]}")
        return tree

    def peek(self) -> Token:
        return self.tokens[self.at] if self.at < len(self.tokens) else ("end", "")

    def joined(self, word: str, read: Callable[[], Tree]) -> Tree:
        parts = [read()]
        while self.peek() == ("word", word):
            self.at += 1
            parts.append(read())
        return parts[0] if len(parts) == 1 else (word, tuple(parts))

    def relation(self) -> Tree:
        parts, signs = [self.sum()], []
        while self.peek()[0] == "sign" and self.peek()[1] in _RELATIONS:
            signs.append(self.peek()[1])
            self.at += 1
            parts.append(self.sum())
        return ("relation", tuple(signs), tuple(parts)) if signs else parts[0]

    def sum(self) -> Tree:
        terms = []
        while not terms or (self.peek()[0] == "sign" and self.peek()[1] in "+-±"):
            sign = "+"
            if self.peek()[0] == "sign" and self.peek()[1] in "+-±":
                sign = self.peek()[1]
                self.at += 1
            terms.append((sign, self.product()))
        return terms[0][1] if len(terms) == 1 and terms[0][0] == "+" else ("sum", tuple(terms))

    def product(self) -> Tree:
        parts = [self.operand()]
        while self.peek() == ("sign", "*") or self.peek()[0] in {"operand", "open", "apply"}:
            if self.peek() == ("sign", "*"):
                self.at += 1
            parts.append(self.operand())
        return parts[0] if len(parts) == 1 else ("times", tuple(parts))

    def operand(self) -> Tree:
        kind, value = self.peek()
        self.at += 1
        if kind == "operand":
            return value
        if kind == "apply":
            return ("call", value, tuple(self.bracket(self.peek())))
        if kind == "open":
            self.at -= 1
            parts = self.bracket((kind, value))
            if value == "|":
                return ("abs", parts[0])
            return parts[0] if len(parts) == 1 else ("point", *parts)
        raise ValueError(f"an operand is missing at {self.tokens[self.at - 1 :]}")

    def bracket(self, opening: Token) -> list[Tree]:
        if opening[0] != "open" or self.peek() != opening:
            raise ValueError(f"a bracket is missing at {self.tokens[self.at :]}")
        self.at += 1
        start, depth = self.at, 1
        pieces: list[list[Token]] = [[]]
        while depth:
            kind, value = self.peek()
            if kind == "end":
                raise ValueError(f"not closed: {self.tokens[start:]}")
            depth += (kind == "open") - (kind == "close")
            if depth and (kind, value, depth) == ("sign", ",", 1):
                pieces.append([])
            elif depth:
                pieces[-1].append((kind, value))
            self.at += 1
        if self.tokens[self.at - 1][1] != {"(": ")", "|": "|"}[opening[1]]:
            raise ValueError("brackets do not match")
        return [_Row(piece).whole() for piece in pieces]


# LaTeX

_LATEX_TOKEN = re.compile(
    r"\s+|\{(?:-|\\pm)\}|[0-9]+(?:\.[0-9]+)?|[A-Za-z]|\\(?:[A-Za-z]+|[ ,])|[-+=<>,(){}^_|\[\]]"
)
_LATEX_SIGNS = {r"\pm": "±", r"\times": "*", r"\ne": "!=", r"\le": "<=", r"\ge": ">=", r"\approx": "≈"}


def read_latex(text: str) -> Tree:
    """The tree of LaTeX as the package writes it."""
    if text == r"\text{no real solution}":
        return ("none",)
    pieces: list[str] = []
    position = 0
    while position < len(text):
        match = _LATEX_TOKEN.match(text, position)
        if not match:
            raise ValueError(f"unknown LaTeX: {text[position:]!r}")
        if match[0].strip() or match[0] == r"\ ":
            pieces.append({"{-}": "-", r"{\pm}": r"\pm"}.get(match[0], match[0]))
        position = match.end()
    return _Row(_Latex(pieces).row()).whole()


class _Latex:
    def __init__(self, pieces: list[str]) -> None:
        self.pieces = pieces
        self.at = 0

    def next(self, wanted: str = "") -> str:
        if self.at >= len(self.pieces) or (wanted and self.pieces[self.at] != wanted):
            raise ValueError(f"expected {wanted or 'more'} in {self.pieces}")
        self.at += 1
        return self.pieces[self.at - 1]

    def row(self, until: str = "") -> list[Token]:
        tokens: list[Token] = []
        while self.at < len(self.pieces) and self.pieces[self.at] != until:
            self.piece(tokens)
        return tokens

    def group(self, opening: str = "{", closing: str = "}") -> Tree:
        self.next(opening)
        tree = _Row(self.row(closing)).whole()
        self.next(closing)
        return tree

    def raw_group(self) -> str:
        self.next("{")
        text = ""
        while self.pieces[self.at] != "}":
            text += self.next()
        self.next("}")
        return text

    def piece(self, tokens: list[Token]) -> None:
        piece = self.next()
        if piece in {r"\ ", r"\,"}:
            return
        if piece in _LATEX_SIGNS:
            tokens.append(("sign", _LATEX_SIGNS[piece]))
        elif piece in {"+", "-", "=", "<", ">", ","}:
            tokens.append(("sign", piece))
        elif piece in {r"\left", r"\right"}:
            tokens.append(("open" if piece == r"\left" else "close", self.next()))
        elif piece in {"(", ")"}:
            tokens.append(("open" if piece == "(" else "close", piece))
        elif piece == "^":
            raised = self.group()
            tokens.append(("operand", ("power", _last_operand(tokens), raised)))
        elif piece == r"\text":
            tokens.append(("word", self.raw_group()))
        elif piece == r"\mathrm":
            tokens.append(("apply", self.raw_group().replace(r"\ ", "_")))
        else:
            tokens.append(("operand", self.operand(piece)))

    def operand(self, piece: str) -> Tree:
        if piece[0].isdigit():
            return ("number", piece)
        if piece == r"\frac":
            return ("over", self.group(), self.group())
        if piece == r"\sqrt":
            index = 2
            if self.pieces[self.at] == "[":
                self.next("[")
                index = int(self.next())
                self.next("]")
            return ("root", self.group(), index)
        return ("letter", self.letter(piece))

    def letter(self, piece: str) -> str:
        name = self.raw_group() if piece == r"\mathit" else piece[1:] if piece[1:] in GREEK else piece
        if not re.fullmatch(r"[A-Za-z]+", name) or (len(name) > 1 and piece == name):
            raise ValueError(f"unknown command {piece}")
        if self.at < len(self.pieces) and self.pieces[self.at] == "_":
            self.next("_")
            index = self.raw_group()
            name += f"_({index})" if len(index) > 1 and not index.isdecimal() else f"_{index}"
        return name


def _last_operand(tokens: list[Token]) -> Tree:
    """Takes back the operand before an exponent: one token, or a whole bracket."""
    kind, value = tokens.pop()
    if kind == "operand":
        return value
    if kind != "close":
        raise ValueError("an exponent stands on nothing")
    taken: list[Token] = [(kind, value)]
    depth = 1
    while depth:
        taken.append(tokens.pop())
        depth += (taken[-1][0] == "close") - (taken[-1][0] == "open")
    return _Row(taken[::-1]).whole()


# presentation MathML

_MATHML_SIGNS = {
    "+": "+", "−": "-", "±": "±", "×": "*", "\u2062": "*", ",": ",",
    "=": "=", "≠": "!=", "<": "<", "≤": "<=", ">": ">", "≥": ">=", "≈": "≈",
}  # fmt: skip


def read_presentation(xml: str) -> Tree:
    """The tree of presentation MathML given as elements without a namespace."""
    return _row(ElementTree.fromstring(f"<mrow>{xml}</mrow>"))


def _row(element: ElementTree.Element) -> Tree:
    tokens = _tokens(element)
    if tokens == [("word", "no real solution")]:
        return ("none",)
    return _Row(tokens).whole()


def _tokens(element: ElementTree.Element) -> list[Token]:
    tokens: list[Token] = []
    children = list(element)
    for index, child in enumerate(children):
        if child.tag == "mrow":
            tokens += _fenced(child)
        elif child.tag == "mo" and child.text == "\u2061":
            (_, (_, name)) = tokens.pop()
            tokens.append(("apply", name.replace(" ", "_")))
        elif child.tag == "mo":
            tokens.append(_operator(child.text or "", index, len(children)))
        elif child.tag == "mtext":
            tokens.append(("word", child.text))
        elif child.tag != "mspace":
            tokens.append(("operand", _operand(child)))
    return tokens


def _operator(text: str, index: int, count: int) -> Token:
    if text in "()":
        return ("open" if text == "(" else "close", text)
    if text == "|":
        return ("open" if index == 0 else "close", text) if index in {0, count - 1} else ("sign", "inner bar")
    return ("sign", _MATHML_SIGNS[text])


def _fenced(row: ElementTree.Element) -> list[Token]:
    """A row keeps its own brackets together; without brackets it may stand only where one element must."""
    tokens = _tokens(row)
    if not tokens or tokens[0][0] != "open" or tokens[-1][0] != "close":
        raise ValueError("a row without brackets inside a row")
    return tokens


def _operand(element: ElementTree.Element) -> Tree:
    parts = list(element)
    match element.tag, len(parts):
        case "mn", 0:
            return ("number", element.text)
        case "mi", 0:
            return ("letter", _GREEK_LETTERS.get(element.text or "", element.text))
        case "msub", 2:
            index = "".join(each.text or "" for each in parts[1].iter()).replace("−", "-")
            return ("letter", f"{_operand(parts[0])[1]}_{f'({index})' if len(parts[1]) else index}")
        case "mfrac", 2:
            return ("over", _single(parts[0]), _single(parts[1]))
        case "msup", 2:
            return ("power", _single(parts[0]), _single(parts[1]))
        case "msqrt", _:
            return ("root", _row(element), 2)
        case "mroot", 2:
            return ("root", _single(parts[0]), int(parts[1].text or ""))
        case _:
            raise ValueError(f"unknown element {element.tag} with {len(parts)} parts")


def _single(element: ElementTree.Element) -> Tree:
    return _row(element) if element.tag == "mrow" else _operand(element)


# content MathML

_CONTENT_RELATIONS = {"eq": "=", "neq": "!=", "lt": "<", "leq": "<=", "gt": ">", "geq": ">=", "approx": "≈"}


def read_content(xml: str) -> Tree:
    """The tree of one content MathML element without a namespace."""
    return _meaning(ElementTree.fromstring(xml))


def _meaning(element: ElementTree.Element) -> Tree:
    match element.tag:
        case "cn":
            return ("number", element.text)
        case "ci":
            stem, _, digits = (element.text or "").partition("_")
            return ("letter", _GREEK_LETTERS.get(stem, stem) + (f"_{digits}" if digits else ""))
        case "vector":
            return ("point", *(_meaning(part) for part in element))
        case "emptyset":
            return ("none",)
        case "apply":
            return _applied(element[0], list(element)[1:])
        case _:
            raise ValueError(f"unknown element {element.tag}")


def _applied(operator: ElementTree.Element, parts: list[ElementTree.Element]) -> Tree:
    if operator.tag == "root":
        index = int(parts.pop(0)[0].text or "") if parts[0].tag == "degree" else 2
        return ("root", _meaning(parts[0]), index)
    read = tuple(_meaning(part) for part in parts)
    match operator.tag, len(read):
        case ("plus" | "minus" | "csymbol", 1 | 2) if (
            operator.tag != "csymbol" or operator.text == "plus-minus"
        ):
            sign = {"plus": "+", "minus": "-", "csymbol": "±"}[operator.tag]
            return (
                ("sum", ((sign, read[0]),)) if len(read) == 1 else ("sum", (("+", read[0]), (sign, read[1])))
            )
        case "times", _:
            return ("times", read)
        case "divide", 2:
            return ("over", *read)
        case "power", 2:
            return ("power", *read)
        case "abs", 1:
            return ("abs", *read)
        case "csymbol", _:
            return ("call", operator.text, read)
        case "and" | "or", _:
            return (operator.tag, read)
        case tag, count if tag in _CONTENT_RELATIONS and count > 1:
            return ("relation", (_CONTENT_RELATIONS[tag],) * (count - 1), read)
        case _:
            raise ValueError(f"unknown operator {operator.tag} of {len(read)} parts")
