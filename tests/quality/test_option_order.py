"""The place of the key gives nothing away: options are shuffled by the item's address; numbers alone ascend."""

from __future__ import annotations

from collections import Counter as Tally
from fractions import Fraction
from itertools import pairwise, permutations
from pathlib import Path

import pytest

from itembank.build.staff_text import plain_text
from itembank.content import Content
from itembank.expressions.display import Maths
from itembank.expressions.spelling import plain
from itembank.generator.distractors import ascending, printed_order
from itembank.items import ChoiceResponse, Item
from tests.quality.demo_bank import bound, changed, items

SHUFFLED = ["monic-even-surd", "non-monic-surd", "real-or-not", "simplify-surd", "vertex-form-leading"]


def choice(item: Item) -> ChoiceResponse:
    response = item.parts[0].response
    assert isinstance(response, ChoiceResponse)
    return response


def test_four_options_come_in_every_order_about_as_often() -> None:
    """24 orders of 2,400 addresses: 100 each with a standard deviation of 10."""
    orders = Tally(tuple(printed_order(f"even/1/1/{position}", 4)) for position in range(2_400))

    assert set(permutations(range(4))) == set(orders)
    assert all(60 <= times <= 140 for times in orders.values())


@pytest.mark.parametrize("count", range(1, 9))
def test_every_option_is_printed_once(count: int) -> None:
    for position in range(200):
        assert list(range(count)) == sorted(printed_order(f"once/1/1/{position}", count))


def test_the_key_stands_at_each_letter_in_about_a_quarter_of_a_thousand_items() -> None:
    """250 each with a standard deviation of 14: no letter below 200 or above 300."""
    letters = Tally(choice(item).key.identifier for item in items(bound("non-monic-surd"), 1, 1_000))

    assert 1_000 == letters.total()
    assert {"A", "B", "C", "D"} == set(letters)
    assert all(200 <= times <= 300 for times in letters.values())


@pytest.mark.parametrize("name", SHUFFLED)
def test_the_keys_of_a_shuffled_template_are_spread_over_all_letters(name: str) -> None:
    """Of n items a letter has n/4 keys, give or take four standard deviations of sqrt(3n/16)."""
    letters = Tally(choice(item).key.identifier for item in items(bound(name), 1))
    n = letters.total()

    assert n >= 100
    assert {"A", "B", "C", "D"} == set(letters)
    assert all((times - Fraction(n, 4)) ** 2 <= 16 * Fraction(3 * n, 16) for times in letters.values())


@pytest.mark.parametrize("name", SHUFFLED)
def test_a_slip_is_not_found_at_one_letter_more_than_at_the_others(name: str) -> None:
    places: dict[str, Tally[str]] = {}
    for item in items(bound(name), 2):
        for option in choice(item).options:
            if option.slip is not None:
                places.setdefault(option.slip.name, Tally())[option.identifier] += 1
    for letters in places.values():
        n = letters.total()
        if n >= 100:
            assert all(
                (times - Fraction(n, 4)) ** 2 <= 16 * Fraction(3 * n, 16) for times in letters.values()
            )

    assert len(places) >= 3


def test_the_order_depends_on_the_whole_address() -> None:
    parts = [(version, seed, position) for version in (1, 2) for seed in (1, 2) for position in (0, 1)]
    orders = {tuple(printed_order("surds/{}/{}/{}".format(*part), 8)) for part in parts}

    assert len(parts) == len(orders)


def test_the_order_is_the_same_on_any_machine() -> None:
    assert [0, 2, 3, 1] == printed_order("surds/1/1/7", 4)
    assert [5, 4, 3, 1, 2, 0] == printed_order("surds/1/1/8", 6)


def test_numbers_alone_are_printed_in_ascending_order(tmp_path: Path) -> None:
    entry = "response: {kind: entry, blanks: {m: {form: fraction, marks: M1 A1}}}"
    ready = changed("missing-constant", tmp_path, (entry, "response: {kind: choice, options: 4}"))
    seen = 0
    for item in items(ready, 1):
        contents = [option.content for option in choice(item).options]
        numbers = [Fraction(plain(each).removeprefix("m = ")) for each in contents if isinstance(each, Maths)]
        seen += 1

        assert 4 == len(numbers)
        assert all(low < high for low, high in pairwise(numbers))
    assert seen >= 20


def test_fractions_ascend_by_value_not_by_size_or_spelling() -> None:
    values = [(1, 2), (-3, 1), (2, 3), (0, 1), (-1, 7), (5, 8)]

    assert [1, 4, 3, 0, 5, 2] == ascending(values)


def test_options_in_words_keep_the_order_of_the_template() -> None:
    expected = [
        "two different rational roots",
        "two different irrational roots",
        "one repeated root",
        "no real roots",
    ]
    for item in items(bound("kind-of-roots"), 1, 50):
        contents = [option.content for option in choice(item).options]
        texts = [plain_text(each) for each in contents if isinstance(each, Content)]
        assert expected == texts
