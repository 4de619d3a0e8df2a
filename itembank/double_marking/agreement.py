"""How far two markers agree who marked the same scripts, exactly.

A mark is compared where both gave one: what either left empty says nothing. Differences are the second marker's mark
less the first's. A script is what one pupil handed in; its totals are those of the questions that are compared.

Sources, all from memory: weighted kappa, Cohen, Psychological Bulletin 70 (1968), 213-220; limits of agreement, Bland &
Altman, The Lancet 327 (1986), 307-310; the sign test, Dixon & Mood, Journal of the American Statistical Association 41
(1946), 557-566; several tests at once, Holm, Scandinavian Journal of Statistics 6 (1979), 65-70.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import comb
from typing import Final

from itembank.analysis.exact import CannotTell, Root, Statistic, added, correlation, mean, variance
from itembank.analysis.keys import Question

__all__ = [
    "ENOUGH", "GOOD_KAPPA", "WITHOUT_JUDGEMENT", "Agreement", "Decisions", "Marker", "QuestionAgreement", "Script",
    "agreement", "sign_test", "weighted_kappa",
]  # fmt: skip

ENOUGH: Final = 10
"""Scripts below which a question's kappa is not judged (house rule)."""
GOOD_KAPPA: Final = Fraction(7, 10)
"""Least kappa of marks that may stand beside a person's: Williamson, Xi & Breyer, Educational Measurement: Issues and
Practice 31 (2012), 2-13 (from memory)."""
WITHOUT_JUDGEMENT: Final = frozenset(("choice", "choices", "order", "match", "wrong-line"))
"""Kinds of response whose mark follows from the key alone: where two markers differ, one of them slipped."""
_BY_CHANCE: Final = Fraction(1, 20)
_OF_THE_MARKS: Final = 20


@dataclass(frozen=True, slots=True)
class Marker:
    """marks: pupil, as names are compared -> place of a question -> mark.

    names: as they are written; versions: the letter of each pupil's paper, "" for the only one.
    """

    name: str
    marks: Mapping[str, Mapping[int, Fraction]]
    names: Mapping[str, str]
    versions: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class QuestionAgreement:
    """One question in two markers' hands.

    place: of the question. scripts: both marked it; same: how many have one mark from both. shift: mean difference.
    lower, higher: how many the second gave less, and more. kappa: of squared differences. chance: of a split as uneven
    as lower to higher between markers who are equally hard. stands_out: that is rare among all questions together.
    differing: the pupils.
    """

    question: Question
    place: int
    scripts: int
    same: int
    shift: Fraction
    lower: int
    higher: int
    kappa: Fraction | CannotTell
    chance: Fraction
    stands_out: bool
    differing: tuple[str, ...]

    @property
    def is_doubtful(self) -> bool:
        """Whether its kappa is low, of enough scripts."""
        return self.scripts >= ENOUGH and isinstance(self.kappa, Fraction) and self.kappa < GOOD_KAPPA

    @property
    def is_a_slip(self) -> bool:
        """Whether markers differ where only the key counts."""
        return bool(self.differing) and self.question.kind in WITHOUT_JUDGEMENT


@dataclass(frozen=True, slots=True)
class Script:
    """first, second: totals over the questions that both marked. most: their maximum. differing: the questions."""

    pupil: str
    first: Fraction
    second: Fraction
    most: int
    differing: tuple[str, ...]

    @property
    def apart(self) -> Fraction:
        """Marks by which the second total is above the first."""
        return self.second - self.first


@dataclass(frozen=True, slots=True)
class Decisions:
    """Who reaches a mark by both totals, by neither, by the first alone, by the second alone.

    scripts: those that are counted, with every question that is compared at all marked by both.
    """

    mark: int
    scripts: int
    both: int
    neither: int
    first: int
    second: int
    differing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Agreement:
    """Two markers.

    scripts: those that both marked, in the first one's order; alone: how many only the first marked, and only the
    second. compared, same: marks. shift, deviation: mean and sample standard deviation of differences of totals.
    error: standard error of one marker's total. within: totals may differ by so many marks; far: that
    differ more.
    """

    first: str
    second: str
    scripts: tuple[Script, ...]
    alone: tuple[int, int]
    compared: int
    same: int
    shift: Fraction
    deviation: Root | CannotTell
    error: Root | CannotTell
    correlation: Statistic
    within: Fraction
    far: tuple[Script, ...]
    questions: tuple[QuestionAgreement, ...]
    decisions: Decisions | None

    @property
    def shift_error(self) -> Root | CannotTell:
        """The standard error of the mean difference: s / sqrt(n)."""
        return self._by_scripts(1)

    @property
    def limits_error(self) -> Root | CannotTell:
        """That of either end of the limits of agreement: s * sqrt(3 / n). Source: Bland & Altman 1986 (from memory)."""
        return self._by_scripts(3)

    def _by_scripts(self, parts: int) -> Root | CannotTell:
        if isinstance(self.deviation, CannotTell):
            return self.deviation
        return Root(self.deviation.square * parts / len(self.scripts))


