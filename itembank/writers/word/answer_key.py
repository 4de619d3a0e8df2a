"""The answer key as a word-processing document: one table."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from docx.enum.table import WD_ALIGN_VERTICAL
from docx.shared import Mm

from itembank.expressions.display import Decimal
from itembank.items import Item
from itembank.words import Words
from itembank.writers.facts import PaperFacts
from itembank.writers.paper import KeyRow, key_rows, total_marks
from itembank.writers.word import parts
from itembank.writers.word.characters import plain
from itembank.writers.word.staff import begun_for_staff

__all__ = ["answer_key"]

COLUMNS: Final = (17, 30, 0, 33, 22)
COLUMNS_LARGE: Final = (29, 0, 0, 44, 30)
"""Millimetres of number, code, answer, option and marks; 0 for the answer means what is left, for the code none."""


def answer_key(items: Sequence[Item], facts: PaperFacts) -> bytes:
    """The key to any number of items."""
    w = facts.words
    document = begun_for_staff("answer-key", items, facts)
    large = facts.looks.large
    widths = list(COLUMNS_LARGE if large else COLUMNS)
    widths[2] = int(parts.text_width(facts)) - sum(widths)
    shown = [place for place in range(5) if widths[place]]
    table = document.add_table(rows=0, cols=len(shown))
    table.style = "Table Grid"
    table.autofit = False
    parts.within_margins(table)
    for column, place in zip(table.columns, shown, strict=True):
        column.width = Mm(widths[place])

    def row() -> dict[int, Any]:
        cells = dict(zip(shown, parts.whole_row(table).cells, strict=True))
        for place, cell in cells.items():
            cell.width = Mm(widths[place])
            cell.vertical_alignment = WD_ALIGN_VERTICAL.CENTER
            parts.evenly_apart(cell.paragraphs[0])
        cells[4].paragraphs[0].alignment = parts.RIGHT
        return cells

    head = row()
    for place, name in enumerate(("number", "code", "answer", "option", "marks")):
        if place in head:
            head[place].paragraphs[0].add_run(w(name)).bold = True
    parts.at_each_page(table.rows[0])
    for each in key_rows(items):
        _write(row(), each, w)
    last = row()
    last[2].paragraphs[0].add_run(w("total")).bold = True
    last[4].paragraphs[0].add_run(str(total_marks(items))).bold = True
    parts.apart(document)
    return parts.finished(document, facts)


def _write(cells: dict[int, Any], row: KeyRow, w: Words) -> None:
    cells[0].paragraphs[0].add_run(row.question)
    if row.code:  # below the number where it has no column
        below = cells[1].paragraphs[0] if 1 in cells else parts.evenly_apart(cells[0].add_paragraph())
        parts.add_code(below, row.code)
    line = cells[2].paragraphs[0]
    parts.add_content(line, row.answer, w)
    line.add_run(plain(f" {row.unit}" if row.unit else ""))
    for unknown, tolerance in row.tolerances:
        line.add_run(f"; {w('allow-for', tolerance=_told(tolerance, w))} ")
        parts.add_maths(line, unknown, w)
    if row.follow is not None:
        line.add_run().add_break()
        line.add_run(f"{w('follow-short')} ")
        parts.add_maths(line, row.follow, w)
    cells[3].paragraphs[0].add_run(plain(row.option)).bold = True
    cells[4].paragraphs[0].add_run(str(row.marks))


def _told(number: Decimal, w: Words) -> str:
    return str(number).replace(".", w.decimal_mark)
