"""What a manifest says of items against what their files say; how a package was packed; what an item tells twice."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from itembank.audit.item_metadata import said
from itembank.audit.verify import audit_item, verify
from itembank.items import Item
from itembank.publication import Publication
from itembank.writers import qti3
from itembank.writers.dialects import QTI_2_1, QTI_2_2, QTI_3_0, Dialect
from itembank.writers.qti2 import translate
from tests import kinds_bank, qti_items, samples, template_items
from tests.audit_samples import spoiled, write_zip

BANK = Publication("evening", "Evening algebra", "en", licence="CC-BY-4.0", author="Saltmarsh College")
MANIFEST = "imsmanifest.xml"
Change = Callable[[str], str]


@cache
def items() -> tuple[Item, ...]:
    """Every kind of response and every form of entry, each under a code of its own."""
    makers = (*samples.ALL, *qti_items.MORE, *template_items.MAKERS)
    found = {item.code: item for item in (make() for make in makers if make is not qti_items.in_order_item)}
    found |= {item.code: item for name in kinds_bank.TEMPLATES for item in kinds_bank.items(name, 2)}
    return tuple(found.values())


@cache
def package(dialect: Dialect = QTI_3_0) -> dict[str, str]:
    """A package of all these items as texts by name."""
    resources = "".join(qti3.manifest_resource(item, dialect=dialect, publication=BANK) for item in items())
    head = qti3.manifest_head(BANK, dialect=dialect)
    texts = {MANIFEST: head + resources + qti3.manifest_tail()}
    for item in items():
        written = qti3.item_xml(item)
        texts[qti3.item_name(item)] = written if dialect is QTI_3_0 else translate(written, dialect).document
    return texts


def told(folder: Path, texts: dict[str, str], method: int = zipfile.ZIP_DEFLATED) -> set[str]:
    """The codes of what is wrong with what is packed and said; pictures are not packed here."""
    write_zip(folder / "bank.zip", texts)
    if method != zipfile.ZIP_DEFLATED:
        with zipfile.ZipFile(folder / "bank.zip", "w", method) as archive:
            for name, text in texts.items():
                archive.writestr(name, text)
    return {each.code for each in verify(folder / "bank.zip").findings} - {"missing-file"}


@pytest.mark.parametrize("dialect", [QTI_3_0, QTI_2_2, QTI_2_1], ids=["qti3", "qti22", "qti21"])
def test_nothing_is_said_of_items_as_they_are_written(dialect: Dialect, tmp_path: Path) -> None:
    assert len(items()) > 50
    assert set() == told(tmp_path, package(dialect))


@pytest.mark.parametrize("dialect", [QTI_3_0, QTI_2_1], ids=["qti3", "qti21"])
def test_a_file_written_in_another_way_says_the_same(dialect: Dialect) -> None:
    """Quotes, comments, the order of attributes and what is escaped are the writing's, not the item's."""
    name = qti3.item_name(samples.choice_item())
    text = package(dialect)[name]
    code = samples.choice_item().code
    title = re.findall(' title="([^"]*)"', text)[0]
    others = [
        spoiled(text, f' title="{title}"', f" title='{title}'"),
        spoiled(text, f' title="{title}"', f' title="&#{ord(title[0])};{title[1:]}"'),
        text + "<!-- <qti-order-interaction/> -->",
    ]

    assert [said(text.encode(), code)] * len(others) == [said(each.encode(), code) for each in others]


def test_titles_may_hold_anything(tmp_path: Path) -> None:
    item = samples.choice_item()
    for title in ('Roots & <surds> "1"', "  two   blanks ", "(K7Q2M)", ""):
        renamed = replace(item, about=item.about._replace(title=title))
        manifest = qti3.manifest_head(BANK) + qti3.manifest_resource(renamed, publication=BANK)
        texts = {MANIFEST: manifest + qti3.manifest_tail(), qti3.item_name(item): qti3.item_xml(renamed)}
        assert "metadata-differs" not in told(tmp_path, texts)


def first(pattern: str, new: str, of: str = "") -> Change:
    """Replace the first match, in the entry of a kind of item where one is named."""

    def change(text: str) -> str:
        at = text.index(of) if of else 0
        return text[:at] + re.sub(pattern, new, text[at:], count=1, flags=re.DOTALL)

    return change


KIND = "<interactionType>"
MANIFESTS: list[tuple[str, Change]] = [
    ("another kind of interaction", first(f"{KIND}choice", f"{KIND}order")),
    ("a match that is told to be a choice", first(f"{KIND}match", f"{KIND}choice")),
    ("an order that is told to be a choice", first(f"{KIND}order", f"{KIND}choice")),
    ("a kind of interaction gone", first(f"{KIND}textEntryInteraction</interactionType>", "", "composite>true")),
    ("several interactions told as one", first("composite>true", "composite>false")),
    ("one interaction told as several", first("composite>false", "composite>true")),
    ("composite in a word that is none", first("composite>true", "composite>maybe")),
    ("no feedback told", first("nonadaptive", "none")),
    ("adaptive feedback told", first("nonadaptive", "adaptive")),
    ("no solution told", first("solutionAvailable>true", "solutionAvailable>false")),
    ("time told to count", first("timeDependent>false", "timeDependent>true")),
    ("people told to mark a choice", first("scoringMode>responseprocessing", "scoringMode>human")),
    ("the file told to mark writing", first("scoringMode>human", "scoringMode>responseprocessing")),
    ("another title", first(r"(<resource.*?<title><string[^>]*>)\w+", r"\1Other")),
    ("a title without its code", first(r"(<resource.*?<title><string[^>]*>[^<(]*)\([A-Z0-9]+\)", r"\1")),
    ("another code", first("<entry>[A-Z0-9]+<", "<entry>ZZZZZ<")),
    ("another language", first(r"(<resource.*?)<language>en<", r"\1<language>es<")),
    ("other marks", first(r"(<resource.*?<description><string[^>]*>)\d+ ", r"\g<1>9 ")),
    ("another licence", first(r"(<resource.*?)CC-BY-4.0", r"\1CC0-1.0")),
    ("another licence of the package", first("CC-BY-4.0", "CC0-1.0")),
    ("another author", first(r"(<resource.*?)FN:Saltmarsh College", r"\1FN:Nobody")),
    ("nothing said of one item", first(r"(<resource[^>]*>)<metadata>.*?</metadata>", r"\1")),
    ("nothing said of the package's licence", first("<rights>.*?</rights>", "")),
]  # fmt: skip


@pytest.mark.parametrize("dialect", [QTI_3_0, QTI_2_2, QTI_2_1], ids=["qti3", "qti22", "qti21"])
@pytest.mark.parametrize("change", [each for _, each in MANIFESTS], ids=[name for name, _ in MANIFESTS])
def test_a_manifest_that_says_otherwise_is_told(change: Change, dialect: Dialect, tmp_path: Path) -> None:
    few = {name: text for name, text in package(dialect).items() if name in wanted()}
    few[MANIFEST] = only(few[MANIFEST], few)
    changed = change(few[MANIFEST])

    assert set() == told(tmp_path, few)
    assert changed != few[MANIFEST]
    assert {"metadata-differs"} == told(tmp_path, {**few, MANIFEST: changed})


@cache
def wanted() -> frozenset[str]:
    """The manifest and an item of each kind of interaction."""
    names = [name for name in kinds_bank.TEMPLATES if "curve" not in name]
    found = [
        samples.choice_item(),
        samples.surd_entry_item(),
        *(kinds_bank.items(name, 1)[0] for name in names),
    ]
    return frozenset({MANIFEST, *map(qti3.item_name, found)})


def only(manifest: str, texts: dict[str, str]) -> str:
    """The manifest with the entries of these files."""
    head, *entries = manifest.split("<resource ")
    *_, tail = entries[-1].partition("</resource>")
    kept = [each.removesuffix(tail) for each in entries if any(f'"{name}"' in each for name in texts)]
    return head + "".join(f"<resource {each}" for each in kept) + tail


def test_title_and_marks_changed_in_the_item_are_told_against_the_manifest(tmp_path: Path) -> None:
    name = qti3.item_name(samples.choice_item())
    texts = {each: package()[each] for each in (MANIFEST, name)}
    texts[MANIFEST] = only(texts[MANIFEST], texts)
    for old, new in ((r' title="\w+', ' title="Other'), ('normal-maximum="1"', 'normal-maximum="2"')):
        changed = re.sub(old, new, texts[name], count=1)
        assert changed != texts[name]
        assert "metadata-differs" in told(tmp_path, {**texts, name: changed})


def test_a_package_packed_again_is_told(tmp_path: Path) -> None:
    """With the manifest elsewhere than first, or nothing deflated; it is read all the same."""
    texts = package()
    last = {name: texts[name] for name in (*sorted(texts.keys() - {MANIFEST}), MANIFEST)}

    assert {"manifest-not-first"} == told(tmp_path, last)
    assert {"stored-member"} == told(tmp_path, texts, zipfile.ZIP_STORED)
    assert len(items()) == verify(tmp_path / "bank.zip").items


TWICE: list[tuple[str, str, str, str, str]] = [
    ("choices may be shuffled", "choice", 'shuffle="false"', 'shuffle="true"', "not-in-grammar"),
    ("steps may be shuffled", "order-of-steps", 'shuffle="false"', 'shuffle="true"', "not-in-grammar"),
    ("targets may be shuffled", "discriminants-and-roots", 'shuffle="false"', 'shuffle="true"', "not-in-grammar"),
    ("a letter counts in any case", "all-solutions", 'case-sensitive="true"', 'case-sensitive="false"',
     "not-in-grammar"),
    ("a line without marks is gone", "order-of-steps", r'<li data-role="line" data-kind="main" data-marks="">.*?</li>',
     "", "incomplete-solution"),
    ("a line of a choice is gone", "all-solutions", r'<li data-role="line" data-kind="main" data-marks="">.*?</li>',
     "", "incomplete-solution"),
    ("other marks are shown at a line", "in-writing", r'(<p class="marks">)M1', r"\1A1", "unclear-marks"),
    ("other marks are said of a line", "in-writing", 'data-marks="M1"', 'data-marks="B1"', "unclear-marks"),
    ("feedback says nothing", "choice", r'(identifier="F1"[^>]*><qti-content-body>).*?(</qti-content-body>)', r"\1\2",
     "empty-feedback"),
    ("how to fill the boxes is gone", "entry", r'<div class="instruction">.*?</div>', "", "no-instruction"),
    ("how to fill the boxes is not said", "entry", r'(<div class="instruction">).*?(</div>)', r"\1<p></p>\2",
     "no-instruction"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "old", "new", "code"), [each[1:] for each in TWICE], ids=[each[0] for each in TWICE]
)
def test_what_an_item_tells_twice_or_never_otherwise_is_told(
    kind: str, old: str, new: str, code: str
) -> None:
    own = {"choice": samples.choice_item, "entry": samples.integer_entry_item}
    item = own[kind]() if kind in own else kinds_bank.items(kind, 1)[0]
    text = qti3.item_xml(item)
    changed = re.sub(old, new, text, count=1, flags=re.DOTALL)

    assert changed != text
    assert () == audit_item(text.encode(), f"items/{item.code}.xml")[1]
    assert code in {each.code for each in audit_item(changed.encode(), f"items/{item.code}.xml")[1]}
