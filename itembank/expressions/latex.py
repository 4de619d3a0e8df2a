r"""The LaTeX reading of laid-out mathematics, for math mode; words between statements use amsmath's \text."""

from __future__ import annotations

from functools import cache

from itembank.expressions import display
from itembank.expressions.display import Display, Maths, Pattern, Shape, hole_mark
from itembank.expressions.vocabulary import INVERSES, NAMED, NAMED_LETTERS, WHOLE_NUMBERS, stem_and_index

_SIGNS = {
    "=": "=",
    "!=": r"\ne",
    "<": "<",
    "<=": r"\le",
    ">": ">",
    ">=": r"\ge",
    "≈": r"\approx",
    "∈": r"\in",
}


def latex(maths: Maths) -> str:
    r"""The source for math mode, without dollar signs.

    >>> from itembank.expressions.layout import lay_out
    >>> from itembank.expressions.parser import parse
    >>> latex(Maths(lay_out(parse("x = 3 ± sqrt(7)/2"), 0)))
    'x = 3 \\pm \\frac{\\sqrt{7}}{2}'
    """
    return _pattern(maths.shape).fill(maths.numbers)


@cache
def _pattern(shape: Shape) -> Pattern:
    return Pattern(_read(shape.display))


def _read(node: Display) -> str:
    match node:
        case display.Numeral(hole, text):
            return text if hole < 0 else hole_mark(hole)
        case display.Letter(name):
            return _letter(name)
        case display.Terms(terms):
            return "".join(_term(index, sign, term) for index, (sign, term) in enumerate(terms))
        case display.Factors(factors, crosses):
            text = _read(factors[0])
            for crossed, factor in zip(crosses, factors[1:], strict=True):
                text += (r" \times " if crossed else _beside(text)) + _read(factor)
            return text
        case display.Over(numerator, denominator):
            return rf"\frac{{{_read(numerator)}}}{{{_read(denominator)}}}"
        case display.Raised(base, exponent):
            return f"{_read(base)}^{{{_read(exponent)}}}"
        case display.Root(radicand, ""):
            return rf"\sqrt{{{_read(radicand)}}}"
        case display.Root(radicand, index):
            return rf"\sqrt[{index}]{{{_read(radicand)}}}"
        case display.Bracket(inner):
            return rf"\left({_read(inner)}\right)" if _is_tall(inner) else f"({_read(inner)})"
        case display.Bars(inner):
            return rf"\left|{_read(inner)}\right|"
        case display.Applied(name, (argument,)) if name in NAMED:
            return rf"{INVERSES.get(name, name)}{'^{-1}' if name in INVERSES else ''}\!\left({_read(argument)}\right)"
        case display.Applied(name, arguments):
            words = name.replace("_", r"\ ")
            return rf"\mathrm{{{words}}}({', '.join(_read(argument) for argument in arguments)})"
        case display.Pair(first, second):
            return rf"\left({_read(first)},\, {_read(second)}\right)"
        case display.Compared(operands, signs):
            tail = (f" {_SIGNS[sign]} {_read(part)}" for sign, part in zip(signs, operands[1:], strict=True))
            return _read(operands[0]) + "".join(tail)
        case display.Joined(_, _, listed=True):
            first, values = display.in_a_list(node)
            return r",\, ".join(map(_read, (first, *values)))
        case display.Joined(word, statements):
            opening, *later = (_read(part) for part in statements)
            return rf"\ \text{{{word}}}\ ".join([opening, *(_led(part) for part in later)])
        case display.Nothing():
            return r"\text{no real solution}"


def _term(index: int, sign: str, term: Display) -> str:
    shown = r"\pm" if sign == "±" else sign
    if index > 0:
        return f" {shown} {_read(term)}"
    lead = {"+": "", "-": "-", "±": r"\pm "}[sign]
    return lead + _read(term)


def _led(text: str) -> str:
    """A sign behind a word, in a group: else it would be set as if something were added to the word."""
    for sign in ("-", r"\pm"):
        if text.startswith(sign):
            return f"{{{sign}}}{text.removeprefix(sign)}"
    return text


def _letter(name: str) -> str:
    stem, index = stem_and_index(name)
    if stem == WHOLE_NUMBERS:
        return r"\mathbb{Z}"
    shown = rf"\{stem}" if stem in NAMED_LETTERS else stem if len(stem) == 1 else rf"\mathit{{{stem}}}"
    return f"{shown}_{{{''.join(index)}}}" if index else shown


def _beside(before: str) -> str:
    """A space where a command's name would run into the next letter."""
    return " " if before[-1].isalpha() and "\\" in before else ""


def _is_tall(node: Display) -> bool:
    """Whether a fraction, or a root over one, makes a bracket around the node grow."""
    return isinstance(node, display.Over) or any(_is_tall(part) for part in display.parts(node))
