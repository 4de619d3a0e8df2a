"""Several values in any order: in every order what is nearly right is tried, and what is not in simplest form."""

from __future__ import annotations

import pytest

from itembank.audit.verify import audit_item
from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.generator.instantiate import Instantiator
from itembank.generator.item_codes import OPEN_SECRET, item_code
from itembank.generator.space import walk
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.writers.qti3 import item_xml
from itembank.yaml_source import parse

TEMPLATE = b"""\
template: halves
version: 1
title: Two fractions
unknowns: [x]
parameters: {p: [5]}
problem: (2*x - 1)*(3*x - p) = 0
stem: Solve $problem$.
response: {kind: entry, blanks: {x: {form: fraction, marks: 3}}}
key: x = 1/2 or x = p/3
"""


@pytest.fixture(scope="module")
def written() -> str:
    ready = Bound(make_recipe(read_template(parse(TEMPLATE, "halves.yaml"), NO_SLIPS).template))
    maker = Instantiator(ready, 1)
    (drawn,) = walk(ready, 1)
    address = maker.address(drawn.position)
    return item_xml(maker.item(drawn.position, drawn.draft, item_code(address, OPEN_SECRET)))


def codes(text: str) -> set[str]:
    return {finding.code for finding in audit_item(text.encode(), "items/X.xml")[1]}


def whole(box: int, number: int) -> str:
    """A box is compared with a number."""
    value = f'<qti-base-value base-type="integer">{number}</qti-base-value>'
    return f'<qti-match><qti-variable identifier="BOX_{box}"/>{value}</qti-match>'


def times(box: int, number: int) -> str:
    """A box is multiplied by a number, to be compared across."""
    value = f'<qti-base-value base-type="integer">{number}</qti-base-value>'
    return f'<qti-product><qti-variable identifier="BOX_{box}"/>{value}</qti-product>'


def test_the_item_as_written_passes(written: str) -> None:
    assert set() == codes(written)


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        (whole(3, 1), whole(3, 3), "order-matters"),
        (whole(1, 5), f"<qti-or>{whole(1, 5)}{whole(1, 6)}</qti-or>", "wrong-entry-earns"),
        (whole(2, 3), whole(1, 5), "wrong-entry-earns"),
        (times(4, 1), times(4, 2), "unsimplified-mark"),
        (times(2, 5), times(2, 6), "unsimplified-mark"),
    ],
)
def test_a_rule_changed_for_the_other_order_alone_is_found(
    written: str, old: str, new: str, code: str
) -> None:
    assert old in written
    assert code in codes(written.replace(old, new, 1))
