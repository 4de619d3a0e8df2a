"""Figures that are exact until they are shown."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from itembank.analysis.exact import CannotTell, Root, correlation, logit, mean, ranks, rounded, variance
from itembank.errors import DomainError


@pytest.mark.parametrize(
    ("square", "bound", "expected"),
    [
        (Root(Fraction(4)), Fraction(2), False),
        (Root(Fraction(4)), Fraction(199, 100), True),
        (Root(Fraction(0)), Fraction(-1), True),
        (Root(Fraction(1, 4), True), Fraction(-1, 2), False),
        (Root(Fraction(1, 4), True), Fraction(-51, 100), True),
        (Root(Fraction(1, 4), True), Fraction(0), False),
    ],
)
def test_a_root_is_compared_by_its_square(square: Root, bound: Fraction, expected: bool) -> None:
    assert expected == square.exceeds(bound)


@pytest.mark.parametrize(
    ("value", "places", "expected"),
    [
        (Fraction(1, 3), 4, "0.3333"),
        (Fraction(5, 1000), 2, "0.01"),
        (Fraction(-5, 1000), 2, "-0.01"),
        (Fraction(-4, 1000), 2, "0.00"),
        (Fraction(12345), 0, "12345"),
        (Root(Fraction(9, 16)), 1, "0.8"),
        (Root(Fraction(9, 16), True), 1, "-0.8"),
        (Root(Fraction(10**40 + 1)), 0, str(10**20)),
    ],
)
def test_figures_round_to_the_nearest_and_halves_away_from_zero(
    value: Fraction | Root, places: int, expected: str
) -> None:
    assert Decimal(expected) == rounded(value, places)
    assert expected == str(rounded(value, places))


def test_what_does_not_exist_is_never_0() -> None:
    same = [Fraction(1)] * 5

    assert isinstance(correlation(same, [Fraction(n) for n in range(5)]), CannotTell)
    assert isinstance(correlation([Fraction(1), Fraction(2)], [Fraction(2), Fraction(1)]), CannotTell)
    assert isinstance(variance([Fraction(1)]), CannotTell)
    assert isinstance(logit(Fraction(0), 2), CannotTell)
    with pytest.raises(DomainError):
        mean([])


def test_equal_values_share_the_middle_of_their_places() -> None:
    assert [Fraction(2), Fraction(4), Fraction(2), Fraction(2)] == ranks([*map(Fraction, (1, 7, 1, 1))])
