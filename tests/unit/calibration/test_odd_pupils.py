"""Pupils whose answers are odd: chances held against all ways written out, and how often sound pupils are told."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from itertools import product
from math import comb, exp, isclose

import pytest

from itembank.calibration.conditional import estimate, groups
from itembank.calibration.odd_pupils import SELDOM, OddPupil, OddPupils, odd_pupils

Weights = Mapping[int, Mapping[int, Decimal]]


def right_or_wrong(difficulties: Sequence[float]) -> Weights:
    return {
        item: {0: Decimal(0), 1: Decimal(str(-difficulty))} for item, difficulty in enumerate(difficulties)
    }


def written_out(weights: Weights, scores: Mapping[int, int]) -> float:
    """The share of ways to the same total, each by its weight, that are as likely or less so: all of them, one by one.

    Likelihoods are compared in tenths of a logit for each answer, as they are in the house.
    """
    items = sorted(scores)

    def tenths(way: Sequence[int]) -> int:
        return sum(round(weights[item][score] * 10) for item, score in zip(items, way, strict=True))

    mine = [scores[item] for item in items]
    ways = [way for way in product(*(weights[item] for item in items)) if sum(way) == sum(mine)]
    weigh = [exp(sum(float(weights[i][s]) for i, s in zip(items, way, strict=True))) for way in ways]
    odder = [each for way, each in zip(ways, weigh, strict=True) if tenths(way) <= tenths(mine)]
    return sum(odder) / sum(weigh)


def test_chances_are_those_of_all_ways_to_the_same_total() -> None:
    draw = random.Random(11)
    weights: dict[int, dict[int, Decimal]] = {}
    for item in range(7):
        steps = [draw.gauss(0, 1.5) for _ in range(1 + item % 3)]
        scores = range(0, 2 * len(steps) + 1, 2) if item == 5 else range(len(steps) + 1)
        weights[item] = {score: Decimal(f"{sum(steps[:at]):.4f}") for at, score in enumerate(scores)}
    pupils = {
        number: {item: draw.choice(list(of)) for item, of in weights.items() if draw.random() < 0.9}
        for number in range(400)
    }

    found = odd_pupils(pupils, weights)

    odd = {each.pupil: each for each in found.odd}
    assert len(odd) > 20
    for number, scores in pupils.items():
        expected = written_out(weights, scores) if len(scores) > 1 else 1.0
        assert (number in odd) == (expected <= 0.01)
        if number in odd:
            assert isclose(expected, float(odd[number].chance), rel_tol=1e-9)
            assert sum(scores.values()) == odd[number].score
    assert sorted(each.chance for each in found.odd) == [each.chance for each in found.odd]


@pytest.mark.parametrize(
    ("spread", "guessing", "most"), [(0, 0, 65), (0.4, 0, 65), (0, 0.25, 80), (0.4, 0.25, 80)]
)
def test_of_sound_pupils_about_one_in_a_hundred_is_told(spread: float, guessing: float, most: int) -> None:
    """Also where items tell pupils apart more and less sharply than the model has it, and all is guessed one in four.

    Seeds are fixed. Of 4000 pupils 40 are to be expected; 65 are four standard errors beyond, 80 are one in fifty.
    """
    draw = random.Random(f"{spread} {guessing}")
    difficulties = [-2 + 4 * item / 15 for item in range(16)]
    sharp = [exp(draw.gauss(0, spread)) for _ in difficulties]
    pupils = {}
    for number in range(4000):
        ability = draw.gauss(0, 1)
        chances = [1 / (1 + exp(a * (b - ability))) for a, b in zip(sharp, difficulties, strict=True)]
        pupils[number] = {
            item: int(draw.random() < guessing + (1 - guessing) * chance)
            for item, chance in enumerate(chances)
        }
    weights = estimate(groups([pupils[number] for number in range(400)])).weights

    found = odd_pupils(pupils, weights)

    assert found.looked_at > 3500
    assert found.looked_at * SELDOM == found.expected
    assert 5 < len(found.odd) < most, "whom chance has is told, too"


def test_who_gets_the_hard_ones_and_misses_the_easy_ones_is_told_with_where_it_shows() -> None:
    weights = right_or_wrong([-2, -2, -1.5, -1, -0.5, 0, 0.5, 1, 1.5, 2, 2])
    upside_down = {item: int(item > 6) for item in range(11)}
    as_expected = {item: int(item < 4) for item in range(11)}

    (odd,) = odd_pupils({4: as_expected, 7: upside_down}, weights).odd

    assert (7, 4, 11) == (odd.pupil, odd.score, odd.most)
    assert odd.chance < Decimal("0.0001")
    assert ({0, 1, 2}, {8, 9, 10}) == (set(odd.less), set(odd.more))


@pytest.mark.parametrize(
    "scores",
    [
        dict.fromkeys(range(8), 1),
        dict.fromkeys(range(8), 0),
        {0: 1, 7: 0},
        {0: 1},
        {20: 1, 21: 0, 22: 1},
    ],
)
def test_of_whom_nothing_can_be_odd_nobody_is_looked_at(scores: dict[int, int]) -> None:
    found = odd_pupils({0: scores}, right_or_wrong([-2, -2, -2, -2, 2, 2, 2, 2]))

    assert (0, ()) == (found.looked_at, found.odd)


def test_items_that_are_equally_hard_leave_nothing_to_be_odd() -> None:
    found = odd_pupils({0: {item: item % 2 for item in range(12)}}, right_or_wrong([0.5] * 12))

    assert 0 == found.looked_at


@pytest.mark.parametrize(("odd", "are_many"), [(0, False), (6, False), (7, True), (20, True)])
def test_that_there_are_many_is_told_where_chance_has_so_many_less_than_once_in_twenty_times(
    odd: int, are_many: bool
) -> None:
    """Of 300 pupils: P(6 or more) = 0.083 and P(7 or more) = 0.033, by the binomial distribution."""
    one = OddPupil(0, 1, 2, Decimal("0.01"), (), ())
    beyond = sum(
        comb(300, k) * Fraction(1, 100) ** k * Fraction(99, 100) ** (300 - k) for k in range(odd, 301)
    )

    assert are_many is (beyond <= Fraction(1, 20))
    assert are_many is OddPupils(300, (one,) * odd).are_many
