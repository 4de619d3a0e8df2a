"""The numbers of a picture: what is drawn, and what its words say, against the numbers it says it was drawn of.

Everything is worked out anew from these: the halves and squares of an area model, the vertex of a parabola, how it
meets the axis. Places in the file are rounded to a hundredth of a pixel, so they agree within a few of these.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from lxml import etree

from itembank.audit import equations, numbers
from itembank.audit.numbers import Number
from itembank.audit.picture_labels import Group, groups, label_faults, label_of, level_label_of, read_label
from itembank.audit.picture_lines import SVG, line_faults, strokes
from itembank.audit.picture_tables import table_faults
from itembank.audit.picture_words import PICTURE_WORDS, PictureWords
from itembank.audit.plain_text import read_number
from itembank.audit.tongues import ENGLISH, Tongue
from itembank.audit.xml_reading import local_name

__all__ = ["number_faults"]

_NEAR: Final = Fraction(5, 100)
_NUMBER: Final = re.compile(r"-?[0-9]{1,60}(?:/[0-9]{1,60})?\Z")
_COORDINATES: Final = re.compile(r"\((-?[0-9]{1,60})[,;](-?[0-9]{1,60})\)")
_AXIS: Final = re.compile(r"[^\W0-9_]=(-?[0-9]{1,60})\Z")
_CURVE: Final = re.compile(r"M(\S+) (\S+) Q(\S+) (\S+) (\S+) (\S+)\Z")


def number_faults(root: etree._Element, words: str, language: Tongue = ENGLISH) -> Iterator[str]:
    """What disagrees, in plain words. root: of a picture whose elements and attributes were looked at before.

    language: of the words.
    """
    said = PICTURE_WORDS[language.name]
    try:
        match root.get("data-kind"):
            case "area-model":
                (linear,) = _numbers(root.get("data-numbers", ""))
                yield from _area_model(root, words, linear, said)
                yield from label_faults(list(groups(root)), words, ())
            case "parabola":
                a, b, c = _numbers(root.get("data-numbers", ""))
                yield from _parabola(root, words, (a, b, c), language)
            case "number-line":
                yield from line_faults(root, words, language.name)
            case "sign-table":
                yield from table_faults(root, words, language.name)
            case kind:
                yield f"the kind {kind!r} is not known"
    except (ValueError, ZeroDivisionError):
        yield "the numbers it was drawn of cannot be read"


def _numbers(text: str) -> list[Fraction]:
    listed = text.split()
    if not all(_NUMBER.match(each) for each in listed):
        raise ValueError(text)
    return [Fraction(each) for each in listed]


def _spelled(number: Fraction) -> str:
    return str(number).replace("-", "−")


def _outlined(root: etree._Element) -> list[tuple[Fraction, ...]]:
    """(x, y, width, height) of each rectangle that has an outline."""
    return [
        tuple(Fraction(each.get(side, "")) for side in ("x", "y", "width", "height"))
        for each in root.iter(f"{SVG}rect")
        if each.get("stroke-width") is not None
    ]


# area models


def _area_model(root: etree._Element, words: str, linear: Fraction, said: PictureWords) -> Iterator[str]:
    half, stage = abs(linear) / 2, root.get("data-stage")
    told = [f"{said.width} {_spelled(half if stage != '1' else 2 * half)}"]
    if stage == "3" or (stage == "2" and linear < 0):
        told.append(f"{said.area} {_spelled(half * half)}")
    for each in told:
        if not re.search(rf"{re.escape(each)}(?![0-9/])", words):
            yield f"its words do not say {each!r}"
    if (said.taken in words) != (linear < 0):
        yield "its words do not say whether something is added or taken away"
    if stage == "1":
        return
    rectangles = _outlined(root)
    if len(rectangles) != 4:
        yield "it does not show a square, two strips and a corner"
        return
    square, right, below, corner = rectangles
    sizes = [(square[2], square[3]), (right[2], below[3]), (corner[2], corner[3]), (corner[2], right[2])]
    if any(abs(first - second) > _NEAR for first, second in sizes):
        yield "its square, its corner or its strips are not as wide as high"


# parabolas


def _parabola(
    root: etree._Element, words: str, numbers: tuple[Fraction, Fraction, Fraction], language: Tongue
) -> Iterator[str]:
    said, (a, b, c) = PICTURE_WORDS[language.name], numbers
    point = rf"\((−?[0-9/]+){language.pair} (−?[0-9/]+)\)"
    h, discriminant = -b / (2 * a), b * b - 4 * a * c
    k = (a * h + b) * h + c
    roots = (discriminant > 0) + (discriminant >= 0)
    if said.meets[roots] not in words:
        yield "its words do not say how the curve meets the axis"
    if (said.upward in words) != (a > 0):
        yield "its words do not say to which side the curve opens"
    found = re.search(said.vertex + point, words)
    if found and _pair(found) != (h, k):
        yield f"its words say that the vertex is at ({found[1]}, {found[2]})"
    found = re.search(said.intercept + point, words)
    if found and _pair(found) != (Fraction(0), c):
        yield f"its words say that the curve meets the vertical axis at ({found[1]}, {found[2]})"
    found = re.search(rf"{said.axis}(−?[0-9/]+)", words)
    if found and _plain(found[1]) != h:
        yield f"its words say that the axis of symmetry is at {found[1]}"
    found = re.search(rf"{re.escape(said.meets[2])}[^;.]*?{said.roots}([^;.]+){said.and_}([^;.]+)[;.]", words)
    if found and frozenset((read_number(found[1]), read_number(found[2]))) != equations.roots(a, b, c):
        yield f"its words say that the curve crosses the horizontal axis at {found[1]} and {found[2]}"
    yield from _curve(root, a, b, c)
    yield from _written(root, words, h)


def _written(root: etree._Element, words: str, axis: Fraction) -> Iterator[str]:
    """Each number below or beside the plot is the one of its place; all others are those of the words.

    axis: where the axis of symmetry is.
    """
    frames = _outlined(root)
    if not frames:
        return
    left, top, width, height = frames[0]
    x_low, x_high, y_low, y_high = _numbers(root.get("data-window", ""))
    across, up = (x_high - x_low) / width, (y_high - y_low) / height
    bottom, written, ticks = top + height, list(groups(root)), []
    for each in strokes(root):
        below = each.x == each.to_x and abs(each.y - bottom) <= _NEAR and each.to_y > each.y
        beside = each.y == each.to_y and abs(each.x - left) <= _NEAR and each.to_x < each.x
        if not below and not beside:
            continue
        ticks.append(each.element)
        label = label_of(each.element, written)
        at = x_low + (each.x - left) * across if below else y_high - (each.y - top) * up
        shown = read_label(label)
        if label and (shown is None or abs(shown - at) > _NEAR * (across if below else up)):
            yield f"its scale says {label} where another number is"
    for group in written:
        line = _AXIS.match(_signed(group.level))
        if line and Fraction(line[1]) != axis:
            yield f"the line {group.level} is written in it, which is not its axis of symmetry"
    if len([tick for tick in ticks if label_of(tick, written)]) < 4:
        yield "its scales do not say two numbers each"
    yield from label_faults(written, words, ticks)


def _is_said_beside(dot: etree._Element, here: list[tuple[Number, Fraction]], written: list[Group]) -> bool:
    """Whether a point's whole coordinates, or those of a root, are its own; what stands above a bar is not read."""
    ground = dot.getnext()  # of a label on a grid
    after = ground if ground is not None and local_name(ground) == "rect" else dot
    pair = next((_COORDINATES.match(_signed(each.level)) for each in written if each.before is after), None)
    alone = read_label(level_label_of(after, written))
    if pair:
        return (Fraction(pair[1]), Fraction(pair[2])) in here
    known = [at for at, _ in here if isinstance(at, int | Fraction)]
    return alone is None or not known or alone in known


