"""The picture `bar-model`: a bar cut into equal parts and a rest, below it the whole. For n x + r = t."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

from itembank.extending import Description, DomainError, FigureExtension, Pen, Point, labels

_LONG, _HIGH = Fraction(90), Fraction(9)
_MOST = 12


def draw(numbers: Mapping[str, Fraction], pen: Pen) -> Description:
    """The bar with its parts to scale, each labelled x, the rest tinted with its number, the whole below."""
    parts, rest, whole = numbers["parts"], numbers["rest"], numbers["whole"]
    if parts.denominator != 1 or not 1 <= parts <= _MOST or not 0 <= rest < whole:
        raise DomainError(f"a bar has 1 to {_MOST} equal parts, and a rest that is less than the whole")
    unit = _LONG / whole
    size = (whole - rest) / parts * unit
    x = labels.letter("x")
    for index in range(int(parts)):
        corner = Point(index * size, _HIGH)
        pen.rectangle(corner, size, _HIGH)
        if labels.width(x) + 1 < size:
            pen.label(Point(corner.x + size / 2, _HIGH * 3 / 2), x)
    if rest:
        pen.rectangle(Point(parts * size, _HIGH), rest * unit, _HIGH, fill="tint")
        pen.label(Point(parts * size + rest * unit / 2, 2 * _HIGH + 1), labels.number(rest), "below", (rest,))
    pen.rectangle(Point(Fraction(0), Fraction(0)), _LONG, _HIGH)
    pen.label(Point(_LONG / 2, _HIGH / 2), labels.number(whole), tells=(whole,))
    each = ("1 part", "") if parts == 1 else (f"{parts} equal parts", " each")
    end = ("a rest of ", labels.number(rest)) if rest else ("no rest",)
    return (
        f"Bar model: above, a bar of {each[0]}, x{each[1]}, and ", *end, "; below, a bar as long, ",
        labels.number(whole), ".",
    )  # fmt: skip


def check(numbers: Mapping[str, Fraction], words: str) -> Iterable[str]:
    """From the file alone: the words say how many parts, the rest and the whole."""
    parts, rest, whole = numbers["parts"], numbers["rest"], numbers["whole"]
    if parts != 1 and f"a bar of {parts} equal parts," not in words:
        yield f"its words do not say {parts} equal parts"
    if (f"a rest of {rest};" if rest else "no rest;") not in words:
        yield f"its words do not say a rest of {rest}"
    if not words.endswith(f"as long, {whole}."):
        yield f"its words do not say that the whole is {whole}"
    if not 0 <= rest < whole:
        yield "its rest is not less than the whole"


BAR_MODEL = FigureExtension(
    name="bar-model",
    keys={
        "parts": "how many equal parts the bar has",
        "rest": "what is left of it",
        "whole": "how long it is",
    },
    draw=draw,
    check=check,
)
