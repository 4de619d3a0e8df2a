"""The area model of completing the square: a square of side x, two strips of half the linear coefficient, a corner.

Three stages follow the worked solution. With a positive coefficient a rectangle is added to the square, halved and
set against two sides; what is missing is the corner. With a negative one two strips are taken away from the square;
the corner where they meet is taken away twice, so it is added back once.
Source: common practice, no source (after Euclid, Elements II.4 and II.7).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from itembank.errors import DomainError
from itembank.expressions import tree
from itembank.expressions.display import Maths
from itembank.expressions.numbers import whole
from itembank.figures import labels
from itembank.figures.drawing import Description, Drawing, Point
from itembank.figures.labels import height, width
from itembank.figures.pen import Pen, told
from itembank.figures.wording import ENGLISH, phrase
from itembank.words import Words

__all__ = ["STAGES", "AreaModel", "draw", "side_and_strip"]

STAGES: Final = 3
_GAP: Final = Fraction(1)
_SMALLEST_STRIP, _SMALLEST_SIDE = Fraction(9), Fraction(26)
_ZERO: Final = Fraction(0)


@dataclass(frozen=True, slots=True)
class AreaModel:
    """What is drawn: letter^2 + linear*letter at a stage, 1 to 3.

    Raises DomainError for a coefficient of 0, which has nothing to halve, and for another stage.
    """

    letter: str
    linear: Fraction
    stage: int = STAGES

    def __post_init__(self) -> None:
        if self.linear == 0:
            raise DomainError("an area model needs a linear coefficient other than 0")
        if not 1 <= self.stage <= STAGES:
            raise DomainError(f"an area model has the stages 1 to {STAGES}")

    @property
    def half(self) -> Fraction:
        """Half the linear coefficient, with its sign."""
        return self.linear / 2


def draw(model: AreaModel, said: Words = ENGLISH) -> Drawing:
    """The picture of a stage. said: the words of its description."""
    return (_Added if model.linear > 0 else _TakenAway)(model, said).drawing()


def side_and_strip(model: AreaModel) -> tuple[Fraction, Fraction]:
    """(length drawn for the letter, width of a strip) in millimetres.

    The letter has no value, so its length is free; the strip has the room its labels need.
    """
    texts = _Texts(model)
    inside = max(width(texts.strip), width(texts.corner), width(texts.size), height(texts.strip) + 2)
    strip = max(_SMALLEST_STRIP, inside + 3)
    content = max(width(texts.whole), width(texts.square), width(texts.rest)) + 4
    if model.linear > 0:
        return max(_SMALLEST_SIDE, strip * Fraction(5, 2), width(texts.square) + 4), strip
    return max(_SMALLEST_SIDE + _SMALLEST_STRIP, strip * Fraction(5, 2), content + 2 * strip), strip


class _Texts:
    """The labels of a model. size: of the half; corner: its square; whole: the expression."""

    def __init__(self, model: AreaModel) -> None:
        name, magnitude = model.letter, abs(model.half)
        x = tree.Name(name)
        self.side = labels.letter(name)
        self.square = labels.power(x, {})
        self.size = labels.number(whole(magnitude))
        self.doubled = labels.number(whole(2 * magnitude))
        self.strip = labels.product(whole(magnitude), name)
        self.rectangle = labels.product(whole(2 * magnitude), name)
        self.corner = labels.number(whole(magnitude * magnitude))
        free = "n" if name != "n" else "m"
        linear = tree.Product((tree.Name(free), x))
        squared = tree.Power(x, tree.Number(Fraction(2)))
        self.whole = labels.shown(labels.total(squared, linear), {free: whole(model.linear)})
        ends = labels.total(x, tree.Name(free))
        self.sum = labels.shown(ends, {free: whole(model.half)})
        self.rest = labels.power(ends, {free: whole(model.half)})


class _Stages:
    def __init__(self, model: AreaModel, said: Words) -> None:
        self.model, self.said = model, said
        self.texts = _Texts(model)
        self.side, self.strip = side_and_strip(model)
        self.pen = Pen()
        half = whole(model.half)
        self.tells_half = (half, whole(-model.half))
        self.tells_square = (whole(model.half * model.half),)

    def finished(self, words: tuple[str | Maths, ...]) -> Drawing:
        """The drawing with its words and facts."""
        stage = self.model.stage
        facts = {"kind": "area-model", "numbers": told(self.model.linear), "stage": str(stage)}
        before = self.told("area-model", whole=self.texts.whole, stage=str(stage), stages=str(STAGES))
        return self.pen.finished(*before, " ", *words, facts=facts)

    def told(self, key: str, **parts: Maths | str) -> Description:
        """Words of the translation file."""
        return tuple(phrase(self.said, key, **parts))

    def piece(
        self, corner: Point, size: tuple[Fraction, Fraction], text: Maths | None = None, fill: str = "",
        tells: tuple[int | Fraction, ...] = (), dashed: bool = False,
    ) -> None:  # fmt: skip
        """A rectangle with its label in the middle, on white where it is hatched."""
        self.pen.rectangle(corner, *size, fill=fill, dashed=dashed)
        if text is not None:
            self.on_white(Point(corner.x + size[0] / 2, corner.y + size[1] / 2), text, fill, tells)

    def on_white(self, at: Point, text: Maths, fill: str, tells: tuple[int | Fraction, ...] = ()) -> None:
        if fill in {"hatched", "crossed"}:
            wide, high = width(text) + 1, height(text) + Fraction(1, 2)
            self.pen.rectangle(Point(at.x - wide / 2, at.y - high / 2), wide, high, "white", "")
        self.pen.label(at, text, tells=tells)

    def above(
        self,
        left: Fraction,
        right: Fraction,
        y: Fraction,
        text: Maths,
        tells: tuple[int | Fraction, ...] = (),
    ) -> None:
        """A length over an upper side."""
        self.pen.label(Point((left + right) / 2, y + _GAP), text, "below", tells)

    def beneath(
        self, left: Fraction, right: Fraction, text: Maths, tells: tuple[int | Fraction, ...] = ()
    ) -> None:
        """A length under the lower side."""
        self.pen.label(Point((left + right) / 2, -_GAP), text, "above", tells)

    def beside(
        self, bottom: Fraction, top: Fraction, text: Maths, tells: tuple[int | Fraction, ...] = ()
    ) -> None:
        """A length left of the left side."""
        self.pen.label(Point(-_GAP, (bottom + top) / 2), text, "right", tells)


class _Added(_Stages):
    """A positive coefficient: the rectangle is halved and set against two sides."""

    def drawing(self) -> Drawing:
        match self.model.stage:
            case 1:
                words = self._joined()
            case 2:
                words = self._halved(is_complete=False)
            case _:
                words = self._halved(is_complete=True)
        return self.finished(words)

    def _joined(self) -> tuple[str | Maths, ...]:
        texts, side, strip = self.texts, self.side, self.strip
        double = max(2 * strip, width(texts.rectangle) + 3)
        self.piece(Point(_ZERO, _ZERO), (side, side), texts.square)
        self.piece(Point(side, _ZERO), (double, side), texts.rectangle, "tint")
        self.above(_ZERO, side, side, texts.side)
        self.above(side, side + double, side, texts.doubled)
        self.beside(_ZERO, side, texts.side)
        return self.told("area-joined", side=texts.side, doubled=texts.doubled, rectangle=texts.rectangle)

    def _halved(self, is_complete: bool) -> tuple[str | Maths, ...]:
        texts, side, strip = self.texts, self.side, self.strip
        self.piece(Point(_ZERO, strip), (side, side), texts.square)
        self.piece(Point(side, strip), (strip, side), texts.strip, "tint", self.tells_half)
        self.piece(Point(_ZERO, _ZERO), (side, strip), texts.strip, "tint", self.tells_half)
        if is_complete:
            self.piece(Point(side, _ZERO), (strip, strip), texts.corner, "crossed", self.tells_square)
        else:
            self.piece(Point(side, _ZERO), (strip, strip), dashed=True)
        self.above(_ZERO, side, side + strip, texts.side)
        self.above(side, side + strip, side + strip, texts.size, self.tells_half)
        self.beside(strip, side + strip, texts.side)
        self.beside(_ZERO, strip, texts.size, self.tells_half)
        start = self.told("area-halved", side=texts.side, size=texts.size, strip=texts.strip)
        if is_complete:
            return (*start, " ", *self.told("area-completed", corner=texts.corner, sum=texts.sum))
        return (*start, " ", *self.told("area-missing"))


class _TakenAway(_Stages):
    """A negative coefficient: two strips are taken away, and the corner is taken away twice."""

    def drawing(self) -> Drawing:
        match self.model.stage:
            case 1:
                words = self._one_rectangle()
            case 2:
                words = self._two_strips(is_complete=False)
            case _:
                words = self._two_strips(is_complete=True)
        return self.finished(words)

    def _one_rectangle(self) -> tuple[str | Maths, ...]:
        texts, side = self.texts, self.side
        double = max(2 * self.strip, width(texts.rectangle) + 3)
        self.piece(Point(_ZERO, _ZERO), (side - double, side), texts.whole)
        self.piece(Point(side - double, _ZERO), (double, side), texts.rectangle, "hatched")
        self.above(_ZERO, side, side, texts.side)
        self.beside(_ZERO, side, texts.side)
        self.beneath(side - double, side, texts.doubled)
        return self.told("area-taken", side=texts.side, doubled=texts.doubled, rectangle=texts.rectangle)

    def _two_strips(self, is_complete: bool) -> tuple[str | Maths, ...]:
        texts, side, strip = self.texts, self.side, self.strip
        rest = side - strip
        self.piece(Point(_ZERO, strip), (rest, rest), texts.rest if is_complete else None)
        self.piece(Point(rest, strip), (strip, rest), fill="hatched")
        self.piece(Point(_ZERO, _ZERO), (rest, strip), fill="hatched")
        corner = "hatched" if is_complete else "crossed"
        self.piece(Point(rest, _ZERO), (strip, strip), texts.corner, corner, self.tells_square)
        if not is_complete:
            self.on_white(Point(rest + strip / 2, strip + rest / 2), texts.strip, "hatched", self.tells_half)
            self.on_white(Point(rest / 2, strip / 2), texts.strip, "hatched", self.tells_half)
        self.above(_ZERO, side, side, texts.side)
        self.beside(_ZERO, side, texts.side)
        self.beneath(rest, side, texts.size, self.tells_half)
        self.pen.label(Point(side + _GAP, strip / 2), texts.size, "left", self.tells_half)
        strips = {"side": texts.side, "size": texts.size, "strip": texts.strip, "corner": texts.corner}
        start = self.told("area-strips", **strips)
        return (*start, *self.told("area-left", sum=texts.sum)) if is_complete else (*start, ".")
