"""`context-gives-key`: a story in which the number that is asked for stands already.

Pure mathematics is passed over: in an equation, a coefficient that happens to be the answer gives nothing away.
"""

from __future__ import annotations

from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import asks, numerals
from itembank.expressions.display import Maths
from itembank.items import Item

STORY = 15
"""Words of a stem from which on it tells a story."""
ALLOWED_IN = 4
"""Doubtful where it is so in more than one item of so many."""


def _look(sample: Sample) -> Iterator[Remark]:
    for number, part in enumerate(sample.template.parts):
        if part.shape != "solve" or len(asks(part).split()) < STORY or len(part.unknowns) != 1:
            continue
        told = [item for item in sample.items if _shown(item, number)]
        if ALLOWED_IN * len(told) > len(sample.items):
            yield Remark(
                part.stem.source.span,
                f"in {len(told)} of {len(sample.items)} items the answer is a number the stem tells",
                "tell other quantities, or constrain the parameters",
            )


def _shown(item: Item, number: int) -> bool:
    part = item.parts[number]
    key = list(numerals(part.key))
    shown = {n for filling in part.stem.fillings if isinstance(filling, Maths) for n in numerals(filling)}
    return len(key) == 1 and key[0] in shown


RULE = Rule("context-gives-key", f"{HALADYNA}, guideline 28 (no clues); the shares are ours", _look)