def agreement(
    questions: Sequence[Question],
    first: Marker,
    second: Marker,
    within: Fraction | None = None,
    pass_mark: int | None = None,
) -> Agreement | None:
    """How far two markers agree; None where no mark is from both.

    questions: by the places that marks speak of. within: marks by which totals may differ before a script is to be
    marked again; without it one in twenty of the marks compared, rounded down, at least 1 (house rule). pass_mark: from
    0; counted on scripts of which every question of the most complete one is compared.
    """
    shared = {
        pupil: [place for place in marks if place in second.marks[pupil]]
        for pupil, marks in first.marks.items()
        if pupil in second.marks
    }
    scripts = tuple(
        _script(questions, first, second, pupil, places) for pupil, places in shared.items() if places
    )
    if not scripts:
        return None
    pupils_at: dict[int, list[str]] = {}
    for pupil, places in shared.items():
        for place in places:
            pupils_at.setdefault(place, []).append(pupil)
    by_question = _with_those_that_stand_out(
        [_question(questions[place], place, first, second, pupils_at[place]) for place in sorted(pupils_at)]
    )
    apart = [script.apart for script in scripts]
    spread = variance(apart)
    most = max(script.most for script in scripts)
    reach = within if within is not None else Fraction(max(1, most // _OF_THE_MARKS))
    far = [script for script in scripts if abs(script.apart) > reach]
    return Agreement(
        first.name,
        second.name,
        scripts,
        (_alone(first, second), _alone(second, first)),
        sum(each.scripts for each in by_question),
        sum(each.same for each in by_question),
        mean(apart),
        spread if isinstance(spread, CannotTell) else Root(spread),
        spread if isinstance(spread, CannotTell) else Root(spread / 2),
        correlation([script.first for script in scripts], [script.second for script in scripts]),
        reach,
        tuple(sorted(far, key=lambda script: (-abs(script.apart), script.pupil))),
        by_question,
        None if pass_mark is None else _decisions(scripts, most, pass_mark),
    )


def _alone(marker: Marker, other: Marker) -> int:
    """How many scripts one marker has marked and the other has not."""
    return sum(1 for pupil, marks in marker.marks.items() if marks and not other.marks.get(pupil))


def _script(
    questions: Sequence[Question], first: Marker, second: Marker, pupil: str, places: Sequence[int]
) -> Script:
    one, other = first.marks[pupil], second.marks[pupil]
    return Script(
        first.names[pupil],
        added(one[place] for place in places),
        added(other[place] for place in places),
        sum(questions[place].maximum for place in places),
        tuple(questions[place].column for place in places if one[place] != other[place]),
    )


def _question(
    question: Question, place: int, first: Marker, second: Marker, pupils: Sequence[str]
) -> QuestionAgreement:
    """pupils: those of whom both have a mark there."""
    pairs = [(first.marks[pupil][place], second.marks[pupil][place]) for pupil in pupils]
    lower = sum(1 for one, other in pairs if other < one)
    higher = sum(1 for one, other in pairs if other > one)
    return QuestionAgreement(
        question,
        place,
        len(pairs),
        len(pairs) - lower - higher,
        mean([other - one for one, other in pairs]),
        lower,
        higher,
        weighted_kappa(pairs),
        sign_test(lower, higher),
        False,
        tuple(first.names[pupil] for pupil, (one, other) in zip(pupils, pairs, strict=True) if one != other),
    )


def weighted_kappa(pairs: Sequence[tuple[Fraction, Fraction]]) -> Fraction | CannotTell:
    """Cohen's kappa with squared differences as weights; of marks 0 and 1 it is his kappa of 1960.

    1 - D/E, where D is the mean squared difference of a pair, E that of every first mark with every second one: 1 where
    all agree, 0 where they do as marks dealt out at random would. Smallest n: 2; there is none where all marks are one.

    >>> pairs = [(1, 1)] * 20 + [(1, 0)] * 5 + [(0, 1)] * 10 + [(0, 0)] * 15
    >>> weighted_kappa([(Fraction(one), Fraction(other)) for one, other in pairs])
    Fraction(2, 5)
    """
    if len(pairs) < 2:
        return CannotTell("fewer than two scripts")
    firsts, seconds = [one for one, _ in pairs], [other for _, other in pairs]
    seen = mean([(one - other) ** 2 for one, other in pairs])
    by_chance = (
        mean([one**2 for one in firsts])
        + mean([other**2 for other in seconds])
        - 2 * mean(firsts) * mean(seconds)
    )
    if not by_chance:
        return CannotTell("both gave the same mark throughout")
    return 1 - seen / by_chance


def sign_test(lower: int, higher: int) -> Fraction:
    """How often markers who are equally hard differ at least so unevenly: both tails of the binomial with 1/2.

    >>> sign_test(1, 9), sign_test(0, 0)
    (Fraction(11, 512), Fraction(1, 1))
    """
    number = lower + higher
    tail = sum(comb(number, at) for at in range(min(lower, higher) + 1))
    return min(Fraction(1), Fraction(2 * tail, 2**number))


def _with_those_that_stand_out(found: Sequence[QuestionAgreement]) -> tuple[QuestionAgreement, ...]:
    """By Holm's procedure: of questions that markers take equally hard, any is told in one set of twenty."""
    by_chance = sorted((each.chance, place) for place, each in enumerate(found))
    sure: set[int] = set()
    for rank, (chance, place) in enumerate(by_chance):
        if chance * (len(found) - rank) > _BY_CHANCE:
            break
        sure.add(place)
    return tuple(replace(each, stands_out=place in sure) for place, each in enumerate(found))


def _decisions(scripts: Sequence[Script], most: int, mark: int) -> Decisions:
    whole = [script for script in scripts if script.most == most]
    reached = [(script.first >= mark, script.second >= mark) for script in whole]
    return Decisions(
        mark,
        len(whole),
        reached.count((True, True)),
        reached.count((False, False)),
        reached.count((True, False)),
        reached.count((False, True)),
        tuple(s.pupil for s, (one, other) in zip(whole, reached, strict=True) if one != other),
    )
