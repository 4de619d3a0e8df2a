"""Brackets in boxes: random whole numbers are right exactly when their product is the expression, by sympy."""

from __future__ import annotations

from dataclasses import replace
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


LARGEST = 2**31 - 1
"""Of the standard's type `integer` (from memory)."""
_few, _large = st.integers(1, 9), st.integers(-LARGEST, LARGEST)


@given(st.booleans(), st.tuples(_few, _few, _large, _few, _large), st.booleans(), st.booleans())
@settings(deadline=None, max_examples=200)
@example(False, (1, 1, -50_001, 1, 40_003), False, False)
@example(True, (1, 1, -1_200, 1, 7), True, False)
def test_a_key_is_right_however_large_its_numbers_are(
    scaled: bool, numbers: tuple[int, int, int, int, int], swapped: bool, turned: bool
) -> None:
    """As far as the product and what it is added up from are numbers of the standard; on every platform."""
    k, a, b, c, d = numbers
    d = d % (LARGEST // (9 * 9 * max(abs(b), 1)) + 1) - (b % 2)
    common = gcd(a, b) * gcd(c, d)
    if not d or not b or common > 1 or abs(k * a * d) + abs(k * b * c) > LARGEST or abs(k * b * d) > LARGEST:
        return
    item = next(items("brackets-scale" if scaled else "brackets", 1))
    key = (*((k,) if scaled else ()), a, b, c, d)
    part, blank = item.parts[0], replace(the_blank(item), values=(key,))
    assert isinstance(part.response, EntryResponse)
    keyed = replace(item, parts=(replace(part, response=replace(part.response, blanks=(blank,))),))
    a, b, c, d = (c, d, a, b) if swapped else (a, b, c, d)
    a, b, c, d = (-a, -b, -c, -d) if turned else (a, b, c, d)

    assert blank.worth == score(keyed, (*key[:-4], a, b, c, d))
    assert score(keyed, (*key[:-4], a, b, c, d + 1)) == 0


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
