r"""LaTeX, read as a person reads what it sets, to the same tree as what MathML shows.

The order of strength is that of `mathml_reader`: a sign binds a whole term, what stands side by side or with \times
between is a product, an exponent binds what it stands on. Commands that could hide, move or colour a sign are unknown
here and refused.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from typing import Final

from itembank.audit import formula
from itembank.audit.findings import Unread
from itembank.audit.formula import Node
from itembank.audit.letters import GREEK, LEFT_OUT, WHOLE_NUMBERS
from itembank.audit.mathml_tokens import DEPTH
from itembank.audit.tongues import ENGLISH, Tongue

__all__ = ["read_latex"]

_TOKEN: Final = re.compile(
    r"\\(?:text|mathrm|mathit)\{[A-Za-zÀ-ɏ\\ ]{1,80}\}|\\mathbb\{Z\}|\\[A-Za-z]+|\\[ ,!]"
    r"|\{(?:-|\\pm)\}|[0-9]{1,30}(?:(?:\.|\{,\})[0-9]{1,30})?|[A-Za-z]|[-+=<>(){}\[\]|^_,;]|\s+"
)
_SIGNS: Final = {"+": "+", "-": "-", r"\pm": "±"}
_GROUPED: Final = {"{-}": "-", r"{\pm}": r"\pm"}
_RELATIONS: Final = {
    "=": "=",
    "<": "<",
    ">": ">",
    r"\ne": "≠",
    r"\le": "≤",
    r"\ge": "≥",
    r"\approx": "≈",
    r"\in": "∈",
}
_GREEK: Final = {rf"\{name}": letter for name, letter in GREEK.items()} | {
    r"\ldots": LEFT_OUT,
    r"\mathbb{Z}": WHOLE_NUMBERS,
}
_SPACES: Final = frozenset({r"\ ", r"\,"})
_NUMERAL: Final = re.compile(r"(?:0|[1-9][0-9]*)(?:\.[0-9]+)?\Z")
_WORD: Final = re.compile(r"[A-Za-z]{1,20}\Z")


@lru_cache(maxsize=4096)
def read_latex(source: str, words: Tongue = ENGLISH) -> Node:
    r"""What the source of a formula shows, given without delimiters. words: of its language.

    Raises Unread for what the audit does not know.

    >>> read_latex(r"\frac{x}{2}")
    Quotient(numerator=Letter(name='x'), denominator=Numeral(text='2'))
    """
    reader = _Reader(_tokens(source), words)
    node = reader.statement()
    if reader.next():
        raise Unread(f"{reader.next()!r} stands where the formula should end")
    return node


def _tokens(source: str) -> list[str]:
    found, at = [], 0
    while at < len(source):
        token = _TOKEN.match(source, at)
        if token is None:
            raise Unread(f"{source[at : at + 12]!r} is not known in a formula")
        at = token.end()
        if token[0].strip() and token[0] not in _SPACES:
            found.append(_GROUPED.get(token[0], token[0]))
    return found


class _Reader:
    """Reads tokens from left to right."""

    def __init__(self, tokens: list[str], words: Tongue) -> None:
        self._words = words
        self._joins = {rf"\text{{{word}}}": join for word, join in words.joins.items()}
        self._tokens = tokens
        self._at = 0
        self._depth = 0

    def next(self) -> str:
        """The token at hand, "" at the end."""
        return self._tokens[self._at] if self._at < len(self._tokens) else ""

    def _take(self, *wanted: str) -> bool:
        if self._tokens[self._at : self._at + len(wanted)] != list(wanted):
            return False
        self._at += len(wanted)
        return True

    def _takes_word(self, join: str) -> bool:
        return self._joins.get(self.next()) == join and self._take(self.next())

    def _expect(self, *wanted: str) -> None:
        if not self._take(*wanted):
            raise Unread(f"{''.join(wanted)!r} is missing before {self.next() or 'the end'!r}")

    def _within(self, read: Callable[[], Node], *closing: str) -> Node:
        self._depth += 1
        if self._depth > DEPTH:
            raise Unread("the formula is nested too deeply")
        node = read()
        self._expect(*closing)
        self._depth -= 1
        return node

    def _group(self) -> Node:
        """An expression between braces."""
        self._expect("{")
        node = self._within(self._sum, "}")
        if formula.is_statement(node):
            raise Unread("a statement stands where only an expression can")
        return node

    # statements

    def statement(self) -> Node:
        """Statements joined by `or`, or one of them, or an expression."""
        parts = [self._conjunction()]
        while self._takes_word("or"):
            parts.append(self._conjunction())
        return formula.any_of(_all_statements(parts))

    def _conjunction(self) -> Node:
        parts = [self._relation()]
        while self._takes_word("and"):
            parts.append(self._relation())
        return formula.all_of(_all_statements(parts))

    def _relation(self) -> Node:
        operands = [self._sum()]
        signs: list[str] = []
        while sign := _RELATIONS.get(self.next(), ""):
            self._at += 1
            signs.append(sign)
            operands.append(self._sum())
        if not signs:
            return operands[0]
        if any(formula.is_statement(operand) for operand in operands):
            raise Unread("a relation stands between statements")
        if signs == ["="] and isinstance(operands[0], formula.Letter) and self.next() == self._words.pair:
            return self._list(operands[0], operands[1])
        return formula.all_of(
            formula.Relation(left, sign, right)
            for left, sign, right in zip(operands, signs, operands[1:], strict=False)
        )

    def _list(self, letter: Node, first: Node) -> Node:
        """The values of a letter behind one sign: n = 2, 3, 4."""
        values = [first]
        while self._take(self._words.pair):
            values.append(self._sum())
        if any(map(formula.is_statement, values)):
            raise Unread("a statement stands in a list of values")
        return formula.values_of(letter, values)

    # expressions

    def _sum(self) -> Node:
        lead = self._sign()
        terms = [(lead or "+", self._product())]
        while sign := self._sign():
            terms.append((sign, self._product()))
        if (len(terms) > 1 or lead) and any(formula.is_statement(term) for _, term in terms):
            raise Unread("a statement stands in a sum")
        return formula.sum_of(terms)

    def _sign(self) -> str:
        sign = _SIGNS.get(self.next(), "")
        self._at += bool(sign)
        return sign

    def _product(self) -> Node:
        factors = [self._power()]
        while True:
            if self._take(r"\times") or self._take(r"\cdot"):
                factors.append(self._power())
            elif self._begins_a_factor():
                at = self.next()
                factors.append(self._power())
                if at[0].isdigit() or _begins_with_digit(factors[-1]):
                    raise Unread("a number follows a factor without a ×: 2 and 3 would be seen as 23")
            else:
                break
        if len(factors) > 1 and any(formula.is_statement(factor) for factor in factors):
            raise Unread("a statement stands in a product")
        return formula.product_of(factors)

    def _begins_a_factor(self) -> bool:
        token = self.next()
        return bool(token) and (
            token[0].isalnum()
            or token in {"(", r"\frac", r"\sqrt", r"\left"}
            or token in _GREEK
            or token.startswith((r"\mathrm{", r"\mathit{"))
        )

    def _power(self) -> Node:
        bare = self.next()
        node = self._operand()
        if self._take("^"):
            if bare == r"\frac" or bare == r"\sqrt":
                raise Unread("an exponent stands on a fraction or a root without brackets")
            node = formula.Power(node, self._group())
            inverse = formula.inverse_called(node)
            if inverse and self._take(r"\!"):
                node = self._of_a_function(inverse)
                node = formula.Power(node, self._group()) if self._take("^") else node
        if self.next() == "^":
            raise Unread("an exponent stands on a power without brackets")
        return node

    def _operand(self) -> Node:
        token = self.next()
        self._at += 1
        if token[:1].isdigit():
            plain = token.replace("{,}" if self._words.mark == "," else ".", ".")
            if not _NUMERAL.match(plain) or (self._words.mark == "," and "." in token):
                raise Unread(f"{token!r} cannot be read as a number")
            return formula.Numeral(plain)
        if token == r"\frac":
            above = self._group()
            return formula.Quotient(above, self._group())
        if token == r"\sqrt":
            return self._root()
        if token == "(":
            return self._within(self.statement, ")")
        if token == r"\left":
            return self._fenced()
        if token == rf"\text{{{self._words.nothing}}}":
            return formula.Nothing()
        if token.startswith(r"\mathrm{"):
            return self._applied(token[8:-1])
        if token in formula.NAMED and self._take(r"\!"):
            return self._of_a_function(token)
        return formula.Letter(self._letter(token))

    def _of_a_function(self, name: str) -> Node:
        self._expect(r"\left")
        self._expect("(")
        return formula.Apply(name, (self._within(self._sum, r"\right", ")"),))

    def _root(self) -> Node:
        index = 2
        if self._take("["):
            digits = self.next()
            if digits not in set("3456789"):
                raise Unread("the index of a root is not a whole number from 3 to 9")
            self._at += 1
            self._expect("]")
            index = int(digits)
        return formula.Root(self._group(), index)

    def _fenced(self) -> Node:
        if self._take("|"):
            return formula.Absolute(self._within(self._sum, r"\right", "|"))
        self._expect("(")
        return self._within(self._held, r"\right", ")")

    def _held(self) -> Node:
        inner = self.statement()
        if not self._take(self._words.pair):
            return inner
        second = self._sum()
        if formula.is_statement(inner) or formula.is_statement(second):
            raise Unread("a point holds a statement")
        return formula.Point(inner, second)

    def _applied(self, name: str) -> Node:
        if name not in self._words.functions:
            raise Unread(f"the function {name!r} is not known")
        self._expect("(")
        arguments = [self._relation()]
        while self._take(","):
            arguments.append(self._relation())
        self._expect(")")
        return formula.Apply(self._words.functions[name], tuple(arguments))

    def _letter(self, token: str) -> str:
        name = token[8:-1] if token.startswith(r"\mathit{") else _GREEK.get(token, token)
        if not (_WORD.match(name) or token in _GREEK):
            raise Unread(f"{token or 'nothing'!r} stands where a number, a letter or a bracket should")
        if not self._take("_"):
            return name
        self._expect("{")
        index = self.next()
        if not re.fullmatch("[0-9]{1,4}|[a-z]", index):
            raise Unread("only digits or one letter can be an index")
        self._at += 1
        if index.isalpha() and self.next() in {"+", "-"}:
            index = f"({index}{self._step()})"
        self._expect("}")
        return f"{name}_{index}"

    def _step(self) -> str:
        """A sign and a digit, as in the index of the term after the general one."""
        sign = self.next()
        self._at += 1
        step = self.next()
        if not re.fullmatch("[1-9]", step):
            raise Unread("only a digit can be the step of an index")
        self._at += 1
        return sign + step


def _begins_with_digit(node: Node) -> bool:
    match node:
        case formula.Numeral() | formula.Power(formula.Numeral(), _):
            return True
        case formula.Quotient(first, _):  # of a power no base but a numeral stands without brackets
            return _begins_with_digit(first)
        case _:
            return False


def _all_statements(parts: list[Node]) -> list[Node]:
    if len(parts) > 1 and not all(formula.is_statement(part) for part in parts):
        raise Unread("a word joins what is no statement")
    return parts
