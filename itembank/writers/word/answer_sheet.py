"""The answer sheet as a word-processing document: circles for the options and lines of every question with some."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from docx.shared import Mm, Pt

from itembank.items import Item
from itembank.writers.facts import PaperFacts
from itembank.writers.paper import choices_to_mark
from itembank.writers.word import page, parts
from itembank.writers.word.characters import plain
from itembank.writers.word.pupil import add_pupil

if TYPE_CHECKING:
    from docx.document import Document as Docx

__all__ = ["answer_sheets"]

NUMBER: Final = 15
CIRCLE: Final = 13
"""Millimetres of the number of a question, and of a letter with its circle and the gap behind it."""
SHAPE: Final = "\u25cb"
"""A circle that nearly every font has, as few have letters in circles. Source: The Unicode Standard, U+25CB."""
LARGER: Final = 1.6
"""How much more room large print takes."""
SIGN: Final = 17
SIGN_LARGE: Final = 26
"""Points of a circle."""


def answer_sheets(papers: Sequence[tuple[PaperFacts, Sequence[Item]]]) -> bytes:
    """Answer sheets to any number of items, at least one, each from a new page; the looks are the first one's."""
    facts = papers[0][0]
    document = page.begun(facts, facts.words("answer-sheet"), alone=len(papers) == 1)
    for number, (of_one, items) in enumerate(papers):
        if number:
            page.next_paper(document, of_one)
        _sheet(document, items, of_one)
    return page.finished(document, facts)


def _sheet(document: Docx, items: Sequence[Item], facts: PaperFacts) -> None:
    w = facts.words
    document.add_paragraph(plain(facts.title), style="Title")
    kind = document.add_paragraph(w("answer-sheet"))
    if facts.version:
        parts.right_tab(kind, page.text_width(facts))
        kind.add_run(f"\t{facts.version_told}").bold = True
    add_pupil(document, facts, ("class",))
    how = document.add_paragraph(w("answer-sheet-how"))
    how.paragraph_format.space_before = how.paragraph_format.space_after = Pt(10)
    _circles(document, list(choices_to_mark(items)), facts)
    parts.apart(document)  # a document ends with a line


def _circles(document: Docx, choices: Sequence[tuple[str, tuple[str, ...]]], facts: PaperFacts) -> None:
    """The questions one below the other, in as many columns as there is room for."""
    if not choices:
        return
    large = facts.looks.large
    scale = LARGER if large else 1
    needed = (NUMBER + CIRCLE * max(len(marks) for _, marks in choices)) * scale
    columns = min(max(int(page.text_width(facts) / needed), 1), 4, len(choices))
    rows = -(-len(choices) // columns)
    width = page.text_width(facts) / columns
    table = parts.bare_table(document, columns, 0, tight=True)
    for row in range(rows):
        for place, cell in enumerate(parts.whole_row(table).cells):
            cell.width = table.columns[place].width = Mm(width)
            if (number := place * rows + row) < len(choices):
                question, marks = choices[number]
                line = cell.paragraphs[0]
                line.add_run(question).bold = True
                for index, mark in enumerate(marks):
                    line.paragraph_format.tab_stops.add_tab_stop(Mm((NUMBER + CIRCLE * index) * scale))
                    line.add_run(f"\t{mark}\u00a0")
                    line.add_run(SHAPE).font.size = Pt(SIGN_LARGE if large else SIGN)
