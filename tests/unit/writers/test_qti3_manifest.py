"""The manifest: pieces that make one document, with an entry for each item."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from urllib.parse import unquote

import pytest
from lxml import etree

from itembank.items import Item
from itembank.publication import Publication, Statement
from itembank.templates.bank_model import StatementShape
from itembank.writers import qti3
from itembank.writers.dialects import QTI_2_2, QTI_3_0
from itembank.writers.package import PackagePath
from tests import kinds_bank, qti_items, samples, template_items

PACKAGING = "{http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1}"
METADATA = "{http://www.imsglobal.org/xsd/imsqti_metadata_v3p0}"
LOM = "{http://ltsc.ieee.org/xsd/LOM}"


def manifest(*items: Item, **facts: str) -> etree._Element:
    """A manifest, read back."""
    head = qti3.manifest_head(
        Publication(**{"name": "algebra", "title": "Algebra", "language": "en", **facts})
    )
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
def test_an_item_is_one_resource_with_its_file_and_those_of_its_pictures(make: object) -> None:
    item = make()  # type: ignore[operator]
    (resource,) = manifest(item).iter(f"{PACKAGING}resource")
    file, *pictures = resource.iter(f"{PACKAGING}file")

    assert list(qti3.picture_names(item)) == [picture.get("href") for picture in pictures]

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


ASKED = [
    (samples.choice_item, ["choiceInteraction"], "false", ["responseprocessing"]),
    (samples.surd_entry_item, ["textEntryInteraction", "choiceInteraction"], "true", ["responseprocessing"]),
    (samples.rewrite_item, ["textEntryInteraction"], "true", ["responseprocessing"]),
    (qti_items.two_part_item, ["choiceInteraction", "textEntryInteraction"], "true", ["responseprocessing"]),
    (lambda: kinds_bank.items("all-solutions", 1)[0], ["choiceInteraction"], "false", ["responseprocessing"]),
    (lambda: kinds_bank.items("find-the-slip", 1)[0], ["choiceInteraction"], "false", ["responseprocessing"]),
    (lambda: kinds_bank.items("order-of-steps", 1)[0], ["orderInteraction"], "false", ["responseprocessing"]),
    (lambda: kinds_bank.items("equations-and-solutions", 1)[0], ["matchInteraction"], "false", ["responseprocessing"]),
    (lambda: kinds_bank.items("in-writing", 1)[0], ["extendedTextInteraction"], "false", ["human"]),
    (lambda: next(template_items.items("one-of-alone", 1)), ["inlineChoiceInteraction"], "false",
     ["responseprocessing"]),
    (lambda: next(template_items.items("interval", 1)), ["textEntryInteraction", "inlineChoiceInteraction"], "true",
     ["responseprocessing"]),
]  # fmt: skip


@pytest.mark.parametrize(("make", "kinds", "several", "scoring"), ASKED)
def test_kinds_of_interaction_and_who_marks_are_told(
    make: Callable[[], Item], kinds: list[str], several: str, scoring: list[str]
) -> None:
    """Composite is what has more than one interaction (from memory)."""
    root = manifest(make())

    assert kinds == texts(root, f"{METADATA}interactionType")
    assert [several] == texts(root, f"{METADATA}composite")
    assert scoring == texts(root, f"{METADATA}scoringMode")
    assert ["none" if scoring == ["human"] else "nonadaptive"] == texts(root, f"{METADATA}feedbackType")


def test_what_is_known_of_an_item_is_told() -> None:
    item = qti_items.fractions_item()
    root = next(manifest(item).iter(f"{PACKAGING}resource"))
    purposes = texts(root, f"{LOM}purpose")

    assert [f"Evening algebra ({item.code})"] == texts(root, f"{LOM}title")
    assert ["quadratics", "surds"] == texts(root, f"{LOM}keyword")
    assert ["HSA-REI.B.4b", "HSN-RN.A.2", "year-10", "use"] == texts(root, f"{LOM}id")
    assert ["LOMv1.0educational objective", "LOMv1.0educational level", "LOMv1.0skill level"] == purposes
    assert ["PT3M"] == texts(root, f"{LOM}duration")


@pytest.mark.parametrize("minutes", ["", "0", "three", "2.55", "3 or 4", "٣"])
def test_minutes_that_are_no_number_are_left_out(minutes: str) -> None:
    item = samples.choice_item()

    assert [] == texts(manifest(replace(item, about=item.about._replace(minutes=minutes))), f"{LOM}duration")


def test_half_minutes_are_told_in_seconds() -> None:
    item = samples.choice_item()
    root = manifest(replace(item, about=item.about._replace(minutes="2.5")))

    assert ["PT2M30S"] == texts(root, f"{LOM}duration")


def test_marks_calculator_band_author_and_licence_go_with_every_item() -> None:
    item = qti_items.fractions_item()
    published = Publication("algebra", "Algebra", "en", "CC-BY-4.0", "Saltmarsh College")

    def told(item: Item) -> etree._Element:
        text = qti3.manifest_head(published) + qti3.manifest_resource(item, publication=published)
        return next(etree.fromstring((text + qti3.manifest_tail()).encode()).iter(f"{PACKAGING}resource"))

    root = told(item)
    assert [f"{item.marks} marks; no calculator", "CC-BY-4.0"] == texts(root, f"{LOM}description")
    assert "FN:Saltmarsh College" in texts(root, f"{LOM}entity")[0]
    assert "band harder" in texts(told(replace(item, band="harder")), f"{LOM}keyword")
    assert [] == texts(root, f"{LOM}difficulty")
    difficult = told(replace(item, band="very-difficult"))
    assert ["LOMv1.0very difficult"] == texts(difficult, f"{LOM}difficulty")
    assert "band very-difficult" not in texts(difficult, f"{LOM}keyword")


STANDARDS = "{http://www.imsglobal.org/xsd/qti/qtiv3p0/imscsmd_v1p1}"
GUID = "4f2a7c1e-58b0-4a55-9d3c-6b1f0a9e7d22"


def test_statements_with_an_identifier_are_in_the_curriculum_vocabulary_of_3_0() -> None:
    item = qti_items.fractions_item()
    case = f"https://case.saltmarsh.example/CFItems/{GUID}"
    known = Statement("HSA-REI.B.4b", "Solve quadratics", "Saltmarsh scheme", "US", "2010", case, GUID)
    published = Publication("algebra", "Algebra", statements=(known, Statement("HSN-RN.A.2", "Surds")))
    resources = {
        dialect.name: etree.fromstring(
            qti3.manifest_resource(item, publication=published, dialect=dialect).encode()
        )
        for dialect in (QTI_3_0, QTI_2_2)
    }
    root = resources["qti3"]

    (provider,) = root.iter(f"{STANDARDS}curriculumStandardsMetadata")
    (edition,) = root.iter(f"{STANDARDS}setOfGUIDs")
    assert "Saltmarsh scheme" == provider.get("providerId")
    assert {"region": "US", "version": "2010"} == dict(edition.attrib)
    assert ["HSA-REI.B.4b"] == texts(root, f"{STANDARDS}label")
    assert [case] == texts(root, f"{STANDARDS}caseItemURI")
    assert [GUID] == texts(root, f"{STANDARDS}GUID")
    assert ["Solve quadratics", "Surds", "year-10", "use"] == texts(root, f"{LOM}entry")[1:]
    assert not list(resources["qti22"].iter(f"{STANDARDS}curriculumStandardsMetadataSet"))
    assert "Solve quadratics" in texts(resources["qti22"], f"{LOM}entry")


def test_an_address_in_the_open_format_for_curricula_gives_the_identifier() -> None:
    shape = StatementShape.model_validate(
        {"case": f"https://case.saltmarsh.example/ims/case/v1p0/CFItems/{GUID}"}
    )

    assert GUID == shape.statement("A1").guid
    assert (
        "" == StatementShape.model_validate({"case": "https://case.saltmarsh.example/a"}).statement("A1").guid
    )


def test_what_is_not_known_leaves_nothing_empty() -> None:
    item = samples.choice_item()
    bare = item.about._replace(topics=(), curriculum=(), level="", demand="", minutes="")
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
