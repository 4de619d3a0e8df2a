"""The OMML reading: mathematics that a word processor sets and edits, from the same laid-out tree as all others.

Source: ISO/IEC 29500-1:2016, 22.1 (Office Math Markup Language): `f` fraction, `rad` radical, `sSup` superscript,
`sSub` subscript, `d` delimiter, `r` and `t` runs. What a convention decides is an argument.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Final
from xml.sax.saxutils import escape

from itembank.expressions import display
from itembank.expressions.conventions import USUAL, Conventions
from itembank.expressions.display import Display, Maths, Pattern, Shape, hole_mark
from itembank.expressions.vocabulary import INVERSES, NAMED, NAMED_LETTERS, stem_and_index

NAMESPACE: Final = "http://schemas.openxmlformats.org/officeDocument/2006/math"

_SIGNS: Final = {"+": "+", "-": "−", "±": "±"}
_RELATIONS: Final = {"=": "=", "!=": "≠", "<": "<", "<=": "≤", ">": ">", ">=": "≥", "≈": "≈", "∈": "∈"}


def omml(maths: Maths, conventions: Conventions = USUAL) -> str:
    """An `m:oMath` element with the namespace declared on it.

    >>> from itembank.expressions.layout import lay_out
    >>> from itembank.expressions.parser import parse
    >>> omml(Maths(lay_out(parse("1/2"), 0))).count("<m:f>")
    1
    """
    numbers = tuple(str(number).replace(".", conventions.point) for number in maths.numbers)
    inner = _pattern(maths.shape, conventions).fill(numbers)
    return f'<m:oMath xmlns:m="{NAMESPACE}">{inner}</m:oMath>'


def run(text: str, *, upright: bool = False) -> str:
    """A run of plain characters, upright (words, digits, names of functions) or as mathematics slants them."""
    style = '<m:rPr><m:sty m:val="p"/></m:rPr>' if upright else ""
    return f'<m:r>{style}<m:t xml:space="preserve">{escape(text)}</m:t></m:r>'


def words_run(text: str) -> str:
    """A run of words within mathematics."""
    return f'<m:r><m:rPr><m:nor/></m:rPr><m:t xml:space="preserve">{escape(text)}</m:t></m:r>'


def fraction(numerator: str, denominator: str) -> str:
    """A fraction of two pieces of markup."""
    return f"<m:f><m:num>{numerator}</m:num><m:den>{denominator}</m:den></m:f>"


def square_root(radicand: str) -> str:
    """A square root of a piece of markup."""
    return f'<m:rad><m:radPr><m:degHide m:val="1"/></m:radPr><m:deg/><m:e>{radicand}</m:e></m:rad>'


@cache
def _pattern(shape: Shape, conventions: Conventions) -> Pattern:
    return Pattern(_Reader(conventions).read(shape.display))


class _Reader:
    def __init__(self, conventions: Conventions) -> None:
        self.conventions = conventions

    def read(self, node: Display) -> str:
        match node:
            case display.Numeral(hole, text):
                return self._numeral(hole, text)
            case display.Letter(name):
                return _letter(name)
            case display.Terms(terms):
                return "".join(self._term(index, sign, term) for index, (sign, term) in enumerate(terms))
            case display.Factors(factors, crosses):
                tail = (
                    (run(self.conventions.times) if crossed else "") + self.read(factor)
                    for crossed, factor in zip(crosses, factors[1:], strict=True)
                )
                return self.read(factors[0]) + "".join(tail)
            case display.Over(numerator, denominator):
                return fraction(self.read(numerator), self.read(denominator))
            case display.Raised(base, exponent):
                return f"<m:sSup><m:e>{self.read(base)}</m:e><m:sup>{self.read(exponent)}</m:sup></m:sSup>"
            case display.Root(radicand, ""):
                return square_root(self.read(radicand))
            case display.Root(radicand, index):
                degree = run(index, upright=True)
                return f"<m:rad><m:deg>{degree}</m:deg><m:e>{self.read(radicand)}</m:e></m:rad>"
            case display.Bracket(inner):
                return self._fenced("(", (inner,), ")")
            case display.Bars(inner):
                return self._fenced("|", (inner,), "|")
            case display.Applied(name, arguments):
                called = run(name) if name in NAMED else words_run(self.conventions.function(name))
                if name in INVERSES:
                    letter, minus_one = run(INVERSES[name]), run("−1", upright=True)
                    called = f"<m:sSup><m:e>{letter}</m:e><m:sup>{minus_one}</m:sup></m:sSup>"
                return called + self._fenced("(", arguments, ")")
            case display.Pair(first, second):
                return self._fenced("(", (first, second), ")")
            case display.Compared(operands, signs):
                pairs = zip(signs, operands[1:], strict=True)
                tail = (run(_RELATIONS[sign]) + self.read(operand) for sign, operand in pairs)
                return self.read(operands[0]) + "".join(tail)
            case display.Joined(_, _, listed=True):
                first, values = display.in_a_list(node)
                between = words_run(f"{self.conventions.pair} ")
                return between.join(self.read(part) for part in (first, *values))
            case display.Joined(word, statements):
                tail = (
                    words_run(f" {self.conventions.between(word, part)} ") + self.read(part)
                    for part in statements[1:]
                )
                return self.read(statements[0]) + "".join(tail)
            case display.Nothing():
                return words_run(self.conventions.nothing)

    def _numeral(self, hole: int, text: str) -> str:
        if hole < 0:
            # An empty side before a relation sign: some programs set no relation that has nothing at its left.
            return (
                run(text.replace(".", self.conventions.point), upright=True) if text else words_run("\u200b")
            )
        return run(hole_mark(hole), upright=True)

    def _term(self, index: int, sign: str, term: Display) -> str:
        shown = self.read(term)
        return shown if index == 0 and sign == "+" else run(_SIGNS[sign]) + shown

    def _fenced(self, opening: str, parts: Sequence[Display], closing: str) -> str:
        if opening == "(" and all(map(_is_flat, parts)):
            # Brackets that need not grow are plain characters: some programs draw growing ones thin and narrow.
            inner = run(f"{self.conventions.pair} ", upright=True).join(self.read(part) for part in parts)
            return run("(", upright=True) + inner + run(")", upright=True)
        shown = f'<m:begChr m:val="{opening}"/><m:sepChr m:val="{self.conventions.pair}"/><m:endChr m:val="{closing}"/>'
        inner = "".join(f"<m:e>{self.read(part)}</m:e>" for part in parts)
        return f"<m:d><m:dPr>{shown}</m:dPr>{inner}</m:d>"


def _is_flat(node: Display) -> bool:
    """Whether nothing in it is higher than a line of letters with exponents."""
    return not isinstance(node, display.Over | display.Root) and all(map(_is_flat, display.parts(node)))


def _letter(name: str) -> str:
    stem, index = stem_and_index(name)
    shown = run(NAMED_LETTERS.get(stem, stem))
    below = "".join(run(each.replace("-", "−"), upright=each.isdecimal()) for each in index)
    return f"<m:sSub><m:e>{shown}</m:e><m:sub>{below}</m:sub></m:sSub>" if index else shown
