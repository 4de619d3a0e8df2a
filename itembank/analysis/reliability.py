"""Figures of the whole test: totals, and how much of their spread is more than chance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from itembank.analysis.exact import CannotTell, Root, Statistic, added, mean, variance
from itembank.analysis.responses import Results

__all__ = ["BANDS", "WholeFigures", "alpha", "deviation", "standard_error", "whole_figures"]

BANDS: Final = 10
"""Equal stretches of the scale in which totals are counted."""


@dataclass(frozen=True, slots=True)
class WholeFigures:
    """What is told of the whole.

    maximum: None where pupils had different questions; then totals are shares of what each was given, 0 to 1.
    deviation: of the sample. complete: pupils with a mark in every question, from whom alpha is worked out.
    bands: pupils in each tenth of the scale, from the bottom; a total on a border belongs to the higher one.
    """

    pupils: int
    items: int
    questions: int
    maximum: int | None
    mean: Fraction
    deviation: Root | CannotTell
    lowest: Fraction
    median: Fraction
    highest: Fraction
    complete: int
    alpha: Statistic
    standard_error: Root | CannotTell
    bands: tuple[int, ...]


def whole_figures(results: Results) -> WholeFigures:
    """The figures of all results. What is omitted or not reached counts as 0 here."""
    complete = [s for s in results.sittings if s.counted == len(results.questions)]
    is_one_test = len(complete) == len(results.sittings)
    totals = [sitting.total for sitting in results.sittings] if is_one_test else results.shares
    items = results.items
    rows = [[added(s.answers[place].mark for place in places) for places in items.values()] for s in complete]
    found = alpha(rows)
    ordered = sorted(totals)
    half = len(ordered) // 2
    bands = [0] * BANDS
    for share in results.shares:
        bands[min(int(share * BANDS), BANDS - 1)] += 1
    return WholeFigures(
        len(results.sittings),
        len(items),
        len(results.questions),
        sum(question.maximum for question in results.questions) if is_one_test else None,
        mean(totals),
        deviation(totals),
        ordered[0],
        (ordered[half] + ordered[-1 - half]) / 2,
        ordered[-1],
        len(complete),
        found,
        standard_error([added(row) for row in rows], found),
        tuple(bands),
    )


def deviation(totals: Sequence[Fraction]) -> Root | CannotTell:
    """The standard deviation of the sample: s = sqrt(sum (x - mean)^2 / (n - 1)). Smallest n: 2."""
    squared = variance(totals)
    return squared if isinstance(squared, CannotTell) else Root(squared)


def alpha(rows: Sequence[Sequence[Fraction]]) -> Fraction | CannotTell:
    """Cronbach's alpha: k / (k - 1) * (1 - sum of the items' variances / variance of totals).

    rows: for each pupil the marks in k items; parts of one item are added up first, since they lean on each other.
    Sample variances; with those of the population it is the same. For marks of 0 and 1 it is the formula 20 of Kuder &
    Richardson. At most 1; below 0 where items work against each other. Omitted and not reached: 0. Smallest n: 2
    pupils and 2 items; below 30 pupils it is rough. Undefined where all totals are equal.
    Source: Cronbach 1951; Kuder & Richardson 1937; Crocker & Algina 1986, chapter 7 (from memory).

    >>> alpha([[*map(Fraction, row)] for row in ((1, 1, 1), (1, 1, 0), (0, 0, 0))])
    Fraction(6, 7)
    """
    if len(rows) < 2:
        return CannotTell("fewer than two pupils with a mark in every question")
    number = len(rows[0])
    if number < 2:
        return CannotTell("fewer than two items")
    whole = variance([added(row) for row in rows])
    parts = [variance([row[column] for row in rows]) for column in range(number)]
    if isinstance(whole, CannotTell) or not whole:
        return CannotTell("all totals are equal")
    of_items = sum((part for part in parts if isinstance(part, Fraction)), Fraction(0))
    return Fraction(number, number - 1) * (1 - of_items / whole)


def standard_error(totals: Sequence[Fraction], found: Statistic) -> Root | CannotTell:
    """The standard error of measurement, in marks: s * sqrt(1 - alpha), with the sample's deviation s.

    Undefined where alpha is, or is below 0. Source: Crocker & Algina 1986, chapter 6 (from memory).
    """
    squared = variance(totals)
    if not isinstance(found, Fraction) or isinstance(squared, CannotTell):
        return found if isinstance(found, CannotTell) else CannotTell("fewer than two pupils")
    return Root(squared * (1 - found)) if found >= 0 else CannotTell("alpha is below 0")
