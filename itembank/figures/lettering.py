"""How the letters of a label stand: runs of characters with places and sizes, and the lines of roots and fractions.

Pictures need the room a label takes, whatever program shows it: overlaps are found here, before anything is written.
The widths are those of the Computer Modern fonts, rounded up (from memory of their metric files; a test compares them
with what TeX sets); pens on screens stretch each run to its width, so that no other font changes the picture.
Lengths are thousandths of the size of the letters; y is upward from the base line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple, TypeAlias

from itembank.expressions import display
from itembank.expressions.display import Display, Filling, Maths
from itembank.expressions.vocabulary import GREEK, stem_and_index

__all__ = ["Lettering", "Run", "Stroke", "lettering"]


class Run(NamedTuple):
    """Characters in one style: left end of the base line, size (1000: that of the label), width, slanted or not."""

    x: int
    y: int
    size: int
    width: int
    text: str
    slanted: bool


Stroke: TypeAlias = tuple[tuple[int, int], ...]
"""A thin line through places: the bar of a fraction, the sign of a root."""


@dataclass(frozen=True, slots=True)
class Lettering:
    """A label laid out: its extent right of, above and below the left end of its base line, and what is in it."""

    width: int
    above: int
    below: int
    runs: tuple[Run, ...] = ()
    strokes: tuple[Stroke, ...] = ()

    def moved(self, x: int, y: int, size: int = 1000) -> Lettering:
        """The same, made smaller and set elsewhere; its extent is still measured from the old place."""

        def put(length: int) -> int:
            return length * size // 1000

        runs = tuple(
            Run(x + put(r.x), y + put(r.y), put(r.size), put(r.width), r.text, r.slanted) for r in self.runs
        )
        strokes = tuple(tuple((x + put(a), y + put(b)) for a, b in stroke) for stroke in self.strokes)
        return Lettering(x + put(self.width), y + put(self.above), put(self.below) - y, runs, strokes)


_UPRIGHT: Final = {
    **dict.fromkeys("ijl.,;:'|", 300), **dict.fromkeys("ft()[]I", 400), **dict.fromkeys("mMW", 930),
    **dict.fromkeys("w", 740), **dict.fromkeys("ABCDEFGHKLNOPQRSTUVXYZ", 770), " ": 340, "…": 1180, "∞": 1010,
}  # fmt: skip
_SLANTED: Final = {
    **dict.fromkeys("il", 350), **dict.fromkeys("jt", 420), **dict.fromkeys("fr", 500), **dict.fromkeys("mM", 980),
    **dict.fromkeys("w", 740), **dict.fromkeys("ABCDEFGHIJKLNOPQRSTUVXYZ", 840), "W": 960,
}  # fmt: skip
_DIGIT, _LETTER, _GREEK_LETTER = 510, 590, 690
_SIGN, _BINARY_SPACE, _RELATION_SPACE = 790, 225, 280
_ABOVE, _BELOW, _AXIS = 720, 220, 250
_FENCE_ABOVE, _FENCE_BELOW = 770, 270
_SMALL = 700
_SIGNS: Final = {"-": "−", "!=": "≠", "<=": "≤", ">=": "≥"}


@lru_cache(maxsize=4096)
def lettering(text: Maths | str) -> Lettering:
    """The layout of a label.

    >>> lettering("left").width > lettering("ill").width
    True
    """
    if isinstance(text, str):
        return _run(text, False)
    return _Letters(text.numbers).read(text.shape.display)


def _run(text: str, slanted: bool) -> Lettering:
    widths = _SLANTED if slanted else _UPRIGHT
    width = sum(widths.get(character) or _usual(character) for character in text)
    above, below = (_FENCE_ABOVE, _FENCE_BELOW) if text in {"(", ")", "|"} else (_ABOVE, _BELOW)
    return Lettering(width, above, below, (Run(0, 0, 1000, width, text, slanted),))


def _usual(character: str) -> int:
    if character.isdigit():
        return _DIGIT
    if character in "+−=<>±×≤≥≠≈":
        return _SIGN
    return _LETTER if character.isascii() else _GREEK_LETTER


def _space(width: int) -> Lettering:
    return Lettering(width, 0, 0)


def _beside(parts: Sequence[Lettering]) -> Lettering:
    x = 0
    runs: list[Run] = []
    strokes: list[Stroke] = []
    for part in parts:
        moved = part.moved(x, 0)
        runs += moved.runs
        strokes += moved.strokes
        x = moved.width
    above, below = (max((getattr(p, side) for p in parts), default=0) for side in ("above", "below"))
    return Lettering(x, above, below, tuple(runs), tuple(strokes))


class _Letters:
    def __init__(self, numbers: tuple[Filling, ...]) -> None:
        self.numbers = numbers

    def read(self, node: Display) -> Lettering:
        match node:
            case display.Numeral(hole, text):
                return _run(text if hole < 0 else str(self.numbers[hole]), False)
            case display.Letter(name):
                return self._letter(name)
            case display.Terms(terms):
                return _beside(
                    [part for index, term in enumerate(terms) for part in self._term(index, *term)]
                )
            case display.Factors(factors, crosses):
                return self._product(factors, crosses)
            case display.Over(numerator, denominator):
                return self._fraction(self.read(numerator), self.read(denominator))
            case display.Raised(base, exponent):
                return self._raised(self.read(base), self.read(exponent))
            case display.Root(radicand, index):
                return self._root(self.read(radicand), index)
            case display.Bracket(inner):
                return self._fenced("(", self.read(inner), ")")
            case display.Bars(inner):
                return self._fenced("|", self.read(inner), "|")
            case display.Applied(name, arguments):
                return _beside(
                    [_run(name.replace("_", " "), False), self._fenced("(", self._listed(arguments), ")")]
                )
            case display.Pair(first, second):
                return self._fenced("(", self._listed((first, second)), ")")
            case display.Compared(operands, signs):
                parts = [self.read(operands[0])]
                for sign, operand in zip(signs, operands[1:], strict=True):
                    parts += [self._spaced(sign, _RELATION_SPACE), self.read(operand)]
                return _beside(parts)
            case display.Joined(word, statements):
                parts = [self.read(statements[0])]
                for statement in statements[1:]:
                    parts += [_run(f" {word} ", False), self.read(statement)]
                return _beside(parts)
            case display.Nothing():
                return _run("no real solution", False)

    def _letter(self, name: str) -> Lettering:
        stem, below = stem_and_index(name)
        shown = _run(GREEK.get(stem, stem), True)
        if not below:
            return shown
        low = _beside([_run(_SIGNS.get(each, each), each.isalpha()) for each in below])
        index = low.moved(shown.width, -150, _SMALL)
        return Lettering(index.width, shown.above, index.below, (*shown.runs, *index.runs))

    def _term(self, index: int, sign: str, term: Display) -> tuple[Lettering, ...]:
        if index:
            return self._spaced(sign, _BINARY_SPACE), self.read(term)
        return (self.read(term),) if sign == "+" else (_run(_SIGNS.get(sign, sign), False), self.read(term))

    def _spaced(self, sign: str, space: int) -> Lettering:
        return _beside([_space(space), _run(_SIGNS.get(sign, sign), False), _space(space)])

    def _product(self, factors: tuple[Display, ...], crosses: tuple[bool, ...]) -> Lettering:
        parts = [self.read(factors[0])]
        for crossed, factor in zip(crosses, factors[1:], strict=True):
            parts += [self._spaced("×", _BINARY_SPACE)] if crossed else []
            parts.append(self.read(factor))
        return _beside(parts)

    def _listed(self, parts: tuple[Display, ...]) -> Lettering:
        listed = [self.read(parts[0])]
        for part in parts[1:]:
            listed += [_run(", ", False), self.read(part)]
        return _beside(listed)

    def _fraction(self, above: Lettering, below: Lettering) -> Lettering:
        width = max(above.width, below.width) * _SMALL // 1000 + 160
        side = 120
        gap = 110
        raised = _AXIS + gap + above.below * _SMALL // 1000
        lowered = _AXIS - gap - below.above * _SMALL // 1000
        top = above.moved(side + (width - above.width * _SMALL // 1000) // 2, raised, _SMALL)
        bottom = below.moved(side + (width - below.width * _SMALL // 1000) // 2, lowered, _SMALL)
        bar = ((side, _AXIS), (side + width, _AXIS))
        return Lettering(
            width + 2 * side,
            top.above,
            bottom.below,
            (*top.runs, *bottom.runs),
            (bar, *top.strokes, *bottom.strokes),
        )

    def _raised(self, base: Lettering, exponent: Lettering) -> Lettering:
        lift = max(400, base.above - 320)
        raised = exponent.moved(base.width, lift, _SMALL)
        return Lettering(
            raised.width + 90, max(base.above, raised.above), base.below,
            (*base.runs, *raised.runs), (*base.strokes, *raised.strokes),
        )  # fmt: skip

    def _root(self, radicand: Lettering, index: str) -> Lettering:
        lead = 250 * len(index)
        inner = radicand.moved(lead + 800, 0)
        over, under = radicand.above + 130, -max(radicand.below - 60, 0)
        sign = (
            (lead + 60, 300), (lead + 220, 400), (lead + 440, under),
            (lead + 740, over), (inner.width + 30, over),
        )  # fmt: skip
        small = _run(index, False).moved(0, 420, 500) if index else Lettering(0, 0, 0)
        return Lettering(
            inner.width + 60, over + 60, max(radicand.below, -under),
            (*small.runs, *inner.runs), (sign, *inner.strokes),
        )  # fmt: skip

    def _fenced(self, opening: str, inner: Lettering, closing: str) -> Lettering:
        reach = max(inner.above - _AXIS, inner.below + _AXIS)
        size = max(1000, reach * 1000 // 500)
        shift = _AXIS - _AXIS * size // 1000
        sides = [_run(sign, False).moved(0, shift, size) for sign in (opening, closing)]
        return _beside([sides[0], inner, sides[1]])
