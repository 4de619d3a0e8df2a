"""Pupils as teachers see them: medians and contrasts worked out by hand and by counting; intervals as tables have them.

That between the 2nd and the 9th of ten values the median lies with 97.9 %, between the 6th and the 15th of twenty with
95.9 %, and between the ends of six with 96.9 %: tables of the sign test, as in Conover, Practical Nonparametric
Statistics (from memory).
"""

from __future__ import annotations

import statistics
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from itembank.analysis.exact import CannotTell, ranks, rounded
from itembank.standard_setting.by_pupils import Borderline, Contrast, Together, borderline, contrast

totals = st.lists(st.integers(0, 12).map(Fraction), min_size=1, max_size=12)


def whole(*numbers: int) -> list[Fraction]:
    return [Fraction(number) for number in numbers]


@given(totals)
def test_the_median_is_that_of_the_standard_library(values: list[Fraction]) -> None:
    found = borderline(values)

    assert isinstance(found, Borderline)
    assert statistics.median(values) == found.median
    assert len(values) == found.pupils


@pytest.mark.parametrize(
    ("pupils", "low", "high", "sure"),
    [(6, 1, 6, "96.9"), (10, 2, 9, "97.9"), (20, 6, 15, "95.9")],
)
def test_the_interval_is_that_of_the_tables(pupils: int, low: int, high: int, sure: str) -> None:
    found = borderline(whole(*range(1, pupils + 1)))

    assert isinstance(found, Borderline)
    assert (low, high) == (found.low, found.high)
    assert isinstance(found.sure, Fraction)
    assert sure == str(rounded(100 * found.sure, 1))


def test_of_five_pupils_no_interval_is_sure_enough() -> None:
    found = borderline(whole(3, 5, 4, 9, 1))

    assert isinstance(found, Borderline)
    assert (4, CannotTell("fewer than six pupils")) == (found.median, found.sure)


def test_the_contrast_worked_out_by_hand() -> None:
    """Below 3 4 6 7, above 6 8 9 10: from 8 on only the 6 above fails; from 7 on the 7 below passes, too."""
    found = contrast(whole(3, 4, 6, 7), whole(6, 8, 9, 10), 12)

    assert isinstance(found, Contrast)
    assert (8, (8,), 1) == (found.cut, found.ties, found.fewest)
    assert (1, 1) == (found.marks[7].below, found.marks[7].above)
    assert (2, 0) == (found.marks[6].below, found.marks[6].above)


def test_of_marks_that_are_as_good_the_middle_one_is_taken_and_all_are_told() -> None:
    found = contrast(whole(1, 3), whole(7, 9), 10)

    assert isinstance(found, Contrast)
    assert ((4, 5, 6, 7), 5, 0) == (found.ties, found.cut, found.fewest)


@given(totals, totals)
def test_no_mark_misplaces_fewer(below: list[Fraction], above: list[Fraction]) -> None:
    found = contrast(below, above, 12)

    assert isinstance(found, Contrast)
    wrong = [
        len([t for t in below if not t < mark]) + len([t for t in above if t < mark]) for mark in range(13)
    ]
    assert min(wrong) == found.fewest == wrong[found.cut]
    assert [mark for mark in range(13) if wrong[mark] == min(wrong)] == list(found.ties)


def test_judgements_are_held_against_totals_pair_by_pair() -> None:
    """Below 3 4 6 7, above 6 8 9 10: of 16 pairs 14 and one half, too few to be told from chance.

    Of 1 to 10 beside 11 to 20 all 100 pairs, U = 100 beside 50 with the variance 100 * 21 / 12 = 175 (z = 3.78).
    """
    cases = [
        (whole(3, 4, 6, 7), whole(6, 8, 9, 10), Fraction(29, 32), Together.NOT_TOLD),
        (whole(*range(1, 11)), whole(*range(11, 21)), Fraction(1), Together.SAME_WAY),
        (whole(*range(11, 21)), whole(*range(1, 11)), Fraction(0), Together.OTHER_WAY),
        (whole(*range(1, 21, 2)), whole(*range(2, 22, 2)), Fraction(55, 100), Together.NOT_TOLD),
        (whole(5, 5), whole(5, 5), Fraction(1, 2), Together.NOT_TOLD),
    ]
    for below, above, share, together in cases:
        found = contrast(below, above, 20)
        assert isinstance(found, Contrast)
        assert (share, together) == (found.higher, found.together)


@given(
    st.lists(st.integers(0, 6), min_size=2, max_size=9), st.lists(st.integers(0, 6), min_size=2, max_size=9)
)
def test_the_variance_of_pairs_is_that_of_ranks_dealt_out_at_random(
    below: list[int], above: list[int]
) -> None:
    """U less its mean is the sum of the ranks of one group less its own mean; a sample of m of N numbers without
    returning has the variance m (N - m) / (N - 1) times theirs."""
    found = contrast(whole(*below), whole(*above), 6)
    ranked = ranks(whole(*below, *above))
    n, number = len(above), len(ranked)
    centre = Fraction(number + 1, 2)
    spread = sum((rank - centre) ** 2 for rank in ranked) / number
    beyond = (sum(ranked[len(below) :]) - n * centre) ** 2 > Fraction("3.841459") * (
        spread * n * (number - n) / (number - 1)
    )

    assert isinstance(found, Contrast)
    assert beyond == (found.together is not Together.NOT_TOLD)


def test_without_pupils_of_a_kind_there_is_no_mark() -> None:
    assert isinstance(contrast([], whole(3), 5), CannotTell)
    assert isinstance(contrast(whole(3), [], 5), CannotTell)
    assert isinstance(borderline([]), CannotTell)
