"""Brackets in boxes: the audit passes what is written, and finds what was changed."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from itembank.audit.verify import audit_item
from itembank.proof.prover import faults, prove
from itembank.proof.symbolic import prove_with_sympy
from itembank.writers.qti3 import item_xml
from tests.template_items import items

NAMES = ("brackets", "brackets-scale")


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("thorough", [False, True])
def test_items_as_written_pass(name: str, thorough: bool) -> None:
    for item in items(name, 20 if not thorough else 4):
        assert () == audit_item(item_xml(item).encode(), "items/X.xml", thorough=thorough)[1]
        assert () == faults(prove(item)) == faults(prove_with_sympy(item))


def swap(old: str, new: str, count: int = 1) -> Callable[[str], str]:
    def spoil(text: str) -> str:
        assert old in text, old
        return text.replace(old, new, count)

    return spoil


def keyed(box: int) -> str:
    return (
        f'identifier="BOX_{box}" cardinality="single" base-type="integer"><qti-correct-response><qti-value>'
    )


SPOILINGS = {
    "another number is keyed": ("brackets", swap(keyed(2), keyed(2) + "9"), "wrong-boxes"),
    "the sign between is not plain": ("brackets", swap(" + <span", " − <span"), "unclear-box"),
    "the brackets are not shown": ("brackets", swap("( <span", "<span"), "unclear-box"),
    "the constant is not marked": (
        "brackets",
        swap('<qti-variable identifier="BOX_2"/><qti-variable identifier="BOX_4"/></qti-product>',
             '<qti-variable identifier="BOX_2"/><qti-variable identifier="BOX_2"/></qti-product>'),
        "key-misses-maximum",
    ),
    "a common factor costs nothing": (
        "brackets-scale",
        swap('<qti-gcd><qti-variable identifier="BOX_2"/><qti-variable identifier="BOX_3"/></qti-gcd>',
             '<qti-base-value base-type="integer">1</qti-base-value>'),
        "unsimplified-mark",
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", SPOILINGS)
def test_what_was_changed_is_found(what: str) -> None:
    name, spoil, code = SPOILINGS[what]
    found = [
        {each.code for each in audit_item(spoil(item_xml(item)).encode(), "items/X.xml")[1]}
        for item in items(name, 3)
    ]
    assert any(code in codes for codes in found)
