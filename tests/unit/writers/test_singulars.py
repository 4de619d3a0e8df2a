"""One mark is a mark, one question a question: in every document of a paper, in every printed format and language."""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import replace

import pytest

from itembank.items import Item
from itembank.writers import latex, pages, word
from itembank.writers.facts import PaperFacts
from itembank.writers.paper import DOCUMENTS
from tests.samples import choice_item, surd_entry_item

SINGULAR = {
    "en": (r"1\s+mark\b", r"1\s+question\b"),
    "es": (r"1\s+punto\b", r"1\s+pregunta\b"),
    "de": (r"1\s+Punkt\b", r"1\s+Aufgabe\b"),
}
PLURAL_OF_ONE = {
    "en": r"(?<![\d.,])1\s+(marks|questions)\b",
    "es": r"(?<![\d.,])1\s+(puntos|preguntas)\b",
    "de": r"(?<![\d.,])1\s+(Punkte|Punkten|Aufgaben)\b",
}


def _seen(format_name: str, document: str, language: str, *items: Item) -> str:
    """What a document of a format says, tags and commands aside."""
    facts = PaperFacts("Evening", language=language)
    if format_name == "latex":
        return latex.document(document, items, facts).replace("~", " ").replace(r"\ ", " ")
    if format_name == "pages":
        return re.sub(r"<[^>]*>", "", pages.document(document, items, facts)).replace("\u00a0", " ")
    with zipfile.ZipFile(io.BytesIO(word.document(document, items, facts))) as made:
        return re.sub(r"<[^>]*>", "", made.read("word/document.xml").decode()).replace("\u00a0", " ")


def _in(item: Item, language: str) -> Item:
    return replace(item, about=item.about._replace(language=language))


@pytest.mark.parametrize("language", ["en", "es", "de"])
@pytest.mark.parametrize("format_name", ["latex", "pages", "word"])
def test_one_is_never_told_in_the_plural(format_name: str, language: str) -> None:
    item = _in(choice_item(), language)
    assert 1 == item.marks
    told = {name: _seen(format_name, name, language, item) for name in DOCUMENTS}

    assert [] == [name for name, text in told.items() if re.search(PLURAL_OF_ONE[language], text)]
    for singular in SINGULAR[language]:
        assert re.search(singular, told["question-paper"])


@pytest.mark.parametrize("language", ["en", "es", "de"])
@pytest.mark.parametrize("format_name", ["latex", "pages", "word"])
def test_more_than_one_is_told_in_the_plural(format_name: str, language: str) -> None:
    items = _in(choice_item(), language), _in(surd_entry_item(), language)
    told = _seen(format_name, "question-paper", language, *items)

    marks, questions = {
        "en": ("marks", "questions"),
        "es": ("puntos", "preguntas"),
        "de": ("Punkte", "Aufgaben"),
    }[language]
    assert re.search(rf"4\s+{marks}\b", told)
    assert re.search(rf"2\s+{questions}\b", told)
