"""`one-answer-dominates`: of several answers in words one is nearly always right, or one never."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import choices, seen
from itembank.expressions.tree import Node

FEWEST_ITEMS = 40
"""Smaller samples are passed over, and templates with bands: those are drawn evenly."""


def _look(sample: Sample) -> Iterator[Remark]:
    if len(sample.items) < FEWEST_ITEMS or sample.template.bands:
        return
    for number, part in enumerate(sample.template.parts):
        if not part.response.words:
            continue
        right: Counter[Node] = Counter()
        texts: dict[Node, str] = {}
        for item in sample.items:
            for place, response in choices(item):
                if place == number:
                    # by their rows: words with mathematics in them differ from item to item
                    for option, row in zip(response.options, response.rows, strict=True):
                        texts.setdefault(row, seen(option.content))
                        right[row] += option.is_key
        if not right:  # several are right at once
            continue
        ((row, times),) = right.most_common(1)
        text = texts[row]
        if 5 * times > 4 * len(sample.items):
            yield Remark(
                part.response.span,
                f"`{text}` is right in {times} of {len(sample.items)} items",
                "give each answer a band of its own, so that all are drawn",
            )
        for text in sorted(texts[row] for row, times in right.items() if not times):
            yield Remark(
                part.response.span, f"`{text}` is right in none of the items looked at", "leave it out"
            )


RULE = Rule(
    "one-answer-dominates",
    f"{HALADYNA}, guidelines 20 and 29 (vary the key, plausible options); the share is ours",
    _look,
)
