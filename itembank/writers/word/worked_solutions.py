"""The worked solutions as a word-processing document: each line with its reason, aligned at the relation sign."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from docx.document import Document as Docx
from docx.enum.table import WD_ALIGN_VERTICAL
from docx.shared import Mm

from itembank.figures import drawing
from itembank.items import Item, Part, SolutionLine
from itembank.writers.facts import PaperFacts
from itembank.writers.paper import (
    WorkedRow,
    key_letters,
    question_name,
    worked_rows,
)
from itembank.writers.pictures import lines_with_pictures
from itembank.writers.space import enlarged
from itembank.writers.word import page, parts
from itembank.writers.word.lines import Row, Say, add_lines
from itembank.writers.word.staff import add_answer, add_head, begun_for_staff

if TYPE_CHECKING:
    from docx.text.paragraph import Paragraph as Line

__all__ = ["worked_solutions"]

GAP: Final = 7
"""Millimetres between pictures."""


def worked_solutions(items: Sequence[Item], facts: PaperFacts) -> bytes:
    """The worked solutions of any number of items."""
    document = begun_for_staff("worked-solutions", items, facts)
    for number, item in enumerate(items, 1):
        for part in item.parts:
            _part(document, question_name(number, part), item, part, facts)
    return page.finished(document, facts)


def _part(document: Docx, name: str, item: Item, part: Part, facts: PaperFacts) -> None:
    add_head(document, name, item)
    if part.figure is None:
        _asked(document, part, facts)
    else:  # a row, since word processors part rows less readily than lines that are to be kept together
        table = parts.bare_table(document, 1, 0, tight=True)
        cell = parts.whole_row(table).cells[0]
        cell.width = table.columns[0].width = Mm(page.text_width(facts))
        _asked(cell, part, facts)
        cell._tc.remove(cell.paragraphs[0]._p)  # the empty one every cell begins with
        parts.apart(document)
    rows = [Row(_says(row, facts), row.left, row.right) for row in worked_rows(part)]
    if rows:
        add_lines(document, rows, facts, keep=any(lines_with_pictures(part)))
    _pictures(document, part, facts)


def _asked(box: parts.Box, part: Part, facts: PaperFacts) -> None:
    """Stem, picture and answer."""
    w = facts.words
    parts.add_blocks(box, part.stem, w)
    parts.add_stem_picture(box, part.figure, facts)
    add_answer(box, part, key_letters(part, w), facts)


def _pictures(document: Docx, part: Part, facts: PaperFacts) -> None:
    """The pictures of the lines, each above what its line says; as many beside one another as there is room for."""
    rows: list[list[SolutionLine]] = []
    room = Fraction(page.text_width(facts) - parts.NUMBERS)
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


def _says(row: WorkedRow, facts: PaperFacts) -> Say | None:
    """What is said at a line: its reason, side working, that it is given up."""
    if row.say is None and row.aside is None and not row.rejected:
        return None
    w = facts.words

    def say(said: Line) -> None:
        if row.say is not None:
            parts.add_content(said, row.say, w)
        if row.aside is not None:
            said.add_run(f" {w('side-working')} ").italic = True
            parts.add_maths(said, row.aside, w)
        if row.rejected:
            said.add_run(f" {w('rejected')}").italic = True

    return say
