"""The worksheet as a word-processing document: the questions of a paper, with the answers on a page at the end."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from docx.enum.table import WD_ALIGN_VERTICAL
from docx.shared import Mm, Pt

from itembank.expressions.display import Maths
from itembank.items import Item
from itembank.writers.facts import PaperFacts
from itembank.writers.paper import KeyRow, key_rows
from itembank.writers.word import page, parts
from itembank.writers.word.characters import plain
from itembank.writers.word.pupil import add_pupil
from itembank.writers.word.question_paper import SMALL, add_questions

if TYPE_CHECKING:
    from docx.document import Document as Docx

__all__ = ["worksheet"]

NUMBER: Final = 14
NUMBER_LARGE: Final = 24
"""Millimetres of the column of numbers before the answers."""
GAP: Final = 4
"""Millimetres kept free behind an answer."""
LETTER: Final = 3
"""Millimetres of a letter of an option or a unit, at most."""


def worksheet(items: Sequence[Item], facts: PaperFacts) -> bytes:
    """A worksheet of any number of items."""
    w = facts.words
    document = page.begun(facts, w("worksheet"))
    document.add_paragraph(plain(facts.title), style="Title")
    document.add_paragraph(plain(", ".join(filter(None, (w("worksheet"), facts.author)))))
    add_pupil(document, facts, ("class",))
    parts.apart(document)  # two tables would become one
    add_questions(document, items, facts, end=False)
    _answers(document, items, facts)
    return page.finished(document, facts)


def _answers(document: Docx, items: Sequence[Item], facts: PaperFacts) -> None:
    """On a page of their own, two beside one another where both have room there, as never in large letters."""
    w = facts.words
    head = document.add_paragraph(w("answers"), style="Heading 1")
    head.paragraph_format.page_break_before = True
    head.paragraph_format.space_after = Pt(6)
    width = page.text_width(facts) / 2
    table = parts.bare_table(document, 2, 0, tight=True)
    place = 0
    for row in key_rows(items):
        alone = facts.looks.large or _width(row, facts) > width
        if place % 2 == 0 or alone:
            place = 0
            cells = parts.whole_row(table).cells
            for column, cell in zip(table.columns, cells, strict=True):
                column.width = cell.width = Mm(width)
                cell.vertical_alignment = WD_ALIGN_VERTICAL.CENTER
        _answer(cells[0].merge(cells[1]) if alone else cells[place % 2], row, facts)
        place += 2 if alone else 1
    parts.apart(document)  # a document ends with a line
    if facts.licence:
        licence = document.add_paragraph()
        licence.paragraph_format.space_before = Pt(10)
        licence.add_run(plain(w("licence", licence=facts.licence))).font.size = Pt(SMALL)


def _answer(cell: parts.Box, row: KeyRow, facts: PaperFacts) -> None:
    """The number, where the answer stands, the answer."""
    number = NUMBER_LARGE if facts.looks.large else NUMBER
    line = parts.indented(cell.paragraphs[0], number, keep=False)
    line.paragraph_format.first_line_indent = Mm(-number)
    line.paragraph_format.right_indent = Mm(GAP)
    line.add_run(f"{row.question}\t").bold = True
    if row.option:
        line.add_run(plain(f"{row.option}  ")).bold = True
    parts.add_content(line, row.answer, facts.words)
    line.add_run(plain(f" {row.unit}" if row.unit else ""))


def _width(row: KeyRow, facts: PaperFacts) -> float:
    """The millimetres of an answer that no line may part, with its number; words may be parted."""
    if not isinstance(row.answer, Maths):
        return 0
    return NUMBER + GAP + LETTER * (len(row.option) + len(row.unit)) + parts.width_of(row.answer, facts)
