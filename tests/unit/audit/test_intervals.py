"""Inequalities in boxes: the audit passes what is written, and finds what was changed."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

import pytest

from itembank.audit.verify import audit_item
from itembank.writers.qti3 import item_xml
from tests.template_items import items

NAMES = (
    "inequality",
    "interval",
    "interval-surds",
    "interval-surd-halves",
    "interval-roots",
    "interval-rays",
)


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


def swap(old: str, new: str, count: int = 1) -> Callable[[str], str]:
    def spoil(text: str) -> str:
        assert old in text, old
        return text.replace(old, new, count)

    return spoil


CHOSEN = '<qti-variable identifier="BOX_1"/>'
IS_GREATER = f'<qti-match>{CHOSEN}<qti-base-value base-type="identifier">gt</qti-base-value></qti-match>'


def compared(box: int, base: str, value: str) -> str:
    """A box compared with a value."""
    held = f'<qti-base-value base-type="{base}">{value}</qti-base-value>'
    return f'<qti-match><qti-variable identifier="BOX_{box}"/>{held}</qti-match>'


OTHERWISE = compared(3, "identifier", "gt") + compared(4, "integer", "-3")
"""The first inequality, in the boxes of the second."""
SPOILINGS = (
    Spoiling("another sign is keyed", "interval", swap("<qti-value>gt<", "<qti-value>ge<"), "wrong-boxes"),
    Spoiling("the sign is keyed the other way", "interval", swap("<qti-value>gt<", "<qti-value>lt<"), "wrong-boxes"),
    Spoiling("a sign of no kind is keyed", "interval", swap("<qti-value>gt<", "<qti-value>xx<"), "misfit-value"),
    Spoiling("the other word is keyed", "interval", swap("<qti-value>and<", "<qti-value>or<"), "wrong-boxes"),
    Spoiling(
        "a sign cannot be chosen", "interval",
        swap('<qti-inline-choice identifier="ge">≥</qti-inline-choice>', "", 9), "unclear-box",
    ),
    Spoiling(
        "the word that joins is not marked", "interval",
        swap('<qti-base-value base-type="identifier">and</qti-base-value>',
             '<qti-base-value base-type="identifier">or</qti-base-value>'), "key-misses-maximum",
    ),
    Spoiling(
        "any sign will do", "interval",
        swap(IS_GREATER, f"<qti-not><qti-is-null>{CHOSEN}</qti-is-null></qti-not>"), "wrong-entry-earns",
    ),
    Spoiling(
        "half an inequality will do, in the other order", "interval",
        swap(f"<qti-and>{OTHERWISE}</qti-and>", f"<qti-or>{OTHERWISE}</qti-or>"), "wrong-entry-earns",
    ),
    Spoiling(
        "half an inequality will do, in the other boxes", "interval-rays",
        swap(compared(5, "integer", "-1"),
             '<qti-not><qti-is-null><qti-variable identifier="BOX_5"/></qti-is-null></qti-not>', 2),
        "wrong-entry-earns",
    ),
    Spoiling(
        "the problem has another sign", "interval",
        lambda text: swap("<mo>&lt;</mo>", "<mo>≤</mo>", 99)(swap("<lt/>", "<leq/>", 99)(text)), "wrong-boxes",
    ),
    Spoiling(
        "the key's end is another", "interval-surds", swap('data-role="key"', 'data-role="note"'), "incomplete-solution"
    ),
)  # fmt: skip


@pytest.mark.parametrize("spoiling", SPOILINGS, ids=lambda spoiling: spoiling.what)
def test_what_was_changed_is_found(spoiling: Spoiling) -> None:
    (item,) = items(spoiling.name, 1)
    found = {each.code for each in audit_item(spoiling.spoil(item_xml(item)).encode(), "items/X.xml")[1]}
    assert spoiling.code in found


@pytest.mark.parametrize("name", NAMES[1:])
@pytest.mark.parametrize("attribute", ["slot", "role"])
def test_boxes_that_are_told_as_others_are_unclear_and_end_nothing(name: str, attribute: str) -> None:
    """A sign without an end, or the end of another: each box in turn, told to be what another is."""
    (item,) = items(name, 1)
    text = item_xml(item)
    told = 0
    for found in re.finditer(rf' data-{attribute}="([a-z0-9]+)"', text):
        others = {"sign", "value", "p", "r"} if attribute == "role" else {"1", "2"}
        for other in sorted(others - {found[1]}):
            changed = f"{text[: found.start(1)]}{other}{text[found.end(1) :]}"
            told += bool(audit_item(changed.encode(), "items/X.xml")[1])
    assert told >= 4
