"""Items of this house changed at random or one number at a time: the audit always answers, and misses no number."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.audit.verify import audit_item
from itembank.items import Item
from itembank.writers import qti3
from tests.audit_samples import ITEMS
from tests.samples import ALL

FORMULA = re.compile(r"<math .*?</math>")
NUMERAL = re.compile(r"<(mn|cn)>([0-9]+)</\1>")
PIECE = re.compile(r"<[^>]*>|[^<]+")


def with_one_number_changed(text: str) -> Iterator[str]:
    """The item with each number of each formula one more, in what is shown and in the annotation alike."""
    for formula in FORMULA.finditer(text):
        if text[: formula.start()].rpartition("<p")[2].startswith(' data-role="option"'):
            continue  # what a slip comes to is the author's word; nothing in the file tells another
        numerals = list(NUMERAL.finditer(formula[0]))
        half = len(numerals) // 2
        for index in range(half):
            changed = formula[0]
            for each in (numerals[index + half], numerals[index]):
                more = f"<{each[1]}>{int(each[2]) + 1}</{each[1]}>"
                changed = changed[: each.start()] + more + changed[each.end() :]
            yield text[: formula.start()] + changed + text[formula.end() :]


@pytest.mark.parametrize("make", ALL, ids=lambda make: make.__name__)
def test_no_changed_number_of_a_formula_is_missed(make: Callable[[], Item]) -> None:
    """Changed consistently, so that only the mathematics can tell."""
    changed = list(with_one_number_changed(qti3.item_xml(make())))
    missed = [each for each in changed if not audit_item(each.encode(), "item.xml")[1]]

    assert len(changed) >= 4
    assert [] == missed


@pytest.mark.parametrize("make", ALL, ids=lambda make: make.__name__)
def test_no_changed_right_value_is_missed(make: Callable[[], Item]) -> None:
    """What is keyed in a box, one more; an option, another."""
    text = qti3.item_xml(make())
    for value in re.finditer(r"(?<=<qti-correct-response><qti-value>)[^<]+", text):
        other = (
            str(int(value[0]) + 1) if value[0].lstrip("-").isdecimal() else "A" if value[0] != "A" else "B"
        )
        changed = text[: value.start()] + other + text[value.end() :]

        assert audit_item(changed.encode(), "item.xml")[1]


@given(st.data())
@settings(max_examples=150, deadline=None)
def test_whatever_is_done_to_an_item_the_audit_answers(data: st.DataObject) -> None:
    """Pieces of markup lost, doubled, swapped or filled with something else: findings, never an exception."""
    made = data.draw(st.sampled_from([*ALL, *ITEMS.values()]))()
    pieces = PIECE.findall(made if isinstance(made, str) else qti3.item_xml(made))
    for _ in range(data.draw(st.integers(min_value=1, max_value=3))):
        at = data.draw(st.integers(min_value=0, max_value=len(pieces) - 1))
        other = data.draw(st.integers(min_value=0, max_value=len(pieces) - 1))
        match data.draw(st.sampled_from(["lose", "double", "swap", "number", "text"])):
            case "lose":
                pieces[at] = ""
            case "double":
                pieces[at] *= 2
            case "swap":
                pieces[at], pieces[other] = pieces[other], pieces[at]
            case "number":
                pieces[at] = re.sub(
                    "[0-9]+", data.draw(st.sampled_from(["0", "-1", "1.5", "9" * 40, "x"])), pieces[at]
                )
            case "text":
                drawn = f'"{data.draw(st.text(max_size=3))}"'.replace("\x00", "")
                pieces[at] = re.sub('"[^"]*"', lambda _, drawn=drawn: drawn, pieces[at])  # type: ignore[misc]
    code, findings = audit_item("".join(pieces).encode("utf-8", "replace"), "item.xml")

    assert all(finding.code and finding.message and finding.item == code for finding in findings)
