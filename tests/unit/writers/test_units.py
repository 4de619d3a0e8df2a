"""A unit is shown beside its box in every format."""

from __future__ import annotations

import re

from lxml import etree

from itembank.audit.verify import audit_item
from itembank.items import EntryResponse
from itembank.writers import latex, pages
from itembank.writers.paper import PaperFacts
from itembank.writers.qti3 import item_xml
from tests.qti_scorer import QTI
from tests.template_items import items


def test_it_stands_after_the_box_and_is_no_part_of_what_is_typed() -> None:
    (item,) = items("units", 1)
    text = item_xml(item)
    root = etree.fromstring(text.encode())
    (paragraph,) = (each for each in root.iter(f"{QTI}p") if each.get("class") == "boxes")

    assert isinstance(item.parts[0].response, EntryResponse)
    assert "m" == "".join(str(each) for each in paragraph[-1].itertext())
    assert "unit" == paragraph[-1].get("class")
    assert () == audit_item(text.encode(), "items/X.xml")[1]


def test_papers_show_it() -> None:
    (item,) = items("units", 1)
    facts = PaperFacts("Evening algebra")

    assert '<span class="unit">m</span>' in pages.document("question-paper", [item], facts)
    assert r"\,\mbox{m}" in latex.document("question-paper", [item], facts)
    for name in ("answer-key", "worked-solutions"):
        assert "</math> m" in pages.document(name, [item], facts)
        assert "$ m" in latex.document(name, [item], facts)


def test_every_key_tells_it() -> None:
    """The key to all versions says of an answer what the key of one says."""
    (item,) = items("units", 1)
    facts = PaperFacts("Lawns")
    for writer in (latex, pages):
        for key in (
            writer.document("answer-key", [item], facts),
            writer.combined_key([[item], [item]], "AB", facts),
        ):
            assert re.search(r"(\$|</math>) m\b", key), key[-600:]
