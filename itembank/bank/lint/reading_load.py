"""`long-stem`: more words than a pupil should have to read before the mathematics begins."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import asks

MOST_WORDS = 60
"""Ours; the guideline names no number."""


def _look(sample: Sample) -> Iterator[Remark]:
    for part in sample.template.parts:
        words = len(asks(part).split())
        if words > MOST_WORDS:
            yield Remark(
                part.stem.source.span,
                f"the stem has {words} words beside its mathematics, more than {MOST_WORDS}",
                "take out what is not needed to solve it",
            )


RULE = Rule("long-stem", f"{HALADYNA}, guideline 13 (small reading load); the number of words is ours", _look)
