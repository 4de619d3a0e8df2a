"""Figures of questions, counted by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from itembank.analysis.analysis import analyse
from itembank.analysis.exact import CannotTell, Root, rounded
from itembank.analysis.item_statistics import facility, item_figures, rest_pairs, upper_lower_index
from itembank.analysis.keys import Keys, Question
from itembank.analysis.responses import BLANK, Answer, Record, State, combine
from itembank.errors import Span
from tests.analysis_samples import results_of


def test_a_facility_is_the_mean_mark_by_the_maximum() -> None:
    assert Fraction(5, 12) == facility([*map(Fraction, (3, 2, 0, 0))], 3)
    assert isinstance(facility([], 3), CannotTell)


def test_an_item_is_held_against_the_others_alone() -> None:
    results = results_of([[1, 2, 0], [0, 1, 1], [1, 0, 0], [0, 2, 1]], [1, 2, 1])

    pairs = rest_pairs(results, (0,))

    assert [(1, Fraction(2, 3)), (0, Fraction(2, 3)), (1, 0), (0, 1)] == pairs


def test_an_item_that_works_against_the_others_has_a_negative_discrimination() -> None:
    results = results_of([[1, 0, 0], [1, 0, 1], [0, 1, 1], [0, 1, 1]])

    found = item_figures(results, (0,), "ITEM00").discrimination

    assert isinstance(found, Root)
    assert "-0.90" == str(rounded(found, 2))  # rests 0, 1/2, 1, 1 against 1, 1, 0, 0: -3/4 / sqrt(1 * 11/16)


def test_who_did_not_reach_a_question_enters_none_of_its_figures() -> None:
    keys = Keys("", results_of([[1, 1]], [2, 1]).questions)
    answers = [
        {0: Answer(State.ANSWERED, Fraction(2)), 1: BLANK},
        {0: BLANK, 1: Answer(State.ANSWERED, Fraction(1))},
        {0: Answer(State.ANSWERED, Fraction(1)), 1: Answer(State.ANSWERED, Fraction(0))},
    ]
    results = combine(keys, [Record(f"p{n}", Span("m", n, 1), a, (0, 1)) for n, a in enumerate(answers)])

    first, second = (item_figures(results, (place,), "") for place in (0, 1))

    assert (3, 1, 0) == (first.taken, first.omitted, first.not_reached)
    assert Fraction(3, 6) == first.facility
    assert (2, 0, 1) == (second.taken, second.omitted, second.not_reached)
    assert Fraction(1, 2) == second.facility


def test_groups_of_27_per_cent_share_pupils_who_are_equal_at_the_border() -> None:
    # 20 pupils, 5.4 in a group: below, 5 of rank 0 to 4 and 2/5 of the one at 5; above, the last 5 and 2/5 of one
    pairs = [(Fraction(n % 2), Fraction(n, 20)) for n in range(20)]
    lower = (2 + Fraction(2, 5)) / Fraction(27, 5)  # 1 and 3 right, and part of 5
    upper = 3 / Fraction(27, 5)  # 15, 17 and 19 right; the one at 14 is wrong

    assert upper - lower == upper_lower_index(pairs, 1)


def test_groups_that_cannot_be_told_apart_say_so() -> None:
    alike = [(Fraction(n % 2), Fraction(1, 2)) for n in range(30)]

    assert CannotTell("too many pupils have equal totals") == upper_lower_index(alike, 1)
    assert CannotTell("fewer than 20 pupils") == upper_lower_index(alike[:19], 1)


def test_parts_of_an_item_are_not_each_others_rest() -> None:
    questions = (
        Question("ITEM", "a", "t", "T", 1, "entry", parts=2),
        Question("ITEM", "b", "t", "T", 2, "entry", parts=2),
        Question("OTHER", "", "t", "T", 1, "entry"),
    )
    rows = [(1, 2, 1), (0, 1, 0), (1, 0, 0)]
    records = [
        Record(
            f"p{n}",
            Span("m", n, 1),
            {at: Answer(State.ANSWERED, Fraction(m)) for at, m in enumerate(row)},
            (0, 1, 2),
        )
        for n, row in enumerate(rows)
    ]
    found = analyse(combine(Keys("", questions), records))

    assert [(1, 1), (0, 0), (1, 0)] == rest_pairs(found.results, (0,))
    assert ["ITEMa", "ITEMb", "OTHER"] == [each.name for each in found.questions]
    (item,) = found.items
    assert ("ITEM", 3, Fraction(5, 9)) == (item.name, item.maximum, item.facility)
    assert 2 == found.whole.items


@pytest.mark.parametrize("rows", [[[1, 0]], [[1, 1], [1, 1], [1, 1]], [[1], [0], [1]]])
def test_what_small_or_uniform_classes_cannot_tell_says_why(rows: list[list[int]]) -> None:
    found = analyse(results_of(rows))

    assert all(isinstance(each.discrimination, CannotTell) for each in found.questions)
    assert isinstance(found.whole.alpha, CannotTell)
    assert isinstance(found.whole.standard_error, CannotTell)
    assert isinstance(found.predicted.agreement, CannotTell)
