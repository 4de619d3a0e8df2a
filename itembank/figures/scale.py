"""Scales: where ticks stand, and where on paper an exact number lies."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from math import isqrt
from typing import Final, NamedTuple

from itembank.expressions.display import Decimal, Maths
from itembank.expressions.numbers import Exact, terms_of
from itembank.figures import labels

__all__ = ["Scale", "apart", "near", "scale", "step_of", "tick_label"]

_FINE: Final = 10**9


def near(value: Exact) -> Fraction:
    """A fraction that lies within a billionth of a unit of each root of the number: exact enough to be drawn."""
    if isinstance(value, int | Fraction):
        return Fraction(value)
    total = Fraction(0)
    for radicand, coefficient in terms_of(value).items():
        total += coefficient * Fraction(isqrt(radicand * _FINE * _FINE), _FINE)
    return total


class Scale(NamedTuple):
    """An axis: it begins at `low` and ends at `high`, both multiples of `step`; `unit` is millimetres for one."""

    low: Fraction
    high: Fraction
    step: Fraction
    unit: Fraction

    def at(self, value: Fraction) -> Fraction:
        """The distance of a value from the beginning of the axis, in millimetres."""
        return (value - self.low) * self.unit

    def ticks(self) -> Iterator[Fraction]:
        """The values at the ticks, both ends included."""
        value = self.low
        while value <= self.high:
            yield value
            value += self.step


def scale(low: Fraction, high: Fraction, length: Fraction, most: int) -> Scale:
    """The axis for values from low to high (low < high) on a length, with at most about so many steps."""
    step = step_of((high - low) / most)
    first, last = step * (low / step // 1), -(step * (-high / step // 1))
    return Scale(first, last, step, length / (last - first))


def step_of(least: Fraction) -> Fraction:
    """The smallest of 1, 2, 5 times a power of ten that is not below a length > 0.

    >>> step_of(Fraction(3)), step_of(Fraction(3, 10)), step_of(Fraction(11))
    (Fraction(5, 1), Fraction(1, 2), Fraction(20, 1))
    """
    power = Fraction(1)
    while power > least:
        power /= 10
    while power * 10 <= least:
        power *= 10
    return next(times * power for times in (1, 2, 5, 10) if times * power >= least)


def tick_label(value: Fraction, step: Fraction) -> Maths:
    """The number at a tick, with as many decimal places as the step has."""
    places = 0
    while (step * 10**places).denominator != 1:
        places += 1
    if not places or value == 0:
        return labels.number(value.numerator if value.denominator == 1 else value)
    return labels.decimal(Decimal(value, places))


def apart(wanted: Sequence[tuple[Fraction, Fraction]], gap: Fraction) -> list[Fraction]:
    """Centres for labels in a row, each as near to where it wants to be as its neighbours allow, in their order.

    wanted: (centre, width) of each, by ascending centre. Labels that meet form a group, which stands where it is
    least shifted as a whole.

    >>> [str(centre) for centre in apart([(Fraction(0), Fraction(4)), (Fraction(1), Fraction(4))], Fraction(2))]
    ['-5/2', '7/2']
    """
    groups: list[
        tuple[Fraction, list[Fraction]]
    ] = []  # (where its first label stands, offsets of all from there)
    ends: list[tuple[list[Fraction], list[Fraction]]] = []
    for centre, width in wanted:
        group = ([centre], [width])
        while True:
            start, offsets = _placed(group, gap)
            if not groups:
                break
            before, before_offsets = groups[-1]
            last = before + before_offsets[-1] + ends[-1][1][-1] / 2
            if last + gap <= start - group[1][0] / 2:
                break
            groups.pop()
            earlier = ends.pop()
            group = (earlier[0] + group[0], earlier[1] + group[1])
        groups.append((start, offsets))
        ends.append(group)
    return [start + offset for start, offsets in groups for offset in offsets]


def _placed(group: tuple[list[Fraction], list[Fraction]], gap: Fraction) -> tuple[Fraction, list[Fraction]]:
    centres, widths = group
    offsets = [Fraction(0)]
    for before, after in pairwise(widths):
        offsets.append(offsets[-1] + before / 2 + gap + after / 2)
    shift = sum((centre - offset for centre, offset in zip(centres, offsets, strict=True)), Fraction(0))
    return shift / len(centres), offsets
