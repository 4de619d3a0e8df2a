"""`key-sign-dominates`: answers that are nearly always positive, or nearly always negative, can be guessed at.

Asked of numbers that are solved for and that pupils answer with. Passed over: an unknown with a domain or a unit, and
a story, whose lengths and prices are positive by nature.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from itembank.bank.lint.context import STORY
from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import asks, signs
from itembank.templates.template import PartTemplate

FEWEST_ITEMS = 40
"""Smaller samples are passed over."""


def _look(sample: Sample) -> Iterator[Remark]:
    if len(sample.items) < FEWEST_ITEMS:
        return
    for number, part in enumerate(sample.template.parts):
        if part.key is None or not _may_be_of_either_sign(part):
            continue
        found = Counter(_sign(signs(item.parts[number].key)) for item in sample.items)
        for word in ("positive", "negative"):
            if 10 * found[word] > 9 * len(sample.items):
                yield Remark(
                    part.key.span(),
                    f"every value of the key is {word} in {found[word]} of {len(sample.items)} items",
                    "let the parameters be of either sign, or give the unknown a domain",
                )


def _may_be_of_either_sign(part: PartTemplate) -> bool:
    has_unit = any(blank.unit for blank in part.response.blanks)
    answered = part.response.kind == "entry" or part.response.offers_answers
    plain = part.shape == "solve" and part.domain is None and not has_unit
    return answered and plain and len(asks(part).split()) < STORY


def _sign(found: Iterator[str]) -> str:
    kinds = set(found)
    return kinds.pop() if len(kinds) == 1 else ""


RULE = Rule(
    "key-sign-dominates",
    f"{HALADYNA}, guideline 28 (no clues) for what is guessed without algebra; the shares are ours",
    _look,
)
