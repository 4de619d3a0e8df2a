"""Groups of pupils beside each other: how they did in all, and questions that were harder for one at equal totals."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Final

from itembank.analysis.exact import CannotTell, Root, added, mean
from itembank.analysis.reliability import deviation
from itembank.analysis.responses import Results, Sitting
from itembank.analysis.two_groups import (
    Likelihoods,
    Shift,
    Size,
    Stratum,
    chance,
    likelihoods,
    shift,
    size_of,
)

__all__ = [
    "ENOUGH",
    "FEWEST",
    "OTHERS",
    "Difference",
    "GroupFigures",
    "Groups",
    "differences",
    "group_figures",
]

Groups = Mapping[str, str]
"""The name of a pupil, in small letters and with single blanks -> the group."""
FEWEST: Final = 30
"""Pupils below which a group is not compared (house rule)."""
ENOUGH: Final = 200
"""Pupils of the smaller side below which a difference is told with a reservation. Source: Zwick 2012, ETS Research
Report 12-08 (from memory)."""
OTHERS: Final = "all others"
_IN_ALL: Final = Decimal("0.05")
"""How often a set of differences may hold one that is told and is none."""


@dataclass(frozen=True, slots=True)
class GroupFigures:
    """A group as a whole. mean, deviation: of the shares of the marks that each pupil could get."""

    group: str
    pupils: int
    mean: Fraction
    deviation: Root | CannotTell


@dataclass(frozen=True, slots=True)
class Difference:
    """An item in the hands of a group, beside others with the same totals.

    code: of the item; name: as its figures are called. others: the group it is compared with, or OTHERS. odds: of
    items of one mark. stands_out: whether it is large, and of few pupils also more than chance makes among all the
    differences that are looked at.
    """

    code: str
    name: str
    template: str
    maximum: int
    group: str
    others: str
    shift: Shift
    odds: Likelihoods | CannotTell
    size: Size
    stands_out: bool = False

    @property
    def is_of_few(self) -> bool:
        """Whether a side has fewer pupils than a difference should rest on."""
        return min(self.shift.pupils, self.shift.others) < ENOUGH


def group_figures(results: Results, groups: Groups) -> tuple[GroupFigures, ...]:
    """Each group, by name. Pupils without a group are in none."""
    found = []
    for group, members in sorted(_members(results, groups).items()):
        shares = [results.shares[number] for number in members]
        found.append(GroupFigures(group, len(members), mean(shares), deviation(shares)))
    return tuple(found)


def differences(results: Results, groups: Groups) -> tuple[Difference, ...]:
    """Every item for every group that is large enough, the largest shift first.

    Of two groups the smaller is held against the larger, of more each against all others. Pupils are equal where they
    had the same questions and the same total, in which the item counts too; what was found to differ much does not
    count in the totals of other items, for it would shift these the other way (both Holland & Thayer 1988, from
    memory). Who did not reach an item is left out there.

    Of few pupils, among many items one or two look large by chance: a simulation of 16 fair items and two groups of 40
    had one in two tests of five. There it also has to hold by Holm's procedure over all that are looked at, which errs
    in one set of twenty (Holm 1979, Scandinavian Journal of Statistics 6, 65-70; from memory).
    """
    members = {group: found for group, found in _members(results, groups).items() if len(found) >= FEWEST}
    told = _with_those_that_stand_out([each for pair in _pairs(members) for each in _twice(results, pair)])
    return tuple(sorted(told, key=lambda each: (-each.shift.ratio, each.name, each.group)))


def _with_those_that_stand_out(found: Sequence[Difference]) -> list[Difference]:
    by_chance = sorted((chance(each.shift, each.odds), place) for place, each in enumerate(found))
    sure: set[int] = set()
    for rank, (how_often, place) in enumerate(by_chance):
        if how_often * (len(found) - rank) > _IN_ALL:
            break
        sure.add(place)
    return [
        replace(each, stands_out=each.size is Size.LARGE and (not each.is_of_few or place in sure))
        for place, each in enumerate(found)
    ]


def _members(results: Results, groups: Groups) -> dict[str, list[int]]:
    """The numbers of the sittings of each group."""
    members: dict[str, list[int]] = {}
    for number, sitting in enumerate(results.sittings):
        group = groups.get(" ".join(sitting.pupil.split()).casefold())
        if group is not None:
            members.setdefault(group, []).append(number)
    return members


_Pair = tuple[str, Sequence[int], str, Sequence[int]]


def _pairs(members: Mapping[str, list[int]]) -> Iterator[_Pair]:
    names = sorted(members)
    if len(names) == 2:
        smaller, larger = sorted(names, key=lambda name: (len(members[name]), name))
        yield smaller, members[smaller], larger, members[larger]
    elif len(names) > 2:
        for name in names:
            others = [number for other in names if other != name for number in members[other]]
            yield name, members[name], OTHERS, others


def _twice(results: Results, pair: _Pair) -> list[Difference]:
    first = list(_compared(results, pair, frozenset()))
    items = results.items
    large = [each.code for each in first if each.size is Size.LARGE]
    if not large or 2 * len(large) > len(items):
        return first
    return list(_compared(results, pair, frozenset(place for code in large for place in items[code])))


def _compared(results: Results, pair: _Pair, not_matched: frozenset[int]) -> Iterator[Difference]:
    """not_matched: places of questions that count in the totals of their own item only."""
    group, mine, name, others = pair
    side_of = {number: side for side, numbers in enumerate((mine, others)) for number in numbers}
    totals: dict[int, tuple[int, Fraction]] = {}
    same: dict[frozenset[int], int] = {}
    for number in side_of:
        had, total = _total(results.sittings[number], not_matched)
        totals[number] = same.setdefault(had, len(same)), total
    for code, places in results.items.items():
        questions = [results.questions[place] for place in places]
        maximum = sum(question.maximum for question in questions)
        by_total: dict[object, tuple[list[Fraction], list[Fraction]]] = {}
        for number in results.given(places):
            if number not in side_of:
                continue
            marks = [_mark(results.sittings[number], place) for place in places]
            if None not in marks:
                questions_had, total = totals[number]
                earned = added(marks)
                # all parts of the item count here, so that pupils with the same others have the same questions
                total += earned if not_matched.issuperset(places) else 0
                by_total.setdefault((questions_had, total), ([], []))[side_of[number]].append(earned)
        strata = [Stratum(*sides) for sides in by_total.values()]
        found = shift(strata)
        if isinstance(found, CannotTell):
            continue
        is_right_or_wrong = maximum == 1 and all(
            mark in (0, 1) for stratum in strata for side in stratum for mark in side
        )
        odds = likelihoods(strata) if is_right_or_wrong else CannotTell("not right or wrong")
        column = questions[0].column if len(questions) == 1 else code
        yield Difference(
            code, column, questions[0].template, maximum, group, name, found, odds, size_of(found, odds)
        )


def _mark(sitting: Sitting, place: int) -> Fraction | None:
    """What was earned at a question that was reached and marked."""
    answer = sitting.answer(place)
    return answer.mark if answer.is_reached else None


def _total(sitting: Sitting, not_matched: frozenset[int]) -> tuple[frozenset[int], Fraction]:
    """The questions that count in the total of a pupil, and the total."""
    marks = {
        place: answer.mark
        for place, answer in sitting.answers.items()
        if answer.mark is not None and place not in not_matched
    }
    return frozenset(marks), added(marks.values())
