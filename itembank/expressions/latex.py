"""The LaTeX reading of laid-out mathematics: plain LaTeX for math mode, no package needed."""

from __future__ import annotations

from functools import cache

from itembank.expressions.display import (
    Applied, Bars, Bracket, Compared, Display, Factors, Joined, Letter, Maths, Nothing, Numeral, Over, Pair, Pattern,
    Raised, Root, Shape, Terms, hole_mark,
)  # fmt: skip
from itembank.expressions.vocabulary import GREEK

_SIGNS = {"=": "=", "!=": r"\ne", "<": "<", "<=": r"\le", ">": ">", ">=": r"\ge", "≈": r"\approx"}


def latex(maths: Maths) -> str:
    r"""The source for math mode, without dollar signs.

    >>> from itembank.expressions.display import Shape
    >>> latex(Maths(Shape(Terms((("+", Raised(Letter("x"), Numeral(text="2"))), ("-", Numeral(0)))), 1), (5,)))
    'x^{2} - 5'
    """
    return _pattern(maths.shape).fill(maths.numbers)


@cache
def _pattern(shape: Shape) -> Pattern:
    return Pattern(_read(shape.display))


def _read(node: Display) -> str:
    match node:
        case Numeral(hole, text):
            return text if hole < 0 else hole_mark(hole)
        case Letter(name):
            return _letter(name)
        case Terms(terms):
            return "".join(_term(index, sign, term) for index, (sign, term) in enumerate(terms))
        case Factors(factors, crosses):
            text = _read(factors[0])
            for crossed, factor in zip(crosses, factors[1:], strict=True):
                text += (r" \times " if crossed else _beside(text)) + _read(factor)
            return text
        case Over(numerator, denominator):
            return rf"\frac{{{_read(numerator)}}}{{{_read(denominator)}}}"
        case Raised(base, exponent):
            return f"{_read(base)}^{{{_read(exponent)}}}"
        case Root(radicand, ""):
            return rf"\sqrt{{{_read(radicand)}}}"
        case Root(radicand, index):
            return rf"\sqrt[{index}]{{{_read(radicand)}}}"
        case Bracket(inner):
            return rf"\left({_read(inner)}\right)" if _tall(inner) else f"({_read(inner)})"
        case Bars(inner):
            return rf"\left|{_read(inner)}\right|"
        case Applied(name, arguments):
            words = name.replace("_", r"\ ")
            return rf"\mathrm{{{words}}}({', '.join(_read(argument) for argument in arguments)})"
        case Pair(first, second):
            return rf"\left({_read(first)},\, {_read(second)}\right)"
        case Compared(operands, signs):
            tail = (f" {_SIGNS[sign]} {_read(operand)}" for sign, operand in zip(signs, operands[1:], strict=True))
            return _read(operands[0]) + "".join(tail)
        case Joined(word, statements):
            return rf"\ \text{{{word}}}\ ".join(_read(part) for part in statements)
        case Nothing():
            return r"\text{no real solution}"


def _term(index: int, sign: str, term: Display) -> str:
    shown = r"\pm" if sign == "±" else sign
    if index == 0:
        return _read(term) if sign == "+" else f"{shown} {_read(term)}" if sign == "±" else f"-{_read(term)}"
    return f" {shown} {_read(term)}"


def _letter(name: str) -> str:
    stem, _, digits = name.partition("_")
    shown = rf"\{stem}" if stem in GREEK else stem if len(stem) == 1 else rf"\mathit{{{stem}}}"
    return f"{shown}_{{{digits}}}" if digits else shown


def _beside(before: str) -> str:
    """A space where a command's name would run into the next letter."""
    return " " if before[-1].isalpha() and "\\" in before else ""


def _tall(node: Display) -> bool:
    match node:
        case Over():
            return True
        case Terms(terms):
            return any(_tall(term) for _, term in terms)
        case Factors(factors):
            return any(_tall(factor) for factor in factors)
        case Raised(base) | Bracket(base):
            return _tall(base)
        case _:
            return False
