"""Laws of written items: marks are earned exactly when exact mathematics says so; texts come back as they were."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import gcd

import sympy
from hypothesis import example, given, settings
from hypothesis import strategies as st
from lxml import etree

from itembank.content import Content, Hole, Paragraph, Text, TextShape
from itembank.items import Blank, Mark
from itembank.writers import qti3
from tests import qti_items, samples
from tests.qti_scorer import ARITHMETIC, QTI, ScoredItem

_small = st.integers(-12, 12)
_typed = _small | st.integers(-(2**31), 2**31 - 1)
_MARKS = (Mark("A", 3),)


def marks(blank: Blank, *entries: int | str | None) -> float:
    """What entries into the boxes of one blank earn, on every kind of platform the same."""
    text = qti3.item_xml(qti_items.entry_item("4*x = 5", "x = 5/4", blank))
    given = {
        f"BOX_{number}": str(entry) for number, entry in enumerate(entries, start=1) if entry is not None
    }
    (score,) = {ScoredItem(text, arithmetic).answer(given).score for arithmetic in ARITHMETIC}
    return score


@given(st.sets(_small, min_size=1, max_size=3), st.data())
@settings(deadline=None, max_examples=60)
def test_whole_numbers_are_right_when_they_are_the_set_of_solutions(
    right: set[int], data: st.DataObject
) -> None:
    slots = data.draw(st.integers(len(right), 3))
    entry = st.none() | st.sampled_from(sorted(right)) | _typed
    entries = data.draw(st.lists(entry, min_size=slots, max_size=slots))
    blank = qti_items.whole("x", *sorted(right), slots=slots, worth=3)

    assert (3 if {each for each in entries if each is not None} == right else 0) == marks(blank, *entries)


@given(
    st.lists(st.fractions(-3, 3, max_denominator=6), min_size=2, max_size=2, unique=True),
    st.data(),
    st.booleans(),
)
@settings(deadline=None, max_examples=60)
def test_fractions_are_right_in_lowest_terms_and_nearly_right_where_equal(
    right: list[Fraction], data: st.DataObject, swapped: bool
) -> None:
    boxes = tuple((each.numerator, each.denominator) for each in right)
    blank = Blank("x", "fraction", ("numerator", "denominator"), boxes, 2, any_order=True, marks=_MARKS)
    entries = []
    for value in reversed(right) if swapped else right:
        times = data.draw(st.sampled_from([1, 1, 1, -1, 2, -3, 10**6]))
        off = data.draw(st.sampled_from([0, 0, 0, 0, 1, -1]))
        entries += [value.numerator * times + off, value.denominator * times]
    exact = {tuple(entries[:2]), tuple(entries[2:])} == set(boxes)
    equal = {Fraction(*entries[:2]), Fraction(*entries[2:])} == set(right)

    assert (3 if exact else 2 if equal else 0) == marks(blank, *entries)


@given(st.tuples(_typed, _typed), st.fractions(-3, 3, max_denominator=6))
@settings(deadline=None, max_examples=60)
@example((0, 0), Fraction(0))
@example((2**31 - 1, 0), Fraction(1, 2))
def test_any_two_numbers_earn_for_a_fraction_what_they_are_worth(
    entry: tuple[int, int], right: Fraction
) -> None:
    boxes = ((right.numerator, right.denominator),)
    blank = Blank("x", "fraction", ("numerator", "denominator"), boxes, 1, marks=_MARKS)
    exact, equal = entry == boxes[0], entry[1] != 0 and Fraction(*entry) == right

    assert marks(blank, *entry) in ({3} if exact else {2, 0} if equal else {0})


@st.composite
def simplest_surds(draw: st.DrawFn, pair: bool) -> tuple[int, int, int, int]:
    """p, q, r, s in simplest form."""
    p, r = draw(_small), draw(st.sampled_from([2, 3, 5, 6, 7, 10, 13, 97]))
    q = draw(st.integers(1, 9)) * (1 if pair else draw(st.sampled_from([1, -1])))
    s = draw(st.integers(1, 6))
    common = gcd(p, q, s)
    return p // common, q // common, r, s // common


def values(p: int, q: int, r: int, s: int, pair: bool) -> set[sympy.Expr]:
    """The exact numbers that boxes stand for, as another library simplifies them."""
    root = q * sympy.sqrt(r)
    return {sympy.expand((p + sign * root) / sympy.Integer(s)) for sign in ((1, -1) if pair else (1,))}


@given(st.booleans(), st.data())
@settings(deadline=None, max_examples=150)
def test_surds_are_right_in_simplest_form_and_nearly_right_where_equal(
    pair: bool, data: st.DataObject
) -> None:
    p, q, r, s = data.draw(simplest_surds(pair))
    a, b = data.draw(st.sampled_from([1, 1, 2, 3])), data.draw(st.sampled_from([1, 1, 2, 3]))
    sign = data.draw(st.sampled_from([1, 1, 1, -1]))
    entry = [p * a * sign, q * a, r, s * a * sign]
    if q % b == 0:
        entry[1], entry[2] = q * a // b, r * b * b
    place = data.draw(st.integers(0, 3))
    entry[place] += data.draw(st.sampled_from([0, 0, 0, 1, -1]))
    entry[1] *= data.draw(st.sampled_from([1, 1, 1, -1]))
    blank = qti_items.surd([(p, q, r, s)], pair=pair)
    exact = tuple(entry) == (p, q, r, s)
    real = entry[2] >= 1 and entry[3] != 0
    equal = real and values(*entry, pair=pair) == values(p, q, r, s, pair=pair)

    assert (3 if exact else 2 if equal else 0) == marks(blank, *entry)


@given(st.tuples(_typed, _typed, _typed, _typed), st.booleans())
@settings(deadline=None, max_examples=60)
@example((0, 2**16, 2**16, 2**16), True)
@example((0, 2**31 - 1, 2**31 - 1, 2**31 - 1), True)
def test_any_four_numbers_earn_at_most_what_they_are_worth(
    entry: tuple[int, int, int, int], pair: bool
) -> None:
    key = (0, 1, 2, 3)
    p, q, r, s = entry
    equal = s != 0 and r > 0 and p == 0 and q * q * r * 9 == 2 * s * s and (pair or q * s > 0)

    assert marks(qti_items.surd([key], pair=pair), *entry) in (
        {3} if entry == key else {2, 0} if equal else {0}
    )


@given(st.integers(-999, 999), st.integers(0, 20), st.integers(-30, 30))
@settings(deadline=None, max_examples=80)
def test_decimals_are_right_within_the_tolerance_and_on_its_ends(
    value: int, tolerance: int, off: int
) -> None:
    def shown(thousandths: int) -> str:
        return f"{'-' if thousandths < 0 else ''}{abs(thousandths) // 1000}.{abs(thousandths) % 1000:03}"

    blank = Blank(
        "x", "decimal", ("value",), ((qti_items.decimal(shown(value), 3),),), 1, places=3,
        tolerance=qti_items.decimal(shown(tolerance), 3), marks=_MARKS,
    )  # fmt: skip

    assert (3 if abs(off) <= tolerance else 0) == marks(blank, shown(value + off))


@given(st.text(), st.text())
@settings(deadline=None, max_examples=80)
def test_a_text_comes_back_as_it_was_but_for_what_xml_cannot_hold(plain: str, word: str) -> None:
    item = samples.choice_item()
    (part,) = item.parts
    stem = Content(TextShape((Paragraph((Text(plain), Hole(0))),), 1), (word,))
    text = qti3.item_xml(replace(item, parts=(replace(part, stem=stem),)))
    (paragraph,) = next(etree.fromstring(text.encode()).iter(f"{QTI}div"))
    expected = "".join(
        each
        if each in "\t\n\r" or " " <= each < "\ud800" or ("\ue000" <= each and each not in "\ufffe\uffff")
        else "\ufffd"
        for each in plain + word
    )

    assert expected == (paragraph.text or "")
