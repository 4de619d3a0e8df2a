"""Presentation MathML, read as a person reads it off the page: position and signs decide, nothing else.

Its own order of strength: a sign binds a whole term, × and the invisible times bind factors, an exponent
binds what it stands on. A factor needs a sign of multiplication before it; juxtaposition is refused.
"""

from __future__ import annotations

import re

from lxml import etree

from itembank.audit import formula
from itembank.audit.findings import Unread
from itembank.audit.formula import Node
from itembank.audit.letters import GREEK, LEFT_OUT, WHOLE_NUMBERS
from itembank.audit.mathml_tokens import (
    APPLIED,
    DEPTH,
    INVISIBLE_TIMES,
    RELATIONS,
    SIGNS,
    TIMES,
    Token,
    content_of,
    parts_of,
    row_tokens,
    tokens,
)
from itembank.audit.tongues import ENGLISH, Tongue
from itembank.audit.xml_reading import local_name

__all__ = ["read_presentation"]

_NUMERAL = re.compile(r"(?:0|[1-9][0-9]{0,29})(?:\.[0-9]{1,30})?\Z")
_NAME = re.compile(rf"(?:[A-Za-z]{{1,20}}|[{''.join(GREEK.values())}{LEFT_OUT}{WHOLE_NUMBERS}])\Z")
_STEPS = {"+": "+", "−": "-"}
_STEP = re.compile(r"[1-9]\Z")
_INDICES = {"mn": re.compile(r"[0-9]{1,4}\Z"), "mi": re.compile(r"[a-z]\Z")}
_ROOT_INDICES = frozenset("23456789")


def read_presentation(element: etree._Element, words: Tongue = ENGLISH) -> Node:
    """What is shown by a MathML element (`math`, `mrow` or any other that the audit knows). words: of its language.

    Raises Unread for a notation it does not know.
    """
    return _Reader(tokens(element, 0, words), 0, words).whole()


def _operand(element: etree._Element, depth: int, words: Tongue) -> Node:
    name = local_name(element)
    match name:
        case "mn":
            return formula.Numeral(_numeral(element, words))
        case "mi":
            # a function's name is told from a letter's by the sign of application after it
            function = words.functions.get(content_of(element))
            return formula.Letter(f"{function}()" if function else _matching(_NAME, element))
        case "msub":
            letter, index = parts_of(element, 2)
            if local_name(letter) != "mi":
                raise Unread("only a letter can have an index")
            return formula.Letter(f"{_matching(_NAME, letter)}_{_index(index)}")
        case "mfrac":
            numerator, denominator = parts_of(element, 2)
            return formula.Quotient(_whole(numerator, depth, words), _whole(denominator, depth, words))
        case "msup":
            base, exponent = parts_of(element, 2)
            return formula.Power(_base(base, depth, words), _whole(exponent, depth, words))
        case "msqrt":
            return formula.Root(_Reader(row_tokens(element, depth, words), depth, words).expression_only())
        case "mroot":
            radicand, index = parts_of(element, 2)
            shown = _whole(index, depth, words)
            if not isinstance(shown, formula.Numeral) or shown.text not in _ROOT_INDICES:
                raise Unread("the index of a root is not a whole number from 2 to 9")
            return formula.Root(_whole(radicand, depth, words), int(shown.text))
        case "mtext" if content_of(element) == words.nothing:
            return formula.Nothing()
        case _:
            raise Unread(f"the element {name} is not known")


def _index(element: etree._Element) -> str:
    """Digits, a letter, or a letter with a sign and a digit: what stands low at a letter."""
    if local_name(element) == "mrow":
        general, sign, step = parts_of(element, 3)
        if [local_name(each) for each in element] != ["mi", "mo", "mn"]:
            raise Unread("only digits, a letter, or a letter and a step can be an index")
        shown = _STEPS.get(content_of(sign), "")
        if not shown:
            raise Unread("a step of an index goes up or down")
        return f"({_matching(_INDICES['mi'], general)}{shown}{_matching(_STEP, step)})"
    known = _INDICES.get(local_name(element))
    if known is None:
        raise Unread("only digits, a letter, or a letter and a step can be an index")
    return _matching(known, element)


def _whole(element: etree._Element, depth: int, words: Tongue) -> Node:
    return _Reader(tokens(element, depth + 1, words), depth + 1, words).expression_only()


def _base(element: etree._Element, depth: int, words: Tongue) -> Node:
    """What an exponent stands on: one operand or a bracket; on more, a reader would not see where it begins."""
    reader = _Reader(tokens(element, depth + 1, words), depth + 1, words)
    node = reader.operand()
    reader.end()
    if isinstance(node, formula.Power | formula.Quotient) and not reader.bracketed:
        raise Unread("an exponent stands on a power or a fraction without brackets")
    return node


def _numeral(element: etree._Element, words: Tongue) -> str:
    """The digits with a point, where the language has its own mark."""
    text = content_of(element)
    plain = text.replace(words.mark, ".")
    if not _NUMERAL.match(plain) or (words.mark != "." and "." in text):
        raise Unread(f"{text!r} cannot be read as mn")
    return plain


def _matching(pattern: re.Pattern[str], element: etree._Element) -> str:
    text = content_of(element)
    if not pattern.match(text):
        raise Unread(f"{text!r} cannot be read as {local_name(element)}")
    return text


def _all_statements(parts: list[Node]) -> None:
    if len(parts) > 1 and not all(formula.is_statement(part) for part in parts):
        raise Unread("a word joins what is no statement")


def _begins_with_digit(node: Node) -> bool:
    match node:
        case formula.Numeral() | formula.Power(formula.Numeral(), _):
            return True
        case formula.Quotient(first, _):  # of a power no base but a numeral stands without brackets
            return _begins_with_digit(first)
        case _:
            return False


