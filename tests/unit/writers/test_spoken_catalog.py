"""The catalogue entry of a stem: what a voice reads, and that the audit hears whether it is what stands there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from lxml import etree

from itembank.audit.verify import audit_item
from itembank.items import Item
from itembank.writers import qti3
from tests import qti_items, samples
from tests.qti_scorer import QTI

MATH = "{http://www.w3.org/1998/Math/MathML}math"


def written(item: Item) -> etree._Element:
    return etree.fromstring(qti3.item_xml(item).encode())


def entries(root: etree._Element) -> dict[str, str]:
    """Name of an entry -> what is spoken."""
    return {
        each.get("id", ""): "".join(map(str, each.itertext()))
        for each in root.iter(f"{QTI}qti-catalog")
        if [card.get("support") for card in each] == ["spoken"]
    }


def test_a_stem_is_spoken_in_whole_sentences() -> None:
    root = written(samples.choice_item())

    assert entries(root) == {
        "spoken_stem": "By completing the square, solve x squared minus 8 x plus 3 equals 0."
    }
    assert ["stem"] == [
        each.get("data-role") for each in root.iter() if each.get("data-catalog-idref") == "spoken_stem"
    ]


def test_a_stem_in_spanish_has_its_formulas_in_spoken_spanish() -> None:
    item = samples.choice_item()
    root = written(replace(item, about=item.about._replace(language="es")))

    (heard,) = entries(root).values()
    assert heard.endswith("x al cuadrado menos 8 x más 3 es igual a 0.")
    assert [] == [
        each for each in root.iter() if each.get("{http://www.w3.org/XML/1998/namespace}lang") == "en"
    ]
    assert (item.code, ()) == audit_item(etree.tostring(root), qti3.item_name(item))


def test_each_part_has_an_entry_of_its_own() -> None:
    assert {"spoken_stem_a", "spoken_stem_b"} == entries(written(qti_items.two_part_item())).keys()


def test_a_catalogue_holds_no_mathematical_markup() -> None:
    (catalog,) = written(samples.surd_entry_item()).iter(f"{QTI}qti-catalog-info")

    assert [] == list(catalog.iter(MATH))


def test_an_item_in_another_language_has_no_entry_and_its_formulas_are_marked_as_english() -> None:
    item = samples.choice_item()
    root = written(replace(item, about=item.about._replace(language="cy")))

    assert {} == entries(root)
    assert [] == [each for each in root.iter() if each.get("data-catalog-idref")]
    languages = [each.get("{http://www.w3.org/XML/1998/namespace}lang") for each in root.iter(MATH)]
    assert {"en"} == set(languages)
    assert (item.code, ()) == audit_item(etree.tostring(root), qti3.item_name(item))


@pytest.mark.parametrize(
    ("spoil", "code"),
    [
        (lambda text: text.replace("8 x plus 3 equals 0.</p></qti-html", "8 x plus 5 equals 0.</p></qti-html"), ""),
        (lambda text: text.replace("solve x squared minus 8", "solve x cubed minus 8"), ""),
        (lambda text: text.replace("solve x squared", "guess x squared"), ""),
        (lambda text: text.replace("solve x squared minus", "solve x blurred minus"), ""),
        (lambda text: text.replace('id="spoken_stem"', 'id="spoken_stern"'), "missing-catalog"),
        (lambda text: text.replace(' data-catalog-idref="spoken_stem"', ""), "unused-catalog"),
    ],
)  # fmt: skip
def test_the_audit_hears_what_is_wrong_with_it(spoil: Callable[[str], str], code: str) -> None:
    item = samples.choice_item()
    right = qti3.item_xml(item)
    wrong = spoil(right)

    assert wrong != right
    findings = audit_item(wrong.encode(), qti3.item_name(item))[1]
    assert (code or "spoken-differs") in {each.code for each in findings}
