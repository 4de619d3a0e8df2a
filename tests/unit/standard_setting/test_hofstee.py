"""Hofstee's compromise: an example worked out by hand, and the crossing found again on a fine grid.

Hofstee 1983; Cizek & Bunch 2007 (both from memory).
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from itembank.analysis.exact import CannotTell
from itembank.standard_setting.hofstee import Acceptable, compromise

TEN = [Fraction(total) for total in (2, 3, 4, 5, 5, 6, 7, 8, 9, 10)]


def accepted(*limits: str) -> Acceptable:
    return Acceptable("A", *map(Fraction, limits))


def test_the_compromise_worked_out_by_hand() -> None:
    """From (4, 0.5) to (8, 0.1) the line falls by 0.1 a mark. Up to 5 marks 0.3 of ten fail, and the line is at 0.4;
    just above 5 it is 0.5: the line is crossed at 5."""
    found = compromise([accepted("4", "8", "0.1", "0.5")], TEN)

    assert 5 == found.cut


def test_between_two_totals_the_line_is_met_where_it_has_come_down_to_the_share() -> None:
    """0.2 of ten fail from just above 3 to 4 marks, 0.3 from there to 5; of two judges the means draw the line."""
    one, two = accepted("2", "6", "0", "0.3"), accepted("4", "8", "0", "0.4")
    found = compromise([one, two], TEN)

    # from (3, 0.35) to (7, 0): at 4 it is 0.2625, above 0.2 and below 0.3
    assert (3, 7, 0, Fraction("0.35")) == (found.least_cut, found.most_cut, found.least_fail, found.most_fail)
    assert 4 == found.cut
    # from (3, 0.25) to (7, 0): at 3 + 4 * 0.05 / 0.25 = 3.8 it has come down to 0.2
    assert Fraction("3.8") == compromise([accepted("3", "7", "0", "0.25")], TEN).cut


@given(
    st.lists(st.integers(0, 12), min_size=1, max_size=10),
    st.tuples(st.integers(0, 12), st.integers(0, 12)),
    st.tuples(st.integers(0, 10), st.integers(0, 10)),
)
def test_on_a_fine_grid_the_line_is_crossed_at_the_same_place(
    values: list[int], cuts: tuple[int, int], fails: tuple[int, int]
) -> None:
    (least, most), (low, high) = sorted(cuts), (Fraction(each, 10) for each in sorted(fails))
    found = compromise(
        [Acceptable("A", Fraction(least), Fraction(most), low, high)], [*map(Fraction, values)]
    )

    def failing(mark: Fraction) -> Fraction:
        return Fraction(len([value for value in values if value < mark]), len(values))

    if failing(Fraction(least)) > high or failing(Fraction(most)) < low:
        assert isinstance(found.cut, CannotTell)
    elif least < most:
        grid = [least + Fraction((most - least) * step, 240) for step in range(241)]
        crossed = [c for c in grid if failing(c) >= high - (high - low) * (c - least) / (most - least)]
        assert isinstance(found.cut, Fraction)
        assert abs(crossed[0] - found.cut) <= Fraction(most - least, 240)
    else:
        assert least == found.cut


@pytest.mark.parametrize(
    ("limits", "reason"),
    [
        (("9", "10", "0", "0.2"), "more fail at the least acceptable mark than may"),
        (("1", "2", "0.4", "0.6"), "fewer fail at the most acceptable mark than should"),
    ],
)
def test_where_judges_accept_nothing_that_pupils_allow_there_is_no_cut(
    limits: tuple[str, ...], reason: str
) -> None:
    assert CannotTell(reason) == compromise([accepted(*limits)], TEN).cut


def test_without_totals_there_is_no_cut() -> None:
    assert CannotTell("nobody's total can be compared") == compromise([accepted("1", "2", "0", "1")], []).cut