class _Reader:
    """Reads a row of tokens from left to right."""

    def __init__(self, row: list[Token], depth: int, words: Tongue) -> None:
        self._tokens = row
        self._words = words
        self._depth = depth
        self._at = 0
        self._nested = 0
        self.bracketed = False

    def whole(self) -> Node:
        """A statement or an expression, and nothing after it."""
        node = self.statement()
        self.end()
        return node

    def expression_only(self) -> Node:
        """An expression, and nothing after it."""
        node = self.whole()
        if formula.is_statement(node):
            raise Unread("a statement stands where only an expression can")
        return node

    def end(self) -> None:
        """Refuse what is left over."""
        if self._at < len(self._tokens):
            token = self._tokens[self._at]
            raise Unread(f"{token.text or 'an operand'!r} stands where the formula should end")

    def statement(self) -> Node:
        """Statements joined by `or`, or one of them, or an expression."""
        parts = [self._conjunction()]
        while self._word("or"):
            parts.append(self._conjunction())
        _all_statements(parts)
        return formula.any_of(parts)

    def _conjunction(self) -> Node:
        parts = [self._relation()]
        while self._word("and"):
            parts.append(self._relation())
        _all_statements(parts)
        return formula.all_of(parts)

    def _relation(self) -> Node:
        operands = [self._sum()]
        signs: list[str] = []
        while (sign := self._next_operator()) in RELATIONS:
            self._at += 1
            signs.append(sign)
            operands.append(self._sum())
        if not signs:
            return operands[0]
        if any(formula.is_statement(operand) for operand in operands):
            raise Unread("a relation stands between statements")
        if signs == ["="] and isinstance(operands[0], formula.Letter) and self._next_operator() == ",":
            return self._list(operands[0], operands[1])
        return formula.all_of(
            formula.Relation(left, sign, right)
            for left, sign, right in zip(operands, signs, operands[1:], strict=False)
        )

    def _list(self, letter: Node, first: Node) -> Node:
        """The values of a letter behind one sign: n = 2, 3, 4."""
        values = [first]
        while self._next_operator() == ",":
            self._at += 1
            values.append(self._sum())
        if any(map(formula.is_statement, values)):
            raise Unread("a statement stands in a list of values")
        return formula.values_of(letter, values)

    def _sum(self) -> Node:
        sign = SIGNS.get(self._next_operator(), "")
        if sign:
            self._at += 1
        terms = [(sign or "+", self._product())]
        while sign := SIGNS.get(self._next_operator(), ""):
            self._at += 1
            terms.append((sign, self._product()))
        if (len(terms) > 1 or terms[0][0] != "+") and any(formula.is_statement(term) for _, term in terms):
            raise Unread("a statement stands in a sum")
        return formula.sum_of(terms)

    def _product(self) -> Node:
        factors = [self.operand()]
        while (sign := self._next_operator()) in TIMES:
            self._at += 1
            factors.append(self.operand())
            if sign == INVISIBLE_TIMES and _begins_with_digit(factors[-1]):
                raise Unread("a number follows a factor without a ×: 2 and 3 would be seen as 23")
        if len(factors) > 1 and any(formula.is_statement(factor) for factor in factors):
            raise Unread("a statement stands in a product")
        return formula.product_of(factors)

    def operand(self) -> Node:
        """A number, a letter, a bracket, or what stands as one thing."""
        if self._at >= len(self._tokens):
            raise Unread("the formula ends where a number, a letter or a bracket should stand")
        token = self._tokens[self._at]
        if token.element is not None:
            self._at += 1
            return self._applied(_operand(token.element, self._depth, self._words))
        if token.text == "(":
            return self._bracket()
        if token.text == "|" and token.kind == "operator":
            self._at += 1
            inner = self._sum()
            self._expect("|")
            return formula.Absolute(inner)
        raise Unread(f"{token.text!r} stands where a number, a letter or a bracket should")

    def _applied(self, node: Node) -> Node:
        name = node.name if isinstance(node, formula.Letter) else formula.inverse_called(node)
        if self._next_operator() != APPLIED:
            if name.endswith("()"):
                raise Unread("a function's name stands without its argument")
            return node
        if not name.endswith("()") and name not in formula.NAMED:
            raise Unread("something that is no known function is applied")
        self._at += 1
        self._expect("(")
        arguments = [self._relation()]
        while self._next_operator() == ",":
            self._at += 1
            arguments.append(self._relation())
        self._expect(")")
        if name in formula.NAMED and len(arguments) != 1:
            raise Unread(f"{name} is applied to {len(arguments)} numbers")
        return formula.Apply(name.removesuffix("()"), tuple(arguments))

    def _bracket(self) -> Node:
        self._deeper()
        self._expect("(")
        inner = self.statement()
        if self._next_operator() == ",":
            self._at += 1
            second = self._sum()
            if formula.is_statement(inner):
                raise Unread("a point holds a statement")
            inner = formula.Point(inner, second)
        self._expect(")")
        self._nested -= 1
        self.bracketed = True
        return inner

    def _deeper(self) -> None:
        self._nested += 1
        if self._nested > DEPTH:
            raise Unread("the formula is nested too deeply")

    def _next_operator(self) -> str:
        if self._at < len(self._tokens) and self._tokens[self._at].kind == "operator":
            return self._tokens[self._at].text
        return ""

    def _word(self, word: str) -> bool:
        if self._at < len(self._tokens) and self._tokens[self._at] == Token("word", word):
            self._at += 1
            return True
        return False

    def _expect(self, sign: str) -> None:
        if self._next_operator() != sign:
            raise Unread(f"a {sign!r} is missing")
        self._at += 1
