"""Draws: every position once, no order preferred, nothing drawn that brute force would not find, and all it finds.

Bounds are exact and seeds are fixed, so a test that passes once passes always; each bound says how far from it a
fair order would be.
"""

from __future__ import annotations

from collections import Counter as Tally
from fractions import Fraction
from itertools import islice

import pytest

from itembank.generator.permutation import keyed
from itembank.generator.space import walk
from tests.quality.brute_force import allowed, feasible, template_of
from tests.quality.demo_bank import TEMPLATES, bound, slip_values

# ---- the order of a box -----------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", [0, 1, 2, 10**9])
def test_an_order_of_up_to_three_hundred_positions_holds_each_index_once(seed: int) -> None:
    for size in range(1, 301):
        order = keyed("monic-even-surd", seed, size)
        assert list(range(size)) == sorted(order.at(position) for position in range(size))


@pytest.mark.parametrize("size", [1_023, 1_024, 1_025, 32_769, 99_991, 131_072])
def test_a_larger_order_holds_each_index_once(size: int) -> None:
    order = keyed("non-monic-surd", 3, size)
    seen = bytearray(size)
    for position in range(size):
        seen[order.at(position)] += 1

    assert bytes([1]) * size == bytes(seen)


@pytest.mark.parametrize("size", [10**8, 2**40 + 1, 10**15, 10**30 + 57])
def test_a_vast_order_repeats_no_index_among_many_positions(size: int) -> None:
    order = keyed("wide", 1, size)
    positions = [*range(5_000), *range(size - 5_000, size), *range(0, size, size // 5_000 + 1)]
    indices = {order.at(position) for position in positions}

    assert len(set(positions)) == len(indices)
    assert min(indices) >= 0
    assert max(indices) < size


def test_the_order_is_the_same_on_any_machine() -> None:
    order = keyed("simplify-surd", 1, 12)

    assert [1, 2, 10, 0, 3, 6, 7, 4, 8, 11, 9, 5] == [order.at(position) for position in range(12)]


@pytest.mark.parametrize("size", [7, 31, 319, 3_100])
def test_seeds_and_template_names_give_different_orders(size: int) -> None:
    orders = {
        tuple(order.at(position) for position in range(size))
        for order in [
            *(keyed("equal-roots", seed, size) for seed in range(40)),
            *(keyed(name, 1, size) for name in TEMPLATES if name != "equal-roots"),
        ]
    }

    assert 40 + len(TEMPLATES) - 1 == len(orders)


# ---- evenness ---------------------------------------------------------------------------------------------


def unevenness(observed: list[int]) -> Fraction:
    """The sum of (observed - mean)^2 / mean: about the number of classes less one for a fair draw."""
    mean = Fraction(sum(observed), len(observed))
    return sum(((count - mean) ** 2 / mean for count in observed), Fraction(0))


def test_unevenness_is_large_for_a_preferred_class_and_zero_for_equal_ones() -> None:
    assert unevenness([100] * 10) == 0
    assert unevenness([200, *[100] * 9]) > 60


@pytest.mark.parametrize("size", [31, 45, 100])
def test_every_index_is_about_as_often_the_first(size: int) -> None:
    """size - 1 is the mean of a fair draw; its standard deviation is the root of 2*(size - 1)."""
    first = Tally(keyed("evenness", seed, size).at(0) for seed in range(100 * size))
    found = unevenness([first[index] for index in range(size)])

    assert (found - (size - 1)) ** 2 < 16 * 2 * size


@pytest.mark.parametrize("size", [160, 400, 1_700, 3_100, 10**9 + 20])
def test_the_first_positions_are_spread_over_the_whole_box(size: int) -> None:
    """20 equal stretches of the box, 30 first positions of 200 seeds: 300 in each, give or take."""
    observed = [0] * 20
    for seed in range(200):
        order = keyed("spread", seed, size)
        for position in range(30):
            observed[order.at(position) * 20 // size] += 1

    # 19 is the mean of a fair draw, 50 is passed once in ten thousand
    assert unevenness(observed) < 50
    assert 220 <= min(observed)
    assert max(observed) <= 380


@pytest.mark.parametrize("size", [360, 1_160, 10**9 + 5])
def test_the_second_position_does_not_follow_from_the_first(size: int) -> None:
    """5 x 5 stretches of the box for the two first positions of 5,000 seeds: 200 in each, give or take."""
    pairs: Tally[tuple[int, int]] = Tally()
    for seed in range(5_000):
        order = keyed("pairs", seed, size)
        pairs[order.at(0) * 5 // size, order.at(1) * 5 // size] += 1
    observed = [pairs[i, j] for i in range(5) for j in range(5)]

    # 24 is the mean of a fair draw, 60 is passed once in ten thousand
    assert unevenness(observed) < 60


@pytest.mark.parametrize("name", ["monic-even-surd", "vertex-form", "non-monic-surd", "kind-of-roots"])
def test_every_value_of_a_parameter_is_drawn_as_often_as_its_items_are_many(name: str) -> None:
    """First 20 items of 60 seeds against all items: no value is drawn less than half, or more than twice, as often."""
    ready = bound(name)
    everything = [drawn.draft.arguments for drawn in walk(ready, 1)]
    drawn = [each.draft.arguments for seed in range(2, 62) for each in islice(walk(ready, seed), 20)]
    for column in range(len(ready.parameters)):
        whole, part = (Tally(one[column] for one in some) for some in (everything, drawn))
        for value, times in whole.items():
            expected = Fraction(times * len(drawn), len(everything))
            if expected >= 20:
                assert expected / 2 < part[value] < 2 * expected


# ---- the walk against brute force -------------------------------------------------------------------------


@pytest.mark.parametrize("name", TEMPLATES)
def test_the_walk_finds_exactly_the_assignments_brute_force_finds(name: str) -> None:
    ready = bound(name)
    template = template_of(TEMPLATES[name])
    expected = {
        tuple(str(values[parameter]) for parameter in template["parameters"])
        for values in feasible(template, slip_values())
    }
    positions = list(walk(ready, 1))
    found = [tuple(map(str, drawn.draft.arguments)) for drawn in positions]

    assert len(found) == len(set(found))
    assert expected == set(found)
    assert sorted(drawn.position for drawn in positions) == [drawn.position for drawn in positions]


def test_brute_force_loses_an_assignment_whose_wrong_options_are_equal() -> None:
    template = template_of(TEMPLATES["simplify-surd"])

    assert 132 == sum(1 for _ in allowed(template))
    assert 131 == sum(1 for _ in feasible(template, slip_values()))


@pytest.mark.parametrize("name", TEMPLATES)
def test_a_longer_walk_begins_with_the_shorter_one(name: str) -> None:
    short, long = (
        [(drawn.position, drawn.draft.arguments) for drawn in islice(walk(bound(name), 5), count)]
        for count in (7, 20)
    )

    assert 7 == len(short)
    assert short == long[:7]


@pytest.mark.parametrize("name", TEMPLATES)
def test_two_seeds_draw_the_same_items_in_another_order(name: str) -> None:
    first, second = ([d.draft.arguments for d in walk(bound(name), seed)] for seed in (1, 2))

    assert sorted(first) == sorted(second)
    assert first != second
