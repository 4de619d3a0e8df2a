"""Items made from templates of every kind, in QTI 2.1 and 2.2: the audit passes what is written."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.audit.verify import audit_item
from itembank.writers.qti2 import WRITER_2_1, WRITER_2_2
from tests.template_items import items

TEMPLATES = Path(__file__).parents[2] / "templates" / "good"
NAMES = sorted(path.stem for path in TEMPLATES.glob("*.yaml") if path.stem not in {"bank", "slips"})


@pytest.mark.parametrize("name", NAMES)
def test_items_of_a_template_pass_in_the_older_dialects(name: str) -> None:
    made = list(items(name, 6))

    assert len(made) >= 1
    for item in made:
        for writer in (WRITER_2_1, WRITER_2_2):
            found = audit_item(writer.item_xml(item).encode(), f"items/{item.code}.xml")[1]
            assert () == found, writer.FORMAT


def test_every_kind_of_template_is_tried() -> None:
    assert len(NAMES) >= 12
