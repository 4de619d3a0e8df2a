"""The MathML reading: presentation MathML Core, with a content-MathML annotation of the same tree.

Signs are the true characters: U+2212 minus, U+00D7 times, U+2062 invisible times, U+2061 function application.
"""

from __future__ import annotations

from functools import cache

from itembank.expressions import spelling
from itembank.expressions.display import (
    Applied, Bars, Bracket, Compared, Display, Factors, Joined, Letter, Maths, Nothing, Numeral, Over, Pair, Pattern,
    Raised, Root, Shape, Terms, hole_mark,
)  # fmt: skip
from itembank.expressions.vocabulary import GREEK

NAMESPACE = "http://www.w3.org/1998/Math/MathML"

_SIGNS = {"+": "+", "-": "−", "±": "±"}
_RELATIONS = {"=": "=", "!=": "≠", "<": "&lt;", "<=": "≤", ">": "&gt;", ">=": "≥", "≈": "≈"}
_CONTENT_RELATIONS = {"=": "eq", "!=": "neq", "<": "lt", "<=": "leq", ">": "gt", ">=": "geq", "≈": "approx"}


def mathml(maths: Maths, *, annotated: bool = True, display: str = "inline") -> str:
    """A `math` element with its own default namespace.

    annotated: with the content annotation inside `semantics`. display: `inline` or `block`.
    """
    return _pattern(maths.shape, annotated, display).fill(maths.numbers)


def presentation(maths: Maths) -> str:
    """The presentation elements alone, without the `math` around them."""
    return Pattern(_present(maths.shape.display)).fill(maths.numbers)


def content(maths: Maths) -> str:
    """The content elements alone."""
    return Pattern(_mean(maths.shape.display)).fill(maths.numbers)


@cache
def _pattern(shape: Shape, annotated: bool, display: str) -> Pattern:
    spoken = spelling.marked(shape.display, "terminal").replace("&", "&amp;").replace("<", "&lt;").replace('"', "&quot;")
    attributes = f'xmlns="{NAMESPACE}" display="{display}" alttext="{spoken}"'
    shown = _present(shape.display)
    if not annotated:
        return Pattern(f"<math {attributes}>{shown}</math>")
    row = shown if _single(shape.display) else f"<mrow>{shown}</mrow>"
    meaning = f'<annotation-xml encoding="MathML-Content">{_mean(shape.display)}</annotation-xml>'
    return Pattern(f"<math {attributes}><semantics>{row}{meaning}</semantics></math>")


def _single(node: Display) -> bool:
    return isinstance(node, Numeral | Over | Raised | Root) or (isinstance(node, Letter) and "_" not in node.name)


def _present(node: Display) -> str:
    match node:
        case Numeral(hole, text):
            return f"<mn>{text if hole < 0 else hole_mark(hole)}</mn>"
        case Letter(name):
            return _letter(name)
        case Terms(terms):
            return "".join(_term(index, sign, term) for index, (sign, term) in enumerate(terms))
        case Factors(factors, crosses):
            joined = _present(factors[0])
            for crossed, factor in zip(crosses, factors[1:], strict=True):
                joined += f"<mo>{'×' if crossed else chr(0x2062)}</mo>{_present(factor)}"
            return joined
        case Over(numerator, denominator):
            return f"<mfrac>{_row(numerator)}{_row(denominator)}</mfrac>"
        case Raised(base, exponent):
            return f"<msup>{_row(base)}{_row(exponent)}</msup>"
        case Root(radicand, ""):
            return f"<msqrt>{_present(radicand)}</msqrt>"
        case Root(radicand, index):
            return f"<mroot>{_row(radicand)}<mn>{index}</mn></mroot>"
        case Bracket(inner):
            return f"<mo>(</mo>{_present(inner)}<mo>)</mo>"
        case Bars(inner):
            return f"<mo>|</mo>{_present(inner)}<mo>|</mo>"
        case Applied(name, arguments):
            listed = "<mo>,</mo>".join(_present(argument) for argument in arguments)
            return f"<mi>{name.replace('_', ' ')}</mi><mo>{chr(0x2061)}</mo><mo>(</mo>{listed}<mo>)</mo>"
        case Pair(first, second):
            return f"<mo>(</mo>{_present(first)}<mo>,</mo>{_present(second)}<mo>)</mo>"
        case Compared(operands, signs):
            tail = (
                f"<mo>{_RELATIONS[sign]}</mo>{_present(operand)}"
                for sign, operand in zip(signs, operands[1:], strict=True)
            )
            return _present(operands[0]) + "".join(tail)
        case Joined(word, statements):
            space = '<mspace width="0.5em"/>'
            return f"{space}<mtext>{word}</mtext>{space}".join(_present(part) for part in statements)
        case Nothing():
            return "<mtext>no real solution</mtext>"


