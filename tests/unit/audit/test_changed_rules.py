"""Rules of marking, names and instructions of a finished file changed in one place, each told by the audit.

All were found by changing every element, attribute and number of items of every kind, one at a time: these were not
told.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from copy import deepcopy
from functools import cache
from pathlib import Path

import pytest
from lxml import etree

from itembank.audit.verify import audit_item
from itembank.writers.qti3 import item_xml
from tests import kinds_bank, qti_scorer
from tests.template_items import items

QTI = "{http://www.imsglobal.org/xsd/imsqtiasi_v3p0}qti-"
PLUS_ONE = (
    "<qti-set-outcome-value {} identifier='SCORE'><qti-sum><qti-variable identifier='SCORE'/>"
    "<qti-base-value base-type='float'>1</qti-base-value></qti-sum></qti-set-outcome-value>"
).format(f"xmlns='{QTI[1:].partition('}')[0]}'")


@cache
def document(name: str) -> str:
    return item_xml(next(items(name, 1)))


def codes(text: str | bytes) -> set[str]:
    data = text.encode() if isinstance(text, str) else text
    return {finding.code for finding in audit_item(data, "items/X.xml")[1]}


def changed(text: str, change: Callable[[etree._Element], object]) -> bytes:
    root = etree.fromstring(text.encode())
    before = etree.tostring(root)
    change(root)
    after: bytes = etree.tostring(root)
    assert before != after
    return after


def branch_of(root: etree._Element, feedback: str) -> etree._Element:
    """The branch of a condition that shows a feedback."""
    (value,) = [each for each in root.iter(f"{QTI}base-value") if each.text == feedback]
    branch = value.getparent().getparent().getparent()
    assert branch.tag in {f"{QTI}response-if", f"{QTI}response-else-if"}
    return branch


def without(element: etree._Element) -> None:
    element.getparent().remove(element)


def feedback_dropped(root: etree._Element) -> None:
    for each in root.findall(f"{QTI}modal-feedback"):
        without(each)


def what_was_shown_forgotten(root: etree._Element) -> None:
    (first, *_) = root.iterfind(f".//{QTI}multiple/{QTI}variable[@identifier='FEEDBACK']")
    without(first)


def shown_for_half_an_answer(root: etree._Element) -> None:
    """Of two values one is no longer looked at."""
    asked = branch_of(root, "F1")[0]
    assert len(asked) == 2
    without(asked[1])


@pytest.mark.parametrize(
    ("name", "change", "code"),
    [
        ("order-lines", feedback_dropped, "no-feedback"),
        ("choices", what_was_shown_forgotten, "feedback-lost"),
        ("denominators", shown_for_half_an_answer, "feedback-of-a-part"),
        ("two-equations", shown_for_half_an_answer, "feedback-of-a-part"),
    ],
)
def test_feedback_that_is_lost_or_shown_to_others_is_told(
    name: str, change: Callable[[etree._Element], object], code: str
) -> None:
    assert set() == codes(document(name))
    assert code in codes(changed(document(name), change))


def test_a_point_of_a_slip_is_looked_at_whole() -> None:
    """Of each point in the rule of a slip each coordinate counts."""
    text = document("points")
    patterns = len(branch_of(etree.fromstring(text.encode()), "F1")[0].findall(f".//{QTI}pattern-match"))
    assert patterns == 8  # two points, in two orders

    for place in range(patterns):

        def coordinate_dropped(root: etree._Element, place: int = place) -> None:
            without(branch_of(root, "F1")[0].findall(f".//{QTI}pattern-match")[place])

        assert "feedback-of-a-part" in codes(changed(text, coordinate_dropped))


def test_the_scorer_says_that_half_an_answer_was_told_something() -> None:
    """Without the audit: after the change the slip is told where only one of its two values stands."""
    spoiled = changed(document("denominators"), shown_for_half_an_answer)
    given = {"BOX_1": "2", "BOX_2": "777"}

    assert "F1" not in qti_scorer.ScoredItem(document("denominators")).answer(given).feedback
    assert "F1" in qti_scorer.ScoredItem(spoiled).answer(given).feedback


def test_an_empty_answer_that_is_told_something_is_told() -> None:
    """No answer at all is told that the line follows."""
    asked = '<qti-is-null><qti-variable identifier="{}"/>'
    text = document("wrong-line")

    assert asked.format("RESPONSE") in text
    assert "wrong-feedback" in codes(text.replace(asked.format("RESPONSE"), asked.format("FEEDBACK")))


def test_a_right_answer_that_is_told_a_slip_is_told() -> None:
    """Each slip is shown for what somebody who made it would enter, and for the key as well."""

    def shown_for_the_key_too(root: etree._Element) -> None:
        right = branch_of(root, "F0")
        shown = [each for each in right if each.get("identifier") == "FEEDBACK"]
        other = deepcopy(shown[0])
        (value,) = other.iter(f"{QTI}base-value")
        value.text = "F1"
        right.append(other)

    assert "wrong-feedback" in codes(changed(document("two-equations"), shown_for_the_key_too))


@pytest.mark.parametrize("name", ["denominators", "points", "interval", "two-equations"])
def test_marks_for_what_a_slip_leads_to_are_told(name: str) -> None:
    """One mark for a wrong answer that is told to be wrong all the same."""

    def earns(root: etree._Element) -> None:
        branch_of(root, "F1").append(etree.fromstring(PLUS_ONE))

    assert "wrong-entry-earns" in codes(changed(document(name), earns))


def one_order_lost(root: etree._Element) -> None:
    """The second value of a slip is recognised in the first box no more."""
    patterns = branch_of(root, "F1")[0].findall(f".//{QTI}pattern-match")
    name = patterns[0][0].get("identifier")
    second = [each for each in patterns if each[0].get("identifier") == name][1]
    second.set("pattern", second.get("pattern", "").replace("0*", "0*7", 1))


@pytest.mark.parametrize("name", ["denominators", "points"])
def test_a_slip_that_is_recognised_in_one_order_only_is_told(name: str) -> None:
    assert "wrong-feedback" in codes(changed(document(name), one_order_lost))


def test_a_tick_beside_any_filled_box_earns_nothing() -> None:
    """Points have two boxes each; every one of them has to be empty where the tick is right."""
    text = next(
        text
        for item in kinds_bank.items("line-and-parabola", 60)
        if "<qti-value>none</qti-value>" in (text := item_xml(item))
    )
    asked = re.findall(r'<qti-is-null><qti-variable identifier="BOX_\d"/></qti-is-null>', text)

    assert len(asked) == 4
    assert set() == codes(text)
    for each in asked:
        assert "wrong-tick-earns" in codes(text.replace(each, ""))


def test_a_tick_may_be_left_out() -> None:
    text = document("none")
    tick = 'class="qti-labels-none" shuffle="false" max-choices="0" min-choices="{}"'

    assert tick.format(0) in text
    assert {"misfit-response"} == codes(text.replace(tick.format(0), tick.format(1)))


def test_marks_of_a_line_are_shown_at_it() -> None:
    text = document("two-equations")
    shown = re.findall('<p class="marks">[^<]+</p>', text)

    assert shown
    for each in set(shown):
        assert {"unclear-marks"} == codes(text.replace(each, ""))


MOST = '<qti-outcome-declaration identifier="MAXSCORE" cardinality="single" base-type="float">'


def test_a_quiz_adds_up_what_every_item_declares() -> None:
    """MAXSCORE is a sum over items: one that does not declare it would be left out."""
    text = document("choice")
    gone = re.sub(f"{MOST}.*?</qti-outcome-declaration>", "", text)

    assert MOST in text
    assert "wrong-outcome" in codes(gone)
    assert "wrong-outcome" in codes(text.replace(MOST, MOST.replace("single", "multiple")))
    assert "wrong-outcome" in codes(text.replace(MOST, MOST.replace("float", "string")))


@pytest.mark.parametrize(
    ("name", "old", "new", "code"),
    [
        ("decimals", "to 2 decimal places", "to 3 decimal places", "wrong-instruction"),
        ("brackets", "1 or 0 where nothing", "1 or 2 where nothing", "wrong-instruction"),
        ("entry", "Enter", "Enter 3 of", "wrong-instruction"),
        ("denominators", 'aria-label="x, solution 2"', 'aria-label="x, solution 1"', "misnamed-box"),
        ("two-equations", 'aria-label="y"', 'aria-label="x"', "misnamed-box"),
    ],
)  # fmt: skip
def test_what_a_candidate_is_told_of_boxes_fits_them(name: str, old: str, new: str, code: str) -> None:
    text = document(name)

    assert old in text
    assert code in codes(text.replace(old, new, 1))


def test_boxes_that_exchanged_their_numbers_are_told() -> None:
    """Each has a name of its own, and it is the other's."""
    text = document("denominators")
    swapped = re.sub(r"(?<=, solution )[12]", lambda found: "21"[int(found[0]) - 1], text)

    assert swapped != text
    assert "misnamed-box" in codes(swapped)


