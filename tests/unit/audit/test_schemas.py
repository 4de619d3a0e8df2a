"""`verify --schemas`: documents against schemas of a folder with a catalogue; what is not held is told."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from itembank.audit.schemas import Schemas
from itembank.audit.verify import verify_all
from itembank.errors import InputError
from itembank.publication import Publication
from itembank.writers import qti3
from itembank.writers.dialects import QTI_2_1, QTI_2_2, QTI_3_0, Dialect
from itembank.writers.qti2 import translate
from tests import samples
from tests.audit_samples import spoiled, write_zip
from tests.qti_schemas import SCHEMAS, needs_schemas

CATALOG = '<catalog xmlns="urn:oasis:names:tc:entity:xmlns:xml:catalog">{}</catalog>'
NOTE = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="urn:note">
<xs:element name="note" type="xs:integer"/></xs:schema>"""
INSTANCE = 'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"'


def package(dialect: Dialect) -> dict[str, str]:
    """A whole package as texts by name."""
    published = Publication("quiz", "Evening algebra", "en", "CC-BY-4.0", "Saltmarsh College")
    items = [make() for make in samples.ALL]
    resources = "".join(
        qti3.manifest_resource(each, dialect=dialect, publication=published) for each in items
    )
    texts = {
        "imsmanifest.xml": qti3.manifest_head(published, dialect=dialect) + resources + qti3.manifest_tail()
    }
    for item in items:
        written = qti3.item_xml(item)
        texts[qti3.item_name(item)] = written if dialect is QTI_3_0 else translate(written, dialect).document
    return texts


@needs_schemas
@pytest.mark.parametrize("dialect", [QTI_3_0, QTI_2_2, QTI_2_1], ids=lambda dialect: dialect.name)
def test_our_packages_are_valid_and_what_the_folder_lacks_is_told(dialect: Dialect, tmp_path: Path) -> None:
    schemas = Schemas(SCHEMAS)
    (report,) = verify_all([write_zip(tmp_path / "quiz.zip", package(dialect))], schemas=schemas)

    assert report.ok, report.lines()
    assert dialect.item_schema.split()[1] in schemas.missing


@cache
def _read_once() -> Schemas:
    """The publisher's schemas, which take longer to read than all else here."""
    return Schemas(SCHEMAS)


@needs_schemas
@pytest.mark.parametrize(
    ("member", "old", "new"),
    [
        ("imsmanifest.xml", "<organizations/>", "<organizations><organ/></organizations>"),
        ("imsmanifest.xml", "<composite>false</composite>", "<composite>perhaps</composite>"),
        ("items/K7Q2M.xml", "<semantics>", "<semantics><mbox/>"),
    ],
)
def test_what_a_schema_refuses_is_found(member: str, old: str, new: str, tmp_path: Path) -> None:
    texts = package(QTI_3_0)
    texts[member] = spoiled(texts[member], old, new)
    (report,) = verify_all([write_zip(tmp_path / "quiz.zip", texts)], schemas=_read_once())

    assert ("not-valid", member) in {(each.code, each.member) for each in report.findings}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a catalogue of one small schema of ours."""
    (tmp_path / "catalog.xml").write_text(
        CATALOG.format('<system systemId="https://example.org/note.xsd" uri="note.xsd"/>'), "utf-8"
    )
    (tmp_path / "note.xsd").write_text(NOTE, "utf-8")
    return tmp_path


def test_a_document_is_checked_by_the_address_it_names(folder: Path) -> None:
    schemas = Schemas(folder)
    document = f'<note xmlns="urn:note" {INSTANCE} xsi:schemaLocation="urn:note https://example.org/note.xsd">{{}}</note>'

    assert [] == list(schemas.check(document.format(12).encode()))
    assert ["not-valid"] == [each.code for each in schemas.check(document.format("twelve").encode())]
    assert set() == schemas.missing
    assert [] == list(schemas.check(document.replace("note.xsd", "other.xsd").format(1).encode()))
    assert {"https://example.org/other.xsd"} == schemas.missing
    assert [] == list(schemas.check(b"<plain/>"))
    assert "(a document of )" in schemas.missing


def test_a_folder_without_a_catalogue_and_a_broken_schema_are_told(folder: Path, tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        Schemas(tmp_path / "nothing")
    assert "no-catalogue" == caught.value.diagnostics[0].code

    (folder / "note.xsd").write_text(NOTE.replace("xs:integer", "xs:nothing"), "utf-8")
    document = f'<note xmlns="urn:note" {INSTANCE} xsi:schemaLocation="urn:note https://example.org/note.xsd">1</note>'
    with pytest.raises(InputError) as caught:
        list(Schemas(folder).check(document.encode()))
    assert "broken-schema" == caught.value.diagnostics[0].code
