"""From exact numbers to what a pupil would write in boxes: the way back, for wrong answers that are recognised."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import cmp_to_key
from math import lcm

from itembank.audit import numbers
from itembank.audit.entry_check import groups, is_pair
from itembank.audit.facts import Box
from itembank.audit.numbers import Number, Radicals
from itembank.audit.part_view import PartView
from itembank.audit.probes import Group, put
from itembank.audit.rule_expressions import Scalar, Value

__all__ = ["end_items", "entered"]


def entered(
    view: PartView,
    found: frozenset[tuple[Number, ...]],
    *,
    descending: bool = False,
    places: Mapping[str, int] | None = None,
) -> dict[str, Value] | None:
    """The boxes filled with these solutions, in simplest form; None where they do not go into the boxes.

    found: tuples in the order of the part's unknowns (of an expression, its one value). Several values of one
    unknown stand in ascending order unless said. places: of a decimal box, by its response.
    """
    answers: dict[str, Value] = {}
    by_unknown: dict[str, list[Group]] = {}
    for (unknown, _), group in groups(view.boxes).items():
        by_unknown.setdefault(unknown, []).append(group)
    for unknown, slots in by_unknown.items():
        column = view.part.unknowns.index(unknown) if unknown else 0
        values = sorted({row[column] for row in found}, key=cmp_to_key(numbers.compared), reverse=descending)
        if is_pair(slots[0]):
            values = _pairs(values)
        if len(values) > len(slots):
            return None
        for value, group in zip(values, slots, strict=False):
            items = _items(group, value, places or {})
            if items is None:
                return None
            answers = put(group, answers, items)
    return answers


def _pairs(values: Sequence[Number]) -> list[Number]:
    """Of two conjugate values one, for a pair of boxes; everything else is given twice and will not fit."""
    if len(values) == 2 and isinstance(values[0] + values[1], int | Fraction):
        return [values[0]]
    return [*values, *values]


def _items(group: Mapping[str, Box], value: Number, places: Mapping[str, int]) -> Mapping[str, Scalar] | None:
    box = next(iter(group.values()))
    form = box.form
    if form == "decimal":
        return {"value": _rounded(value, places.get(box.response, 0))}
    if form == "integer":  # a quotient that comes out is a Fraction still
        return {"value": int(value)} if isinstance(value, int | Fraction) and value.denominator == 1 else None
    if form == "fraction" and isinstance(value, int | Fraction):
        return {"numerator": value.numerator, "denominator": value.denominator}
    if form == "surd" and isinstance(value, Radicals):
        return _surd(group, value)
    return None


def end_items(group: Mapping[str, Box], value: Number) -> Mapping[str, Scalar] | None:
    """What stands in the boxes of an inequality's end, by role; None where the number does not go into them."""
    return _items(group, value, {})


def _rounded(value: Number, places: int) -> Fraction:
    """The value to so many places, half away from zero; found by halving, each comparison exact."""
    scaled = value * Fraction(10**places)
    low, high = -1, 1
    while numbers.sign(scaled - high) > 0:
        high *= 2
    while numbers.sign(scaled - low) < 0:
        low *= 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if numbers.sign(scaled - middle) >= 0 else (low, middle)
    half = Fraction(2 * low + 1, 2)
    order = numbers.sign(scaled - half)
    return Fraction(high if order > 0 or (order == 0 and low >= 0) else low, 10**places)


def _surd(group: Mapping[str, Box], value: Radicals) -> dict[str, int] | None:
    """p, q, r, s in simplest form; None where a box that is needed is not there."""
    terms = dict(value.terms)
    rational = terms.pop(1, 0)
    if len(terms) != 1:
        return None
    ((radicand, factor),) = terms.items()
    below = lcm(rational.denominator, factor.denominator)
    p, q = int(rational * below), int(factor * below)
    held = {"p": p, "q": abs(q) if is_pair(group) else q, "r": radicand, "s": below}
    left_out = {"p": 0, "q": 1, "s": 1}
    if any(role not in group and held[role] != usual for role, usual in left_out.items()):
        return None
    return {role: held[role] for role in group}
