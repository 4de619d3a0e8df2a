"""Where a pass mark lies by every method that the judgements allow, and what would follow from it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil
from typing import Final

from itembank.analysis.blocks import counted
from itembank.analysis.exact import CannotTell, Root, Statistic
from itembank.analysis.item_statistics import item_figures
from itembank.analysis.keys import Question
from itembank.analysis.reliability import whole_figures
from itembank.analysis.responses import Results
from itembank.errors import Diagnostic
from itembank.standard_setting.angoff import Panel, Round, against_facility, rounds_of
from itembank.standard_setting.boundaries import Beside, Boundary, beside
from itembank.standard_setting.by_pupils import Borderline, Contrast, Judgement, borderline, contrast
from itembank.standard_setting.hofstee import Acceptable, Compromise, compromise

__all__ = ["Cut", "Judgements", "Outcome", "PassMark", "Setting", "pass_mark"]


@dataclass(frozen=True, slots=True)
class Setting:
    """What a mark is looked for of. questions: of the whole test, in the order of the paper.

    boundary: what the mark is for, "" for a pass.
    """

    title: str
    questions: tuple[Question, ...]
    boundary: str = ""

    @property
    def maximum(self) -> int:
        """Marks in all."""
        return sum(question.maximum for question in self.questions)


@dataclass(frozen=True, slots=True)
class Judgements:
    """What judges and teachers say. judged: pupil in small letters, and judgement; doubts: about the files."""

    panel: Panel | None = None
    judged: tuple[tuple[str, Judgement], ...] = ()
    accepted: tuple[Acceptable, ...] = ()
    doubts: tuple[Diagnostic, ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    """How many of the pupils pass from a mark on."""

    mark: int
    passing: int


@dataclass(frozen=True, slots=True)
class Cut:
    """A method's result. value: to the fraction; mark: the least whole mark that is not below it.

    outcomes: at that mark and one to each side; close: pupils whose total is within one standard error of measurement
    of the mark, None where that cannot be told.
    """

    method: str
    value: Fraction
    mark: int
    error: Root | CannotTell
    rests_on: str
    outcomes: tuple[Outcome, ...] = ()
    close: int | None = None


@dataclass(frozen=True, slots=True)
class PassMark:
    """Everything that is told.

    rounds: of ratings; facilities: of each question, () without results; agreements: of each judge's last ratings with
    them, agreement: of their means. pupils: those with marks in every question, who alone are compared; left_out: the
    others. measured: the standard error of measurement. judged: how many pupils of `pupils` are judged how. Methods
    without judgements are None. beside: what is told of the boundary below, None where none is given.
    """

    setting: Setting
    cuts: tuple[Cut, ...]
    rounds: tuple[Round, ...]
    facilities: tuple[Statistic, ...]
    agreements: tuple[Root | CannotTell, ...]
    agreement: Root | CannotTell
    pupils: int
    left_out: int
    measured: Root | CannotTell
    judged: Mapping[Judgement, int]
    borderline: Borderline | CannotTell | None
    contrast: Contrast | CannotTell | None
    compromise: Compromise | None
    beside: Beside | None = None


_NO_RESULTS: Final = CannotTell("no results are given")


def pass_mark(
    setting: Setting, judgements: Judgements, results: Results | None = None, lower: Judgements | None = None
) -> PassMark:
    """All figures. lower: what is said of the boundary below this one.

    Pupils who were not given every question, or wait for a mark, are in no comparison of totals. How many pupils stand
    within one standard error of measurement of a mark is counted; how many of them are on the wrong side is not told,
    for that takes a distribution of errors which nobody knows.
    """
    panel = judgements.panel
    rounds = rounds_of(panel) if panel else ()
    totals = _totals(setting, results)
    by_judgement: dict[Judgement, list[Fraction]] = {judgement: [] for judgement in Judgement}
    for name, judgement in judgements.judged:
        if name in totals:
            by_judgement[judgement].append(totals[name])
    is_judged = bool(judgements.judged)
    border = borderline(by_judgement[Judgement.BORDERLINE]) if is_judged else None
    groups = (
        contrast(by_judgement[Judgement.BELOW], by_judgement[Judgement.ABOVE], setting.maximum)
        if is_judged
        else None
    )
    agreed = compromise(judgements.accepted, [*totals.values()]) if judgements.accepted else None
    measured = whole_figures(results).standard_error if results else _NO_RESULTS
    cuts = tuple(
        _with_outcomes(cut, setting.maximum, [*totals.values()], measured)
        for cut in _cuts(rounds, border, groups, agreed)
    )
    facilities = _facilities(setting.questions, results)
    agreements: tuple[Root | CannotTell, ...] = ()
    agreement: Root | CannotTell = _NO_RESULTS
    if panel and facilities:
        last = panel.carried()[-1]
        agreements = tuple(against_facility(_as_shares(row, setting.questions), facilities) for row in last)
        means = [each.mean if isinstance(each.mean, Fraction) else None for each in rounds[-1].items]
        agreement = against_facility(_as_shares(means, setting.questions), facilities)
    found = PassMark(
        setting, cuts, rounds, facilities, agreements, agreement, len(totals),
        (len(results.sittings) if results else 0) - len(totals), measured,
        {judgement: len(each) for judgement, each in by_judgement.items()}, border, groups, agreed,
    )  # fmt: skip
    if lower is None:
        return found
    return replace(found, beside=beside(_boundary(pass_mark(setting, lower, results)), _boundary(found)))


def _boundary(found: PassMark) -> Boundary:
    """What is held against another boundary."""
    last = found.rounds[-1] if found.rounds else None
    return Boundary(
        {
            cut.method: (
                cut.mark,
                next((each.passing for each in cut.outcomes if each.mark == cut.mark), None),
            )
            for cut in found.cuts
        },
        {each.judge: each.cut for each in (last.judges if last else ()) if isinstance(each.cut, Fraction)},
        [
            (each.question, each.mean if isinstance(each.mean, Fraction) else None)
            for each in (last.items if last else ())
        ],
    )


def _totals(setting: Setting, results: Results | None) -> dict[str, Fraction]:
    """Pupil in small letters -> total, of those with a mark in every question of the test."""
    return {
        " ".join(sitting.pupil.split()).casefold(): sitting.total
        for sitting in (results.sittings if results else ())
        if sitting.most == setting.maximum
    }


def _facilities(questions: Sequence[Question], results: Results | None) -> tuple[Statistic, ...]:
    if results is None:
        return ()
    places = {question.column: place for place, question in enumerate(results.questions)}
    nobody = CannotTell("nobody took it")
    return tuple(
        item_figures(results, (places[each.column],), each.column).facility
        if each.column in places
        else nobody
        for each in questions
    )


def _as_shares(ratings: Sequence[Fraction | None], questions: Sequence[Question]) -> list[Fraction | None]:
    return [
        None if rating is None else rating / question.maximum
        for rating, question in zip(ratings, questions, strict=True)
    ]


def _cuts(
    rounds: Sequence[Round],
    border: Borderline | CannotTell | None,
    groups: Contrast | CannotTell | None,
    agreed: Compromise | None,
) -> list[Cut]:
    none = CannotTell("not known of this method")
    cuts = []
    if rounds and isinstance(rounds[-1].cut, Fraction):
        last = rounds[-1]
        rests_on = counted(len(last.judges), "judge") + (f", round {last.number}" if len(rounds) > 1 else "")
        cuts.append(_cut("Angoff", rounds[-1].cut, last.error, rests_on))
    if isinstance(border, Borderline):
        rests_on = f"{counted(border.pupils, 'pupil')} at the border"
        cuts.append(_cut("borderline group", border.median, none, rests_on))
    if isinstance(groups, Contrast):
        rests_on = f"{groups.below} pupils below, {groups.above} above"
        cuts.append(_cut("contrasting groups", Fraction(groups.cut), none, rests_on))
    if agreed is not None and isinstance(agreed.cut, Fraction):
        cuts.append(_cut("Hofstee", agreed.cut, none, counted(agreed.judges, "judge") + " and all pupils"))
    return cuts


def _cut(method: str, value: Fraction, error: Root | CannotTell, rests_on: str) -> Cut:
    return Cut(method, value, ceil(value), error, rests_on)


def _with_outcomes(cut: Cut, maximum: int, totals: Sequence[Fraction], measured: Root | CannotTell) -> Cut:
    if not totals:
        return cut
    outcomes = tuple(
        Outcome(mark, sum(total >= mark for total in totals))
        for mark in (cut.mark - 1, cut.mark, cut.mark + 1)
        if 0 <= mark <= maximum
    )
    close = None
    if isinstance(measured, Root):
        close = sum((total - cut.mark) ** 2 <= measured.square for total in totals)
    return Cut(cut.method, cut.value, cut.mark, cut.error, cut.rests_on, outcomes, close)
