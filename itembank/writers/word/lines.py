"""Lines of a solution in a word-processing document: a table without lines, aligned at the relation sign."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from docx.document import Document as Docx
from docx.enum.table import WD_ALIGN_VERTICAL
from docx.shared import Mm

from itembank.expressions.display import Maths
from itembank.writers.facts import PaperFacts
from itembank.writers.word import page, parts

if TYPE_CHECKING:
    from docx.text.paragraph import Paragraph as Line

__all__ = ["Row", "Say", "add_lines"]

Say: TypeAlias = "Callable[[Line], None]"
"""Writes the words of a line into a paragraph."""

WORDS: Final = 50
MOST_WORDS: Final = 70
INDENT: Final = 8
"""Millimetres: the least and the most for the column of reasons, and what a line below its reason is set in by."""
APART: Final = (3, 1)
"""Millimetres kept free behind a reason, and before a relation sign."""
MARKS: Final = 20
"""Millimetres of the column of marks."""


@dataclass(frozen=True, slots=True)
class Row:
    """say: what is said, None for nothing. left, right: what meets at the relation sign, which stands in `right`.

    earned: the marks of the line, in a column of their own.
    """

    say: Say | None
    left: Maths | None
    right: Maths | None
    earned: str = ""


def add_lines(
    document: Docx, rows: Sequence[Row], facts: PaperFacts, *, with_marks: bool = False, keep: bool = False
) -> None:
    """At least one line: the reason, the left side to the right, the rest from the relation sign on, then the marks.

    Where the lines are too long for columns of their own, each reason stands above its line. keep: the last line stays
    with what follows, as all others do.
    """
    marks = MARKS * (2 if facts.looks.large else 1) if with_marks else 0
    room = page.text_width(facts) - parts.NUMBERS - marks
    sides = [(row.left, row.right) for row in rows]
    lefts = [parts.width_of(left, facts) for left, right in sides if left is not None and right is not None]
    rights = [parts.width_of(right, facts) for _, right in sides if right is not None]
    wholes = [parts.width_of(left, facts) for left, right in sides if left is not None and right is None]
    left, right = max(lefts, default=0.0), max(rights, default=0.0)
    both = max(left + right, *wholes, 1.0)
    beside = room - both >= WORDS and not facts.looks.large
    first = min(room - both, MOST_WORDS) if beside else INDENT
    left = min(left, (room - first) * 0.6)
    widths = (first, left, room - first - left, *((marks,) if marks else ()))
    table = parts.bare_table(document, len(widths), tight=True)
    for column, width in zip(table.columns, widths, strict=True):
        column.width = Mm(width)
    for row in rows:
        cells = _row(table, widths)
        has_maths = row.left is not None or row.right is not None
        if row.say is not None and not (beside and has_maths):
            # words without a line have its room too, those above it the whole width
            cells[0].merge(cells[-1 if has_maths else 2])
            row.say(cells[0].paragraphs[0])
            if not has_maths:
                _earn(cells, row)
            cells = _row(table, widths) if has_maths else ()
        elif row.say is not None:
            row.say(cells[0].paragraphs[0])
        if cells:
            _write(cells, row, facts)
            _earn(cells, row)
    for made in table.rows if keep else table.rows[:-1]:
        for cell in made.cells:
            for line in cell.paragraphs:
                line.paragraph_format.keep_with_next = True


def _row(table: Any, widths: Sequence[float]) -> Any:
    """A row that no page parts; all in it stands at one height, fractions and single letters."""
    row = parts.whole_row(table)
    for cell, width in zip(row.cells, widths, strict=True):
        cell.width = Mm(width)
        cell.vertical_alignment = WD_ALIGN_VERTICAL.CENTER
    for cell, after in zip(row.cells, APART, strict=False):
        cell.paragraphs[0].paragraph_format.right_indent = Mm(after)
    return row.cells


def _earn(cells: Any, row: Row) -> None:
    if row.earned:
        line = cells[3].paragraphs[0]
        line.alignment = parts.RIGHT
        line.add_run(row.earned).bold = True


def _write(cells: Any, row: Row, facts: PaperFacts) -> None:
    if row.left is not None and row.right is None:
        whole = cells[1].merge(cells[2])
        parts.add_maths(whole.paragraphs[0], row.left, facts.words)
        return
    left = cells[1].paragraphs[0]
    left.alignment = parts.RIGHT
    if row.left is not None:
        parts.add_maths(left, row.left, facts.words)
    if row.right is not None:
        parts.add_maths(cells[2].paragraphs[0], row.right, facts.words)
