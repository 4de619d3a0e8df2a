"""The MathML reading: presentation MathML Core, with a content-MathML annotation of the same tree.

Signs are the true characters: U+2212 minus, U+00D7 times, U+2062 invisible times, U+2061 function
application. The meaning stands in `content_mathml`, what a voice says of it in `alttext`. The decimal mark, the sign
of multiplication and the words in a formula are those of a language (`conventions.py`); the meaning is the same in all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from itembank.errors import DomainError
from itembank.expressions import content_mathml, display, speech
from itembank.expressions.conventions import USUAL, Conventions
from itembank.expressions.display import Display, Filling, Maths, Pattern, Shape, hole_mark, moved
from itembank.expressions.vocabulary import INVERSES, NAMED_LETTERS, stem_and_index

NAMESPACE = "http://www.w3.org/1998/Math/MathML"

_SIGNS = {"+": "+", "-": "−", "±": "±"}
_RELATIONS = {"=": "=", "!=": "≠", "<": "&lt;", "<=": "≤", ">": "&gt;", ">=": "≥", "≈": "≈", "∈": "∈"}
_INVISIBLE_TIMES, _APPLIED = "\u2062", "\u2061"


def mathml(
    maths: Maths, conventions: Conventions = USUAL, *, annotated: bool = True, display: str = "inline"
) -> str:
    """A `math` element with its own default namespace.

    annotated: with the content annotation inside `semantics`. display: `inline` or `block`, else DomainError.
    """
    if display not in {"inline", "block"}:
        raise DomainError("mathematics is shown inline or as a block")
    return _filled(maths, annotated, display, conventions)


@lru_cache(maxsize=64)
def _filled(maths: Maths, annotated: bool, shown_as: str, conventions: Conventions) -> str:
    """Within an item the same mathematics is shown again and again: in stem, options, key and solution."""
    if speech.is_said_as_written(maths):
        return _pattern(maths.shape, annotated, shown_as, 0, conventions).fill(maths.numbers)
    pattern = _pattern(maths.shape, annotated, shown_as, maths.shape.holes, conventions)
    return pattern.fill(spoken_too(maths.numbers, conventions))


def spoken_too(numbers: tuple[Filling, ...], conventions: Conventions) -> tuple[Filling, ...]:
    """What fills `marked` where numbers are not said as they are written: shown, said in two places, and meant."""
    shown: Any = tuple([str(number).replace(".", conventions.point) for number in numbers])
    return shown + speech.fillings(numbers, conventions) + numbers  # type: ignore[no-any-return]


@cache
def marked(shape: Shape, said_as_written: bool, conventions: Conventions = USUAL) -> tuple[str, int]:
    """The annotated element in the line as a text with holes, and how many: for texts that are filled as a whole.

    said_as_written: what `speech.is_said_as_written` says; if not, it takes what `spoken_too` gives.
    """
    if said_as_written:
        return _marked(shape, True, "inline", 0, conventions), shape.holes
    return _marked(shape, True, "inline", shape.holes, conventions), 4 * shape.holes


def presentation(maths: Maths, conventions: Conventions = USUAL) -> str:
    """The presentation elements alone, without the `math` around them."""
    shown: Any = tuple([str(number).replace(".", conventions.point) for number in maths.numbers])
    return _presentation(maths.shape, conventions).fill(shown)


def content(maths: Maths) -> str:
    """The content elements alone."""
    return content_mathml.content(maths)


@cache
def _pattern(
    shape: Shape, annotated: bool, shown_as: str, spoken_from: int, conventions: Conventions
) -> Pattern:
    return Pattern(_marked(shape, annotated, shown_as, spoken_from, conventions))


def _marked(shape: Shape, annotated: bool, shown_as: str, spoken_from: int, conventions: Conventions) -> str:
    """The element with holes; numbers are said from hole `spoken_from` on, their exponents so many holes later, and
    once more so many holes later they are meant."""
    spoken = _escaped(speech.marked(shape.display, spoken_from, 2 * spoken_from, conventions))
    shows = _Presenter(conventions)
    attributes = f'xmlns="{NAMESPACE}" display="{shown_as}" alttext="{spoken}"'
    if not annotated:
        return f"<math {attributes}>{shows.present(shape.display)}</math>"
    meaning = moved(content_mathml.marked(shape.display), 3 * spoken_from)
    annotation = f'<annotation-xml encoding="MathML-Content">{meaning}</annotation-xml>'
    return f"<math {attributes}><semantics>{shows.row(shape.display)}{annotation}</semantics></math>"


@cache
def _presentation(shape: Shape, conventions: Conventions) -> Pattern:
    return Pattern(_Presenter(conventions).present(shape.display))


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


@dataclass(frozen=True, slots=True)
class _Presenter:
    """Presents with the signs and words of a language."""

    conventions: Conventions

    def present(self, node: Display) -> str:
        match node:
            case display.Numeral(hole, text):
                shown = text.replace(".", self.conventions.point) if hole < 0 else hole_mark(hole)
                return f"<mn>{shown}</mn>"
            case display.Letter(name):
                return _letter(name)
            case display.Terms(terms):
                return "".join(self._term(index, sign, term) for index, (sign, term) in enumerate(terms))
            case display.Factors(factors, crosses):
                times = self.conventions.times
                joints = (f"<mo>{times if crossed else _INVISIBLE_TIMES}</mo>" for crossed in crosses)
                tail = (
                    joint + self.present(factor) for joint, factor in zip(joints, factors[1:], strict=True)
                )
                return self.present(factors[0]) + "".join(tail)
            case display.Over(numerator, denominator):
                return f"<mfrac>{self.row(numerator)}{self.row(denominator)}</mfrac>"
            case display.Raised(base, exponent):
                return f"<msup>{self.row(base)}{self.row(exponent)}</msup>"
            case display.Root(radicand, ""):
                return f"<msqrt>{self.present(radicand)}</msqrt>"
            case display.Root(radicand, index):
                return f"<mroot>{self.row(radicand)}<mn>{index}</mn></mroot>"
            case display.Bracket(inner):
                return self._fenced("(", [inner], ")")
            case display.Bars(inner):
                return self._fenced("|", [inner], "|")
            case display.Applied(name, arguments):
                named = f"{self._function(name)}<mo>{_APPLIED}</mo>"
                return named + self._fenced("(", arguments, ")")
            case display.Pair(first, second):
                return self._fenced("(", [first, second], ")")
            case display.Compared(operands, signs):
                pairs = zip(signs, operands[1:], strict=True)
                tail = (f"<mo>{_RELATIONS[sign]}</mo>{self.present(operand)}" for sign, operand in pairs)
                return self.present(operands[0]) + "".join(tail)
            case display.Joined(_, _, listed=True):
                first, values = display.in_a_list(node)
                between = f'<mo>{self.conventions.pair}</mo><mspace width="0.25em"/>'
                return between.join(self.present(part) for part in (first, *values))
            case display.Joined(word, statements):
                space = '<mspace width="0.5em"/>'
                tail = (
                    f"{space}<mtext>{self.conventions.between(word, part)}</mtext>{space}{self.present(part)}"
                    for part in statements[1:]
                )
                return self.present(statements[0]) + "".join(tail)
            case display.Nothing():
                return f"<mtext>{self.conventions.nothing}</mtext>"

    def _function(self, name: str) -> str:
        if name in INVERSES:
            return f'<msup><mi>{INVERSES[name]}</mi><mrow><mo form="prefix">−</mo><mn>1</mn></mrow></msup>'
        return f"<mi>{self.conventions.function(name)}</mi>"

    def _fenced(self, opening: str, parts: Sequence[Display], closing: str) -> str:
        """Brackets in a row of their own, so that they grow with what they hold and with nothing beside it."""
        inner = f"<mo>{self.conventions.pair}</mo>".join(self.present(part) for part in parts)
        return f"<mrow><mo>{opening}</mo>{inner}<mo>{closing}</mo></mrow>"

    def row(self, node: Display) -> str:
        """The node as exactly one element."""
        shown = self.present(node)
        return shown if _is_one_element(node) else f"<mrow>{shown}</mrow>"

    def _term(self, index: int, sign: str, term: Display) -> str:
        if index == 0:
            return (
                self.present(term)
                if sign == "+"
                else f'<mo form="prefix">{_SIGNS[sign]}</mo>{self.present(term)}'
            )
        return f"<mo>{_SIGNS[sign]}</mo>{self.present(term)}"


def _is_one_element(node: Display) -> bool:
    match node:
        case display.Terms(terms):
            return len(terms) == 1 and terms[0][0] == "+" and _is_one_element(terms[0][1])
        case display.Factors() | display.Applied() | display.Compared() | display.Joined():
            return False
        case _:
            return True


def _letter(name: str) -> str:
    stem, index = stem_and_index(name)
    shown = f"<mi>{NAMED_LETTERS.get(stem, stem)}</mi>"
    below = "".join(map(_low, index))
    return f"<msub>{shown}{below if len(index) == 1 else f'<mrow>{below}</mrow>'}</msub>" if index else shown


def _low(piece: str) -> str:
    element = "mn" if piece.isdecimal() else "mo" if piece in _SIGNS else "mi"
    return f"<{element}>{_SIGNS.get(piece, piece)}</{element}>"
