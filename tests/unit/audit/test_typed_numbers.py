"""Numbers typed as text in written items: a rule that takes fewer or more spellings is found."""

from __future__ import annotations

import pytest

from itembank.audit.verify import audit_item
from itembank.writers.qti3 import item_xml
from tests.template_items import items

PATTERN = r"\s*\+?\s*0*"


def codes(text: str) -> set[str]:
    return {finding.code for finding in audit_item(text.encode(), "items/X.xml")[1]}


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        (PATTERN, r"\+?0*", "spelling-matters"),
        (PATTERN, r"\s*\+?\s*", "spelling-matters"),
        (PATTERN, r"\s*[+\-]?\s*0*", "wrong-entry-earns"),
        (PATTERN, r"(a+)+", "unknown-rule"),
        (PATTERN, r"\s*\+?\s*5*", "unknown-rule"),
        (PATTERN, r"\s*\+?\s*0*1?", "unknown-rule"),
        ("([.]0*)?", "", "spelling-matters"),
        ("([.]0*)?", "([.]0+)?", "spelling-matters"),
        ("([.]0*)?", "([.]0*1*)?", "unknown-rule"),
        ("([.]0*)?", "([.]0*1)?", "wrong-entry-earns"),
        ("<qti-value>", "<qti-value>x", "misfit-value"),
    ],
)
def test_a_changed_pattern_is_found(old: str, new: str, code: str) -> None:
    (item,) = items("units", 1)
    text = item_xml(item)
    assert old in text
    assert set() == codes(text)
    assert code in codes(text.replace(old, new, 1))
