"""`one-answer-dominates`: of several answers in words one is nearly always right, or one never."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import choices, seen

FEWEST_ITEMS = 40
"""Smaller samples are passed over, and templates with bands: those are drawn evenly."""


def _look(sample: Sample) -> Iterator[Remark]:
    if len(sample.items) < FEWEST_ITEMS or sample.template.bands:
        return
    for number, part in enumerate(sample.template.parts):
        if not part.response.words:
            continue
        right: Counter[str] = Counter()
        offered: set[str] = set()
        for item in sample.items:
            for place, response in choices(item):
                if place == number:
                    right[seen(response.key.content)] += 1
                    offered |= {seen(option.content) for option in response.options}
        if not right:  # several are right at once
            continue
        ((text, times),) = right.most_common(1)
        if 5 * times > 4 * len(sample.items):
            yield Remark(
                part.response.span,
                f"`{text}` is right in {times} of {len(sample.items)} items",
                "give each answer a band of its own, so that all are drawn",
            )
        for text in sorted(offered - set(right)):
            yield Remark(
                part.response.span, f"`{text}` is right in none of the items looked at", "leave it out"
            )


RULE = Rule(
    "one-answer-dominates",
    f"{HALADYNA}, guidelines 20 and 29 (vary the key, plausible options); the share is ours",
    _look,
)
