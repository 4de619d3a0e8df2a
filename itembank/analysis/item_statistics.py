"""Figures of a question, or of a whole item with several: how hard it was, and whether it tells strong from weak."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from itembank.analysis.exact import CannotTell, Root, Statistic, added, correlation, mean
from itembank.analysis.keys import Question
from itembank.analysis.responses import Results, Sitting, State

__all__ = ["GROUP", "ItemFigures", "facility", "item_figures", "rest_pairs", "upper_lower_index"]

GROUP: Final = Fraction(27, 100)
"""The share of pupils in each of the two groups. Source: Kelley 1939 (from memory): of two groups at the ends of a
normal distribution these differ most surely for their size."""
FEWEST_IN_GROUPS: Final = 20
"""Pupils below which groups of 27 % say nothing (house rule: five in each)."""


@dataclass(frozen=True, slots=True)
class ItemFigures:
    """What is told of a question or item. name: the code, with the part's letter for a question.

    taken: pupils who answered or omitted it, `omitted` of these left it out; not_reached, not_given, unmarked: those
    who enter none of the figures. printed: its number in the paper or in each version, "" where there is none.
    """

    name: str
    template: str
    title: str
    maximum: int
    taken: int
    omitted: int
    not_reached: int
    not_given: int
    unmarked: int
    facility: Statistic
    discrimination: Root | CannotTell
    upper_lower: Statistic
    difficulty: int | None = None
    printed: str = ""


def item_figures(results: Results, places: tuple[int, ...], name: str) -> ItemFigures:
    """The figures of the question, or of the questions of one item taken together.

    places: of one item's questions, one or several; name: how it is called.
    """
    questions = [results.questions[place] for place in places]
    maximum = sum(question.maximum for question in questions)
    given = results.given(places)
    states = [_state(results.sittings[number], places) for number in given]
    taking = [number for number, state in zip(given, states, strict=True) if state in _TAKEN]
    marks = [_mark(results.sittings[number], places) for number in taking]
    return ItemFigures(
        name,
        questions[0].template,
        questions[0].title,
        maximum,
        len(taking),
        states.count(State.OMITTED),
        states.count(State.NOT_REACHED),
        states.count(State.NOT_GIVEN) + len(results.sittings) - len(given),
        states.count(State.UNMARKED),
        facility(marks, maximum),
        _discrimination(rest_pairs(results, places)),
        upper_lower_index([(mark, results.standings[n]) for mark, n in zip(marks, taking, strict=True)], maximum),
        questions[0].difficulty,
        _printed(questions),
    )  # fmt: skip


def _printed(questions: Sequence[Question]) -> str:
    """The number of one question, or of the item that several are parts of, without their letters."""
    printed = questions[0].printed
    return printed if len(questions) == 1 else re.sub(r"\([a-z]+\)", "", printed)


_NOTHING: Final = Fraction(0)
_TAKEN: Final = (State.ANSWERED, State.OMITTED)


def _state(sitting: Sitting, places: Sequence[int]) -> State:
    """Of several questions: unmarked or not given where one of them is, reached where one of them is."""
    if len(places) == 1:
        return sitting.answer(places[0]).state
    states = {sitting.answer(place).state for place in places}
    order = (State.UNMARKED, State.NOT_GIVEN, State.ANSWERED, State.OMITTED, State.NOT_REACHED)
    return next(state for state in order if state in states)


def _mark(sitting: Sitting, places: Sequence[int]) -> Fraction:
    marks = [sitting.answer(place).mark for place in places]
    return marks[0] or _NOTHING if len(marks) == 1 else added(marks)


def facility(marks: Sequence[Fraction], maximum: int) -> Fraction | CannotTell:
    """The mean mark by the maximum, 0 (nobody earned any) to 1: p = sum(x) / (n * max).

    marks: of those who took it; what was omitted counts as 0, what was not reached is left out. Smallest n: 1.
    For marks of 0 or 1 it is the share of right answers. Source: Crocker & Algina 1986, chapter 14 (from memory).

    >>> facility([Fraction(2), Fraction(0), Fraction(1)], 2)
    Fraction(1, 2)
    """
    return mean(marks) / maximum if marks else CannotTell("nobody took it")


def _discrimination(pairs: Sequence[tuple[Fraction, Fraction]]) -> Root | CannotTell:
    found = correlation([mark for mark, _ in pairs], [rest for _, rest in pairs])
    if isinstance(found, CannotTell) and len(pairs) > 2:
        is_here = len({mark for mark, _ in pairs}) == 1
        return CannotTell("all earned the same there" if is_here else "all earned the same elsewhere")
    return found


def rest_pairs(results: Results, places: tuple[int, ...]) -> list[tuple[Fraction, Fraction]]:
    """(mark, rest) of each pupil who took an item: the rest is the share of marks in all other items.

    Correlated, they give the corrected item-total correlation r(x, t - x): an item is not held against itself, and
    nor are the other parts of its own item, which lean on each other. Where all were given the same questions the share
    is the total without the item, on another scale, which changes no correlation. What was omitted counts as 0; who
    did not reach it is left out. Source: Crocker & Algina 1986, chapter 14; Henrysson 1963 (from memory).
    """
    siblings = results.items[results.questions[places[0]].code]
    pairs = []
    for number in results.given(places):
        sitting = results.sittings[number]
        if _state(sitting, places) in _TAKEN:
            rest = results.share(sitting, siblings)
            if rest is not None:
                pairs.append((_mark(sitting, places), rest))
    return pairs


def upper_lower_index(
    pairs: Sequence[tuple[Fraction, Fraction | int]], maximum: int
) -> Fraction | CannotTell:
    """D = p(upper) - p(lower): the facility in the strongest 27 % less that in the weakest 27 %, -1 to 1.

    pairs: (mark, share of all marks, or what orders pupils likewise) of those who took it. Each group has 27 % of n to
    the fraction; pupils who are equal at its border belong to it by equal parts, so that the order of pupils changes
    nothing. Smallest n: 20.
    Undefined where both borders fall among equal pupils. Source: Kelley 1939; Ebel & Frisbie 1991 (from memory).

    >>> upper_lower_index([(Fraction(n > 9), Fraction(n, 20)) for n in range(20)], 1)
    Fraction(1, 1)
    """
    if len(pairs) < FEWEST_IN_GROUPS:
        return CannotTell(f"fewer than {FEWEST_IN_GROUPS} pupils")
    size = GROUP * len(pairs)
    low, low_border = _of_weakest([(share, mark) for mark, share in pairs], size)
    high, high_border = _of_weakest([(-share, mark) for mark, share in pairs], size)
    if low_border == -high_border:
        return CannotTell("too many pupils have equal totals")
    return (high - low) / (size * maximum)


def _of_weakest(
    pairs: Sequence[tuple[Fraction | int, Fraction]], size: Fraction
) -> tuple[Fraction, Fraction | int]:
    """The marks of the `size` pupils with the smallest shares, and the share at the border."""
    equal: dict[Fraction | int, list[Fraction]] = {}
    for share, mark in pairs:
        equal.setdefault(share, []).append(mark)
    left, total = size, Fraction(0)
    border: Fraction | int = 0
    for border in sorted(equal):
        inside = min(left, Fraction(len(equal[border])))
        total += inside * mean(equal[border])
        left -= inside
        if not left:
            break
    return total, border
