"""Items of QTI 2.1 and 2.2, read back as 3.0: right ones pass, spoiled ones are told by the same code."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from itembank.audit.findings import Report
from itembank.audit.verify import audit_item, verify
from itembank.errors import DomainError
from itembank.items import Item
from itembank.publication import Publication
from itembank.writers import qti3
from itembank.writers.dialects import QTI_2_1, QTI_2_2, Dialect
from itembank.writers.qti2 import WRITER_2_1, WRITER_2_2, translate
from tests import audit_samples, qti_items, samples
from tests.audit_samples import spoiled, write_zip
from tests.unit.audit.test_changed_files import with_one_number_changed
from tests.unit.audit.test_spoiled_items import SPOILINGS, Spoiling

OLDER = (QTI_2_2, QTI_2_1)
WRITERS = {"qti22": WRITER_2_2, "qti21": WRITER_2_1}
both = pytest.mark.parametrize("dialect", OLDER, ids=lambda dialect: dialect.name)


def codes(text: str, code: str) -> set[str]:
    """The codes of everything found in an item."""
    return {finding.code for finding in audit_item(text.encode(), f"items/{code}.xml")[1]}


@both
@pytest.mark.parametrize("make", [*samples.ALL, *qti_items.MORE], ids=lambda make: make.__name__)
def test_what_is_found_in_an_item_is_what_is_found_in_3_0(dialect: Dialect, make: Callable[[], Item]) -> None:
    """Nothing in the samples; in the odd items made for the writers the same codes."""
    item = make()
    newer = codes(qti3.item_xml(item), item.code)

    assert newer == codes(WRITERS[dialect.name].item_xml(item), item.code)
    assert make not in samples.ALL or not newer


def spoiled_older(spoiling: Spoiling, dialect: Dialect) -> str:
    """The spoiled item in an older dialect, "" where the spoiled text has no name there."""
    try:
        return translate(spoiling.spoil(audit_samples.ITEMS[spoiling.code]()), dialect).document
    except DomainError:
        return ""


@both
@pytest.mark.parametrize("spoiling", SPOILINGS, ids=lambda spoiling: spoiling.name)
def test_a_spoiled_item_is_found(dialect: Dialect, spoiling: Spoiling) -> None:
    text = spoiled_older(spoiling, dialect)
    if text:
        assert spoiling.found in codes(text, spoiling.code)


@pytest.mark.parametrize("dialect", [None, *OLDER], ids=lambda each: each.name if each else "qti3")
@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("<p>", '<p class="qti-visually-hidden">'),
        (' xml:lang="', ' xsi:schemaLocation="http://a.example http://a.example/a.xsd" xml:lang="'),
    ],
)
def test_what_hides_a_text_or_names_schemas_from_elsewhere_is_found(
    dialect: Dialect | None, old: str, new: str
) -> None:
    text = audit_samples.ITEMS["K7Q2M"]()
    if dialect is not None:
        text = translate(text, dialect).document
    text = re.sub(r' xsi:schemaLocation="[^"]*"', "", text)
    if "xmlns:xsi" not in text:
        text = text.replace(" xmlns=", ' xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" xmlns=', 1)
    assert codes(text, "K7Q2M") == set()

    assert codes(spoiled(text, old, new), "K7Q2M") == {"not-in-grammar"}


def test_nearly_all_ways_of_spoiling_are_tried_in_the_older_dialects() -> None:
    tried = [each for each in SPOILINGS if spoiled_older(each, QTI_2_1)]

    assert len(tried) >= 85
    assert len(SPOILINGS) - len(tried) <= 10


@both
@pytest.mark.parametrize("make", samples.ALL, ids=lambda make: make.__name__)
def test_no_changed_number_of_a_formula_is_missed(dialect: Dialect, make: Callable[[], Item]) -> None:
    changed = [translate(each, dialect).document for each in with_one_number_changed(qti3.item_xml(make()))]

    assert len(changed) >= 4
    assert [] == [each for each in changed if not audit_item(each.encode(), "item.xml")[1]]


def package(dialect: Dialect) -> dict[str, str]:
    """A whole package as texts by name."""
    items = [make() for make in samples.ALL]
    head = qti3.manifest_head(Publication("quiz", "Evening algebra"), dialect=dialect)
    resources = "".join(qti3.manifest_resource(item, dialect=dialect) for item in items)
    written = {qti3.item_name(item): WRITERS[dialect.name].item_xml(item) for item in items}
    return {"imsmanifest.xml": head + resources + qti3.manifest_tail(), **written}


@both
def test_a_package_passes(dialect: Dialect, tmp_path: Path) -> None:
    path = write_zip(tmp_path / "quiz.zip", package(dialect))

    assert Report("quiz.zip", len(samples.ALL)) == verify(path)


@pytest.mark.parametrize(
    ("found", "old", "new"),
    [
        ("wrong-schema", "QTIv2.2", "QTIv3.1"),
        ("wrong-version", "QTIv2.2 Item Bank Package", "QTIv2.1 Package"),
        ("wrong-schema", ">1.0.0<", ">3.0.0<"),
        ("no-items", "imsqti_item_xmlv2p2", "imsqti_item_xmlv3p0"),
        ("wrong-root", "xsd/imscp_v1p1", "xsd/imscp_v9p9"),
        ("missing-file", 'href="items/', 'href="itens/'),
        ("incomplete-manifest", "<organizations/>", ""),
    ],
)
def test_a_spoiled_manifest_is_found(found: str, old: str, new: str, tmp_path: Path) -> None:
    whole = package(QTI_2_2)
    if found == "wrong-version":
        whole["imsmanifest.xml"] = whole["imsmanifest.xml"].replace("xmlv2p2", "xmlv2p1")
    whole["imsmanifest.xml"] = spoiled(whole["imsmanifest.xml"], old, new, count=-1)

    assert found in {each.code for each in verify(write_zip(tmp_path / "quiz.zip", whole)).findings}


@pytest.mark.parametrize(
    ("found", "old", "new"),
    [
        ("unknown-element", "<itemBody>", "<itemBody><marquee/>"),
        ("wrong-root", "imsqti_v2p2", "imsqti_v2p7"),
        ("unclear-class", "data-role.stem", "data-role.stem data-role.line"),
        ("no-stem", "data-role.stem", "data-role.line"),
        ("key-shown", 'view="scorer tutor"', 'view="candidate"'),
        ("no-solution", "use.solution", "use.hint"),
        ("unclear-box", "data-box.p", "data-box"),
    ],
)
def test_what_only_older_dialects_can_have_wrong_is_found(found: str, old: str, new: str) -> None:
    item = samples.surd_entry_item()

    assert found in codes(spoiled(WRITER_2_2.item_xml(item), old, new, count=-1), item.code)
