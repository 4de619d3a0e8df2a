"""The pass mark from what teachers say of pupils, beside the marks that these pupils earned."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from math import comb
from typing import Final

from itembank.analysis.exact import CannotTell

__all__ = ["SURE", "Borderline", "Contrast", "Judgement", "Misplaced", "Together", "borderline", "contrast"]

SURE: Final = Fraction(95, 100)
"""How often an interval should hold the median."""


_FIVE_PER_CENT: Final = Fraction("3.841459")
"""The square of 1.96 standard errors, which chance goes beyond once in twenty times."""


class Judgement(Enum):
    """Where a teacher sees a pupil, whatever the pupil earned in the test."""

    BELOW = "below"
    BORDERLINE = "borderline"
    ABOVE = "above"


@dataclass(frozen=True, slots=True)
class Borderline:
    """The median total of pupils at the border. low, high: totals between which the median lies; sure: how surely."""

    pupils: int
    median: Fraction
    low: Fraction | CannotTell
    high: Fraction | CannotTell
    sure: Fraction | CannotTell


@dataclass(frozen=True, slots=True)
class Misplaced:
    """What a pass mark would do: `below` pupils who pass, `above` pupils who do not."""

    mark: int
    below: int
    above: int

    @property
    def pupils(self) -> int:
        """All who would be misplaced."""
        return self.below + self.above


class Together(Enum):
    """Whether judgements and totals go the same way, beyond what chance makes."""

    SAME_WAY = "the same way"
    NOT_TOLD = "no more than by chance"
    OTHER_WAY = "the other way"


@dataclass(frozen=True, slots=True)
class Contrast:
    """The pass mark that misplaces the fewest. ties: all marks that do so equally well; cut: the middle one of them.

    marks: what each whole mark would do, from 0 to the maximum. higher: in what share of all pairs of a pupil judged
    below and one judged above the latter has the higher total, equal ones by half; together: what that says.
    """

    below: int
    above: int
    cut: int
    ties: tuple[int, ...]
    marks: tuple[Misplaced, ...]
    higher: Fraction
    together: Together

    @property
    def fewest(self) -> int:
        """Pupils whom the cut misplaces."""
        return self.marks[self.cut].pupils


def borderline(totals: Sequence[Fraction]) -> Borderline | CannotTell:
    """The borderline-group method: the median of the totals of those who are judged to stand at the border.

    Of an even number, the middle between the two in the middle. The interval is from the k-th total to the k-th from
    the top, which holds the median of all such pupils with a chance of 1 - 2 P(B < k), B binomial (n, 1/2), whatever
    the distribution; k is the largest for which that is 95 % or more. Smallest n: 1, for the interval 6.
    Source: Livingston & Zieky 1982, Passing Scores; the interval: David & Nagaraja 2003, Order Statistics, chapter 7
    (both from memory).

    >>> found = borderline([*map(Fraction, (9, 12, 10, 14))])
    >>> found.median, found.low.reason
    (Fraction(11, 1), 'fewer than six pupils')
    """
    if not totals:
        return CannotTell("nobody is judged to stand at the border")
    ordered = sorted(totals)
    number = len(ordered)
    median = (ordered[number // 2] + ordered[-1 - number // 2]) / 2
    rank, sure = 0, Fraction(0)
    for k in range(1, number // 2 + 1):
        chance = 1 - Fraction(2 * sum(comb(number, below) for below in range(k)), 2**number)
        if chance < SURE:
            break
        rank, sure = k, chance
    if not rank:
        few = CannotTell("fewer than six pupils")
        return Borderline(number, median, few, few, few)
    return Borderline(number, median, ordered[rank - 1], ordered[-rank], sure)


def contrast(below: Sequence[Fraction], above: Sequence[Fraction], maximum: int) -> Contrast | CannotTell:
    """The method of contrasting groups: the whole mark that misplaces the fewest pupils of two groups.

    below, above: totals of those judged to be clearly below or above; both errors count alike, and whoever stands at
    the border counts in neither. From the mark on a pupil passes. Of several marks that do equally well the middle one
    is taken, the lower of two. Smallest n: 1 in each group.
    Source: Livingston & Zieky 1982; Cizek & Bunch 2007, chapter 8 (both from memory). That the middle of ties is taken:
    common practice, no source.

    >>> contrast([Fraction(1), Fraction(3)], [Fraction(2), Fraction(5)], 5).ties
    (2, 4, 5)
    """
    if not below or not above:
        return CannotTell("it takes pupils judged below and pupils judged above")
    marks = tuple(
        Misplaced(mark, sum(total >= mark for total in below), sum(total < mark for total in above))
        for mark in range(maximum + 1)
    )
    fewest = min(each.pupils for each in marks)
    ties = tuple(each.mark for each in marks if each.pupils == fewest)
    return Contrast(len(below), len(above), ties[(len(ties) - 1) // 2], ties, marks, *_together(below, above))


def _together(below: Sequence[Fraction], above: Sequence[Fraction]) -> tuple[Fraction, Together]:
    """The share of pairs in which the one judged above has more, and whether it is beyond chance.

    U = the number of such pairs, equal ones by half, beside m n / 2, with the variance
    m n / 12 * (N + 1 - sum (t^3 - t) / (N (N - 1))) where t pupils have one total; told beyond 1.96 standard errors.
    Source: Mann & Whitney 1947, Annals of Mathematical Statistics 18, 50-60; of ties: Lehmann 1975, Nonparametrics,
    chapter 1 (both from memory).
    """
    pairs, number = len(below) * len(above), len(below) + len(above)
    more = sum(
        (Fraction(high > low) + Fraction(high == low, 2) for low in below for high in above), Fraction(0)
    )
    ties = sum(often**3 - often for often in Counter((*below, *above)).values())
    variance = Fraction(pairs, 12) * (number + 1 - Fraction(ties, number * (number - 1)))
    beyond = (more - Fraction(pairs, 2)) ** 2 > _FIVE_PER_CENT * variance
    if not beyond:
        return more / pairs, Together.NOT_TOLD
    return more / pairs, Together.SAME_WAY if 2 * more > pairs else Together.OTHER_WAY
