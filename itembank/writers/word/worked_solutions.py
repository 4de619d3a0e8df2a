"""The worked solutions as a word-processing document: each line with its reason, aligned at the relation sign."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

from docx.document import Document as Docx
from docx.enum.table import WD_ALIGN_VERTICAL
from docx.shared import Mm, Pt

from itembank.figures import drawing
from itembank.items import Item, Part, SolutionLine
from itembank.writers.facts import PaperFacts
from itembank.writers.paper import (
    WorkedRow,
    key_answer,
    key_letters,
    question_name,
    total_marks,
    unit,
    worked_rows,
)
from itembank.writers.pictures import lines_with_pictures
from itembank.writers.space import enlarged
from itembank.writers.word import parts
from itembank.writers.word.characters import plain

if TYPE_CHECKING:
    from docx.text.paragraph import Paragraph as Line

__all__ = ["worked_solutions"]

WORDS: Final = 50
MOST_WORDS: Final = 70
INDENT: Final = 8
"""Millimetres: the least and the most for the column of reasons, and what a line below its reason is set in by."""

GAP: Final = 7
"""Millimetres between pictures."""
APART: Final = (3, 1)
"""Millimetres kept free behind a reason, and before a relation sign."""


def worked_solutions(items: Sequence[Item], facts: PaperFacts) -> bytes:
    """The worked solutions of any number of items."""
    w = facts.words
    document = parts.begun(facts, w("worked-solutions"))
    document.add_paragraph(plain(facts.title), style="Title")
    kind = w("worked-solutions") + (f", {w('version', letter=facts.version)}" if facts.version else "")
    counts = f"{w.counted('questions', len(items))}, {w.counted('marks', total_marks(items))}"
    document.add_paragraph(plain(f"{kind}. {w('for-staff')} {counts}."))
    for number, item in enumerate(items, 1):
        for part in item.parts:
            _part(document, question_name(number, part), item, part, facts)
    return parts.finished(document, facts)


def _part(document: Docx, name: str, item: Item, part: Part, facts: PaperFacts) -> None:
    head = document.add_paragraph(style="Heading 2")
    head.add_run(f"{name}  ")
    code = head.add_run(plain(item.code))
    code.font.size, code.bold = Pt(7), False
    if part.figure is None:
        _asked(document, part, facts)
    else:  # a row, since word processors part rows less readily than lines that are to be kept together
        table = parts.bare_table(document, 1, 0, tight=True)
        cell = parts.whole_row(table).cells[0]
        cell.width = table.columns[0].width = Mm(parts.text_width(facts))
        _asked(cell, part, facts)
        cell._tc.remove(cell.paragraphs[0]._p)  # the empty one every cell begins with
        parts.apart(document)
    rows = list(worked_rows(part))
    if rows:
        _lines(document, part, rows, facts)
    _pictures(document, part, facts)


def _asked(box: parts.Box, part: Part, facts: PaperFacts) -> None:
    """Stem, picture and answer."""
    w = facts.words
    parts.add_blocks(box, part.stem, w)
    parts.add_stem_picture(box, part.figure, facts)
    line = parts.indented(box.add_paragraph())
    line.add_run(f"{w('answer')}  ").bold = True
    parts.add_content(line, key_answer(part), w)
    line.add_run(plain(f" {unit(part)} {key_letters(part, w)}".rstrip()))
    parts.right_tab(line, parts.text_width(facts))
    line.add_run(f"\t[{part.response.marks}]")


def _pictures(document: Docx, part: Part, facts: PaperFacts) -> None:
    """The pictures of the lines, each above what its line says; as many beside one another as there is room for."""
    rows: list[list[SolutionLine]] = []
    room = Fraction(parts.text_width(facts) - parts.NUMBERS)
    taken = room
    for solved in lines_with_pictures(part):
        width = _room_of(solved, facts)
        taken += width
        if taken > room:
            rows.append([])
            taken = width
        rows[-1].append(solved)
    for row in rows:
        parts.apart(document)
        table = parts.bare_table(document, len(row))
        for column, cell, solved in zip(table.columns, parts.whole_row(table).cells, row, strict=True):
            assert solved.figure is not None
            column.width = cell.width = Mm(float(min(_room_of(solved, facts), room)))
            cell.vertical_alignment = WD_ALIGN_VERTICAL.BOTTOM
            line = cell.paragraphs[0]
            line.alignment = parts.CENTRE
            parts.add_picture(line, solved.figure, facts, float(room))
            if solved.maths is not None:
                below = cell.add_paragraph()
                below.alignment = parts.CENTRE
                parts.add_maths(below, solved.maths, facts.words)


def _room_of(line: SolutionLine, facts: PaperFacts) -> Fraction:
    """The millimetres of a picture, or of the line below it where that is wider."""
    assert line.figure is not None
    picture = drawing(line.figure, facts.words).width * enlarged(facts.looks) + GAP
    return picture if line.maths is None else max(picture, Fraction(parts.width_of(line.maths, facts)))


def _lines(document: Docx, part: Part, rows: Sequence[WorkedRow], facts: PaperFacts) -> None:
    """A table without lines: the reason, the left side to the right, the rest from the relation sign on.

    Where the lines are too long for columns of their own, each reason stands above its line.
    """
    room = parts.text_width(facts) - parts.NUMBERS
    lefts = [
        parts.width_of(row.left, facts) for row in rows if row.left is not None and row.right is not None
    ]
    rights = [parts.width_of(row.right, facts) for row in rows if row.right is not None]
    wholes = [parts.width_of(row.left, facts) for row in rows if row.left is not None and row.right is None]
    left, right = max(lefts, default=0.0), max(rights, default=0.0)
    both = max(left + right, *wholes, 1.0)
    beside = room - both >= WORDS and not facts.looks.large
    first = min(room - both, MOST_WORDS) if beside else INDENT
    left = min(left, (room - first) * 0.6)
    widths = (first, left, room - first - left)
    table = parts.bare_table(document, 3, tight=True)
    for column, width in zip(table.columns, widths, strict=True):
        column.width = Mm(width)
    for row in rows:
        cells = _row(table, widths)
        says = row.say is not None or row.aside is not None or row.rejected
        if says and not beside:
            cells[0].merge(cells[2])
            _say(cells[0].paragraphs[0], row, facts)
            cells = _row(table, widths) if row.left is not None or row.right is not None else ()
        elif says:
            _say(cells[0].paragraphs[0], row, facts)
        if cells:
            _write(cells, row, facts)
    pictures_follow = any(lines_with_pictures(part))
    for row in table.rows if pictures_follow else table.rows[:-1]:
        for cell in row.cells:
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


def _say(said: Line, row: WorkedRow, facts: PaperFacts) -> None:
    w = facts.words
    if row.say is not None:
        parts.add_content(said, row.say, w)
    if row.aside is not None:
        said.add_run(f" {w('side-working')} ").italic = True
        parts.add_maths(said, row.aside, w)
    if row.rejected:
        said.add_run(f" {w('rejected')}").italic = True


def _write(cells: Any, row: WorkedRow, facts: PaperFacts) -> None:
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
