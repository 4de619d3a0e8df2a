"""Points in boxes: random entries earn what exact mathematics says of the points they are, in whatever order."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from itertools import permutations
from math import gcd
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.expressions import spelling
from itembank.expressions.numbers import Exact
from itembank.items import EntryResponse, Item
from itembank.proof.box_values import box_values
from itembank.writers import common_cartridge as cartridge
from itembank.writers.qti2 import WRITER_2_1, WRITER_2_2
from itembank.writers.qti3 import item_xml
from tests.cartridge_scorer import Question
from tests.property import flint_oracle
from tests.qti_scorer import ARITHMETIC, ScoredItem
from tests.template_items import items

NAMES = ("points", "points-touching", "points-fractions", "points-surds", "points-half-marks")
ITEMS = 12
Entry = tuple[tuple[Any, ...], tuple[Any, ...]]
"""What stands in the boxes of both coordinates of a point; None where a box stays empty."""


@cache
def drawn(name: str) -> tuple[Item, ...]:
    return tuple(items(name, ITEMS))


@cache
def scored(name: str, which: int) -> tuple[ScoredItem, ...]:
    """The item in each dialect, and under each way in which platforms take large whole numbers."""
    item = drawn(name)[which]
    found = [ScoredItem(item_xml(item), arithmetic) for arithmetic in ARITHMETIC]
    return (*found, *(ScoredItem(writer.item_xml(item)) for writer in (WRITER_2_2, WRITER_2_1)))


def the_response(item: Item) -> EntryResponse:
    response = item.parts[0].response
    assert isinstance(response, EntryResponse)
    assert response.points
    return response


def typed(response: EntryResponse, entries: list[Entry], tick: bool = False) -> dict[str, str]:
    """The boxes in reading order, point by point."""
    given_: dict[str, str] = {"TICK": "none"} if tick else {}
    number = 1
    for entry in entries:
        for boxes in entry:
            for value in boxes:
                if value is not None:
                    given_[f"BOX_{number}"] = str(value)
                number += 1
    assert number == 1 + response.blanks[0].slots * sum(len(blank.boxes) for blank in response.blanks)
    return given_


def coordinate(response: EntryResponse, place: int, boxes: tuple[Any, ...]) -> Exact | None:
    """The exact value of filled boxes; None where one is empty or they are no number."""
    blank = response.blanks[place]
    held = dict(zip(blank.boxes, boxes, strict=True))
    if None in boxes or 0 in (held.get("denominator"), held.get("s")) or held.get("r", 1) < 1:
        return None
    return box_values(blank, boxes)[0]


def point(response: EntryResponse, entry: Entry) -> tuple[Exact, Exact] | None:
    first, second = (coordinate(response, place, boxes) for place, boxes in enumerate(entry))
    return None if first is None or second is None else (first, second)


def due(item: Item, entries: list[Entry], tick: bool) -> Fraction:
    """What an entry should earn, by mathematics alone."""
    response = the_response(item)
    keyed = list(zip(*(blank.values for blank in response.blanks), strict=True))
    right = {point(response, entry): entry for entry in keyed}
    filled = [entry for entry in entries if any(value is not None for boxes in entry for value in boxes)]
    if response.tick_is_right:
        return Fraction(response.marks if tick and not filled else 0)
    if tick:
        return Fraction(0)
    found = [point(response, entry) for entry in filled]
    wrong = any(each not in right for each in found)
    exact = {
        p
        for p, entry in zip(found, filled, strict=True)
        if p in right and _as_keyed(response, entry, right[p])
    }
    there = {p for p in found if p in right}
    if response.share:
        if wrong and response.blanks[0].slots > len(keyed):
            return Fraction(0)
        return len(exact) * response.share + len(there - exact) * max(response.share - 1, Fraction(0))
    if wrong or len(there) < len(keyed):
        return Fraction(0)
    return Fraction(response.marks if len(exact) == len(keyed) else max(response.marks - 1, 0))


def _as_keyed(response: EntryResponse, entry: Entry, keyed: Entry) -> bool:
    """Whether an entry of the right value is written as asked for; a denominator of 1 of a surd may be left out."""
    return all(
        boxes == wanted or (blank.form == "surd" and boxes[:-1] == wanted[:-1] and boxes[-1] in {None, 1})
        for blank, boxes, wanted in zip(response.blanks, entry, keyed, strict=True)
    )


def multiplied(boxes: tuple[Any, ...], roles: tuple[str, ...], by: int) -> tuple[Any, ...]:
    """The same value over another denominator."""
    if roles == ("value",):
        return boxes
    return tuple(value if role == "r" else value * by for role, value in zip(roles, boxes, strict=True))


@st.composite
def entered(draw: st.DrawFn, item: Item) -> list[Entry]:
    """As many entries as there are places: keyed points, mixed ones, near ones, unsimplified ones, halves, nothing."""
    response = the_response(item)
    roles = [blank.boxes for blank in response.blanks]
    keyed: list[Entry] = list(zip(*(blank.values for blank in response.blanks), strict=True))
    empty: Entry = (tuple(None for _ in roles[0]), tuple(None for _ in roles[1]))
    some = keyed or [tuple(tuple(2 for _ in each) for each in roles)]  # type: ignore[list-item]
    pool: list[Entry] = [*keyed, *keyed, empty]
    pool += [(one[0], two[1]) for one in some for two in some]
    pool += [(y, x) for x, y in some if len(x) == len(y)]
    pool += [((x[0] + draw(st.integers(-2, 2)), *x[1:]), y) for x, y in some]
    pool += [(x, (y[0] * draw(st.sampled_from([-1, 2])), *y[1:])) for x, y in some]
    pool += [(x, empty[1]) for x, _ in some] + [(empty[0], y) for _, y in some]
    by = draw(st.sampled_from([2, 3, -1]))
    pool += [(multiplied(x, roles[0], by), y) for x, y in some]
    pool += [(x, multiplied(y, roles[1], by)) for x, y in some]
    pool += [(multiplied(x, roles[0], 0), y) for x, y in some if roles[0] != ("value",)]
    slots = response.blanks[0].slots
    return draw(st.lists(st.sampled_from(pool), min_size=slots, max_size=slots))


@pytest.mark.parametrize("name", NAMES)
@given(st.integers(0, ITEMS - 1), st.data())
@settings(deadline=None, max_examples=120)
def test_an_entry_earns_what_its_points_are_worth(name: str, which: int, data: st.DataObject) -> None:
    item = drawn(name)[which]
    response = the_response(item)
    entries = data.draw(entered(item))
    if any(
        response.blanks[place].form == "surd" and boxes[-1] is None and any(v is not None for v in boxes)
        for entry in entries
        for place, boxes in enumerate(entry)
    ):
        return  # a denominator left out is looked at below
    tick = response.tick and data.draw(st.booleans())

    (score,) = {each.answer(typed(response, entries, tick)).score for each in scored(name, which)}
    assert due(item, entries, tick) == Fraction(score)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("which", range(ITEMS))
def test_the_order_of_the_points_never_matters(name: str, which: int) -> None:
    item = drawn(name)[which]
    response = the_response(item)
    keyed: list[Any] = list(zip(*(blank.values for blank in response.blanks), strict=True))
    empty = tuple(tuple(None for _ in blank.boxes) for blank in response.blanks)
    full = [*keyed, *[empty] * (response.blanks[0].slots - len(keyed))]

    for order in permutations(full):
        for each in scored(name, which):
            result = each.answer(typed(response, list(order), response.tick_is_right))
            assert response.marks == result.score
            assert {"F0"} == result.feedback


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("which", range(4))
def test_what_is_keyed_is_what_flint_finds(name: str, which: int) -> None:
    """The points again, by a reader of its own, a Groebner basis and factorisation."""
    item = drawn(name)[which]
    response, problem = the_response(item), item.parts[0].problem
    found = flint_oracle.solutions(spelling.plain(problem.statement), problem.unknowns)

    keyed = set()
    for groups in zip(*(blank.values for blank in response.blanks), strict=True):
        held = {
            blank.unknown: flint_oracle.box_value(blank.form, dict(zip(blank.boxes, boxes, strict=True)))
            for blank, boxes in zip(response.blanks, groups, strict=True)
        }
        keyed.add(tuple(held[name] for name in problem.unknowns))
    assert found == keyed
    assert found == flint_oracle.solutions(spelling.plain(item.parts[0].key), problem.unknowns)


@pytest.mark.parametrize("name", NAMES[:2])
def test_the_slip_that_mixes_points_is_told_so_and_earns_what_is_right_of_it(name: str) -> None:
    seen = 0
    for which, item in enumerate(drawn(name)):
        response = the_response(item)
        for entry in response.recognised:
            if entry.slip.name != "points-mixed":
                continue
            seen += 1
            entries = list(zip(*entry.values, strict=True))
            for each in scored(name, which):
                result = each.answer(typed(response, entries))  # type: ignore[arg-type]
                assert 0 == result.score
                number = 1 + response.recognised.index(entry)
                assert {f"F{number}"} == result.feedback
    assert seen >= 2


def test_templates_give_two_points_and_one_and_none() -> None:
    counts = {len(the_response(item).blanks[0].values) for item in items("points-touching", 60)}
    fractions = [
        value
        for item in drawn("points-fractions")
        for blank in the_response(item).blanks
        for value in blank.values
    ]

    assert {0, 1, 2} == counts
    assert all(gcd(n, d) == 1 and d >= 1 for n, d in fractions)  # type: ignore[arg-type]
    assert any(d != 1 for _, d in fractions)


@cache
def in_a_cartridge(which: int) -> Question | None:
    """The question that an item becomes in a cartridge; None where it is left out."""
    written = cartridge.written(drawn("points-touching")[which])
    return Question(*written.items) if written.items else None


@given(st.integers(0, ITEMS - 1), st.data())
@settings(deadline=None, max_examples=150)
def test_numbers_typed_in_a_cartridge_are_read_point_by_point(which: int, data: st.DataObject) -> None:
    """Numbers in the order of the gaps: each two of them a point, in any order, and none beside them."""
    asked, response = in_a_cartridge(which), the_response(drawn("points-touching")[which])
    assert asked is not None
    keyed = [(x, y) for (x,), (y,) in zip(*(blank.values for blank in response.blanks), strict=True)]
    numbers = [number for pair in keyed for number in pair] or [1, 2]
    near = st.sampled_from([*numbers, *numbers, numbers[0] + 1])  # type: ignore[operator]
    pair = st.sampled_from(keyed) | st.tuples(near, near) if keyed else st.tuples(near, near)
    typed_points = data.draw(st.lists(pair, min_size=1, max_size=2))
    mark = data.draw(st.sampled_from([", ", ",", "; ", " "]))

    result = asked.answer(mark.join(str(number) for each in typed_points for number in each))

    right = bool(keyed) and set(typed_points) == set(keyed)
    known = [
        set(zip(*(tuple(v for (v,) in column) for column in each.values), strict=True))
        for each in response.recognised
    ]
    entries: list[Any] = [((x,), (y,)) for x, y in typed_points]
    entries += [((None,), (None,))] * (2 - len(entries))
    wanted = 100 * due(drawn("points-touching")[which], entries, False) / response.marks
    assert (100 if right else wanted if set(typed_points) in known else 0) == Fraction(result.score)
    assert ("F0" in result.feedback) == right


def test_no_point_is_typed_as_none() -> None:
    for which, item in enumerate(drawn("points-touching")):
        asked = in_a_cartridge(which)
        assert asked is not None
        assert (100 if the_response(item).tick_is_right else 0) == asked.answer("none").score
