"""Number lines as they are drawn: the scale its ticks tell, and whether dots and segments stand where the words say."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Final, NamedTuple

from lxml import etree

from itembank.audit.findings import CannotTell
from itembank.audit.numbers import Number, sign
from itembank.audit.picture_labels import groups, label_faults, level_label_of, read_label
from itembank.audit.picture_meaning import Piece, pieces_told
from itembank.audit.xml_reading import local_name

__all__ = ["SVG", "Stroke", "line_faults", "strokes"]

SVG: Final = "{http://www.w3.org/2000/svg}"
_NEAR: Final = Fraction(5, 100)
_BOLD: Final = Fraction(3)
_FULL, _RING = "#000000", "#ffffff"
_STROKE: Final = re.compile(r"M(\S+) (\S+) L(\S+) (\S+)\Z")
_LABEL: Final = re.compile(r"-?[0-9]+(?:\.[0-9]+)?\Z")
_BESIDE: Final = Fraction(8)
"""How far the middle of a label may be from its tick, in pixels: a sign before the digits moves it."""


class Stroke(NamedTuple):
    """A straight line from a place to another, and how wide it is."""

    x: Fraction
    y: Fraction
    to_x: Fraction
    to_y: Fraction
    width: Fraction
    element: etree._Element


def strokes(root: etree._Element) -> list[Stroke]:
    """The straight lines of a picture, in order."""
    found = []
    for each in root.iter(f"{SVG}path"):
        line = _STROKE.match(each.get("d", ""))
        if line is not None:
            x, y, to_x, to_y = map(Fraction, line.groups())
            found.append(Stroke(x, y, to_x, to_y, Fraction(each.get("stroke-width") or 0), each))
    return found


class _Scale(NamedTuple):
    """A number lies at zero + number * unit; left, right: the outermost ticks."""

    zero: Fraction
    unit: Fraction
    left: Fraction
    right: Fraction

    def is_at(self, number: Number, x: Fraction) -> bool:
        """Whether a number lies at a place, to a few hundredths of a pixel."""
        away = number * self.unit + (self.zero - x)
        return sign(away - _NEAR) <= 0 <= sign(away + _NEAR)


def line_faults(root: etree._Element, words: str, language: str) -> Iterator[str]:
    """What disagrees, in plain words. Raises ValueError where a number cannot be read."""
    try:
        _, pieces = pieces_told(words, language)
    except CannotTell:
        yield "its words cannot be read"
        return
    ends: dict[Number, bool] = {}
    for piece in pieces:
        for end, is_in in ((piece.low, piece.low_in), (piece.high, piece.high_in)):
            if end is not None:
                ends[end] = ends.get(end, False) or is_in
    dots = sorted((Fraction(each.get("cx", "")), each.get("fill")) for each in root.iter(f"{SVG}circle"))
    fills = [fill for _, fill in dots]
    if fills.count(_FULL) != sum(ends.values()):
        yield "its full dots are not the ends that its words name"
        return
    if fills.count(_RING) != len(ends) - sum(ends.values()) or len(dots) != len(ends):
        yield "its rings are not the ends that its words name"
        return
    lines = strokes(root)
    scale = _scale(lines)
    if scale is None:
        yield "its scale cannot be read off its ticks"
        return
    for (x, fill), (end, is_in) in zip(dots, ends.items(), strict=True):
        if not scale.is_at(end, x) or (fill == _FULL) != is_in:
            yield "its dots do not stand where the ends that its words name are"
            return
    if not _are_drawn(
        [piece for piece in pieces if piece.low is None or piece.low != piece.high], lines, scale
    ):
        yield "its segments are not those that its words name"
    written, ticks = list(groups(root)), [each.element for each in _ticks(lines)]
    for leader in [each for each in lines if each.x == each.to_x and each.element not in ticks]:
        told = read_label(level_label_of(leader.element, written))
        ends_there = [end for end in ends if isinstance(end, int | Fraction) and scale.is_at(end, leader.x)]
        if told is not None and ends_there and told not in ends_there:
            yield "beside an end it marks stands another number"
    yield from label_faults(written, words, ticks)


def _scale(lines: list[Stroke]) -> _Scale | None:
    """The scale that labelled ticks tell, None where they tell none, or not an even one."""
    if not lines:
        return None
    ticks = _ticks(lines)
    told: list[tuple[Fraction, Fraction]] = []
    for tick in ticks:
        label, middle = _label(tick.element)
        if not label:
            continue
        if not _LABEL.match(label) or abs(middle - tick.x) > _BESIDE:
            return None
        told.append((tick.x, Fraction(label)))
    if len(told) < 2 or told[0][1] >= told[-1][1]:
        return None
    (first, low), (last, high) = told[0], told[-1]
    unit = (last - first) / (high - low)
    if any(abs(first + (value - low) * unit - x) > _NEAR for x, value in told):
        return None
    return _Scale(first - low * unit, unit, min(each.x for each in ticks), max(each.x for each in ticks))


def _ticks(lines: list[Stroke]) -> list[Stroke]:
    """The strokes across the line, which is the first of all."""
    axis = lines[0].y
    return [each for each in lines if each.x == each.to_x and abs(each.y + each.to_y - 2 * axis) <= _NEAR]


def _label(tick: etree._Element) -> tuple[str, Fraction]:
    """What is written at a tick, and where its middle is."""
    texts: list[etree._Element] = []
    following = tick.getnext()
    while following is not None and local_name(following) == "text":
        texts.append(following)
        following = following.getnext()
    label = "".join(each.text or "" for each in texts).replace("−", "-").replace(",", ".")
    places = [Fraction(each.get("x", "")) for each in texts]
    return label, sum(places, Fraction(0)) / max(len(places), 1)


def _are_drawn(pieces: list[Piece], lines: list[Stroke], scale: _Scale) -> bool:
    drawn = sorted((each.x, each.to_x) for each in lines if each.width > _BOLD)
    return len(drawn) == len(pieces) and all(
        (start < scale.left if piece.low is None else scale.is_at(piece.low, start))
        and (stop > scale.right if piece.high is None else scale.is_at(piece.high, stop))
        for (start, stop), piece in zip(drawn, pieces, strict=True)
    )
