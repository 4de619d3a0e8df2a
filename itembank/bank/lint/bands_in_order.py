"""`bands-out-of-order`: a band called harder whose items are predicted to be easier than those of one called easier.

Only names that say an order are compared; bands such as `surds` and `factorises` may lie as they like.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from statistics import median_low

from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.difficulty import logits

_RANKS = {
    "very-easy": 0, "easiest": 0, "easy": 1, "easier": 1, "medium": 2, "standard": 2, "hard": 3, "harder": 3,
    "difficult": 3, "hardest": 4, "very-hard": 4, "very-difficult": 4,
}  # fmt: skip
FEWEST_ITEMS = 5
TOLD_FROM = 100
"""Thousandths of a logit; a smaller difference says nothing."""


def _look(sample: Sample) -> Iterator[Remark]:
    found: dict[str, list[int]] = {}
    for item in sample.items:
        if item.band in _RANKS and item.difficulty is not None:
            found.setdefault(item.band, []).append(item.difficulty.thousandths)
    middle = {name: median_low(values) for name, values in found.items() if len(values) >= FEWEST_ITEMS}
    for first, second in combinations(sorted(middle, key=lambda name: _RANKS[name]), 2):
        if _RANKS[first] < _RANKS[second] and middle[first] - middle[second] >= TOLD_FROM:
            yield Remark(
                dict(sample.template.bands)[first][0].span(),
                f"items of the band `{first}` are predicted to be harder than those of `{second}`: "
                f"{logits(middle[first])} and {logits(middle[second])} logits in the middle",
                "let the bands change places, or give the reason for their order",
            )


RULE = Rule("bands-out-of-order", "common practice, no source; the prediction is our own", _look)
