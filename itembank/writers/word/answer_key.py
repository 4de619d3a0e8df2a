"""The answer key as a word-processing document: one table."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from docx.enum.table import WD_ALIGN_VERTICAL
from docx.shared import Mm

from itembank.expressions.display import Decimal
from itembank.items import Item
from itembank.words import Words
from itembank.writers.facts import PaperFacts
from itembank.writers.paper import KeyRow, key_rows, total_marks
from itembank.writers.word import page, parts
from itembank.writers.word.characters import plain
from itembank.writers.word.staff import begun_for_staff

if TYPE_CHECKING:
    from docx.document import Document as Docx
    from docx.text.paragraph import Paragraph as Line

__all__ = ["KeyTable", "add_key_answer", "answer_key"]

USUAL: Final = {"number": 17, "code": 30, "answer": 0, "option": 33, "marks": 22}
LARGE: Final = {"number": 29, "answer": 0, "option": 44, "marks": 30}
"""Millimetres of each column, 0 for what is left; in large print the code has no column of its own."""


class KeyTable:
    """A table as wide as the text, whose head stands on each page; widths: millimetres, 0 for what is left.

    The last column holds marks.
    """

    def __init__(self, document: Docx, widths: Sequence[int], facts: PaperFacts) -> None:
        left = int(page.text_width(facts)) - sum(widths)
        self._widths = [width or left for width in widths]
        self._table = document.add_table(rows=0, cols=len(widths))
        self._table.style = "Table Grid"
        self._table.autofit = False
        parts.within_margins(self._table)
        for column, width in zip(self._table.columns, self._widths, strict=True):
            column.width = Mm(width)

    def row(self) -> Sequence[Any]:
        """The cells of one more row, which is never parted."""
        cells = parts.whole_row(self._table).cells
        for cell, width in zip(cells, self._widths, strict=True):
            cell.width = Mm(width)
            cell.vertical_alignment = WD_ALIGN_VERTICAL.CENTER
            parts.evenly_apart(cell.paragraphs[0])
        cells[-1].paragraphs[0].alignment = parts.RIGHT
        return list(cells)

    def head(self, names: Iterable[str]) -> None:
        """The first row: what stands in the columns."""
        for cell, name in zip(self.row(), names, strict=True):
            cell.paragraphs[0].add_run(name).bold = True
        parts.at_each_page(self._table.rows[0])


def answer_key(items: Sequence[Item], facts: PaperFacts) -> bytes:
    """The key to any number of items."""
    w = facts.words
    document = begun_for_staff("answer-key", items, facts)
    widths = LARGE if facts.looks.large else USUAL
    table = KeyTable(document, tuple(widths.values()), facts)
    table.head(map(w, widths))
    for each in key_rows(items):
        _write(dict(zip(widths, table.row(), strict=True)), each, w)
    last = dict(zip(widths, table.row(), strict=True))
    last["answer"].paragraphs[0].add_run(w("total")).bold = True
    last["marks"].paragraphs[0].add_run(str(total_marks(items))).bold = True
    parts.apart(document)
    return page.finished(document, facts)


def _write(cells: Mapping[str, Any], row: KeyRow, w: Words) -> None:
    number = cells["number"]
    number.paragraphs[0].add_run(row.question)
    if row.code:  # below the number where it has no column
        has_column = "code" in cells
        below = cells["code"].paragraphs[0] if has_column else parts.evenly_apart(number.add_paragraph())
        parts.add_code(below, row.code)
    add_key_answer(cells["answer"].paragraphs[0], row, w)
    cells["option"].paragraphs[0].add_run(plain(row.option)).bold = True
    cells["marks"].paragraphs[0].add_run(str(row.marks))


def add_key_answer(line: Line, row: KeyRow, w: Words) -> None:
    """The right answer with its unit, what is allowed for, and what follows through."""
    parts.add_content(line, row.answer, w)
    line.add_run(plain(f" {row.unit}" if row.unit else ""))
    for unknown, tolerance in row.tolerances:
        line.add_run(f"; {w('allow-for', tolerance=_told(tolerance, w))} ")
        parts.add_maths(line, unknown, w)
    if row.follow is not None:
        line.add_run().add_break()
        line.add_run(f"{w('follow-short')} ")
        parts.add_maths(line, row.follow, w)


def _told(number: Decimal, w: Words) -> str:
    return str(number).replace(".", w.decimal_mark)
