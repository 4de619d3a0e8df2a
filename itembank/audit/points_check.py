"""Points in boxes: what is keyed is exactly the key's points, each with the coordinates that belong together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cmp_to_key
from typing import Final

from itembank.audit import numbers
from itembank.audit.box_values import end_items
from itembank.audit.entry_check import entered_values, groups, keyed_text, not_in_form
from itembank.audit.facts import Box, Facts
from itembank.audit.findings import Fault
from itembank.audit.formula import Letter, Point
from itembank.audit.numbers import Number
from itembank.audit.part_view import PartView
from itembank.audit.probes import Group, put
from itembank.audit.rule_expressions import Value

__all__ = ["PointGroup", "entered_points", "is_points", "point_groups", "point_values"]

PointGroup = tuple[Group, Group]
"""The boxes of a point: of the first unknown, and of the second."""

_FORMS: Final = {"integer", "fraction", "surd"}


def is_points(view: PartView) -> bool:
    """Whether a part's boxes take points: they stand beside a pair of letters."""
    return any(isinstance(node, Point) for box in view.boxes for node in box.beside)


def point_groups(view: PartView) -> list[PointGroup]:
    """The boxes of each point, in order. Raises Fault where it is not plain which boxes belong to which point."""
    by_value = groups(view.boxes)
    unknowns = view.part.unknowns
    slots = list(dict.fromkeys(slot for _, slot in by_value))
    if len(unknowns) != 2 or len(by_value) != 2 * len(slots):
        raise Fault("unclear-box", "a point has not just two coordinates", place=view.place)
    found = [(by_value[unknowns[0], slot], by_value[unknowns[1], slot]) for slot in slots]
    if {box.form for point in found for group in point for box in group.values()} - _FORMS:
        raise Fault("unclear-box", "a coordinate has a form that is not known", place=view.place)
    for point in found:
        _check_layout(view, point)
    return found


def _check_layout(view: PartView, point: PointGroup) -> None:
    """(x, y) = ( boxes of x , boxes of y ), in the order of the boxes in the text; or with a semicolon between them."""
    order = {box.response: place for place, box in enumerate(view.boxes)}
    shown = sorted(
        ((min(group.values(), key=lambda box: order[box.response]), group) for group in point),
        key=lambda lead: order[lead[0].response],
    )
    (first, _), (second, _) = shown
    wanted = {Point(Letter(first.unknown), Letter(second.unknown))}
    for (lead, group), signs in zip(shown, (("=(",), (",", ";")), strict=True):
        # what is over a denominator stands in brackets of its own
        before = tuple(sign + ("(" if "s" in group else "") for sign in signs)
        pairs = {node for node in lead.beside if isinstance(node, Point)}
        if pairs != wanted or not "".join(lead.before.split()).endswith(before):
            message = "it is not plain which coordinate a box of the point takes"
            raise Fault("unclear-box", message, place=lead.response)


def point_values(view: PartView, facts: Facts) -> Iterator[Fault]:
    """Everything wrong with the points that are keyed."""
    keyed: list[tuple[Number, ...]] = []
    for point in point_groups(view):
        held: list[Number] = []
        for group in point:
            texts = {role: keyed_text(facts, box) for role, box in group.items()}
            if not any(texts.values()):
                continue
            place = _place(group)
            if "" in texts.values():
                message = "some boxes of the value are keyed and others are not"
                yield Fault("half-filled", message, place=place)
                return
            message = not_in_form(next(iter(group.values())).form, texts, False)
            if message:
                yield Fault("wrong-form", message, place=place)
                return
            held += [value for value, _ in entered_values(texts, group)]
        if len(held) == 1:
            message = "one coordinate of a point is keyed and the other is not"
            yield Fault("half-filled", message, place=_place(point[0]))
            return
        keyed += [tuple(held)] if held else []
    if len(set(keyed)) < len(keyed) or frozenset(keyed) != view.values(view.part.key):
        yield Fault("wrong-boxes", "the keyed points are not exactly the key's points", place=view.place)


def _place(group: Mapping[str, Box]) -> str:
    return next(iter(group.values())).response


def entered_points(
    view: PartView, found: frozenset[tuple[Number, ...]], *, descending: bool = False
) -> dict[str, Value] | None:
    """The boxes filled with these points, from left to right unless said; None where they do not go into them."""
    slots = point_groups(view)
    points = sorted(found, key=cmp_to_key(_order), reverse=descending)
    if len(points) > len(slots):
        return None
    answers: dict[str, Value] = {}
    for point, boxes in zip(points, slots, strict=False):
        for value, group in zip(point, boxes, strict=True):
            items = end_items(group, value)
            if items is None:
                return None
            answers = put(group, answers, items)
    return answers


def _order(first: Sequence[Number], second: Sequence[Number]) -> int:
    return next((sign for a, b in zip(first, second, strict=True) if (sign := numbers.sign(a - b))), 0)
