"""A compromise between the mark that judges would ask for and the share of pupils who may fail."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from itembank.analysis.exact import CannotTell, Statistic, mean

__all__ = ["Acceptable", "Compromise", "compromise"]


@dataclass(frozen=True, slots=True)
class Acceptable:
    """What one judge would accept: the least and the most marks to pass with, and of pupils who fail the share."""

    judge: str
    least_cut: Fraction
    most_cut: Fraction
    least_fail: Fraction
    most_fail: Fraction


@dataclass(frozen=True, slots=True)
class Compromise:
    """cut: where the line meets what the pupils did; the rest: means of what judges would accept."""

    judges: int
    cut: Statistic
    least_cut: Fraction
    most_cut: Fraction
    least_fail: Fraction
    most_fail: Fraction


def compromise(accepted: Sequence[Acceptable], totals: Sequence[Fraction]) -> Compromise:
    """Hofstee's method: the first mark at which as many fail as the line allows.

    The line goes from (least cut, largest share failing) to (most cut, least share failing), each the mean over judges;
    the share failing at a mark c is that of totals below c. As c rises that share rises and the line falls: the cut is
    the least c from which on the share is at least the line's height, found exactly. Where the share is above the line
    all along, or below it all along, judges accept nothing that these pupils allow, and there is no cut.
    accepted: one or more. Source: Hofstee 1983, in: Anderson & Helmick (eds), On Educational Testing, pp. 109-127;
    Cizek & Bunch 2007, chapter 11 (both from memory).
    """
    least, most = mean([each.least_cut for each in accepted]), mean([each.most_cut for each in accepted])
    low, high = mean([each.least_fail for each in accepted]), mean([each.most_fail for each in accepted])
    return Compromise(len(accepted), _meeting(least, most, low, high, totals), least, most, low, high)


def _meeting(
    least: Fraction, most: Fraction, low: Fraction, high: Fraction, totals: Sequence[Fraction]
) -> Statistic:
    if not totals:
        return CannotTell("nobody's total can be compared")

    def failing(below: Fraction) -> Fraction:
        return Fraction(sum(total < below for total in totals), len(totals))

    def allowed(cut: Fraction) -> Fraction:
        return high if least == most else high - (high - low) * (cut - least) / (most - least)

    if failing(least) > high:
        return CannotTell("more fail at the least acceptable mark than may")
    if failing(most) < low:
        return CannotTell("fewer fail at the most acceptable mark than should")
    # Between two totals as many fail at every mark: there the line is met where it has come down to their share.
    steps = [least, *(total for total in sorted(set(totals)) if least <= total < most), most]
    for start, end in pairwise(steps):
        share = failing(end)  # of every mark above start, up to end
        if allowed(start) <= share:
            return start
        if allowed(end) <= share:
            return start + (end - start) * (allowed(start) - share) / (allowed(start) - allowed(end))
    return most
