"""Laid-out mathematics in one line of text: `plain` (the language's own, parses back), `terminal`, `ascii`.

A line needs brackets where paper has a fraction bar or a raised exponent; they are added here, from the same
precedence table as the layout's own.
"""

from __future__ import annotations

from functools import cache

from itembank.expressions.display import (
    Applied, Bars, Bracket, Compared, Display, Factors, Joined, Letter, Maths, Nothing, Numeral, Over, Pair, Pattern,
    Raised, Root, Shape, Terms, hole_mark,
)  # fmt: skip
from itembank.expressions.layout import ATOM, POWER, PRODUCT, strength
from itembank.expressions.vocabulary import GREEK

_RAISED = str.maketrans("0123456789-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻")
_TERMINAL_SIGNS = {"!=": "≠", "<=": "≤", ">=": "≥"}


def plain(maths: Maths) -> str:
    """The language's own spelling: `x^2 - 8*x + 3 = 0`; it parses back to the same meaning."""
    return _pattern(maths.shape, "plain").fill(maths.numbers)


def terminal(maths: Maths) -> str:
    """For people at a terminal: `x² − 8x + 3 = 0`, `4 ± √13`."""
    return _pattern(maths.shape, "terminal").fill(maths.numbers)


@cache
def _pattern(shape: Shape, style: str) -> Pattern:
    return Pattern(marked(shape.display, style))


def marked(display: Display, style: str) -> str:
    """The text with hole marks; style is `plain` or `terminal`."""
    return _Reader(style == "plain").read(display)


class _Reader:
    def __init__(self, plain: bool) -> None:
        self.plain = plain
        self.minus = "-" if plain else "−"

    def read(self, node: Display) -> str:
        match node:
            case Numeral(hole, text):
                return text if hole < 0 else hole_mark(hole)
            case Letter(name):
                return name if self.plain else GREEK.get(name, name)
            case Terms(terms):
                return "".join(self._term(index, sign, term) for index, (sign, term) in enumerate(terms))
            case Factors(factors, crosses):
                return self._product(factors, crosses)
            case Over(numerator, denominator):
                return f"{self._at(numerator, PRODUCT)}/{self._at(denominator, POWER)}"
            case Raised(base, exponent):
                return self._raised(base, exponent)
            case Root(radicand, ""):
                return self._root(radicand)
            case Root(radicand, index):
                return f"root({self.read(radicand)}, {index})"
            case Bracket(inner):
                return f"({self.read(inner)})"
            case Bars(inner):
                return f"abs({self.read(inner)})" if self.plain else f"|{self.read(inner)}|"
            case Applied(name, arguments):
                shown = name if self.plain else name.replace("_", " ")
                return f"{shown}({', '.join(self.read(argument) for argument in arguments)})"
            case Pair(first, second):
                return f"({self.read(first)}, {self.read(second)})"
            case Compared(operands, signs):
                shown_signs = [sign if self.plain else _TERMINAL_SIGNS.get(sign, sign) for sign in signs]
                tail = (f" {sign} {self.read(part)}" for sign, part in zip(shown_signs, operands[1:], strict=True))
                return self.read(operands[0]) + "".join(tail)
            case Joined(word, statements):
                return f" {word} ".join(self.read(part) for part in statements)
            case Nothing():
                return "none" if self.plain else "no real solution"

    def _term(self, index: int, sign: str, term: Display) -> str:
        shown = self.minus if sign == "-" else sign
        if index == 0:
            return self.read(term) if sign == "+" else f"{shown}{self.read(term)}"
        return f" {shown} {self.read(term)}"

    def _product(self, factors: tuple[Display, ...], crosses: tuple[bool, ...]) -> str:
        text = self._factor(factors[0], first=True)
        for crossed, factor in zip(crosses, factors[1:], strict=True):
            joint = "*" if self.plain else " × " if crossed else ""
            text += joint + self._factor(factor, first=False)
        return text

    def _factor(self, factor: Display, *, first: bool) -> str:
        if isinstance(factor, Over):
            return f"({self.read(factor)})" if not (self.plain and first) else self.read(factor)
        return self._at(factor, PRODUCT)

    def _raised(self, base: Display, exponent: Display) -> str:
        shown = self._at(base, ATOM)
        raised = self.read(exponent)
        if not self.plain and isinstance(exponent, Numeral) and exponent.hole < 0:
            return shown + raised.translate(_RAISED)
        simple = isinstance(exponent, Numeral | Letter | Bracket)
        return f"{shown}^{raised}" if simple else f"{shown}^({raised})"

    def _root(self, radicand: Display) -> str:
        if self.plain:
            return f"sqrt({self.read(radicand)})"
        inner = self.read(radicand)
        return f"√{inner}" if isinstance(radicand, Numeral | Letter | Bracket) else f"√({inner})"

    def _at(self, node: Display, needed: int) -> str:
        text = self.read(node)
        if strength(node) >= needed and not (needed == POWER and isinstance(node, Over | Factors)):
            return text
        return text if isinstance(node, Bracket) else f"({text})"
