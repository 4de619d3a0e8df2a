"""The rendering for screens: a drawing as SVG, whole in itself, without script, style sheet or outside resource.

Labels are text in their own runs, each stretched to the width it was given, so that any serif will do. This is the
one place of this rendering where text is escaped and a `<` is written.
What was drawn stands in `data-` attributes, so that a reader of the file can check it.
Source: W3C, Scalable Vector Graphics (SVG) 1.1, second edition, and of SVG 2 the `data-` attributes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from typing import Final, assert_never

from itembank.figures import Figure, drawing, in_words
from itembank.figures.drawing import (
    ARROW,
    UNIT,
    WEIGHTS,
    Curve,
    Dot,
    Drawing,
    Label,
    Line,
    Mark,
    Point,
    Rectangle,
    hatching,
    label_corner,
)
from itembank.figures.lettering import lettering
from itembank.figures.wording import ENGLISH
from itembank.words import Words

__all__ = ["PIXELS", "pixels", "svg"]

NAMESPACE: Final = "http://www.w3.org/2000/svg"
PIXELS: Final = Fraction(9, 2)
"""Pixels for a millimetre: letters of ten points come out as high as text of a page."""

_INK, _TINT, _PAPER = "#000000", "#e4e4e4", "#ffffff"
_FONTS: Final = "'Latin Modern Math', 'STIX Two Text', 'STIX Two Math', 'Times New Roman', Times, serif"
# Source: W3C, XML 1.0, fifth edition, production [2] Char.
_ILLEGAL: Final = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@lru_cache(maxsize=2048)
def svg(figure: Figure, said: Words = ENGLISH) -> str:
    """The picture of a figure as an `svg` element with its own namespace and its description in these words."""
    return rendered(drawing(figure, said))


def pixels(figure: Figure, said: Words = ENGLISH) -> tuple[int, int]:
    """(width, height) of the picture in whole pixels, rounded up."""
    found = drawing(figure, said)
    return -int(-found.width * PIXELS // 1), -int(-found.height * PIXELS // 1)


def rendered(picture: Drawing) -> str:
    """The same from a drawing."""
    told = _escaped(in_words(picture))
    width, height = (_number(length * PIXELS) for length in (picture.width, picture.height))
    pen = _Pen(picture)
    facts = "".join(f' data-{name}="{_escaped(fact)}"' for name, fact in picture.facts)
    marks = "\n".join(line for mark in picture.marks for line in pen.mark(mark))
    return (
        f'<svg xmlns="{NAMESPACE}" viewBox="0 0 {width} {height}" width="{width}" height="{height}" role="img"'
        f'{facts} aria-label="{told}">\n<desc>{told}</desc>\n'
        f'<rect x="0" y="0" width="{width}" height="{height}" fill="{_PAPER}"/>\n'
        f'<g fill="none" stroke="{_INK}" stroke-linecap="round" stroke-linejoin="round" font-family="{_FONTS}">\n'
        f"{marks}\n</g>\n</svg>\n"
    )


class _Pen:
    def __init__(self, picture: Drawing) -> None:
        self.height = picture.height
        self.signs = str.maketrans({".": picture.signs.point, ",": picture.signs.pair})

    def mark(self, mark: Mark) -> Iterator[str]:
        match mark:
            case Line():
                yield from self._line(mark)
            case Curve(start, control, end, weight):
                path = f"M{self._at(start)} Q{self._at(control)} {self._at(end)}"
                yield f'<path d="{path}" stroke-width="{_length(WEIGHTS[weight])}"/>'
            case Rectangle():
                yield from self._rectangle(mark)
            case Dot(centre, radius, is_full):
                x, y = self._at(centre).split(" ")
                fill = _INK if is_full else _PAPER
                width = _length(WEIGHTS["medium"])
                yield f'<circle cx="{x}" cy="{y}" r="{_length(radius)}" fill="{fill}" stroke-width="{width}"/>'
            case Label():
                yield from self._label(mark)
            case _:
                assert_never(mark)

    def _at(self, point: Point) -> str:
        return f"{_length(point.x)} {self._down(point.y)}"

    def _down(self, y: Fraction, above: int = 0) -> str:
        """The distance from the upper side of a place so many thousandths of a letter's size above y.

        Whole numbers all the way: a picture has hundreds of places, and sums of fractions take most of its time.
        """
        top, of_top, up, of_up = *self.height.as_integer_ratio(), *y.as_integer_ratio()
        distance, below = top * of_up - up * of_top, of_top * of_up
        if above:
            distance, below = (
                distance * UNIT.denominator - above * UNIT.numerator * below,
                below * UNIT.denominator,
            )
        return _hundredths(distance * PIXELS.numerator, below * PIXELS.denominator)

    def _path(self, points: tuple[Point, ...], weight: Fraction, more: str = "") -> str:
        places = " L".join(self._at(point) for point in points)
        return f'<path d="M{places}" stroke-width="{_length(weight)}"{more}/>'

    def _line(self, line: Line) -> Iterator[str]:
        dashes = (
            f' stroke-dasharray="{_length(Fraction(3, 2))} {_length(Fraction(1))}"' if line.dashed else ""
        )
        yield self._path(line.points, WEIGHTS[line.weight], dashes)
        if line.arrow:
            places = " L".join(self._at(point) for point in arrow_head(line))
            yield f'<path d="M{places} Z" fill="{_INK}" stroke="none"/>'

    def _rectangle(self, mark: Rectangle) -> Iterator[str]:
        corner = Point(mark.corner.x, mark.corner.y + mark.height)
        x, y = self._at(corner).split(" ")
        fill = {"tint": _TINT, "white": _PAPER}.get(mark.fill, "none")
        place = f'<rect x="{x}" y="{y}" width="{_length(mark.width)}" height="{_length(mark.height)}"'
        if fill != "none":
            yield f'{place} fill="{fill}" stroke="none"/>'
        for ends in hatching(mark):
            yield self._path(ends, WEIGHTS["thin"])
        if mark.outline:
            dashes = (
                f' stroke-dasharray="{_length(Fraction(3, 2))} {_length(Fraction(1))}"' if mark.dashed else ""
            )
            yield f'{place} stroke-width="{_length(WEIGHTS[mark.outline])}"{dashes}/>'

    def _label(self, label: Label) -> Iterator[str]:
        corner, _ = label_corner(label)
        laid = lettering(label.text)
        for run in laid.runs:
            x, y = _right_of(corner.x, 2 * run.x + run.width), self._down(corner.y, run.y)
            stretched = ""
            if len(run.text) > 1:
                stretched = f' textLength="{_letters(run.width)}" lengthAdjust="spacingAndGlyphs"'
            slanted = ' font-style="italic"' if run.slanted else ""
            shown = run.text if isinstance(label.text, str) else run.text.translate(self.signs)
            yield (
                f'<text x="{x}" y="{y}" font-size="{_letters(run.size)}"{slanted} text-anchor="middle"{stretched}'
                f' fill="{_INK}" stroke="none">{_escaped(shown)}</text>'
            )
        for stroke in laid.strokes:
            points = tuple(Point(corner.x + x * UNIT, corner.y + y * UNIT) for x, y in stroke)
            yield self._path(points, WEIGHTS["thin"])


def arrow_head(line: Line) -> tuple[Point, Point, Point]:
    """The corners of an arrow's head at the end of a line along one of the axes."""
    before, tip = line.points[-2:]
    length, half = ARROW
    if before.y == tip.y:
        back = tip.x - length if tip.x > before.x else tip.x + length
        return tip, Point(back, tip.y - half), Point(back, tip.y + half)
    back = tip.y - length if tip.y > before.y else tip.y + length
    return tip, Point(tip.x - half, back), Point(tip.x + half, back)


