"""`slip-fits-no-box`: a wrong entry whose value the boxes can hardly ever hold, so that no platform recognises it.

It still stands in the mark scheme for whoever marks on paper; a template for which that is enough says so.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.items import EntryResponse

SELDOM = 20
"""Doubtful where the boxes hold what a slip leads to in fewer than one case of so many."""


def _look(sample: Sample) -> Iterator[Remark]:
    for number, part in enumerate(sample.template.parts):
        if all(blank.words for blank in part.response.blanks):  # words say too little to know a slip by
            continue
        led_to: Counter[str] = Counter()
        recognised: Counter[str] = Counter()
        for item in sample.items:
            response = item.parts[number].response
            if isinstance(response, EntryResponse):
                led_to.update(slip.name for slip in item.parts[number].slips)
                recognised.update(each.slip.name for each in response.recognised)
        for slip in part.slips:
            if SELDOM * recognised[slip.name] < led_to[slip.name]:
                yield Remark(
                    slip.span,
                    f"what the slip `{slip.name}` leads to fits the boxes, and is recognised, in "
                    f"{recognised[slip.name]} of {led_to[slip.name]} items",
                    "ask in a form that can hold it, or say that the mark scheme is where it is wanted",
                )


RULE = Rule("slip-fits-no-box", "common practice, no source", _look)
