"""A unit is shown beside its box in every format, the sign of a currency before it where the language has it so."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from lxml import etree

from itembank.audit.verify import audit_item
from itembank.items import EntryResponse, Item
from itembank.library import draw
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


PRICES = """
template: prices
version: 1
title: A price with a rise
language: LANGUAGE
unknowns: [n]
parameters: {w: {from: 12, to: 90}, r: {from: 3, to: 35}}
problem: n = w*(1 + r/100)
stem: A ticket costs £$w$. The price goes up by $r$%. Find the new price, to two decimal places.
response: {kind: entry, marks: 1, blanks: {n: {form: decimal, places: 2, unit: UNIT}}}
key: n = w + w*r/100
"""


def priced(folder: Path, language: str, unit: str) -> Item:
    path = folder / "prices.yaml"
    path.write_text(PRICES.replace("LANGUAGE", language).replace("UNIT", unit), "utf-8")
    return next(draw(path, count=1)).item


@pytest.mark.parametrize(
    ("language", "unit", "first"),
    [
        ("en", "£", True), ("en-US", "US\\$", True), ("es-MX", "\\$", True),
        ("es", "€", False), ("en", "pounds", False), ("en", "£/kg", False),
        ("de", "€", False), ("de-AT", "€", True), ("de-CH", "€", True),
    ],
)  # fmt: skip
def test_a_sign_of_money_stands_before_its_box_where_it_is_written_so(
    tmp_path: Path, language: str, unit: str, first: bool
) -> None:
    item = priced(tmp_path, language, unit)
    shown = unit.replace("\\", "")
    text = item_xml(item)
    (paragraph,) = (
        each for each in etree.fromstring(text.encode()).iter(f"{QTI}p") if each.get("class") == "boxes"
    )
    classes = [each.get("class") for each in paragraph if each.tag == f"{QTI}span"]
    page = pages.document("question-paper", [item], PaperFacts("Prices", language=language))
    paper = latex.document("question-paper", [item], PaperFacts("Prices", language=language))

    assert first == (classes == ["unit", None]) != (classes == [None, "unit"])
    assert first == (f'<mo>=</mo><mtext>{shown}</mtext><mtext class="box"' in page)
    assert first != (f'</math> <span class="unit">{shown}</span>' in page)
    assert first == bool(re.search(r" = \\mbox\{[^ ]+\}\\,\\AnswerBox", paper))
    assert () == audit_item(text.encode(), "items/X.xml")[1]
