"""Pictures of a cartridge, of formulas and figures: written, described, read back, and tampered with."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from lxml import etree

from itembank.audit.verify import verify
from itembank.build.carried import carried
from itembank.items import Item
from itembank.writers import common_cartridge as cc
from itembank.writers.common_cartridge.pictures import addresses
from itembank.writers.formulas import Notation
from itembank.writers.package import PackageWriter
from itembank.writers.pictures import pictures
from tests import kinds_bank, qti_items, samples
from tests.audit_samples import write_zip
from tests.cartridge_scorer import Question
from tests.conformance.test_cartridge import MANIFEST_SCHEMA, about, grammar, read
from tests.conformance.test_qti3 import faults, needs_schemas, schema

MANIFEST = "imsmanifest.xml"
ASSESSMENT = cc.Collection("assessment-evening-1", "Evening algebra, assessment 1", is_bank=False)
BANK = cc.Collection("bank-evening", "Evening algebra", is_bank=True)
MODES = ("mathml", "svg")


def items() -> list[Item]:
    """A pictured item, the samples, and one of every kind."""
    kinds = [kinds_bank.items(name, 1)[0] for name in kinds_bank.TEMPLATES]
    return [qti_items.pictured_item(), *(make() for make in samples.ALL), *kinds]


@cache
def members(mode: str) -> dict[str, str]:
    """A cartridge of all of them, formulas as asked for."""
    made = [carried(item, Notation(mode)) for item in items()]
    questions = [question for each in made for question in each.questions]
    uses = tuple(dict.fromkeys(name for question in questions for name in addresses(question)))
    assessment, bank = replace(ASSESSMENT, uses=uses), replace(BANK, uses=uses)
    files = {each.path.text: content(each) for one in made for each in one.files}
    return {
        MANIFEST: cc.manifest(about(), [assessment, bank]),
        assessment.name: cc.assessment(assessment, questions, "en"),
        bank.name: cc.question_bank(bank, questions),
        **files,
    }


def content(member: object) -> str:
    """What a file of a package holds."""
    import io
    import zipfile

    held = io.BytesIO()
    with PackageWriter(held) as package:
        package.add(member)  # type: ignore[arg-type]
    with zipfile.ZipFile(held) as archive:
        return archive.read(archive.namelist()[0]).decode()


def codes(files: dict[str, str], folder: Path) -> set[str]:
    """What is wrong with a cartridge."""
    return {finding.code for finding in verify(write_zip(folder / "quiz.imscc", files)).findings}


@pytest.mark.parametrize("mode", MODES)
def test_a_cartridge_with_pictures_passes_and_what_could_not_be_seen_is_said(
    mode: str, tmp_path: Path
) -> None:
    report = verify(write_zip(tmp_path / "quiz.imscc", members(mode)))

    assert () == report.findings
    assert report.items >= len(items())
    assert (mode == "svg") == any("which cannot be read" in note for note in report.notes)


def test_every_formula_is_a_picture_with_what_is_spoken_of_it() -> None:
    """The words of each picture are the `alttext` of the formula it stands for, in the same order."""
    for item in items():
        plain, drawn = (carried(item, Notation(mode)).questions for mode in MODES)
        for one, other in zip(plain, drawn, strict=True):
            spoken = re.findall(r'alttext="([^"]*)"', "".join(Question(one).texts("item")))
            shown = [
                image.get("alt")
                for text in Question(other).texts("item")
                for image in etree.fromstring(f"<div>{text}</div>").iter("img")
                if image.get("class") == "formula"
            ]
            assert [etree.fromstring(f'<a b="{each}"/>').get("b") for each in spoken] == shown
            assert len(shown) >= 3
            assert "&lt;math" not in other


@needs_schemas
@pytest.mark.parametrize("mode", MODES)
def test_the_documents_pass_the_schemas(mode: str) -> None:
    files = members(mode)

    assert [] == faults(schema(MANIFEST_SCHEMA), read(files[MANIFEST]))
    assert [] == faults(schema("stand-ins/cc-qti12.xsd"), read(files[BANK.name]))
    assert [] == faults(grammar("cartridge_manifest.rng"), read(files[MANIFEST]))


def test_every_file_is_a_resource_of_its_own_on_which_its_documents_depend() -> None:
    root = read(members("svg")[MANIFEST])
    web = {
        each.get("identifier"): each.get("href")
        for each in root.iter("{*}resource")
        if each.get("type") == "webcontent"
    }
    wanted = {each.get("identifierref") for each in root.iter("{*}dependency")}

    assert set(web) == wanted
    assert {name for name in members("svg") if name.endswith(".svg")} == set(web.values())
    assert {each.address for item in items() for each in pictures(item)} < set(web.values())


def test_a_document_alone_is_read_without_its_pictures(tmp_path: Path) -> None:
    (tmp_path / "bank.xml").write_text(members("svg")[BANK.name], encoding="utf-8")

    assert () == verify(tmp_path / "bank.xml").findings


Change = Callable[[dict[str, str]], dict[str, str]]


def in_both(old: str, new: str) -> Change:
    """A piece of both documents of questions replaced, once in each."""

    def change(files: dict[str, str]) -> dict[str, str]:
        changed = {
            name: re.sub(old, new, text, count=1) if name in {ASSESSMENT.name, BANK.name} else text
            for name, text in files.items()
        }
        assert changed != files
        return changed

    return change


def in_file(which: str, old: str, new: str) -> Change:
    """A piece of the first file of a folder replaced."""

    def change(files: dict[str, str]) -> dict[str, str]:
        name = next(name for name in files if name.startswith(which))
        changed = re.sub(old, new, files[name], count=1)
        assert changed != files[name]
        return {**files, name: changed}

    return change


def first(files: dict[str, str], folder: str) -> str:
    """The first file of a folder."""
    return next(name for name in files if name.startswith(folder))


def without(folder: str) -> Change:
    """The first file of a folder is gone, its resource is not."""
    return lambda files: {name: text for name, text in files.items() if name != first(files, folder)}


def exchanged(files: dict[str, str]) -> dict[str, str]:
    """Two pictures of formulas change places."""
    one, other = [name for name in files if name.startswith("formulas/")][:2]
    return {**files, one: files[other], other: files[one]}


def unlisted(files: dict[str, str]) -> dict[str, str]:
    """A document says no longer that it needs its first file."""
    return {**files, MANIFEST: re.sub(r"<dependency [^>]*/>", "", files[MANIFEST], count=1)}


def more_content(name: str, text: str, *, is_wanted: bool = False) -> Change:
    """One more file as web content."""

    def change(files: dict[str, str]) -> dict[str, str]:
        resource = f'<resource identifier="file-more" type="webcontent" href="{name}"><file href="{name}"/></resource>'
        told = files[MANIFEST].replace("</resources>", f"{resource}</resources>")
        if is_wanted:
            told = told.replace("<dependency ", '<dependency identifierref="file-more"/><dependency ', 1)
        return {**files, MANIFEST: told, name: text}

    return change


BASE = re.escape("$IMS-CC-FILEBASE$../")
TAMPERED: list[tuple[str, str, Change, str]] = [
    ("a formula's picture is gone", "svg", without("formulas/"), "missing-file"),
    ("a figure is gone", "mathml", without("figures/"), "missing-file"),
    ("two formulas' pictures change places", "svg", exchanged, "picture-differs"),
    ("a picture's annotation is another", "svg", in_file("formulas/", r"<mn>(\d+)</mn>", r"<mn>9\1</mn>"), "picture-without-meaning"),
    ("a picture has no annotation", "svg", in_file("formulas/", r"<metadata>.*?</metadata>", ""), "picture-without-meaning"),
    ("other words are spoken of a picture", "svg", in_both(r'alt="x squared', 'alt="x cubed'), "picture-differs"),
    ("nothing is spoken of a picture", "svg", in_both(r'(class="formula" src="[^"]*" )alt="[^"]*"', r'\1alt=""'), "picture-without-alt"),
    ("a script in a formula's picture", "svg", in_file("formulas/", "</svg>", "<script>1</script></svg>"), "unsafe-picture"),
    ("a script in a figure", "mathml", in_file("figures/", "</svg>", "<script>1</script></svg>"), "unsafe-picture"),
    ("a figure tells other words", "mathml", in_both(r'alt="Area model', 'alt="Model'), "picture-differs"),
    ("a figure's numbers are others", "mathml", in_file("figures/", r'data-numbers="(\S+)', r'data-numbers="9\1'), "picture-numbers"),
    ("a picture from elsewhere", "svg", in_both(BASE, "https://example.org/"), "unsafe-reference"),
    ("a picture from above the cartridge", "svg", in_both(BASE, "$IMS-CC-FILEBASE$../../"), "unsafe-reference"),
    ("a picture from above, in between", "svg", in_both(BASE + "formulas/", "$IMS-CC-FILEBASE$../formulas/../../"), "unsafe-reference"),
    ("an address without the base", "svg", in_both(BASE, "../"), "unsafe-reference"),
    ("a style that does more", "svg", in_both(r'style="height', 'style="position:fixed;height'), "unknown-element"),
    ("an event at a picture", "svg", in_both("&lt;img ", '&lt;img onload="1" '), "unknown-element"),
    ("a document does not depend on what it shows", "mathml", unlisted, "missing-resource"),
    ("a page among the files", "mathml", more_content("files/page.html", "<p/>", is_wanted=True), "wrong-resource"),
    ("a file that no document needs", "mathml", more_content("figures/more.svg", "<svg/>"), "wrong-resource"),
    ("a file that no resource names", "mathml", lambda files: {**files, "figures/more.svg": "<svg/>"}, "file-not-in-manifest"),
    ("a document depends on an assessment", "mathml", lambda files: {**files, MANIFEST: files[MANIFEST].replace("<dependency ", f'<dependency identifierref="{ASSESSMENT.identifier}"/><dependency ', 1)}, "missing-resource"),
    ("a file's address is another than the file", "mathml", lambda files: {**files, MANIFEST: re.sub(r'(type="webcontent" href=")figures/', r"\1figure/", files[MANIFEST], count=1)}, "wrong-resource"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("mode", "change", "code"), [each[1:] for each in TAMPERED], ids=[each[0] for each in TAMPERED]
)
def test_what_was_tampered_with_is_told(mode: str, change: Change, code: str, tmp_path: Path) -> None:
    assert code in codes(change(members(mode)), tmp_path)
