"""Words to choose in a line: the audit passes what is written, and finds what was changed."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

import pytest

from itembank.audit.verify import audit_item
from itembank.writers.qti3 import item_xml
from tests.template_items import items

NAMES = ("one-of", "one-of-alone", "one-of-fixed", "one-of-two")


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("thorough", [False, True])
def test_items_as_written_pass(name: str, thorough: bool) -> None:
    for item in items(name, 20 if not thorough else 4):
        assert () == audit_item(item_xml(item).encode(), "items/X.xml", thorough=thorough)[1]


class Spoiling(NamedTuple):
    """A change of the file and the code it is found by."""

    what: str
    name: str
    spoil: Callable[[str], str]
    code: str


def swap(old: str, new: str, count: int = -1) -> Callable[[str], str]:
    def spoil(text: str) -> str:
        assert old in text, old
        return text.replace(old, new, count)

    return spoil


def each(*spoils: Callable[[str], str]) -> Callable[[str], str]:
    def spoil(text: str) -> str:
        for one in spoils:
            text = one(text)
        return text

    return spoil


# the first item of one-of: C is right, D = -27
RULE = '<qti-variable identifier="BOX_2"/><qti-base-value base-type="identifier">C<'
ANOTHER_RULE = RULE.replace(">C<", ">A<")
KEYED = "<qti-value>C</qti-value>"
TOLD_RIGHT = 'data-identifier="C" data-response="BOX_2" data-right="yes"'
TOLD_WRONG = 'data-identifier="A" data-response="BOX_2" data-right="no"'
CHOICE = '<qti-inline-choice identifier="A">two different real roots</qti-inline-choice>'
SPOILINGS = (
    Spoiling("other words are keyed", "one-of", swap(KEYED, KEYED.replace("C", "A")), "wrong-option-keyed"),
    Spoiling("no words are keyed", "one-of", swap(KEYED, ""), "wrong-option-keyed"),
    Spoiling("words that are not there are keyed", "one-of", swap(KEYED, KEYED.replace("C", "Q")), "misfit-value"),
    Spoiling(
        "other words are keyed, marked and told right", "one-of",
        each(
            swap(KEYED, KEYED.replace("C", "A")), swap(RULE, ANOTHER_RULE),
            swap(TOLD_RIGHT, TOLD_RIGHT.replace("yes", "no")), swap(TOLD_WRONG, TOLD_WRONG.replace("no", "yes")),
        ),
        "wrong-option-keyed",
    ),
    Spoiling("other words are marked", "one-of", swap(RULE, ANOTHER_RULE), "key-misses-maximum"),
    Spoiling(
        "any words are right", "one-of",
        lambda text: re.sub(
            r'<qti-match><qti-variable identifier="BOX_2"/><qti-base-value base-type="identifier">C'
            r"</qti-base-value></qti-match>",
            '<qti-not><qti-is-null><qti-variable identifier="BOX_2"/></qti-is-null></qti-not>', text,
        ),
        "wrong-entry-earns",
    ),
    Spoiling("two words are told right", "one-of", swap(TOLD_WRONG, TOLD_WRONG.replace("no", "yes")),
             "wrong-option-keyed"),
    Spoiling("two choices read the same", "one-of", swap("one repeated root<", "no real roots<"), "equal-options"),
    Spoiling("the words are told in another order", "one-of", swap(CHOICE, CHOICE.replace('"A"', '"B"')),
             "option-differs"),
    Spoiling("a choice is missing", "one-of", swap(CHOICE, ""), "option-differs"),
    Spoiling("what a choice says is changed", "one-of",
             swap(CHOICE, CHOICE.replace("two different real", "two equal real")), "option-differs"),
    Spoiling(
        "the condition of the right words is turned", "one-of",
        each(swap("<mo>&lt;</mo>", "<mo>&gt;</mo>"), swap("<lt/>", "<gt/>")), "wrong-option-keyed",
    ),
    Spoiling("words are told of that are not there", "one-of", swap('data-response="BOX_2"', 'data-response="BOX_7"'),
             "option-differs"),
    Spoiling("the choice is for a letter unknown", "one-of",
             swap('data-unknown="" data-form="one-of"', 'data-unknown="t" data-form="one-of"'), "unclear-box"),
    Spoiling("the recognised words are others", "one-of-alone", lambda text: re.sub(
        'data-words="[A-D]"', 'data-words="D"', text), "wrong-feedback"),
    Spoiling("to which words a slip leads is not told", "one-of-alone", lambda text: re.sub(
        ' data-words="[A-D]"', "", text), "wrong-feedback"),
)  # fmt: skip


@pytest.mark.parametrize("spoiling", SPOILINGS, ids=lambda spoiling: spoiling.what)
def test_what_was_changed_is_found(spoiling: Spoiling) -> None:
    item = next(items(spoiling.name, 1))
    text = item_xml(item)
    assert spoiling.spoil(text) != text
    found = {each.code for each in audit_item(spoiling.spoil(text).encode(), "items/X.xml")[1]}
    assert spoiling.code in found
