r"""The rendering for paper: a drawing as a `tikzpicture`, its labels set by TeX itself.

The source is ASCII and needs the package tikz of every usual distribution, and no library of it: hatching is drawn
line by line.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import lru_cache
from typing import Final, assert_never

from itembank.expressions.conventions import USUAL, Conventions
from itembank.expressions.display import Maths
from itembank.expressions.latex import latex
from itembank.expressions.spelling import plain
from itembank.figures import Figure, drawing
from itembank.figures.drawing import (
    WEIGHTS,
    Curve,
    Description,
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
from itembank.figures.svg import arrow_head
from itembank.figures.wording import ENGLISH
from itembank.words import Words

__all__ = ["rendered", "tikz"]

Escape = Callable[[str], str]
_LINE: Final = 100


@lru_cache(maxsize=2048)
def tikz(figure: Figure, escape: Escape, said: Words = ENGLISH) -> str:
    """The picture of a figure in these words. escape: makes source of words, as the document around it does."""
    return rendered(drawing(figure, said), escape)


def rendered(picture: Drawing, escape: Escape) -> str:
    """The same from a drawing."""
    width, height = _number(picture.width), _number(picture.height)
    marks = "\n".join(line for mark in picture.marks for line in _mark(mark, escape, picture.signs))
    return (
        f"{_comment(picture.description)}"
        f"\\begin{{tikzpicture}}[x=1mm,y=1mm,line cap=round,line join=round,inner sep=0pt,outer sep=0pt]\n"
        f"\\useasboundingbox (0,0) rectangle ({width},{height});\n"
        f"{marks}\n\\end{{tikzpicture}}"
    )


def _comment(description: Description) -> str:
    """The description for who reads the source: ASCII, in lines that are comments."""
    words = "".join(part if isinstance(part, str) else plain(part) for part in description)
    words = words.encode("ascii", "replace").decode()
    lines, line = [], ""
    for word in words.split():
        if len(line) + len(word) > _LINE:
            lines.append(line)
            line = ""
        line += f" {word}"
    return "".join(f"%{each}\n" for each in (*lines, line))


def _mark(mark: Mark, escape: Escape, signs: Conventions) -> Iterator[str]:
    match mark:
        case Line(points, weight, dashed, arrow):
            style = f"{_width(weight)}{_dashes(dashed)}"
            yield rf"\draw[{style}] {' -- '.join(_at(point) for point in points)};"
            if arrow:
                yield rf"\fill {' -- '.join(_at(point) for point in arrow_head(mark))} -- cycle;"
        case Curve(start, control, end, weight):
            # TikZ knows cubic curves: the same parabola, its control points two thirds of the way
            first, second = (
                Point(point.x + (control.x - point.x) * 2 / 3, point.y + (control.y - point.y) * 2 / 3)
                for point in (start, end)
            )
            yield rf"\draw[{_width(weight)}] {_at(start)} .. controls {_at(first)} and {_at(second)} .. {_at(end)};"
        case Rectangle():
            yield from _rectangle(mark)
        case Dot(centre, radius, is_full):
            fill = "black" if is_full else "white"
            yield rf"\draw[{_width('medium')},fill={fill}] {_at(centre)} circle[radius={_number(radius)}mm];"
        case Label():
            yield _label(mark, escape, signs)
        case _:
            assert_never(mark)


def _rectangle(mark: Rectangle) -> Iterator[str]:
    opposite = Point(mark.corner.x + mark.width, mark.corner.y + mark.height)
    place = f"{_at(mark.corner)} rectangle {_at(opposite)};"
    fill = {"tint": "black!11", "white": "white"}.get(mark.fill)
    if fill:
        yield rf"\fill[{fill}] {place}"
    for first, last in hatching(mark):
        yield rf"\draw[{_width('thin')}] {_at(first)} -- {_at(last)};"
    if mark.outline:
        yield rf"\draw[{_width(mark.outline)}{_dashes(mark.dashed)}] {place}"


def _label(label: Label, escape: Escape, signs: Conventions) -> str:
    """On its base line, in the middle of the room it was given: TeX's own letters are a little narrower."""
    corner, size = label_corner(label)
    middle = Point(corner.x + lettering(label.text).width * size / 2000, corner.y)
    source = escape(label.text) if isinstance(label.text, str) else f"${_maths(label.text, signs)}$"
    return rf"\node[anchor=base] at {_at(middle)} {{\PictureLetters {source}}};"


def _maths(text: Maths, signs: Conventions) -> str:
    """A number, a point or a letter with the marks of a language; TeX would set a comma as a separator."""
    if signs is USUAL:
        return latex(text)
    point = "{,}" if signs.point == "," else signs.point
    return latex(text).replace(r",\, ", rf"{signs.pair}\, ").replace(".", point)


def _width(weight: str) -> str:
    return f"line width={_number(WEIGHTS[weight])}mm"


def _dashes(dashed: bool) -> str:
    return ",dash pattern=on 1.5mm off 1mm" if dashed else ""


def _at(point: Point) -> str:
    return f"({_number(point.x)},{_number(point.y)})"


def _number(value: Fraction) -> str:
    """Three decimal places, rounded by whole numbers."""
    thousandths = (2000 * value.numerator + value.denominator) // (2 * value.denominator)
    sign, size = ("-", -thousandths) if thousandths < 0 else ("", thousandths)
    text = f"{sign}{size // 1000}.{size % 1000:03}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
