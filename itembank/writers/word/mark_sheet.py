"""The mark sheet as a word-processing document: a row for each pupil, a column for each question and the total."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

from docx.enum.table import WD_ALIGN_VERTICAL, WD_ROW_HEIGHT_RULE
from docx.shared import Mm, Pt

from itembank.items import Item
from itembank.writers.facts import PaperFacts
from itembank.writers.paper import mark_columns, total_marks
from itembank.writers.word import page, parts
from itembank.writers.word.characters import plain
from itembank.writers.word.staff import begun_for_staff

if TYPE_CHECKING:
    from docx.document import Document as Docx

__all__ = ["mark_sheet"]

NAME: Final = 45
ROW: Final = 7
ROW_LARGE: Final = 11
"""Millimetres of the column of names, and the least height of a row."""
EDGE: Final = 1.5
"""Millimetres before a name."""
AT_MOST: Final = 14
AT_MOST_LARGE: Final = 7
"""Columns of questions in a table."""
HEAD: Final = 7.5
HEAD_LARGE: Final = 12
"""Points of the numbers of questions, so that the longest has room."""


def mark_sheet(items: Sequence[Item], facts: PaperFacts, pupils: Sequence[str]) -> bytes:
    """The mark sheet to any number of items; a name of no letters leaves its place empty."""
    document = begun_for_staff("mark-sheet", items, facts)
    tables = mark_columns(items, AT_MOST_LARGE if facts.looks.large else AT_MOST)
    for number, columns in enumerate(tables, 1):
        last = number == len(tables)
        total = [(facts.words("total"), total_marks(items))] if last else []
        _table(document, [*columns, *total], pupils, facts)
        parts.apart(document)
        if not last:
            document.paragraphs[-1].paragraph_format.keep_with_next = False
            parts.apart(document)
            document.paragraphs[-1].paragraph_format.page_break_before = True
    return page.finished(document, facts)


def _table(
    document: Docx, columns: Sequence[tuple[str, int]], pupils: Sequence[str], facts: PaperFacts
) -> None:
    w, large = facts.words, facts.looks.large
    table = document.add_table(rows=0, cols=1 + len(columns), style="Table Grid")
    table.autofit = False
    parts.without_edges(table)
    widths = (NAME, *((page.text_width(facts) - NAME) / max(len(columns), 1),) * len(columns))
    for column, width in zip(table.columns, widths, strict=True):
        column.width = Mm(width)

    def row(name: str, filled: Sequence[str]) -> Any:
        made = parts.whole_row(table)
        made.height, made.height_rule = Mm(ROW_LARGE if large else ROW), WD_ROW_HEIGHT_RULE.AT_LEAST
        for place, (cell, width, text) in enumerate(zip(made.cells, widths, (name, *filled), strict=True)):
            cell.width, cell.vertical_alignment = Mm(width), WD_ALIGN_VERTICAL.CENTER
            line = parts.evenly_apart(cell.paragraphs[0])
            line.add_run(plain(text))
            if place:
                line.alignment = parts.CENTRE
            else:
                line.paragraph_format.left_indent = line.paragraph_format.right_indent = Mm(EDGE)
        return made

    head = row(w("pupil"), [question for question, _ in columns])
    for place, cell in enumerate(head.cells):
        for run in cell.paragraphs[0].runs:
            run.bold = True
            if place:
                run.font.size = Pt(HEAD_LARGE if large else HEAD)
    most = row(w("maximum"), [str(marks) for _, marks in columns])
    for repeated in (head, most):
        parts.at_each_page(repeated)
    for pupil in pupils:
        row(pupil, [""] * len(columns))
