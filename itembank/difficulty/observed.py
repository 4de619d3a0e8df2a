"""What sittings told of difficulty, which stands above what is predicted from features."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

__all__ = ["NOTHING_OBSERVED", "OBSERVED", "Observed"]

OBSERVED = "observed"
"""The feature under which a difficulty tells what sittings added to it."""


@dataclass(frozen=True, slots=True)
class Observed:
    """items: address -> difficulty; templates: name -> how much harder than predicted its items were. Both in
    thousandths of a logit. source: which sittings, for people.
    """

    items: Mapping[str, int] = field(default_factory=dict)
    templates: Mapping[str, int] = field(default_factory=dict)
    source: str = ""

    def items_of(self, template: str) -> dict[str, int]:
        """The difficulties of a template's items, by their addresses."""
        return {address: found for address, found in self.items.items() if address.startswith(f"{template}/")}


NOTHING_OBSERVED = Observed()