def _row(node: Display) -> str:
    shown = _present(node)
    return shown if _single(node) else f"<mrow>{shown}</mrow>"


def _term(index: int, sign: str, term: Display) -> str:
    if index == 0:
        return _present(term) if sign == "+" else f'<mo form="prefix">{_SIGNS[sign]}</mo>{_present(term)}'
    return f"<mo>{_SIGNS[sign]}</mo>{_present(term)}"


def _letter(name: str) -> str:
    stem, _, digits = name.partition("_")
    shown = f"<mi>{GREEK.get(stem, stem)}</mi>"
    return f"<msub>{shown}<mn>{digits}</mn></msub>" if digits else shown


def _apply(operator: str, *parts: str) -> str:
    return f"<apply>{operator}{''.join(parts)}</apply>"


def _mean(node: Display) -> str:
    match node:
        case Numeral(hole, text):
            return f"<cn>{text if hole < 0 else hole_mark(hole)}</cn>"
        case Letter(name):
            stem, _, digits = name.partition("_")
            return f"<ci>{GREEK.get(stem, stem)}{'_' + digits if digits else ''}</ci>"
        case Terms(terms):
            return _mean_terms(terms)
        case Factors(factors):
            return _apply("<times/>", *(_mean(factor) for factor in factors))
        case Over(numerator, denominator):
            return _apply("<divide/>", _mean(numerator), _mean(denominator))
        case Raised(base, exponent):
            return _apply("<power/>", _mean(base), _mean(exponent))
        case Root(radicand, ""):
            return _apply("<root/>", _mean(radicand))
        case Root(radicand, index):
            return _apply("<root/>", f"<degree><cn>{index}</cn></degree>", _mean(radicand))
        case Bracket(inner):
            return _mean(inner)
        case Bars(inner):
            return _apply("<abs/>", _mean(inner))
        case Applied(name, arguments):
            return _apply(f"<csymbol>{name}</csymbol>", *(_mean(argument) for argument in arguments))
        case Pair(first, second):
            return f"<vector>{_mean(first)}{_mean(second)}</vector>"
        case Compared(operands, signs):
            pairs = [
                _apply(f"<{_CONTENT_RELATIONS[sign]}/>", _mean(first), _mean(second))
                for first, sign, second in zip(operands, signs, operands[1:], strict=False)
            ]
            if len(set(signs)) == 1 and len(signs) > 1:
                return _apply(f"<{_CONTENT_RELATIONS[signs[0]]}/>", *(_mean(operand) for operand in operands))
            return pairs[0] if len(pairs) == 1 else _apply("<and/>", *pairs)
        case Joined(word, statements):
            return _apply(f"<{word}/>", *(_mean(part) for part in statements))
        case Nothing():
            return "<emptyset/>"


def _mean_terms(terms: tuple[tuple[str, Display], ...]) -> str:
    """Nested from the left, one operator an `apply`, so that every hole stands once and in order."""
    meaning = ""
    for index, (sign, term) in enumerate(terms):
        part = _mean(term)
        if index == 0:
            operator = {"+": "", "-": "<minus/>", "±": "<csymbol>plus-minus</csymbol>"}[sign]
            meaning = _apply(operator, part) if operator else part
        else:
            operator = {"+": "<plus/>", "-": "<minus/>", "±": "<csymbol>plus-minus</csymbol>"}[sign]
            meaning = _apply(operator, meaning, part)
    return meaning
