"""`key-is-odd-one-out`: a key that alone has, or alone is without, a root or a fraction bar is found without algebra.

A key of no real solution is passed over: the reference would have it told, but whether there is a solution is what
such an item asks, and no slip can look like that answer.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from itembank.bank.lint.remark import HALADYNA, Remark, Rule, Sample
from itembank.bank.lint.showing import NO_SOLUTION, choices, looks_of

ALLOWED_IN = 4
"""Doubtful where it is so in more than one item of so many."""


def _look(sample: Sample) -> Iterator[Remark]:
    for number, part in enumerate(sample.template.parts):
        told: Counter[str] = Counter()
        for item in sample.items:
            for place, response in choices(item):
                if place != number or response.by_words or len(response.options) < 3:
                    continue
                key = looks_of(response.key)
                if NO_SOLUTION in key:
                    continue
                others = [looks_of(option) for option in response.options if not option.is_key]
                told.update({f"has {look}" for look in key if not any(look in other for other in others)})
                shared = set.intersection(*map(set, others)) - set(key)
                told.update({f"is without {look}" for look in shared})
        for look, times in sorted(told.items()):
            if ALLOWED_IN * times > len(sample.items):
                yield Remark(
                    part.response.span,
                    f"in {times} of {len(sample.items)} items only the key {look}",
                    "offer slips that look like the key",
                )


RULE = Rule(
    "key-is-odd-one-out",
    f"{HALADYNA}, guideline 28 (no conspicuous key); for mathematics a proposal of our own",
    _look,
)
