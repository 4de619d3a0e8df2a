"""The manifest: pieces that make one document, with an entry for each item."""

from __future__ import annotations

from dataclasses import replace
from urllib.parse import unquote

import pytest
from lxml import etree

from itembank.items import Item
from itembank.writers import qti3
from itembank.writers.package import PackagePath
from tests import qti_items, samples

PACKAGING = "{http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1}"
METADATA = "{http://www.imsglobal.org/xsd/imsqti_metadata_v3p0}"
LOM = "{http://ltsc.ieee.org/xsd/LOM}"


def manifest(*items: Item, **facts: str) -> etree._Element:
    """A manifest, read back."""
    head = qti3.manifest_head(**{"name": "algebra", "title": "Algebra", "language": "en", **facts})
    text = head + "".join(qti3.manifest_resource(item) for item in items) + qti3.manifest_tail()
    return etree.fromstring(text.encode())


def texts(root: etree._Element, name: str) -> list[str]:
    """The words of all elements of a name."""
    return ["".join(map(str, each.itertext())) for each in root.iter(name)]


def test_it_is_an_item_bank_of_the_standard() -> None:
    root = manifest()

    assert f"{PACKAGING}manifest" == root.tag
    assert "bank-algebra" == root.get("identifier")
    assert ["QTI Item Bank"] == texts(root, f"{PACKAGING}schema")
    assert ["3.0.0"] == texts(root, f"{PACKAGING}schemaversion")
    assert ["metadata", "organizations", "resources"] == [
        str(each.tag).removeprefix(PACKAGING) for each in root
    ]


@pytest.mark.parametrize("make", [*samples.ALL, *qti_items.MORE])
def test_an_item_is_one_resource_with_one_file(make: object) -> None:
    item = make()  # type: ignore[operator]
    (resource,) = manifest(item).iter(f"{PACKAGING}resource")
    (file,) = resource.iter(f"{PACKAGING}file")

    assert f"items/{item.code}.xml" == qti3.item_name(item)
    assert str(PackagePath(qti3.item_name(item))) == resource.get("href") == file.get("href")
    assert "imsqti_item_xmlv3p0" == resource.get("type")
    assert f"item-{item.code}" == resource.get("identifier")


def test_a_file_is_found_by_its_address_whatever_its_name() -> None:
    item = replace(samples.choice_item(), code="K7 é&%2")
    (resource,) = manifest(item).iter(f"{PACKAGING}resource")

    assert "items/K7%20%C3%A9%26%252.xml" == resource.get("href")
    assert qti3.item_name(item) == unquote(str(resource.get("href")))
    assert "item-K7-2" == resource.get("identifier")


def test_kinds_of_interaction_are_told_once_each() -> None:
    kinds = [
        texts(manifest(item), f"{METADATA}interactionType") + texts(manifest(item), f"{METADATA}composite")
        for item in (
            samples.choice_item(),
            samples.surd_entry_item(),
            samples.rewrite_item(),
            qti_items.two_part_item(),
        )
    ]

    assert ["choiceInteraction", "false"] == kinds[0]
    assert ["textEntryInteraction", "choiceInteraction", "true"] == kinds[1]
    assert ["textEntryInteraction", "false"] == kinds[2]
    assert ["choiceInteraction", "textEntryInteraction", "true"] == kinds[3]


def test_what_is_known_of_an_item_is_told() -> None:
    item = qti_items.fractions_item()
    root = next(manifest(item).iter(f"{PACKAGING}resource"))
    purposes = texts(root, f"{LOM}purpose")

    assert [f"Evening algebra ({item.code})"] == texts(root, f"{LOM}title")
    assert ["quadratics", "surds"] == texts(root, f"{LOM}keyword")
    assert ["HSA-REI.B.4b", "HSN-RN.A.2", "year-10", "use"] == texts(root, f"{LOM}id")
    assert ["LOMv1.0educational objective", "LOMv1.0educational level", "LOMv1.0skill level"] == purposes
    assert ["PT3M"] == texts(root, f"{LOM}duration")


@pytest.mark.parametrize("minutes", ["", "0", "three", "2.5", "3 or 4", "٣"])
def test_minutes_that_are_no_whole_number_are_left_out(minutes: str) -> None:
    item = samples.choice_item()

    assert [] == texts(manifest(replace(item, about=replace(item.about, minutes=minutes))), f"{LOM}duration")


def test_what_is_not_known_leaves_nothing_empty() -> None:
    item = samples.choice_item()
    bare = replace(item.about, topics=(), curriculum=(), level="", demand="", minutes="")
    root = manifest(replace(item, about=bare))

    assert [f"{PACKAGING}organizations"] == [
        each.tag for each in root.iter() if not len(each) and not each.text and not each.attrib
    ]


def test_names_titles_licence_and_author_may_hold_anything() -> None:
    hostile = 'Algebra <&> "1";, \\ \x00\n%s'
    root = manifest(name=hostile, title=hostile, licence=hostile, author=hostile)
    safe = hostile.replace("\x00", "\ufffd")

    assert "bank-Algebra-1-s" == root.get("identifier")
    assert safe in texts(root, f"{LOM}title")[0]
    assert [safe] == texts(root, f"{LOM}description")
    assert 'FN:Algebra <&> "1"\\;\\, \\\\ \ufffd %s' in texts(root, f"{LOM}entity")[0].split("\n")


def test_neither_address_nor_slips_nor_the_key_are_told() -> None:
    item = qti_items.fractions_item()
    text = qti3.manifest_resource(item)

    assert item.address.template not in text
    assert all(slip.name not in text for slip in item.parts[0].slips)
    assert "correct" not in text