def _are_near(first: Number, second: Number, within: Fraction) -> bool:
    away = first - second
    return numbers.sign(away - within) <= 0 <= numbers.sign(away + within)


def _pair(found: re.Match[str]) -> tuple[Fraction, Fraction]:
    return _plain(found[1]), _plain(found[2])


def _plain(text: str) -> Fraction:
    return Fraction(_signed(text))


def _signed(text: str) -> str:
    return text.replace("−", "-")


def _curve(root: etree._Element, a: Fraction, b: Fraction, c: Fraction) -> Iterator[str]:
    """Both ends on the parabola, and the control point where its tangents there meet."""
    curves = [found for each in root.iter(f"{SVG}path") if (found := _CURVE.match(each.get("d", "")))]
    if len(curves) != 1 or not _outlined(root):
        yield "it does not show one curve in one plot"
        return
    left, top, width, height = _outlined(root)[0]
    x_low, x_high, y_low, y_high = _numbers(root.get("data-window", ""))
    across, up = (x_high - x_low) / width, (y_high - y_low) / height
    places = [Fraction(number) for number in curves[0].groups()]
    (x0, y0), (x1, y1), (x2, y2) = (
        (x_low + (x - left) * across, y_high - (y - top) * up)
        for x, y in zip(places[::2], places[1::2], strict=True)
    )

    def along(first: Fraction, second: Fraction) -> Fraction:
        return a * first * second + b * (first + second) / 2 + c

    # a slip of a hundredth of a pixel sideways moves the curve as far up as it is steep
    slope = max(abs(2 * a * x + b) for x in (x0, x2))
    near = _NEAR * (up + slope * across)
    heights = ((y0, along(x0, x0)), (y1, along(x0, x2)), (y2, along(x2, x2)))
    middle = -b / (2 * a)
    points: list[tuple[Number, Fraction]] = [(middle, along(middle, middle)), (Fraction(0), c)]
    points += [(crossing, Fraction(0)) for crossing in equations.roots(a, b, c) or ()]
    written = list(groups(root))
    for dot in root.iter(f"{SVG}circle"):
        x = x_low + (Fraction(dot.get("cx", "")) - left) * across
        y = y_high - (Fraction(dot.get("cy", "")) - top) * up
        here = [
            (at, high)
            for at, high in points
            if _are_near(x, at, _NEAR * across) and abs(y - high) <= _NEAR * up
        ]
        if not here:
            yield "a point it marks is neither the vertex nor on an axis"
        elif not _is_said_beside(dot, here, written):
            yield "beside a point it marks stand the numbers of another"
    if abs(x1 - (x0 + x2) / 2) > _NEAR * across or any(abs(drawn - meant) > near for drawn, meant in heights):
        yield "its curve is not the parabola of its numbers"
