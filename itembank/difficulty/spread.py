"""The spread of predicted difficulties over some items, and how they are told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from itembank.difficulty.weights import Weights

__all__ = ["Spread", "logits", "spread_of"]


@dataclass(frozen=True, slots=True)
class Spread:
    """least, median and greatest in thousandths of a logit, the word for the median, and of how many items."""

    least: int
    median: int
    greatest: int
    word: str
    items: int


def spread_of(thousandths: Sequence[int], weights: Weights) -> Spread:
    """The spread of some predictions, at least one; of an even number the lower of the two in the middle is taken."""
    found = sorted(thousandths)
    median = found[(len(found) - 1) // 2]
    return Spread(found[0], median, found[-1], weights.word(median), len(found))


def logits(thousandths: int) -> str:
    """Thousandths of a logit as logits, with their sign.

    >>> logits(1250), logits(-400), logits(0), logits(-5)
    ('+1.25', '-0.4', '0', '-0.005')
    """
    whole, rest = divmod(abs(thousandths), 1000)
    digits = f"{whole}.{rest:03}".rstrip("0").rstrip(".")
    return digits if thousandths == 0 else f"{'-' if thousandths < 0 else '+'}{digits}"