LINE_AND_CURVE = """\
template: line-and-curve
version: 1
title: Where a line meets a curve
topics: [simultaneous]
unknowns: [x, y]
parameters:
  p: {from: 1, to: 3}
  q: {from: 4, to: 6}
  k: {from: 2, to: 9}
derived: {b: -1 - p - q, c: p*q + k}
problem: x + y = k and y = x^2 + b*x + c
stem: Solve the equations $x + y = k$ and $y = x^2 + b*x + c$.
response: {kind: entry, points: any-order, marks: 2, blanks: {x: {form: integer}, y: {form: integer}}}
key: (x, y) = (p, k - p) or (x, y) = (q, k - q)
solution:
  - math: x = p or x = q
  - math: (x, y) = (p, k - p) or (x, y) = (q, k - q)
"""


def test_one_of_two_equations_of_a_stem_cannot_say_another_number(tmp_path: Path) -> None:
    """The second is the problem's own; the first has endlessly many solutions, none of which is the key's."""
    path = tmp_path / "line-and-curve.yaml"
    path.write_text(LINE_AND_CURVE, "utf-8")
    text = item_xml(next(kinds_bank.walk_items(kinds_bank.bound_of(path))))
    said = re.search(r'alttext="(x plus y equals (\d+))".*?</math>', text)
    assert said is not None
    other = str(int(said[2]) + 1)
    formula = said[0].replace(f"<mn>{said[2]}<", f"<mn>{other}<").replace(f"<cn>{said[2]}<", f"<cn>{other}<")
    spoken = said[1].replace(said[2], other)
    shown, _, heard = text.replace(said[0], formula.replace(said[1], spoken)).partition("<qti-catalog-info>")

    assert set() == codes(text)
    assert heard
    assert {"stem-differs"} == codes(f"{shown}<qti-catalog-info>{heard.replace(said[1], spoken, 1)}")
