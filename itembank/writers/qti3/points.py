"""The conditions under which boxes hold points, in any order, and what they earn.

A point stands in the boxes with one number of both coordinates, so coordinates of two points are never mixed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from itembank.items import marks_text
from itembank.writers.qti3 import rules
from itembank.writers.qti3.blanks import PlannedBlank
from itembank.writers.qti3.forms import Names, form_of
from itembank.writers.qti3.looks import EntryLooks
from itembank.writers.qti3.slots import arranged, everywhere, left_empty

__all__ = ["PlannedPoints", "point_rules"]

Held = Sequence[tuple[Names, ...]]
"""For each coordinate the facts of its values, one for each point."""


@dataclass(frozen=True, slots=True)
class PlannedPoints:
    """The blanks of both coordinates."""

    first: PlannedBlank
    second: PlannedBlank

    @property
    def slots(self) -> tuple[Names, ...]:
        """The boxes of each point, as one mapping."""
        pairs = zip(self.first.slots, self.second.slots, strict=True)
        return tuple(
            {f"{place} {role}": name for place, boxes in enumerate(pair) for role, name in boxes.items()}
            for pair in pairs
        )

    @property
    def keyed(self) -> tuple[Held, Sequence[Sequence[bool]]]:
        """What is keyed, and whether a denominator left empty is right for it."""
        both = (self.first, self.second)
        return [blank.values for blank in both], [blank.looks.whole for blank in both]

    @property
    def has_alike(self) -> bool:
        """Whether a coordinate can be equal and not simplified."""
        return any(
            blank.values and _of_value(blank, 0, blank.values[0], blank.looks.whole[0], alike=True)
            for blank in (self.first, self.second)
        )

    def test(self, held: Held, whole: Sequence[Sequence[bool]], *, alike: bool) -> Callable[[int, int], str]:
        """The condition that a slot holds a point; alike: perhaps not simplified."""

        def holds(slot: int, point: int) -> str:
            asked = []
            for place, blank in enumerate((self.first, self.second)):
                value, is_whole = held[place][point], whole[place][point]
                equal = _of_value(blank, slot, value, is_whole, alike=True) if alike else ""
                asked.append(equal or _of_value(blank, slot, value, is_whole, alike=False))
            return rules.all_of(*asked)

        return holds

    def hold(self, held: Held, whole: Sequence[Sequence[bool]], *, alike: bool) -> str:
        """The condition that the boxes hold just these points, which are different, in any order."""
        test, count, slots = self.test(held, whole, alike=alike), len(held[0]), self.slots
        if count == len(slots):
            return rules.all_of(*everywhere(test, count, len(slots)))
        return arranged(test, count, slots, spare=True)


def _of_value(blank: PlannedBlank, slot: int, value: Names, whole: bool, *, alike: bool) -> str:
    form = form_of(blank.looks.marking)
    marked = form.alike if alike else form.exact
    return marked(blank.slots[slot], value, blank.looks.pair, whole)


def point_rules(
    points: PlannedPoints,
    looks: EntryLooks,
    score: str,
    unticked: Callable[[str], str],
    told: tuple[str, str],
) -> Iterator[str]:
    """The rules for the points that are keyed.

    unticked: a condition together with the tick left alone; told: the feedback for what is right, and for what is equal
    and not simplified.
    """
    held, whole = points.keyed
    right, alike = told
    equal = unticked(points.hold(held, whole, alike=True)) if points.has_alike else ""
    branches: list[tuple[str, tuple[str, ...]]]
    if not looks.share:
        branches = [
            (
                unticked(points.hold(held, whole, alike=False)),
                (rules.add(score, looks.marks), rules.show(right)),
            )
        ]
        if equal:
            branches.append((equal, (rules.add(score, looks.marks - 1), rules.show(alike))))
        yield rules.condition(branches)
        return
    exactly, perhaps = (points.test(held, whole, alike=each) for each in (False, True))
    count, slots = len(held[0]), points.slots
    # beside fewer points than there are boxes for, a wrong one more costs the shares
    beside = [
        rules.any_of(left_empty(boxes), *(perhaps(slot, each) for each in range(count)))
        for slot, boxes in enumerate(slots)
        if count < len(slots)
    ]
    for point in range(count):
        stands = rules.any_of(*(exactly(slot, point) for slot in range(len(slots))))
        branches = [
            (unticked(rules.all_of(stands, *beside)), (rules.add_share(score, marks_text(looks.share)),))
        ]
        if equal and looks.share > 1:
            stands = rules.any_of(*(perhaps(slot, point) for slot in range(len(slots))))
            less = rules.add_share(score, marks_text(looks.share - 1))
            branches.append((unticked(rules.all_of(stands, *beside)), (less,)))
        yield rules.condition(branches)
    everything = rules.at_least(rules.variable(score), rules.real(looks.marks))
    branches = [(everything, (rules.show(right),))]
    if equal:
        branches.append((equal, (rules.show(alike),)))
    yield rules.condition(branches)
