"""The MathML reading: presentation MathML Core, with a content-MathML annotation of the same tree.

Signs are the true characters: U+2212 minus, U+00D7 times, U+2062 invisible times, U+2061 function
application. The meaning stands in `content_mathml`, what a voice says of it in `alttext`.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, lru_cache

from itembank.errors import DomainError
from itembank.expressions import content_mathml, display, speech
from itembank.expressions.display import Display, Filling, Maths, Pattern, Shape, hole_mark
from itembank.expressions.vocabulary import GREEK

NAMESPACE = "http://www.w3.org/1998/Math/MathML"

_SIGNS = {"+": "+", "-": "−", "±": "±"}
_RELATIONS = {"=": "=", "!=": "≠", "<": "&lt;", "<=": "≤", ">": "&gt;", ">=": "≥", "≈": "≈"}
_TIMES, _INVISIBLE_TIMES, _APPLIED = "×", "\u2062", "\u2061"


def mathml(maths: Maths, *, annotated: bool = True, display: str = "inline") -> str:
    """A `math` element with its own default namespace.

    annotated: with the content annotation inside `semantics`. display: `inline` or `block`, else DomainError.
    """
    if display not in {"inline", "block"}:
        raise DomainError("mathematics is shown inline or as a block")
    return _filled(maths, annotated, display)


@lru_cache(maxsize=64)
def _filled(maths: Maths, annotated: bool, shown_as: str) -> str:
    """Within an item the same mathematics is shown again and again: in stem, options, key and solution."""
    if speech.is_said_as_written(maths):
        return _pattern(maths.shape, annotated, shown_as, 0).fill(maths.numbers)
    return _pattern(maths.shape, annotated, shown_as, maths.shape.holes).fill(spoken_too(maths.numbers))


def spoken_too(numbers: tuple[Filling, ...]) -> tuple[Filling, ...]:
    """What fills `marked` where numbers are not said as they are written."""
    return numbers + speech.fillings(numbers)


@cache
def marked(shape: Shape, said_as_written: bool) -> tuple[str, int]:
    """The annotated element in the line as a text with holes, and how many: for texts that are filled as a whole.

    said_as_written: what `speech.is_said_as_written` says; if not, it takes what `spoken_too` gives.
    """
    if said_as_written:
        return _marked(shape, True, "inline", 0), shape.holes
    return _marked(shape, True, "inline", shape.holes), 3 * shape.holes


def presentation(maths: Maths) -> str:
    """The presentation elements alone, without the `math` around them."""
    return _presentation(maths.shape).fill(maths.numbers)


def content(maths: Maths) -> str:
    """The content elements alone."""
    return content_mathml.content(maths)


@cache
def _pattern(shape: Shape, annotated: bool, shown_as: str, spoken_from: int) -> Pattern:
    return Pattern(_marked(shape, annotated, shown_as, spoken_from))


def _marked(shape: Shape, annotated: bool, shown_as: str, spoken_from: int) -> str:
    """The element with holes; numbers are said from hole `spoken_from` on, their exponents so many holes later."""
    spoken = _escaped(speech.marked(shape.display, spoken_from, 2 * spoken_from))
    attributes = f'xmlns="{NAMESPACE}" display="{shown_as}" alttext="{spoken}"'
    if not annotated:
        return f"<math {attributes}>{_present(shape.display)}</math>"
    meaning = content_mathml.marked(shape.display)
    annotation = f'<annotation-xml encoding="MathML-Content">{meaning}</annotation-xml>'
    return f"<math {attributes}><semantics>{_row(shape.display)}{annotation}</semantics></math>"


@cache
def _presentation(shape: Shape) -> Pattern:
    return Pattern(_present(shape.display))


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


def _present(node: Display) -> str:
    match node:
        case display.Numeral(hole, text):
            return f"<mn>{text if hole < 0 else hole_mark(hole)}</mn>"
        case display.Letter(name):
            return _letter(name)
        case display.Terms(terms):
            return "".join(_term(index, sign, term) for index, (sign, term) in enumerate(terms))
        case display.Factors(factors, crosses):
            joints = (f"<mo>{_TIMES if crossed else _INVISIBLE_TIMES}</mo>" for crossed in crosses)
            tail = (joint + _present(factor) for joint, factor in zip(joints, factors[1:], strict=True))
            return _present(factors[0]) + "".join(tail)
        case display.Over(numerator, denominator):
            return f"<mfrac>{_row(numerator)}{_row(denominator)}</mfrac>"
        case display.Raised(base, exponent):
            return f"<msup>{_row(base)}{_row(exponent)}</msup>"
        case display.Root(radicand, ""):
            return f"<msqrt>{_present(radicand)}</msqrt>"
        case display.Root(radicand, index):
            return f"<mroot>{_row(radicand)}<mn>{index}</mn></mroot>"
        case display.Bracket(inner):
            return _fenced("(", [inner], ")")
        case display.Bars(inner):
            return _fenced("|", [inner], "|")
        case display.Applied(name, arguments):
            return f"<mi>{name.replace('_', ' ')}</mi><mo>{_APPLIED}</mo>{_fenced('(', arguments, ')')}"
        case display.Pair(first, second):
            return _fenced("(", [first, second], ")")
        case display.Compared(operands, signs):
            pairs = zip(signs, operands[1:], strict=True)
            tail = (f"<mo>{_RELATIONS[sign]}</mo>{_present(operand)}" for sign, operand in pairs)
            return _present(operands[0]) + "".join(tail)
        case display.Joined(word, statements):
            space = '<mspace width="0.5em"/>'
            return f"{space}<mtext>{word}</mtext>{space}".join(_present(part) for part in statements)
        case display.Nothing():
            return "<mtext>no real solution</mtext>"


def _fenced(opening: str, parts: Sequence[Display], closing: str) -> str:
    """Brackets in a row of their own, so that they grow with what they hold and with nothing beside it."""
    inner = "<mo>,</mo>".join(_present(part) for part in parts)
    return f"<mrow><mo>{opening}</mo>{inner}<mo>{closing}</mo></mrow>"


def _row(node: Display) -> str:
    """The node as exactly one element."""
    shown = _present(node)
    return shown if _is_one_element(node) else f"<mrow>{shown}</mrow>"


def _is_one_element(node: Display) -> bool:
    match node:
        case display.Terms(terms):
            return len(terms) == 1 and terms[0][0] == "+" and _is_one_element(terms[0][1])
        case display.Factors() | display.Applied() | display.Compared() | display.Joined():
            return False
        case _:
            return True


def _term(index: int, sign: str, term: Display) -> str:
    if index == 0:
        return _present(term) if sign == "+" else f'<mo form="prefix">{_SIGNS[sign]}</mo>{_present(term)}'
    return f"<mo>{_SIGNS[sign]}</mo>{_present(term)}"


def _letter(name: str) -> str:
    stem, _, digits = name.partition("_")
    shown = f"<mi>{GREEK.get(stem, stem)}</mi>"
    return f"<msub>{shown}<mn>{digits}</mn></msub>" if digits else shown
