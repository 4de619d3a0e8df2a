"""Inequalities in boxes: random entries are right exactly when they are the key's inequalities, in either order."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.items import SIGNS, Blank, EntryResponse, Item
from itembank.proof import regions
from itembank.proof.entries import box_values
from itembank.proof.intervals import end_blank, entered_region
from itembank.writers.qti3 import item_xml
from tests.qti_scorer import ARITHMETIC, ScoredItem
from tests.template_items import items

NAMES = ("interval", "interval-surds", "interval-surd-halves", "interval-roots", "interval-rays")
Ray = tuple[Any, ...]


def the_blank(item: Item) -> Blank:
    response = item.parts[0].response
    assert isinstance(response, EntryResponse)
    return response.blanks[0]


def responses(blank: Blank, rays: list[Ray | None], join: str) -> dict[str, str]:
    """What is typed and chosen: a ray is a sign's word and the numbers of its end."""
    given = {"JOIN": join} if join else {}
    number = 1
    for ray in rays:
        for value in ray or (None,) * len(blank.boxes):
            if value is not None:
                given[f"BOX_{number}"] = str(value)
            number += 1
    return given


def region_of(blank: Blank, rays: list[Ray], join: str) -> regions.Region:
    ends = end_blank(blank)
    return entered_region([(ray[0], box_values(ends, ray[1:])[0]) for ray in rays], join)


@given(st.sampled_from(NAMES), st.integers(0, 7), st.data())
@settings(deadline=None, max_examples=250)
def test_an_entry_is_right_when_it_is_the_keys_inequalities(
    name: str, which: int, data: st.DataObject
) -> None:
    item = list(items(name, 8))[which]
    blank = the_blank(item)
    key: list[Ray] = list(blank.values)
    near = [(sign, *ray[1:]) for ray in key for sign in SIGNS]
    near += [(ray[0], ray[1] + 1, *ray[2:]) for ray in key]
    entry = data.draw(st.lists(st.none() | st.sampled_from([*key, *key, *near]), min_size=2, max_size=2))
    join = data.draw(st.sampled_from(["", "and", "or", blank.join]))
    filled: list[Ray] = [ray for ray in entry if ray is not None]
    right = set(filled) == set(key) and (len(key) == 1 or join == blank.join)

    given_ = responses(blank, entry, join)
    (score,) = {ScoredItem(item_xml(item), arithmetic).answer(given_).score for arithmetic in ARITHMETIC}
    assert (blank.worth if right else 0) == score

    same = filled and region_of(blank, filled, join or "and") == region_of(blank, key, blank.join)
    if right:
        assert len(key) == 1 or same
    elif same and join:
        assert len(set(filled)) > len(key)


@pytest.mark.parametrize(
    ("name", "boxes"),
    [
        ("interval-surd-halves", ("sign", "p", "q", "r", "s")),
        ("interval-surds", ("sign", "p", "q", "r")),
        ("interval-roots", ("sign", "q", "r")),
    ],
)
def test_an_end_has_no_box_for_what_it_never_has(name: str, boxes: tuple[str, ...]) -> None:
    assert {boxes} == {the_blank(item).boxes for item in items(name, 8)}


@given(st.integers(0, 7), st.sampled_from([2, 3, -1]), st.booleans())
@settings(deadline=None, max_examples=60)
def test_an_end_that_is_not_simplified_earns_one_mark_less(which: int, times: int, swapped: bool) -> None:
    item = list(items("interval-surd-halves", 8))[which]
    blank = the_blank(item)
    assert ("sign", "p", "q", "r", "s") == blank.boxes
    (sign, p, q, r, s), other = blank.values
    assert isinstance(p, int)
    assert isinstance(q, int)
    assert isinstance(s, int)
    entry: list[Ray | None] = [(sign, p * times, q * times, r, s * times), other]
    given_ = responses(blank, entry[::-1] if swapped else entry, blank.join)

    result = ScoredItem(item_xml(item)).answer(given_)
    assert blank.worth - 1 == result.score
    assert {"FU"} == result.feedback
