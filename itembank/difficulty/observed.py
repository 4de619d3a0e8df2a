"""What sittings told of difficulty, which stands above what is predicted from features."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

__all__ = ["NOTHING_OBSERVED", "OBSERVED", "Observed", "ObservedOf"]

OBSERVED = "observed"
"""The feature under which a difficulty tells what sittings added to it."""


class ObservedOf(NamedTuple):
    """What was observed of a template. items: how many of its version; outdated: of others, which count no more by
    themselves; adds: how much harder than predicted its items were, in thousandths of a logit, None for untold.
    """

    items: int
    outdated: int
    adds: int | None


@dataclass(frozen=True, slots=True)
class Observed:
    """items: address -> difficulty; templates: name -> how much harder than predicted its items were. Both in
    thousandths of a logit. source: which sittings, for people. steps: name -> how much harder than its items each of
    their marks is, in thousandths of a logit too, where that is known.
    """

    items: Mapping[str, int] = field(default_factory=dict)
    templates: Mapping[str, int] = field(default_factory=dict)
    source: str = ""
    steps: Mapping[str, tuple[int, ...]] = field(default_factory=dict)

    def items_of(self, template: str) -> dict[str, int]:
        """The difficulties of a template's items, by their addresses."""
        return {address: found for address, found in self.items.items() if address.startswith(f"{template}/")}

    def of(self, template: str, version: int) -> ObservedOf:
        """What is told of a template at a version. What its items were found to be beyond prediction stays with it."""
        items = self.items_of(template)
        current = sum(address.startswith(f"{template}/{version}/") for address in items)
        return ObservedOf(current, len(items) - current, self.templates.get(template))


NOTHING_OBSERVED = Observed()
