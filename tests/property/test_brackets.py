"""Brackets in boxes: random whole numbers are right exactly when their product is the expression, by sympy."""

from __future__ import annotations

from math import gcd

import sympy
from hypothesis import example, given, settings
from hypothesis import strategies as st

from itembank.items import Blank, EntryResponse, Item
from itembank.writers.qti3 import item_xml
from tests.qti_scorer import ARITHMETIC, ScoredItem
from tests.template_items import items

X = sympy.Symbol("x")
_small = st.integers(-12, 12)


def the_blank(item: Item) -> Blank:
    response = item.parts[0].response
    assert isinstance(response, EntryResponse)
    return response.blanks[0]


def product(boxes: tuple[str, ...], entry: tuple[int, ...]) -> sympy.Poly:
    held = dict(zip(boxes, entry, strict=True))
    whole = held.get("k", 1) * (held["a"] * X + held["b"]) * (held["c"] * X + held["d"])
    return sympy.Poly(sympy.expand(whole), X)


def score(item: Item, entry: tuple[int, ...]) -> float:
    given_ = {f"BOX_{number}": str(value) for number, value in enumerate(entry, start=1)}
    (found,) = {ScoredItem(item_xml(item), arithmetic).answer(given_).score for arithmetic in ARITHMETIC}
    return found


@given(st.sampled_from(["brackets", "brackets-scale"]), st.integers(0, 9), st.data())
@settings(deadline=None, max_examples=200)
def test_every_product_that_is_equal_is_right_and_no_other(
    name: str, which: int, data: st.DataObject
) -> None:
    item = list(items(name, 10))[which]
    blank = the_blank(item)
    (key,) = blank.values
    held = dict(zip(blank.boxes, key, strict=True))
    entry = {role: value for role, value in held.items() if isinstance(value, int)}
    if data.draw(st.booleans()):
        entry |= {"a": entry["c"], "b": entry["d"], "c": entry["a"], "d": entry["b"]}
    for role in data.draw(st.lists(st.sampled_from(sorted(entry)), max_size=1)):
        entry[role] += data.draw(st.sampled_from([1, -1, 2]))
    for pair in data.draw(st.lists(st.sampled_from(["ab", "cd", "abcd"]), max_size=2)):
        for role in pair:
            entry[role] = -entry[role]
    if "k" in entry and entry["k"] % 2 == 0 and data.draw(st.booleans()):
        entry |= {"k": entry["k"] // 2, "c": 2 * entry["c"], "d": 2 * entry["d"]}
    values = tuple(entry[role] for role in blank.boxes)
    equal = product(blank.boxes, values) == product(blank.boxes, key)  # type: ignore[arg-type]
    simple = "k" not in entry or gcd(entry["a"], entry["b"]) == gcd(entry["c"], entry["d"]) == 1

    assert (blank.worth if equal and simple else blank.worth - 1 if equal else 0) == score(item, values)


_typed = st.integers(-(2**31), 2**31 - 1)


@given(st.integers(0, 9), st.tuples(_typed, _typed, _typed, _typed))
@settings(deadline=None, max_examples=60)
@example(0, (2**16, 0, 2**16, 0))
@example(1, (2**31 - 1, 2**31 - 1, 2**31 - 1, 2**31 - 1))
def test_very_large_numbers_are_marked_alike_on_every_platform(
    which: int, entry: tuple[int, int, int, int]
) -> None:
    item = list(items("brackets", 10))[which]
    blank = the_blank(item)
    equal = product(blank.boxes, entry) == product(blank.boxes, blank.values[0])  # type: ignore[arg-type]

    assert (blank.worth if equal else 0) == score(item, entry)
