"""Follow-through in written items: the audit passes them, and finds what was changed in them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from itembank.audit.verify import audit_item
from itembank.library import draw, plain_text
from itembank.writers.qti3 import item_xml, shortfalls
from tests.template_items import items

NAMES = ("follow-through", "follow-fractions", "follow-quotients", "follow-surds", "follow-words")


def codes(text: str) -> set[str]:
    return {finding.code for finding in audit_item(text.encode(), "items/X.xml")[1]}


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("thorough", [False, True])
def test_items_as_written_pass(name: str, thorough: bool) -> None:
    for item in items(name, 25 if not thorough else 4):
        assert () == audit_item(item_xml(item).encode(), "items/X.xml", thorough=thorough)[1]


BISECTOR = """\
template: bisector
version: 1
title: Where a perpendicular bisector meets the axis
parameters: {m: {from: 1, to: 4}, n: [2], g: {from: 1.5, to: 2.5, denominators: [2]}}
parts:
  - unknowns: [r]
    problem: r = g
    stem: M is the point $(m, n)$ of a line with the gradient $g$. Write the gradient $r$ as a fraction.
    response: {kind: entry, blanks: {r: {form: fraction}}}
    key: r = g
  - unknowns: [b]
    problem: b = n + m/r
    stem: The perpendicular through M meets the axis at $(0, b)$. Find $b$.
    response: {kind: entry, blanks: {b: {form: fraction, marks: A2 ft}}}
    key: b = n + m/r
"""


def test_a_key_that_is_not_in_lowest_terms_is_nothing_wrong(tmp_path: Path) -> None:
    """From the wrong 1/2 follows 8/1, from 4/2 follows 7/2: one more above is 8/2, and the key is 4."""
    path = tmp_path / "bisector.yaml"
    path.write_text(BISECTOR, "utf-8")
    for drawn in draw(path, count=8):
        assert () == audit_item(item_xml(drawn.item).encode(), "items/X.xml")[1]


IN_A_SQUARE = """\
template: in-a-square
version: 1
title: Inverse proportion to a square
letters: [x]
parameters: {m: [5, 6], n: [7, 11], t: {from: 1, to: 3}}
derived: {c: m^2*n^2*t, w: n^2*t}
parts:
  - unknowns: [k]
    problem: w = k/m^2
    stem: In $y = k/x^2$ the letter $y$ stands for $w$ when $x = m$. Find $k$.
    response: {kind: entry, blanks: {k: {form: integer}}}
    key: k = c
  - unknowns: [y]
    problem: y = c/n^2
    stem: Find $y$ when $x = n$.
    response: {kind: entry, blanks: {y: {form: integer, marks: A1 ft}}}
    key: y = k/n^2
"""


def test_what_is_divided_by_a_large_square_and_has_to_come_out_is_tried(tmp_path: Path) -> None:
    """From k = 1225 no small step leads to another multiple of 49; twice the number does."""
    path = tmp_path / "in-a-square.yaml"
    path.write_text(IN_A_SQUARE, "utf-8")
    for drawn in draw(path, count=12):
        text = item_xml(drawn.item)
        assert 'follow-through" data-marks' in text
        assert () == audit_item(text.encode(), "items/X.xml")[1]
        unfollowed = text.replace('data-marks="y:1"', 'data-marks="y:0"')
        assert "wrong-follow-through" in codes(unfollowed)


INTERCEPT = """\
template: intercept
version: 1
title: Gradient, then intercept
parameters: {a: {from: -1, to: 1}, b: {from: 2, to: 5}, m: [2, 3]}
derived: {e: a + 2, f: b + 2*m}
parts:
  - unknowns: [g]
    problem: g = (f - b)/2
    stem: Find the gradient $g$ of the line through $(a, b)$ and $(e, f)$.
    response: {kind: entry, blanks: {g: {form: integer}}}
    key: g = m
  - unknowns: [h]
    problem: h = b - m*a
    stem: The line meets the axis at $(0, h)$. Find $h$.
    response: {kind: entry, blanks: {h: {form: integer, marks: B1 ft}}}
    key: h = b - a*g
