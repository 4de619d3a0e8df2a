"""`option-of-other-form`: an option with another number of values than all the others is seen to be different."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import choices, number_of_values

ALLOWED_IN = 4
"""Doubtful where it is so in more than one item of so many."""


def _look(sample: Sample) -> Iterator[Remark]:
    for number, part in enumerate(sample.template.parts):
        told: Counter[str] = Counter()
        for item in sample.items:
            for place, response in choices(item):
                if place != number or response.by_words or len(response.options) < 3:
                    continue
                counts = Counter(number_of_values(option) for option in response.options)
                told.update(
                    option.slip.name if option.slip else "the key"
                    for option in response.options
                    if counts[number_of_values(option)] == 1 and len(counts) == 2 and number_of_values(option)
                )
        for name, times in told.items():
            if ALLOWED_IN * times > len(sample.items):
                yield Remark(
                    part.response.span,
                    f"{name} is the only option with its number of values in {times} of {len(sample.items)} items",
                    "offer another slip, or put that one last",
                )


RULE = Rule("option-of-other-form", f"{HALADYNA}, guideline 23 (options alike in content and grammar)", _look)
