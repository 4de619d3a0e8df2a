"""The order of a paper and its versions: deterministic, rising, mixed; keys balanced."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from itembank.content import of_text
from itembank.errors import DomainError
from itembank.items import Address, ChoiceResponse, Difficulty, Item, Option
from itembank.writers.order import LETTERS, in_order, versions
from itembank.writers.paper import combined_rows
from tests import samples

DEMANDS = ("know", "use", "reason")


def _item(
    number: int, template: str = "surds", options: int = 4, demand: str = "use", level: str = "unit 4"
) -> Item:
    """An item of freely ordered options whose key stands first."""
    item = samples.words_item()
    part = item.parts[0]
    response = part.response
    assert isinstance(response, ChoiceResponse)
    made = tuple(
        Option(LETTERS[index], of_text(f"answer {index} of {number}"), index == 0) for index in range(options)
    )
    return replace(
        item,
        code=f"C{number}",
        address=Address(template, 1, 1, number),
        about=item.about._replace(demand=demand, level=level),
        parts=(replace(part, response=replace(response, options=made, rows=())),),
    )


def _response(item: Item) -> ChoiceResponse:
    response = item.parts[0].response
    assert isinstance(response, ChoiceResponse)
    return response


def _key_places(items: Sequence[Item]) -> Counter[str]:
    return Counter(_response(item).key.identifier for item in items)


@given(st.permutations([_item(n, f"t{n % 3}", demand=DEMANDS[n % 2]) for n in range(9)]))
def test_the_order_is_a_function_of_the_items_not_of_how_they_came(items: list[Item]) -> None:
    assert in_order(sorted(items, key=lambda item: item.code)) == in_order(items)


def test_demand_then_level_then_marks_rise() -> None:
    items = [
        _item(1, demand="reason"), _item(2, level="unit 10"), _item(3, level="unit 9"), _item(4, demand="know"),
        _item(5, demand=""),
    ]  # fmt: skip
    more = samples.surd_entry_item()
    more = replace(more, about=more.about._replace(demand="use", level="unit 9"))

    found = in_order([*items, more])
    assert ["C4", "C3", more.code, "C2", "C1", "C5"] == [item.code for item in found]


def _as_hard_as(item: Item, thousandths: int | None) -> Item:
    found = None if thousandths is None else Difficulty(thousandths, "medium", ())
    return replace(item, difficulty=found)


PREDICTED = st.lists(st.none() | st.integers(-4000, 4000), min_size=1, max_size=12)


@given(PREDICTED)
def test_difficulty_rises_whatever_the_demand_and_what_has_none_comes_last(
    predicted: list[int | None],
) -> None:
    items = [
        _as_hard_as(_item(n, f"t{n % 3}", demand=DEMANDS[n % 3]), each) for n, each in enumerate(predicted)
    ]

    told = [
        item.difficulty.thousandths if item.difficulty else None for item in in_order(items, by="difficulty")
    ]

    known = [each for each in predicted if each is not None]
    assert sorted(known) == told[: len(known)]
    assert [None] * (len(predicted) - len(known)) == told[len(known) :]


@given(PREDICTED, st.integers(1, 4))
def test_difficulty_rises_through_every_version_in_steps_of_half_a_logit(
    predicted: list[int | None], count: int
) -> None:
    items = [_as_hard_as(_item(n), each) for n, each in enumerate(predicted)]

    for version in versions(items, count, by="difficulty"):
        steps = [item.difficulty.thousandths // 500 for item in version if item.difficulty]
        assert sorted(steps) == steps
        assert {item.code for item in items} == {item.code for item in version}


def test_items_about_as_hard_change_places_between_versions() -> None:
    items = [_as_hard_as(_item(n), 20 * n) for n in range(12)]

    assert 3 == len({tuple(item.code for item in version) for version in versions(items, 3, by="difficulty")})


def test_templates_are_mixed_within_a_step() -> None:
    items = [_item(n, "surds") for n in range(5)] + [_item(n + 10, "roots") for n in range(5)]

    names = [item.address.template for item in in_order(items)]
    assert all(before != after for before, after in pairwise(names))


def test_one_template_that_has_most_of_a_step_is_spread_as_far_as_it_goes() -> None:
    items = [_item(n, "surds") for n in range(4)] + [_item(9, "roots")]

    assert "roots" in [item.address.template for item in in_order(items)][1:4]


@pytest.mark.parametrize("count", [1, 2, 4, 5])
@pytest.mark.parametrize("options", [2, 3, 4, 5])
def test_keys_fall_evenly_on_every_position_of_every_version(count: int, options: int) -> None:
    items = [_item(n, options=options) for n in range(22)]

    for version in versions(items, count):
        places = _key_places(version)
        assert max(places.values()) - min(places.values()) <= 1
        assert options == len(places)


def test_the_key_of_an_item_stands_elsewhere_in_each_version_while_there_are_places() -> None:
    items = [_item(n) for n in range(10)]
    every = versions(items, 4)

    for item in items:
        found = {
            next(_response(other).key.identifier for other in version if other.code == item.code)
            for version in every
        }
        assert 4 == len(found)


@given(st.integers(1, 6), st.integers(2, 12))
def test_every_version_holds_the_same_items_with_the_same_options_and_marks(count: int, number: int) -> None:
    items = [_item(n, f"t{n % 2}", options=2 + n % 4) for n in range(number)]

    for version in versions(items, count):
        assert Counter(item.code for item in items) == Counter(item.code for item in version)
        for item in version:
            original = next(each for each in items if each.code == item.code)
            options = _response(item).options
            assert [LETTERS[n] for n in range(len(options))] == [option.identifier for option in options]
            assert _response(original).key.content == _response(item).key.content
            assert {o.content for o in _response(original).options} == {o.content for o in options}
            assert original.marks == item.marks


def test_versions_differ_in_the_order_of_items_and_are_the_same_each_time() -> None:
    items = [_item(n, f"t{n % 5}") for n in range(12)]
    orders = [[item.code for item in version] for version in versions(items, 4)]

    assert 4 == len({tuple(order) for order in orders})
    assert versions(items, 4) == versions(items, 4)
    assert versions(items, 4)[:2] == versions(items, 2)


def test_numbers_alone_stay_ascending_or_descending() -> None:
    item = _item(1)
    numbers = tuple(
        Option(LETTERS[index], samples.maths(text), index == 1)
        for index, text in enumerate(("k = -3/4", "k = 1", "k = 3/2", "k = 7"))
    )
    item = replace(item, parts=(replace(item.parts[0], response=ChoiceResponse(numbers)),))
    contents = [option.content for option in numbers]

    seen = [[option.content for option in _response(version[0]).options] for version in versions([item], 2)]
    assert sorted([contents, contents[::-1]], key=repr) == sorted(seen, key=repr)


def test_the_rows_of_options_in_words_go_with_them() -> None:
    item = samples.words_item()
    response = _response(item)
    rows = dict(zip((option.content for option in response.options), response.rows, strict=True))

    for (version,) in versions([item], 4):
        moved = _response(version)
        assert rows == dict(zip((option.content for option in moved.options), moved.rows, strict=True))


def test_the_combined_key_agrees_with_every_version() -> None:
    every = versions([_item(n, f"t{n % 3}") for n in range(7)], 3)
    rows = list(combined_rows(every))

    assert [item.code for item in every[0]] == [row.key.code for row in rows]
    for index, version in enumerate(every):
        by_code = {item.code: (str(n), _response(item).key.identifier) for n, item in enumerate(version, 1)}
        assert by_code == {row.key.code: row.places[index] for row in rows}


@pytest.mark.parametrize("count", [0, 27])
def test_another_number_of_versions_than_letters_is_refused(count: int) -> None:
    with pytest.raises(DomainError, match="1 to 26"):
        versions([_item(1)], count)