def _right_of(x: Fraction, halves: int) -> str:
    """The place so many halves of thousandths of a letter's size right of x."""
    n, d = x.as_integer_ratio()
    above, below = 2 * UNIT.denominator * n + halves * UNIT.numerator * d, 2 * UNIT.denominator * d
    return _hundredths(above * PIXELS.numerator, below * PIXELS.denominator)


@lru_cache(maxsize=1024)
def _letters(thousandths: int) -> str:
    """So many thousandths of a letter's size."""
    return _length(thousandths * UNIT)


def _length(millimetres: Fraction) -> str:
    return _hundredths(millimetres.numerator * PIXELS.numerator, millimetres.denominator * PIXELS.denominator)


def _number(value: Fraction) -> str:
    return _hundredths(value.numerator, value.denominator)


def _hundredths(above: int, below: int) -> str:
    """Two decimal places, rounded by whole numbers: no float is needed even here."""
    hundredths = (200 * above + below) // (2 * below)
    sign, size = ("-", -hundredths) if hundredths < 0 else ("", hundredths)
    text = f"{sign}{size // 100}.{size % 100:02}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _escaped(text: str) -> str:
    safe = _ILLEGAL.sub("\ufffd", text)
    for character, entity in (("&", "&amp;"), ("<", "&lt;"), (">", "&gt;"), ('"', "&quot;")):
        safe = safe.replace(character, entity)
    return safe
