"""How likely scores at single items are, given the score at all of them: sums over all ways to come to a total.

With a weight for each score at each item, the product of the polynomials sum(weight * t^score) has at t^r the sum over
all ways to score r. Source: the elementary symmetric functions of Rasch 1960, for several scores those of Andersen 1977
(both from memory). Leaving an item out is done by products of what stands before it and after it, never by division,
which loses digits.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from functools import cached_property
from typing import TypeAlias

__all__ = ["Moments", "ScoreSums", "Weighed"]

Weighed: TypeAlias = Sequence[tuple[int, Decimal]]
"""The scores of an item, each with its weight."""
_Polynomial: TypeAlias = list[Decimal]
Moments: TypeAlias = dict[tuple[int, int], dict[tuple[int, int], Decimal]]
_ZERO, _ONE = Decimal(0), Decimal(1)


class ScoreSums:
    """The sums over the items of one set of pupils. items: of each its scores with their weights."""

    def __init__(self, items: Sequence[Weighed]) -> None:
        self._items = items
        self._before = [[_ONE]]
        for item in items:
            self._before.append(_times_item(self._before[-1], item))
        self._after = [[_ONE]]
        for item in reversed(items):
            self._after.append(_times_item(self._after[-1], item))
        self._after.reverse()

    @property
    def totals(self) -> Sequence[Decimal]:
        """The sum over all ways to score 0, 1, 2, ..."""
        return self._before[-1]

    @cached_property
    def shares(self) -> Sequence[Sequence[Mapping[int, Decimal]]]:
        """Item -> total -> score at the item -> how likely it is, given the total. Totals nobody can have are empty."""
        totals = self.totals
        found = []
        for place, item in enumerate(self._items):
            without = _product(self._before[place], self._after[place + 1])
            of_item: list[Mapping[int, Decimal]] = []
            for total, sum_of_all in enumerate(totals):
                if not sum_of_all:
                    of_item.append({})
                    continue
                of_item.append(
                    {
                        score: weight * without[total - score] / sum_of_all
                        for score, weight in item
                        if 0 <= total - score < len(without)
                    }
                )
            found.append(of_item)
        return found

    def together(self, pupils: Mapping[int, int]) -> Moments:
        """For two items, the first before the second: their scores -> how many pupils are to be expected to have both.

        pupils: how many have each total.
        """
        per_sum = [
            pupils.get(total, 0) / sum_of_all if sum_of_all else _ZERO
            for total, sum_of_all in enumerate(self.totals)
        ]
        behind = [_met(after, per_sum) for after in self._after]
        found: Moments = {}
        for first, item in enumerate(self._items):
            between = self._before[first]
            for second in range(first + 1, len(self._items)):
                met = behind[second + 1]
                by_shift: dict[int, Decimal] = {}
                cell = found[first, second] = {}
                for one, weight in item:
                    for other, factor in self._items[second]:
                        shift = one + other
                        if shift not in by_shift:
                            by_shift[shift] = sum(
                                (a * b for a, b in zip(between, met[shift:], strict=False)), _ZERO
                            )
                        cell[one, other] = weight * factor * by_shift[shift]
                between = _times_item(between, self._items[second])
        return found


def _times_item(polynomial: Sequence[Decimal], item: Weighed) -> _Polynomial:
    product = [_ZERO] * (len(polynomial) + max(score for score, _ in item))
    for score, weight in item:
        for at, value in enumerate(polynomial, score):
            product[at] += value * weight
    return product


def _product(first: Sequence[Decimal], second: Sequence[Decimal]) -> _Polynomial:
    product = [_ZERO] * (len(first) + len(second) - 1)
    for at, one in enumerate(first):
        for by, other in enumerate(second, at):
            product[by] += one * other
    return product


def _met(after: Sequence[Decimal], per_sum: Sequence[Decimal]) -> _Polynomial:
    """For each total so far, the sum over what can still come of that times what the whole is worth."""
    return [
        sum((a * b for a, b in zip(after, per_sum[at:], strict=False)), _ZERO) for at in range(len(per_sum))
    ]
