"""Slots, each a group of boxes for one value: how they are named, and values in any order in them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import count

from itembank.writers.qti3 import rules
from itembank.writers.qti3.forms import Names

__all__ = ["arranged", "box_names", "everywhere", "left_empty", "point_names"]


def arranged(test: Callable[[int, int], str], values: int, slots: Sequence[Names], *, spare: bool) -> str:
    """The condition that slots hold values in any order, as sets: every value stands somewhere, nothing else anywhere.

    test(slot, value): the slot holds the value; spare: slots may be left empty. A value may be given twice.
    """
    nowhere_else = [
        rules.any_of(*([left_empty(boxes)] if spare else []), *(test(slot, value) for value in range(values)))
        for slot, boxes in enumerate(slots)
    ]
    if values == len(slots) == 1:
        return test(0, 0)
    return rules.all_of(*everywhere(test, values, len(slots)), *nowhere_else)


def everywhere(test: Callable[[int, int], str], values: int, slots: int) -> list[str]:
    """For each value the condition that it stands in some slot."""
    return [rules.any_of(*(test(slot, value) for slot in range(slots))) for value in range(values)]


def box_names(label: str, blanks: Sequence[tuple[tuple[str, ...], int]]) -> list[tuple[dict[str, str], ...]]:
    """The identifiers of boxes in reading order: for each blank, given by roles and slots, role -> identifier.

    >>> box_names("a", [(("value",), 2)])
    [({'value': 'BOX_a_1'}, {'value': 'BOX_a_2'})]
    """
    suffix = f"_{label}" if label else ""
    identifiers = (f"BOX{suffix}_{number}" for number in count(1))
    return [
        tuple({role: next(identifiers) for role in roles} for _ in range(slots)) for roles, slots in blanks
    ]


def point_names(
    label: str, blanks: Sequence[tuple[tuple[str, ...], int]]
) -> list[tuple[dict[str, str], ...]]:
    """The same where the blanks are coordinates: the boxes of one point after those of the other.

    >>> point_names("", [(("value",), 2), (("value",), 2)])
    [({'value': 'BOX_1'}, {'value': 'BOX_3'}), ({'value': 'BOX_2'}, {'value': 'BOX_4'})]
    """
    roles, slots = [roles for roles, _ in blanks], blanks[0][1]
    in_order = box_names(label, [(each, 1) for _ in range(slots) for each in roles])
    return [tuple(boxes for (boxes,) in in_order[place :: len(roles)]) for place in range(len(roles))]


def left_empty(boxes: Names) -> str:
    """The condition that all boxes of a slot were left empty; a sign may have been chosen, which says nothing alone."""
    return rules.all_of(*(rules.is_empty(name) for role, name in boxes.items() if role != "sign"))
