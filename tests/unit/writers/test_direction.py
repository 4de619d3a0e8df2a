"""Languages that are written from right to left, in every format that can say so.

Sources: HTML, `dir` (an element without it goes the way of what it stands in); QTI 2.2 and 3.0, `dir` of body elements,
and the standard's own examples in Hebrew, which have it around all of a body; ECMA-376 for word-processing documents.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable
from dataclasses import replace

import pytest
from lxml import etree

from itembank.content import Content, Hole, Listing, Paragraph, Table, Text, TextShape, of_text
from itembank.items import EntryResponse, Item, SolutionLine
from itembank.words.direction import is_right_to_left
from itembank.writers import common_cartridge, pages, word
from itembank.writers.facts import PaperFacts
from itembank.writers.qti2 import WRITER_2_1, WRITER_2_2
from itembank.writers.qti3 import item_xml
from tests import samples
from tests.qti_items import MORE

HEBREW, ENDS = "פתרו את", ". תודה"
W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
OF_BODIES = {"p", "div", "span", "td", "li"}


def in_hebrew(item: Item, language: str = "he") -> Item:
    """The item with stems that begin with a formula, in a language."""
    parts = []
    for part in item.parts:
        shape = TextShape((Paragraph((Hole(0), Text(f" {HEBREW} "), Hole(1), Text(ENDS))),), 2)
        parts.append(replace(part, stem=Content(shape, (part.problem.statement,) * 2)))
    return replace(item, about=item.about._replace(language=language), parts=tuple(parts))


@pytest.mark.parametrize("language", ["he", "ar-EG", "az-Arab", "fa", "UR"])
def test_languages_that_run_to_the_left(language: str) -> None:
    assert is_right_to_left(language)


@pytest.mark.parametrize("language", ["en", "es-MX", "ur-Latn", "he-Latn-IL", "az", "zh-Hans", "de"])
def test_languages_that_do_not(language: str) -> None:
    assert not is_right_to_left(language)


def way(element: etree._Element) -> str:
    """Which way an element runs: its own `dir`, or that of what it stands in."""
    holders = (element, *element.iterancestors())
    return next((found for each in holders if (found := each.get("dir"))), "ltr")


@pytest.mark.parametrize("make", [*samples.ALL, *MORE])
def test_texts_of_a_package_run_to_the_left_and_boxes_and_our_own_words_do_not(
    make: Callable[[], Item],
) -> None:
    item = in_hebrew(make())
    for document in (item_xml(item), WRITER_2_2.item_xml(item)):
        root = etree.fromstring(document.encode())
        assert "rtl" in document
        for each in root.iter():
            name = etree.QName(each).localname
            if name in OF_BODIES and HEBREW in "".join(each.itertext()):
                assert way(each) == "rtl"
            if name == "p" and "boxes" in each.get("class", "").split():
                assert way(each) == "ltr"
            if name in OF_BODIES and each.get("{http://www.w3.org/XML/1998/namespace}lang") == "en":
                assert way(each) == "ltr"
    assert "dir=" not in item_xml(make())


def test_our_sentence_above_the_boxes_says_its_language() -> None:
    document = item_xml(in_hebrew(samples.identity_item()))
    assert re.search(r'<div class="instruction" xml:lang="en" dir="ltr">', document)


def test_the_oldest_version_has_no_place_for_it_and_tells() -> None:
    item = in_hebrew(samples.identity_item())
    assert "dir=" not in WRITER_2_1.item_xml(item)
    assert any("which way" in told for told in WRITER_2_1.shortfalls(item))
    assert not any("which way" in told for told in WRITER_2_2.shortfalls(item))


def test_a_cartridge_says_it_at_each_text() -> None:
    (question,) = common_cartridge.written(in_hebrew(samples.identity_item())).items
    texts = [
        each.text or ""
        for each in etree.fromstring(question.encode()).iter()
        if str(each.tag).endswith("mattext")
    ]
    assert any(HEBREW in text for text in texts)
    for text in texts:
        for paragraph in re.findall(r"<p[^>]*>(?:(?!</p>).)*", text):
            assert (HEBREW not in paragraph) or paragraph.startswith('<p dir="rtl">')
            assert not paragraph.startswith('<p dir="rtl" class="boxes"')


def test_a_page_turns_a_pupils_item_and_keeps_boxes_and_our_own_words() -> None:
    item = in_hebrew(samples.identity_item())
    page = pages.document("question-paper", [item], PaperFacts("שאלון", language="he"))
    (article,) = re.findall(r"<article.*?</article>", page, re.DOTALL)
    assert article.startswith('<article lang="he" dir="rtl">')
    assert '<p dir="rtl">' in article
    assert '<p class="marks" lang="en" dir="ltr">' in article
    assert '<p class="answer" lang="en" dir="ltr">' in article
    usual = pages.document("question-paper", [samples.identity_item()], PaperFacts("a", language="en"))
    assert 'dir="rtl"' not in usual.split("<body")[1]


def test_a_word_processing_document_turns_paragraphs_and_runs() -> None:
    item = in_hebrew(samples.identity_item())
    assert isinstance(item.parts[0].response, EntryResponse)
    made = word.document("question-paper", [item], PaperFacts("שאלון", language="he"))
    with zipfile.ZipFile(io.BytesIO(made)) as package:
        root = etree.fromstring(package.read("word/document.xml"))
        styles = etree.fromstring(package.read("word/styles.xml"))
    seen = 0
    for paragraph in root.iter(f"{W}p"):
        runs = list(paragraph.iterchildren(f"{W}r"))
        is_hebrew = any(HEBREW in "".join(run.itertext()) for run in runs)
        seen += is_hebrew
        if is_hebrew:
            assert paragraph.find(f"{W}pPr/{W}bidi") is not None
        for run in runs:
            assert (run.find(f"{W}rPr/{W}rtl") is not None) == bool(
                re.search("[א-ת]", "".join(run.itertext()))
            )
        if (task := "".join(paragraph.itertext())).startswith("Enter"):
            assert paragraph.find(f"{W}pPr/{W}bidi") is None, task
    assert seen == 1
    assert {each.get(f"{W}bidi") for each in styles.iter(f"{W}lang")} == {"he"}


def test_tables_of_a_text_are_turned_and_the_halves_of_an_equation_are_not() -> None:
    """A word processor that is told nothing may set the columns of a table by its first paragraph."""
    item = in_hebrew(samples.choice_item())
    cells = tuple((Text(f"{HEBREW} {column}"),) for column in "ab")
    stem = Content(TextShape((Table(cells, (cells,), ("", "")),), 0), ())
    said = SolutionLine("main", of_text(HEBREW), samples.maths("x = 3"))
    item = replace(item, parts=(replace(item.parts[0], stem=stem, solution=(said,)),))

    made = word.document("worked-solutions", [item], PaperFacts("שאלון", language="he"))

    with zipfile.ZipFile(io.BytesIO(made)) as package:
        root = etree.fromstring(package.read("word/document.xml"))
    ways = {
        "x" in "".join(table.itertext()): way.get(f"{W}val")
        for table in root.iter(f"{W}tbl")
        if (way := table.find(f"{W}tblPr/{W}bidiVisual")) is not None
    }
    assert ways == {True: "0", False: "1"}


def test_lists_of_a_text_are_turned_beside_the_working_too() -> None:
    item = in_hebrew(samples.choice_item())
    stem = Content(TextShape((Listing(((Paragraph((Text(HEBREW),)),),)),), 0), ())
    item = replace(item, parts=(replace(item.parts[0], stem=stem),))

    page = pages.document("worked-solutions", [item], PaperFacts("שאלון", language="he"))

    assert re.search(rf'<div dir="rtl">\s*<ul>\s*<li><p dir="rtl">{HEBREW}', page)
