"""What this house writes, read back: writer and audit were made apart and agree on the file alone."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from itembank.audit.findings import Report
from itembank.audit.verify import audit_item, verify
from itembank.items import Item
from itembank.publication import Publication
from itembank.writers import qti3
from tests.audit_samples import write_zip
from tests.samples import ALL


@pytest.mark.parametrize("make", ALL, ids=lambda make: make.__name__)
@pytest.mark.parametrize("thorough", [False, True])
def test_an_item_that_is_written_passes(make: Callable[[], Item], thorough: bool) -> None:
    """Every kind of item of the samples."""
    item = make()
    written = qti3.item_xml(item).encode()

    assert (item.code, ()) == audit_item(written, qti3.item_name(item), thorough=thorough)


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
