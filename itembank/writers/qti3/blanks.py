"""The conditions under which the boxes of a blank hold certain values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from itembank.writers.qti3 import rules
from itembank.writers.qti3.forms import Names, form_of
from itembank.writers.qti3.looks import BlankLooks
from itembank.writers.qti3.slots import arranged, everywhere, left_empty

__all__ = ["PlannedBlank"]


@dataclass(frozen=True, slots=True)
class PlannedBlank:
    """A blank with its boxes' identifiers, one mapping for each slot, and holes, one mapping for each value."""

    looks: BlankLooks
    slots: tuple[Names, ...]
    values: tuple[Names, ...]

    def holds(self, values: Sequence[Names], whole: Sequence[bool], alike: bool) -> str:
        """The condition that the boxes hold these values; "" where `alike` says no more than exactly."""
        form = form_of(self.looks.marking)

        def test(slot: int, value: int) -> str:
            if alike:
                return form.alike(self.slots[slot], values[value], self.looks.pair, whole[value])
            return form.exact(self.slots[slot], values[value], self.looks.pair, whole[value])

        if alike and not test(0, 0):
            return ""
        if not self.looks.any_order or len(self.slots) == 1:
            filled = [test(index, index) for index in range(len(values))]
            return rules.all_of(*filled, *(left_empty(slot) for slot in self.slots[len(values) :]))
        if len(values) == len(self.slots) and self.looks.form != "decimal":
            return rules.all_of(*everywhere(test, len(values), len(self.slots)))
        return arranged(test, len(values), self.slots, spare=len(self.slots) > len(values))
