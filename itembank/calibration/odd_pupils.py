"""Whether what a pupil scored keeps to the model: how likely answers as odd are, among all ways to the same total.

Given the total, a pupil's ability plays no part: nothing is estimated of the pupil, and for the difficulties that were
found the chance is exact. Bounds for a figure that is taken to be normal (Drasgow, Levine & Williams 1985) would not
do: of sound pupils on a short test many go beyond. Source: Molenaar & Hoijtink 1990, Psychometrika 55, 75-106; Klauer
1991, Psychometrika 56, 213-228 (all from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from fractions import Fraction
from functools import cached_property
from math import comb
from typing import Final, TypeAlias

from itembank.calibration.score_sums import ScoreSums

__all__ = ["SELDOM", "OddPupil", "OddPupils", "odd_pupils"]

SELDOM: Final = Decimal("0.01")
"""The chance up to which answers are told to be odd."""
_PARTS: Final = 10
"""Of a logit, to which what an answer adds is rounded: whole numbers are compared, and their chances stay exact."""
_DIGITS: Final = 16
_MOST_NAMED: Final = 3
_BY_CHANCE: Final = Fraction(1, 20)
_ZERO, _ONE = Decimal(0), Decimal(1)
_Scores: TypeAlias = Mapping[int, int]
_Weights: TypeAlias = Mapping[int, Mapping[int, Decimal]]


@dataclass(frozen=True, slots=True)
class OddPupil:
    """A pupil by number. score: in all, of `most`; chance: of a score that comes about as oddly or more so.

    less, more: the items at which the pupil scored most clearly less, or more, than the total lets one expect.
    """

    pupil: int
    score: int
    most: int
    chance: Decimal
    less: tuple[int, ...]
    more: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class OddPupils:
    """looked_at: pupils whose answers could be so odd that it would be told. odd: those whose answers are, first the
    least likely."""

    looked_at: int
    odd: tuple[OddPupil, ...]

    @property
    def expected(self) -> Decimal:
        """How many there are to be expected of so many, by chance alone, at the most."""
        return self.looked_at * SELDOM

    @property
    def are_many(self) -> bool:
        """Whether chance alone would have so many, or more, less than once in twenty times."""
        seldom = Fraction(SELDOM)
        fewer = sum(
            comb(self.looked_at, number) * seldom**number * (1 - seldom) ** (self.looked_at - number)
            for number in range(len(self.odd))
        )
        return 1 - fewer <= _BY_CHANCE


def odd_pupils(pupils: Mapping[int, _Scores], weights: _Weights) -> OddPupils:
    """The pupils whose answers are odd. pupils: number -> item -> score; weights: as `Estimates` has them.

    Items without weights do not count. Whom everything or nothing was given for, or who had so few items that nothing
    would be odd, is not looked at.
    """
    ways: dict[tuple[int, ...], _Ways] = {}
    looked_at, odd = 0, []
    with localcontext() as context:
        context.prec = _DIGITS
        for number, scores in pupils.items():
            items = tuple(sorted(item for item in scores if item in weights))
            if len(items) < 2:
                continue
            if items not in ways:
                ways[items] = _Ways([weights[item] for item in items])
            mine = [scores[item] for item in items]
            found = ways[items]
            if found.least_chance(sum(mine)) > SELDOM:
                continue
            looked_at += 1
            chance = found.chance(mine)
            if chance <= SELDOM:
                less, more = found.furthest(mine)
                odd.append(
                    OddPupil(
                        number,
                        sum(mine),
                        sum(max(weights[item]) for item in items),
                        chance,
                        tuple(items[at] for at in less),
                        tuple(items[at] for at in more),
                    )
                )
    return OddPupils(looked_at, tuple(sorted(odd, key=lambda each: (each.chance, each.pupil))))


class _Ways:
    """All ways to score at some items. weights: logarithms, by scores, of each item."""

    def __init__(self, weights: Sequence[Mapping[int, Decimal]]) -> None:
        self._weights = weights
        self._adds = [
            {score: int((eta * _PARTS).to_integral_value()) for score, eta in item.items()}
            for item in weights
        ]

    @cached_property
    def _by_total(self) -> Mapping[int, Mapping[int, Decimal]]:
        """Total -> the sum of what its scores add -> the weight of all such ways."""
        found: dict[int, dict[int, Decimal]] = {0: {0: _ONE}}
        for item, adds in zip(self._weights, self._adds, strict=True):
            grown: dict[int, dict[int, Decimal]] = {}
            for score, eta in item.items():
                weight, more = eta.exp(), adds[score]
                for total, sums in found.items():
                    into = grown.setdefault(total + score, {})
                    for so_far, of_all in sums.items():
                        into[so_far + more] = into.get(so_far + more, _ZERO) + of_all * weight
            found = grown
        return found

    def least_chance(self, total: int) -> Decimal:
        """Of the oddest way to a total."""
        sums = self._by_total[total]
        return sums[min(sums)] / sum(sums.values(), _ZERO)

    def chance(self, scores: Sequence[int]) -> Decimal:
        """Of a way to the same total that is as likely or less so."""
        mine = sum(adds[score] for adds, score in zip(self._adds, scores, strict=True))
        sums = self._by_total[sum(scores)]
        odder = sum((weight for so_far, weight in sums.items() if so_far <= mine), _ZERO)
        return odder / sum(sums.values(), _ZERO)

    @cached_property
    def _shares(self) -> Sequence[Sequence[Mapping[int, Decimal]]]:
        return ScoreSums(
            [[(score, eta.exp()) for score, eta in item.items()] for item in self._weights]
        ).shares

    def furthest(self, scores: Sequence[int]) -> tuple[list[int], list[int]]:
        """The places of the items furthest below and above what the total lets one expect, by a deviation or more."""
        apart = sorted(self._apart(scores))
        return (
            [at for far, at in apart if far <= -1][:_MOST_NAMED],
            [at for far, at in reversed(apart) if far >= 1][:_MOST_NAMED],
        )

    def _apart(self, scores: Sequence[int]) -> Iterator[tuple[Decimal, int]]:
        """Of each item that the total leaves open, the distance from the expected in standard deviations."""
        for at, score in enumerate(scores):
            shares = self._shares[at][sum(scores)]
            mean = sum((each * share for each, share in shares.items()), _ZERO)
            second = sum(((each - mean) ** 2 * share for each, share in shares.items()), _ZERO)
            if second:
                yield (score - mean) / second.sqrt(), at
