"""Content MathML: what laid-out mathematics means, element by element, beside its presentation.

± is no operator of content MathML: it is the symbol `plus-minus`, and both its readings are read over the
whole statement. Only `csymbol` names what has no element of its own.
"""

from __future__ import annotations

from functools import cache

from itembank.expressions import display
from itembank.expressions.display import Display, Maths, Pattern, Shape, hole_mark
from itembank.expressions.vocabulary import NAMED_LETTERS

_PLUS_MINUS = "<csymbol>plus-minus</csymbol>"
_OPERATORS = {"+": "<plus/>", "-": "<minus/>", "±": _PLUS_MINUS}
_RELATIONS = {
    "=": "eq",
    "!=": "neq",
    "<": "lt",
    "<=": "leq",
    ">": "gt",
    ">=": "geq",
    "≈": "approx",
    "∈": "in",
}


def content(maths: Maths) -> str:
    """The content elements of a piece of mathematics, without a namespace of their own.

    >>> from itembank.expressions.layout import lay_out
    >>> from itembank.expressions.parser import parse
    >>> content(Maths(lay_out(parse("2*x - 1"), 0)))
    '<apply><minus/><apply><times/><cn>2</cn><ci>x</ci></apply><cn>1</cn></apply>'
    """
    return _pattern(maths.shape).fill(maths.numbers)


@cache
def _pattern(shape: Shape) -> Pattern:
    return Pattern(marked(shape.display))


def marked(node: Display) -> str:
    """The content elements of a display, with hole marks."""
    match node:
        case display.Numeral(hole, text):
            return f"<cn>{text if hole < 0 else hole_mark(hole)}</cn>"
        case display.Letter(name):
            return f"<ci>{_letter(name)}</ci>"
        case display.Terms(terms):
            return _sum(terms)
        case display.Factors(factors):
            return _apply("<times/>", *(marked(factor) for factor in factors))
        case display.Over(numerator, denominator):
            return _apply("<divide/>", marked(numerator), marked(denominator))
        case display.Raised(base, exponent):
            return _apply("<power/>", marked(base), marked(exponent))
        case display.Root(radicand, index):
            degree = f"<degree><cn>{index}</cn></degree>" if index else ""
            return _apply("<root/>", degree, marked(radicand))
        case display.Bracket(inner):
            return marked(inner)
        case display.Bars(inner):
            return _apply("<abs/>", marked(inner))
        case display.Applied(name, arguments):
            return _apply(f"<csymbol>{name}</csymbol>", *(marked(argument) for argument in arguments))
        case display.Pair(first, second):
            return f"<vector>{marked(first)}{marked(second)}</vector>"
        case display.Compared(operands, signs):
            return _chain(operands, signs)
        case display.Joined(word, statements):
            return _apply(f"<{word}/>", *(marked(part) for part in statements))
        case display.Nothing():
            return "<emptyset/>"


def _apply(operator: str, *parts: str) -> str:
    return f"<apply>{operator}{''.join(parts)}</apply>"


def _letter(name: str) -> str:
    stem, mark, index = name.partition("_")
    return f"{NAMED_LETTERS.get(stem, stem)}{mark}{index}"


def _chain(operands: tuple[Display, ...], signs: tuple[str, ...]) -> str:
    """One application where all signs are alike, else the pairs joined by `and`."""
    if len(set(signs)) == 1:
        return _apply(f"<{_RELATIONS[signs[0]]}/>", *(marked(operand) for operand in operands))
    pairs = zip(operands, signs, operands[1:], strict=False)
    return _apply("<and/>", *(_apply(f"<{_RELATIONS[s]}/>", marked(a), marked(b)) for a, s, b in pairs))


def _sum(terms: tuple[tuple[str, Display], ...]) -> str:
    """Nested from the left, one operator an application, so that every hole stands once and in order."""
    (sign, first), *rest = terms
    meaning = marked(first) if sign == "+" else _apply(_OPERATORS[sign], marked(first))
    for operator, term in rest:
        meaning = _apply(_OPERATORS[operator], meaning, marked(term))
    return meaning
