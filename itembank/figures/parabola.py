"""A parabola at true scale: both axes have even scales, told by their ticks, and the curve is exact between its ends.

What is marked is up to the author: the vertex, the axis of symmetry, the points on the axes, a grid. A label stands
beside its point where there is room, else in a list beside the picture. The words tell no more than the picture does.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import isqrt
from typing import Final

from itembank.errors import DomainError
from itembank.expressions import numbers, tree
from itembank.expressions.display import Maths
from itembank.expressions.numbers import Exact, whole
from itembank.figures import labels
from itembank.figures.drawing import Box, Drawing, Point
from itembank.figures.labels import height, width
from itembank.figures.pen import Pen, told
from itembank.figures.scale import Scale, near, scale, tick_label
from itembank.figures.wording import ENGLISH, phrase
from itembank.words import Words

__all__ = ["SHOWN", "Parabola", "draw"]

SHOWN: Final = ("vertex", "axis", "roots", "intercept", "grid")
_WIDTH, _HEIGHT = Fraction(64), Fraction(44)
_TICK, _GAP = Fraction(1), Fraction(1)
_MOST_ACROSS, _MOST_UP = 8, 6
_WINDOW: Final = Box(Fraction(0), Fraction(0), _WIDTH, _HEIGHT)
_CLEAR: Final = Fraction(7, 10)
"""Millimetres between a label and whatever it must not touch."""
_ZERO: Final = Fraction(0)
_BESIDE: Final = tuple(
    (across, up) for reach in (Fraction(3, 2), Fraction(3)) for across, up in
    ((reach, reach), (-reach, reach), (reach, -reach), (-reach, -reach), (_ZERO, -reach), (_ZERO, reach),
     (reach, _ZERO), (-reach, _ZERO))
)  # fmt: skip
"""Where a label may stand, as seen from its point: first beside it at a slant."""


@dataclass(frozen=True)
class Parabola:
    """What is drawn: y = a*letter^2 + b*letter + c, and which of SHOWN are marked. Raises DomainError for a = 0."""

    letter: str
    a: Fraction
    b: Fraction
    c: Fraction
    shows: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.a == 0:
            raise DomainError("a parabola needs a square: its leading coefficient is 0")

    @cached_property
    def vertex(self) -> tuple[Fraction, Fraction]:
        """The highest or lowest point."""
        return -self.b / (2 * self.a), self.c - self.b * self.b / (4 * self.a)

    @cached_property
    def roots(self) -> tuple[Exact, ...]:
        """Where the curve meets the horizontal axis, ascending."""
        discriminant = self.b * self.b - 4 * self.a * self.c
        if discriminant < 0:
            return ()
        centre = whole(self.vertex[0])
        if discriminant == 0:
            return (centre,)
        reach = numbers.divide(numbers.square_root(whole(discriminant)), whole(2 * abs(self.a)))
        return numbers.subtract(centre, reach), numbers.add(centre, reach)

    def value(self, x: Fraction) -> Fraction:
        """The height of the curve."""
        return (self.a * x + self.b) * x + self.c


def draw(parabola: Parabola, said: Words = ENGLISH) -> Drawing:
    """The picture. said: the words of its description and of what is marked."""
    return _Picture(parabola, said).drawing()


def _reach(parabola: Parabola) -> Fraction:
    """How far the curve is drawn on both sides of its axis of symmetry.

    Beyond the roots; without two of them, far enough that the curve rises as high as it keeps away from the axis.
    The vertical axis is in sight where the curve stays readable, and wherever the point on it is asked for.
    """
    (h, k), roots = parabola.vertex, parabola.roots
    if len(roots) == 2:
        reach = (near(roots[1]) - h) * Fraction(13, 10)
    elif roots:
        reach = max(abs(h) * Fraction(6, 5), Fraction(2))
    else:
        reach = _root_above(2 * abs(k / parabola.a))
    if "intercept" in parabola.shows or abs(h) <= 3 * reach:
        reach = max(reach, abs(h) * Fraction(6, 5))
    return reach


def _root_above(value: Fraction) -> Fraction:
    """A little more than the square root, in sixteenths of a unit or finer."""
    fine = 16
    while value * fine * fine < 256:
        fine *= 16
    return Fraction(isqrt(int(value * fine * fine)) + 1, fine)


class _Picture:
    def __init__(self, parabola: Parabola, said: Words) -> None:
        self.parabola, self.said = parabola, said
        self.shows = frozenset(parabola.shows)
        self.pen = Pen()
        self.reach = _reach(parabola)
        h, k = parabola.vertex
        end = parabola.value(h + self.reach)
        self.across = scale(h - self.reach, h + self.reach, _WIDTH, _MOST_ACROSS)
        low, high = min(k, end, _ZERO), max(k, end, _ZERO)
        # room for labels beyond the vertex, or beyond the horizontal axis where the vertex is on the other side
        room = (high - low) / (6 if self.shows & {"vertex", "roots"} else 12)
        low, high = (low - room, high) if parabola.a > 0 else (low, high + room)
        self.up = scale(low, high, _HEIGHT, _MOST_UP)
        self.obstacles: list[Box] = []
        self.listed: list[tuple[str, Maths, tuple[Exact, ...]]] = []

    def at(self, x: Fraction, y: Fraction) -> Point:
        return Point(self.across.at(x), self.up.at(y))

    def drawing(self) -> Drawing:
        self._frame()
        self._axes()
        (h, k), reach = self.parabola.vertex, self.reach
        end = self.parabola.value(h + reach)
        if "axis" in self.shows:
            self._axis_of_symmetry(h)
        self.pen.curve(self.at(h - reach, end), self.at(h, 2 * k - end), self.at(h + reach, end))
        points = [(self.at(x, y), word, text, tells) for x, y, word, text, tells in self._points()]
        for point, word, text, tells in points:
            others = [Box(p.x - 1, p.y - 1, p.x + 1, p.y + 1) for p, _, _, _ in points if p != point]
            self._mark(point, word, text, tells, others)
        self._list()
        facts = {
            "kind": "parabola",
            "numbers": told(self.parabola.a, self.parabola.b, self.parabola.c),
            "window": told(self.across.low, self.across.high, self.up.low, self.up.high),
        }
        return self.pen.finished(*self._words(), facts=facts)

    # scales and axes

    def _frame(self) -> None:
        self.pen.rectangle(Point(_ZERO, _ZERO), _WIDTH, _HEIGHT, outline="thin")
        texts = {value: tick_label(value, self.across.step) for value in self.across.ticks()}
        every = self._every(self.across, max(width(text) for text in texts.values())) * self.across.step
        for value in texts:
            x = self.across.at(value)
            if "grid" in self.shows and 0 < x < _WIDTH:
                self.pen.line(Point(x, _ZERO), Point(x, _HEIGHT), weight="thin")
            self.pen.line(Point(x, _ZERO), Point(x, -_TICK), weight="thin")
            if value % every == 0:
                self.pen.label(Point(x, -_TICK - _GAP), tick_label(value, every), "above", is_scale=True)
        for value in self.up.ticks():
            y = self.up.at(value)
            if "grid" in self.shows and 0 < y < _HEIGHT:
                self.pen.line(Point(_ZERO, y), Point(_WIDTH, y), weight="thin")
            self.pen.line(Point(_ZERO, y), Point(-_TICK, y), weight="thin")
            self.pen.label(Point(-_TICK - _GAP, y), tick_label(value, self.up.step), "right", is_scale=True)

    @staticmethod
    def _every(axis: Scale, widest: Fraction) -> int:
        """Every how many ticks a number has room."""
        return int(-(-(widest + 2) // (axis.step * axis.unit)))

    def _axes(self) -> None:
        zero = self.up.at(_ZERO)
        self.pen.line(Point(_ZERO, zero), Point(_WIDTH + 3, zero), arrow=True)
        self.pen.label(Point(_WIDTH + 4, zero), labels.letter(self.parabola.letter), "left")
        self._keep_clear(Box(_ZERO, zero, _WIDTH, zero))
        if self.across.low <= 0 <= self.across.high:
            origin = self.across.at(_ZERO)
            self.pen.line(Point(origin, _ZERO), Point(origin, _HEIGHT + 3), arrow=True)
            self.pen.label(Point(origin, _HEIGHT + 4), labels.letter(self._vertical), "below")
            self._keep_clear(Box(origin, _ZERO, origin, _HEIGHT))

    @property
    def _vertical(self) -> str:
        return "y" if self.parabola.letter != "y" else "z"

    def _axis_of_symmetry(self, h: Fraction) -> None:
        x = self.across.at(h)
        self.pen.line(Point(x, _ZERO), Point(x, _HEIGHT), dashed=True)
        self._keep_clear(Box(x, _ZERO, x, _HEIGHT))
        # above the letter of the vertical axis, wherever that stands
        self.pen.label(Point(x, _HEIGHT + 8), self._symmetry(), "below", (whole(h),))

    def _symmetry(self) -> Maths:
        """The equation of the axis of symmetry."""
        letter = self.parabola.letter
        free = "n" if letter != "n" else "m"
        equation = tree.Relation((tree.Name(letter), tree.Name(free)), ("=",))
        return labels.shown(equation, {free: whole(self.parabola.vertex[0])})

    # points

    def _points(self) -> Iterator[tuple[Fraction, Fraction, str, Maths, tuple[Exact, ...]]]:
        """(x, y, what it is, label, values told) of each point that is marked, each place once."""
        h, k = self.parabola.vertex
        if "vertex" in self.shows:
            yield h, k, self.said("point-vertex"), _pair(whole(h), whole(k)), (whole(h), whole(k))
        if "roots" in self.shows and not ("vertex" in self.shows and k == 0):
            for root in self.parabola.roots:
                yield near(root), _ZERO, self.said("point-root"), labels.number(root), (root,)
        c = whole(self.parabola.c)
        told = ("vertex" in self.shows and h == 0) or ("roots" in self.shows and c == 0)
        if "intercept" in self.shows and not told:
            yield _ZERO, self.parabola.c, self.said("point-intercept"), _pair(0, c), (c,)

    def _mark(
        self, point: Point, word: str, text: Maths, tells: tuple[Exact, ...], others: list[Box]
    ) -> None:
        """A point with its label beside it, clear of everything and of the other points."""
        self.pen.dot(point)
        wide, high = width(text), height(text)
        half, half_high = wide / 2, high / 2
        for across, up in _BESIDE:
            x = point.x + (across + half if across > 0 else across - half if across < 0 else 0)
            y = point.y + (up + half_high if up > 0 else up - half_high if up < 0 else 0)
            if self._is_clear(_box(x, y, half + _CLEAR, half_high + _CLEAR), others):
                box = _box(x, y, half, half_high)
                if "grid" in self.shows:
                    self.pen.rectangle(Point(box.left, box.bottom), wide, high, "white", "")
                self.pen.label(Point(x, y), text, "centre", tells)
                self._keep_clear(box)
                return
        self.listed.append((word, text, tells))

    def _keep_clear(self, box: Box) -> None:
        self.obstacles.append(box)

    def _is_clear(self, box: Box, others: list[Box]) -> bool:
        if not box.lies_within(_WINDOW):
            return False
        return not any(box.overlaps(other) for other in (*self.obstacles, *others)) and not self._meets_curve(
            box
        )

    def _meets_curve(self, box: Box) -> bool:
        """Whether the curve runs through a box: between two sides it is highest and lowest at a side or its vertex."""
        h, k = self.parabola.vertex
        left = max(box.left / self.across.unit + self.across.low, h - self.reach)
        right = min(box.right / self.across.unit + self.across.low, h + self.reach)
        if left > right:
            return False
        heights = [self.parabola.value(left), self.parabola.value(right)]
        if left <= h <= right:
            heights.append(k)
        bottom, top = (side / self.up.unit + self.up.low for side in (box.bottom, box.top))
        return min(heights) <= top and bottom <= max(heights)

    def _list(self) -> None:
        """What found no room beside its point, in lines right of the picture."""
        y = _HEIGHT
        for word, text, tells in self.listed:
            y -= height(text) + 2
            left, base = _WIDTH + 10, y + Fraction(1)
            self.pen.label(Point(left + width(word) / 2, base), word, "base")
            self.pen.label(Point(left + width(word) + 2 + width(text) / 2, base), text, "base", tells)

    # words

    def _told(self, key: str, **parts: Maths | str) -> Iterator[str | Maths]:
        return phrase(self.said, key, **parts)

    def _words(self) -> Iterator[str | Maths]:
        parabola = self.parabola
        h, k = (whole(value) for value in parabola.vertex)
        yield from self._told("parabola-upward" if parabola.a > 0 else "parabola-downward")
        yield " "
        yield from self._told(
            ("parabola-misses", "parabola-touches", "parabola-crosses")[len(parabola.roots)]
        )
        if "roots" in self.shows and parabola.roots:
            found = dict(zip(("first", "second"), map(labels.number, parabola.roots), strict=False))
            yield from self._told("parabola-at-roots" if len(found) == 2 else "parabola-at-root", **found)
        if "vertex" in self.shows:
            yield from self._told(
                "parabola-lowest" if parabola.a > 0 else "parabola-highest", point=_pair(h, k)
            )
        if "axis" in self.shows:
            yield from self._told("parabola-axis", line=self._symmetry())
        if "intercept" in self.shows:
            yield from self._told("parabola-intercept", point=_pair(0, whole(parabola.c)))
        (left, right), (bottom, top) = self._ends(self.across), self._ends(self.up)
        yield from self._told("parabola-scales", left=left, right=right, bottom=bottom, top=top)
        if not self.across.low <= 0 <= self.across.high:
            yield from self._told("parabola-outside")
        yield "."

    @staticmethod
    def _ends(axis: Scale) -> tuple[Maths, Maths]:
        is_whole = axis.low.denominator == axis.high.denominator == 1
        step = Fraction(1) if is_whole else axis.step
        return tick_label(axis.low, step), tick_label(axis.high, step)


def _box(x: Fraction, y: Fraction, half_width: Fraction, half_height: Fraction) -> Box:
    """The box around a middle."""
    return Box(x - half_width, y - half_height, x + half_width, y + half_height)


def _pair(first: int | Fraction, second: int | Fraction) -> Maths:
    point = tree.Point(tree.Name("n"), tree.Name("m"))
    return labels.shown(point, {"n": first, "m": second})