"""


def test_nothing_follows_where_the_numbers_leave_no_earlier_answer(tmp_path: Path) -> None:
    """At a = 0 the intercept is b whatever gradient was found."""
    path = tmp_path / "intercept.yaml"
    path.write_text(INTERCEPT, "utf-8")
    followed = set()
    for drawn in draw(path, count=24):
        second = drawn.item.parts[1]
        through_the_axis = "(0, " in plain_text(drawn.item.parts[0].stem)
        followed.add(through_the_axis)
        assert through_the_axis == (second.follow is None)
        assert () == audit_item(item_xml(drawn.item).encode(), "items/X.xml")[1]
    assert followed == {True, False}


class Spoiling(NamedTuple):
    """A change of the file and the code it is found by."""

    what: str
    name: str
    spoil: Callable[[str], str]
    code: str


def swap(old: str, new: str, count: int = 1) -> Callable[[str], str]:
    def spoil(text: str) -> str:
        assert old in text, old
        return text.replace(old, new, count)

    return spoil


def last(old: str, new: str) -> Callable[[str], str]:
    def spoil(text: str) -> str:
        assert old in text, old
        head, _, tail = text.rpartition(old)
        return head + new + tail

    return spoil


ONE = '<qti-base-value base-type="integer">1</qti-base-value>'
FOLLOWED = f'<qti-product>{ONE.replace(">1<", ">-1<")}<qti-variable identifier="BOX_a_1"/></qti-product>'
SPOILINGS = (
    Spoiling(
        "the sign is lost in the rule", "follow-through",
        swap(FOLLOWED, FOLLOWED.replace("-1<", "1<")), "wrong-follow-through",
    ),
    Spoiling(
        "the rule takes another answer", "follow-through",
        swap(FOLLOWED, FOLLOWED.replace("BOX_a_1", "BOX_a_2")), "wrong-follow-through",
    ),
    Spoiling(
        "the marks promised are others", "follow-through",
        swap('data-marks="u:1 v:1"', 'data-marks="u:1 v:2"'), "wrong-follow-through",
    ),
    Spoiling(
        "no marks are promised though the file gives some", "follow-through",
        swap('data-marks="u:1 v:1"', 'data-marks="u:0 v:0"'), "wrong-follow-through",
    ),
    Spoiling(
        "the marks are not told", "follow-through", swap('data-marks="u:1 v:1"', 'data-marks="ft"'), "unclear-marks"
    ),
    *(
        Spoiling(
            f"the maximum of part {part} is another", "follow-through",
            swap(
                f'identifier="SCORE_{part}" cardinality="single" base-type="float" normal-maximum="{worth}"',
                f'identifier="SCORE_{part}" cardinality="single" base-type="float" normal-maximum="{maximum}"',
            ),
            "wrong-outcome",
        )
        for part, worth, maximum in (("a", 2, 1), ("b", 3, 4))
    ),
    Spoiling(
        "the formula has another sign", "follow-through",
        lambda text: swap(
            "<mi>u</mi><mo>=</mo><mo form=\"prefix\">−</mo><mi>p</mi>", "<mi>u</mi><mo>=</mo><mi>p</mi>"
        )(swap("<apply><eq/><ci>u</ci><apply><minus/><ci>p</ci></apply></apply>",
               "<apply><eq/><ci>u</ci><ci>p</ci></apply>")(text)),
        "wrong-follow-through",
    ),
    Spoiling(
        "the feedback of what is right is shown", "follow-through",
        last(">FF_b</qti-base-value>", ">F0_b</qti-base-value>"), "wrong-feedback",
    ),
    Spoiling(
        "a value not in lowest terms earns all", "follow-fractions",
        swap('<qti-gcd><qti-variable identifier="BOX_b_1"/>', f"<qti-gcd>{ONE}"), "wrong-follow-through",
    ),
    Spoiling(
        "a square is a product with another", "follow-fractions",
        swap('<qti-variable identifier="BOX_a_1"/><qti-variable identifier="BOX_a_1"/>',
             '<qti-variable identifier="BOX_a_1"/><qti-variable identifier="BOX_a_2"/>', 9),
        "wrong-follow-through",
    ),
)  # fmt: skip


@pytest.mark.parametrize("spoiling", SPOILINGS, ids=lambda spoiling: spoiling.what)
def test_what_was_changed_is_found(spoiling: Spoiling) -> None:
    (item,) = items(spoiling.name, 1)
    assert spoiling.code in codes(spoiling.spoil(item_xml(item)))


def test_what_a_platform_cannot_work_out_is_a_shortfall() -> None:
    told = {name: [shortfalls(item) for item in items(name, 3)] for name in NAMES}

    assert [()] * 3 == told["follow-through"] == told["follow-fractions"] == told["follow-quotients"]
    assert all(
        "follow-through marks are given for the right value only" in each[0] for each in told["follow-surds"]
    )
