"""`key-place-dominates`: options in ascending order whose key nearly always stands in the same place.

Where options stand in an order of chance, places are spread by construction.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import choices

FEWEST_ITEMS = 40


def _look(sample: Sample) -> Iterator[Remark]:
    addresses = {item.address for item in sample.items}
    if len(addresses) < FEWEST_ITEMS:  # items made at one address have one order
        return
    for number, part in enumerate(sample.template.parts):
        places = Counter(
            response.key.identifier
            for item in sample.items
            for place, response in choices(item)
            if place == number and not response.by_words and len(response.options) >= 3
        )
        total = sum(places.values())
        if not total:
            continue
        ((identifier, times),) = places.most_common(1)
        if 4 * times > 3 * total:
            yield Remark(
                part.response.span,
                f"the key stands at {identifier} in {times} of {total} items",
                "offer slips on both sides of the key",
            )


RULE = Rule(
    "key-place-dominates", f"{HALADYNA}, guideline 20 (vary the place of the key); the share is ours", _look
)
