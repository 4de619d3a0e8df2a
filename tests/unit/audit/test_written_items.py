"""What this house writes, read back: writer and audit were made apart and agree on the file alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from itembank.audit.findings import Report
from itembank.audit.verify import audit_item, verify
from itembank.items import EntryResponse, Item
from itembank.publication import Publication
from itembank.writers import qti3
from tests.audit_samples import write_zip
from tests.samples import ALL, maths, rewrite_item, text


@pytest.mark.parametrize("make", ALL, ids=lambda make: make.__name__)
@pytest.mark.parametrize("thorough", [False, True])
def test_an_item_that_is_written_passes(make: Callable[[], Item], thorough: bool) -> None:
    """Every kind of item of the samples."""
    item = make()
    written = qti3.item_xml(item).encode()

    assert (item.code, ()) == audit_item(written, qti3.item_name(item), thorough=thorough)


def test_a_surd_whose_square_is_no_number_of_the_standard_passes() -> None:
    """√(70000² · 2): it cannot be entered in another form, for what would stand under the root has over 32 bits."""
    item = rewrite_item()
    (part,) = item.parts
    assert isinstance(part.response, EntryResponse)
    blank = replace(part.response.blanks[0], values=((70_000, 2),))
    key = maths("70000*sqrt(2)")
    part = replace(
        part, problem=replace(part.problem, statement=maths("sqrt(9800000000)")),
        stem=text("Simplify ", "sqrt(9800000000)", "."), key=key, solution=(),
        response=replace(part.response, blanks=(blank,)),
    )  # fmt: skip
    written = qti3.item_xml(replace(item, parts=(part,))).encode()

    assert () == audit_item(written, qti3.item_name(item))[1]


def test_a_package_that_is_written_passes(tmp_path: Path) -> None:
    """Items and manifest together."""
    items = [make() for make in ALL]
    resources = "".join(map(qti3.manifest_resource, items))
    whole = qti3.manifest_head(Publication("quiz", "Evening algebra")) + resources + qti3.manifest_tail()
    path = write_zip(
        tmp_path / "quiz.zip",
        {"imsmanifest.xml": whole, **{qti3.item_name(item): qti3.item_xml(item) for item in items}},
    )

    assert Report("quiz.zip", len(items)) == verify(path)
