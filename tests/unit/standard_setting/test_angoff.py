"""Angoff's method: a panel worked out by hand, the same figures by the standard library, and what rounds carry on.

Angoff 1971; Hambleton & Plake 1995 for several marks; Cizek & Bunch 2007 for the standard error (all from memory).
"""

from __future__ import annotations

import statistics
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from itembank.analysis.exact import CannotTell, Root, rounded
from itembank.standard_setting.angoff import Panel, Ratings, against_facility, rounds_of
from tests.analysis_samples import keys_of

MAXIMA = (1, 1, 2, 4)
BY_HAND = (("0.6", "0.5", "1", "2"), ("0.8", "0.3", "1.5", "3"), ("0.7", "0.4", "0.5", "2.5"))
"""Own cuts 4.1, 5.6 and 4.1; their mean 4.6, their variance (0.25 + 1 + 0.25) / 2 = 0.75, the error sqrt(0.25)."""


def ratings(*rows: tuple[str | None, ...]) -> Ratings:
    return tuple(tuple(None if cell is None else Fraction(cell) for cell in row) for row in rows)


def panel(*rounds: Ratings) -> Panel:
    judges = tuple("ABCDEFGH"[: len(rounds[0])])
    return Panel(keys_of(MAXIMA).questions, judges, rounds)


def test_the_panel_worked_out_by_hand() -> None:
    (found,) = rounds_of(panel(ratings(*BY_HAND)))

    assert Fraction("4.6") == found.cut
    assert [Fraction("4.1"), Fraction("5.6"), Fraction("4.1")] == [each.cut for each in found.judges]
    assert Root(Fraction("0.75")) == found.deviation
    assert Root(Fraction("0.25")) == found.error
    assert [Fraction("0.7"), Fraction("0.4"), Fraction(1), Fraction("2.5")] == [
        each.mean for each in found.items
    ]
    assert Root(Fraction("0.01")) == found.items[0].deviation
    assert Fraction(1, 2) == found.items[2].spread
    assert 8 == panel(ratings(*BY_HAND)).maximum


def test_a_chance_of_sixty_in_every_item_of_one_mark_is_sixty_per_cent_of_the_test() -> None:
    """The simplest case of Angoff's: probabilities are summed."""
    questions = keys_of([1] * 50).questions
    (found,) = rounds_of(Panel(questions, ("A",), (((Fraction("0.6"),) * 50,),)))

    assert 30 == found.cut
    assert isinstance(found.error, CannotTell)
    assert isinstance(found.items[0].deviation, CannotTell)


shares = st.fractions(0, 1, max_denominator=20)
panels = st.integers(2, 6).flatmap(
    lambda judges: st.lists(
        st.tuples(*(shares.map(lambda share, most=most: share * most) for most in MAXIMA)),
        min_size=judges,
        max_size=judges,
    )
)


@given(panels)
def test_the_cut_is_the_mean_of_the_judges_and_its_error_that_of_the_standard_library(
    rows: list[tuple[Fraction, ...]],
) -> None:
    own = [sum(row) for row in rows]
    (found,) = rounds_of(panel(tuple(rows)))

    assert statistics.mean(own) == found.cut
    assert isinstance(found.deviation, Root)
    assert isinstance(found.error, Root)
    assert statistics.variance(own) == found.deviation.square
    assert statistics.variance(own) / len(own) == found.error.square


def test_where_a_judge_writes_nothing_the_round_before_holds() -> None:
    first = ratings(*BY_HAND)
    second = ratings((None, None, None, "2.5"), (None, "0.4", None, "2.5"), (None, None, None, None))
    one, two = rounds_of(panel(first, second))

    # 4.6 and ((0.5) + (0.1 - 0.5) + 0) / 3 more
    assert (Fraction("4.6"), Fraction("4.6") + Fraction("0.1") / 3) == (one.cut, two.cut)
    assert [0, 0, 0] == [each.changed for each in one.judges]
    assert [1, 2, 0] == [each.changed for each in two.judges]


def test_a_missing_rating_leaves_the_mean_to_the_others_and_the_judge_without_a_cut() -> None:
    (found,) = rounds_of(panel(ratings((None, "0.5", "1", "2"), *BY_HAND[1:])))

    assert Fraction("0.75") + Fraction("0.4") + 1 + Fraction("2.5") == found.cut
    assert CannotTell("a rating is missing") == found.judges[0].cut
    assert isinstance(found.error, Root)
    assert Fraction("1.125") == found.deviation.square if isinstance(found.deviation, Root) else False
    assert 2 == found.items[0].raters


def test_without_a_rating_of_a_question_there_is_no_cut() -> None:
    (found,) = rounds_of(panel(ratings((None, "0.5", "1", "2"), (None, "0.3", "1", "2"))))

    assert CannotTell("a question has no rating") == found.cut
    assert CannotTell("nobody rated it") == found.items[0].mean


@pytest.mark.parametrize(
    ("rated", "told"),
    [
        (("0.2", "0.4", "0.6", "0.8"), "1.000"),
        (("0.8", "0.6", "0.4", "0.2"), "-1.000"),
        (("0.4", "0.2", "0.8", "0.6"), "0.600"),  # ranks 2 1 4 3: 1 - 6 * 4 / (4 * 15)
    ],
)
def test_a_judge_who_rates_against_the_order_of_difficulty(rated: tuple[str, ...], told: str) -> None:
    facilities = [Fraction(number, 5) for number in (1, 2, 3, 4)]
    found = against_facility([Fraction(each) for each in rated], facilities)

    assert isinstance(found, Root)
    assert told == str(rounded(found, 3))


def test_questions_without_a_rating_or_a_facility_are_in_no_correlation() -> None:
    facilities = [Fraction(1, 2), CannotTell("nobody took it"), Fraction(1, 3)]

    assert CannotTell("fewer than three pairs") == against_facility(
        [Fraction(1), Fraction(1), None], facilities
    )
