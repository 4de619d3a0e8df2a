"""Papers as editable word-processing documents, the same that are pages and LaTeX.

Teachers change wording and print. Documents are made with python-docx, which keeps the format's many parts in order;
mathematics is OMML from the laid-out tree, so that it is edited like any other formula, and pictures are groups of
native shapes. The same items give the same
bytes: the container is written by our own writer, without times.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence
from typing import Final

from itembank.errors import DomainError
from itembank.items import Item
from itembank.writers.paper import DOCUMENTS, SITTING, PaperFacts
from itembank.writers.word.characters import REPLACED

__all__ = [
    "DOCUMENTS",
    "FORMAT",
    "combined_key",
    "document",
    "document_shortfalls",
    "pupils_papers",
    "shortfalls",
]

FORMAT: Final = "docx"


def document(name: str, items: Sequence[Item], facts: PaperFacts, pupils: Sequence[str] = ()) -> bytes:
    """One of DOCUMENTS as the bytes of a .docx file. Raises DomainError for another name.

    pupils: the names on a mark sheet; a sheet without names has empty lines.
    """
    from itembank.writers.word.answer_key import answer_key
    from itembank.writers.word.mark_scheme import mark_scheme
    from itembank.writers.word.mark_sheet import mark_sheet
    from itembank.writers.word.worked_solutions import worked_solutions
    from itembank.writers.word.worksheet import worksheet

    if name not in DOCUMENTS:
        raise DomainError(f"there is no word-processing document {name!r}")
    if name in SITTING:
        return pupils_papers(name, [(facts, items)])
    if name == "mark-sheet":
        return mark_sheet(items, facts, pupils or ("",) * 24)
    make = {"answer-key": answer_key, "mark-scheme": mark_scheme, "worksheet": worksheet}
    return make.get(name, worked_solutions)(items, facts)


def pupils_papers(name: str, papers: Sequence[tuple[PaperFacts, Sequence[Item]]]) -> bytes:
    """Several of SITTING in one document, at least one, each with its own front, foot and page numbers."""
    from itembank.writers.word.answer_sheet import answer_sheets
    from itembank.writers.word.question_paper import question_papers

    make = question_papers if name == "question-paper" else answer_sheets
    return make(papers)


def combined_key(versions: Sequence[Sequence[Item]], letters: Sequence[str], facts: PaperFacts) -> bytes:
    """The key to all versions in one document, in the order of the first."""
    from itembank.writers.word.versions_key import versions_key

    return versions_key(versions, letters, facts)


def shortfalls(item: Item) -> tuple[str, ...]:
    """What the documents cannot carry of an item, a sentence each; () where nothing is lost."""
    facts = PaperFacts("")
    told = [document_shortfalls(document(name, (item,), facts)) for name in DOCUMENTS]
    return tuple(dict.fromkeys(line for lines in told for line in lines))


def document_shortfalls(made: bytes) -> tuple[str, ...]:
    """What a finished document could not carry of its items and of the words around them."""
    with zipfile.ZipFile(io.BytesIO(made)) as package:
        text = package.read("word/document.xml").decode("utf-8")
    lost = []
    if REPLACED in text:
        lost.append("characters that no document may hold are shown as the sign for a replaced one")
    return tuple(lost)
