"""The pass mark from judges' ratings of questions: what would a pupil at the border earn?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from itembank.analysis.exact import CannotTell, Root, Statistic, correlation, mean, variance
from itembank.analysis.keys import Question

__all__ = ["ItemRating", "JudgeCut", "Panel", "Ratings", "Round", "against_facility", "rounds_of"]

Ratings = tuple[tuple[Fraction | None, ...], ...]
"""For each judge, for each question: the marks that a pupil at the border is expected to earn; None for no rating."""


@dataclass(frozen=True, slots=True)
class Panel:
    """The ratings of all judges. rounds: as they were written, one `Ratings` for each round."""

    questions: tuple[Question, ...]
    judges: tuple[str, ...]
    rounds: tuple[Ratings, ...]

    @property
    def maximum(self) -> int:
        """Of the whole test."""
        return sum(question.maximum for question in self.questions)

    def carried(self) -> tuple[Ratings, ...]:
        """The ratings that hold in each round: where a judge writes nothing, those of the round before."""
        found: list[Ratings] = []
        for written in self.rounds:
            before = found[-1] if found else tuple((None,) * len(row) for row in written)
            found.append(
                tuple(
                    tuple(old if new is None else new for new, old in zip(row, was, strict=True))
                    for row, was in zip(written, before, strict=True)
                )
            )
        return tuple(found)


@dataclass(frozen=True, slots=True)
class ItemRating:
    """What judges together say of a question, in marks. deviation: of the sample of those who rated it."""

    question: Question
    raters: int
    mean: Statistic
    deviation: Root | CannotTell
    lowest: Fraction
    highest: Fraction

    @property
    def spread(self) -> Fraction:
        """From the lowest to the highest rating, as a share of the marks of the question."""
        return (self.highest - self.lowest) / self.question.maximum


@dataclass(frozen=True, slots=True)
class JudgeCut:
    """The mark that one judge's ratings add up to, none where one is missing. changed: since the round before."""

    judge: str
    cut: Statistic
    changed: int = 0


@dataclass(frozen=True, slots=True)
class Round:
    """A round. cut: of all judges; deviation: of the judges' own cuts; error: the standard error of their mean."""

    number: int
    cut: Statistic
    items: tuple[ItemRating, ...]
    judges: tuple[JudgeCut, ...]
    deviation: Root | CannotTell
    error: Root | CannotTell


def rounds_of(panel: Panel) -> tuple[Round, ...]:
    """Every round, worked out from the ratings that hold in it.

    cut = sum over questions of the mean rating of those who rated it, in marks: for questions of one mark Angoff's
    method, in which a rating is the chance that a pupil at the border is right; for several marks the expected marks.
    A judge's own cut is the sum of the judge's ratings, and needs all of them. The deviation is of the sample of those
    cuts, sqrt(sum (c - mean)^2 / (J - 1)); the standard error of the cut is the deviation / sqrt(J). Smallest J: 2.
    Without a rating of a question there is no cut.
    Source: Angoff 1971, in: Thorndike (ed.), Educational Measurement, pp. 508-600; expected marks: Hambleton & Plake
    1995; standard error: Cizek & Bunch 2007, Standard Setting, chapter 6 (all from memory).
    """
    found: list[Round] = []
    before: Ratings | None = None
    for number, ratings in enumerate(panel.carried(), 1):
        items = tuple(_item(question, column) for question, column in _columns(panel, ratings))
        judges = tuple(
            JudgeCut(judge, _own(row), _changed(row, before[at] if before is not None else row))
            for at, (judge, row) in enumerate(zip(panel.judges, ratings, strict=True))
        )
        own = [each.cut for each in judges if isinstance(each.cut, Fraction)]
        squared = variance(own)
        told = CannotTell("fewer than two judges rated every question")
        found.append(
            Round(
                number, _sum(items), items, judges,
                told if isinstance(squared, CannotTell) else Root(squared),
                told if isinstance(squared, CannotTell) else Root(squared / len(own)),
            )
        )  # fmt: skip
        before = ratings
    return tuple(found)


def against_facility(
    ratings: Sequence[Fraction | None], facilities: Sequence[Statistic]
) -> Root | CannotTell:
    """The correlation of ratings with facilities, over questions that have both.

    ratings: as shares of the marks. Below 0 a judge holds the harder questions for the easier ones. A judge may be
    right about pupils at the border all the same: a facility is of all pupils.
    Source: Cizek & Bunch 2007, chapter 6 (from memory); the figure is `correlation`.
    """
    pairs = [
        (rating, facility)
        for rating, facility in zip(ratings, facilities, strict=True)
        if rating is not None and isinstance(facility, Fraction)
    ]
    return correlation([rating for rating, _ in pairs], [facility for _, facility in pairs])


def _columns(panel: Panel, ratings: Ratings) -> list[tuple[Question, list[Fraction]]]:
    columns = []
    for place, question in enumerate(panel.questions):
        column = (row[place] for row in ratings)
        columns.append((question, [rating for rating in column if rating is not None]))
    return columns


def _item(question: Question, ratings: Sequence[Fraction]) -> ItemRating:
    if not ratings:
        none = CannotTell("nobody rated it")
        return ItemRating(question, 0, none, none, Fraction(0), Fraction(0))
    squared = variance(ratings)
    deviation = squared if isinstance(squared, CannotTell) else Root(squared)
    return ItemRating(question, len(ratings), mean(ratings), deviation, min(ratings), max(ratings))


def _sum(items: Sequence[ItemRating]) -> Statistic:
    means = [each.mean for each in items if isinstance(each.mean, Fraction)]
    if len(means) < len(items):
        return CannotTell("a question has no rating")
    return sum(means, Fraction(0))


def _own(row: Sequence[Fraction | None]) -> Statistic:
    known = [rating for rating in row if rating is not None]
    return sum(known, Fraction(0)) if len(known) == len(row) else CannotTell("a rating is missing")


def _changed(row: Sequence[Fraction | None], before: Sequence[Fraction | None]) -> int:
    return sum(new != old for new, old in zip(row, before, strict=True))
