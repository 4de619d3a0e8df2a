"""`key-of-other-length`: a key that is by far the longest or the shortest option stands out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import choices, lists_whole_numbers, seen

ALLOWED_IN = 3
"""Doubtful where it is so in more than one item of so many: the data of Martinez and others show little harm."""


def _look(sample: Sample) -> Iterator[Remark]:
    for number, part in enumerate(sample.template.parts):
        told: Counter[str] = Counter()
        for item in sample.items:
            for place, response in choices(item):
                if place != number or len(response.options) < 3 or lists_whole_numbers(response):
                    continue
                key = len(seen(response.key.content))
                others = [len(seen(option.content)) for option in response.options if not option.is_key]
                if 2 * key > 3 * max(others):
                    told["longer"] += 1
                elif 3 * key < 2 * min(others):
                    told["shorter"] += 1
        for word, times in sorted(told.items()):
            if ALLOWED_IN * times > len(sample.items):
                yield Remark(
                    part.response.span,
                    f"in {times} of {len(sample.items)} items the key is half as much {word} as any other option",
                    "word the options alike, or offer slips of the key's length",
                )


RULE = Rule(
    "key-of-other-length",
    f"{HALADYNA}, guideline 24 (options about equal in length); thresholds are ours. Martinez, Moreno, Martin and "
    "Trigo 2009, Psicothema 21(2), 326-330 found no harm, so it is a doubt and no more",
    _look,
)
