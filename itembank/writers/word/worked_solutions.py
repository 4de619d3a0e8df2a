"""The worked solutions as a word-processing document: each line with its reason, aligned at the relation sign."""

from __future__ import annotations

import io
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from docx.document import Document as Docx
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
from itembank.writers.word import parts
from itembank.writers.word.characters import plain

__all__ = ["worked_solutions"]

SHARES = (0.42, 0.26, 0.32)
"""Of the width: reasons, left sides, what stands from the relation sign on."""

GAP: Final = 7
"""Millimetres between pictures."""


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
    out = io.BytesIO()
    document.save(out)
    return out.getvalue()


def _part(document: Docx, name: str, item: Item, part: Part, facts: PaperFacts) -> None:
    w = facts.words
    head = document.add_paragraph(style="Heading 2")
    head.add_run(f"{name}  ")
    code = head.add_run(plain(item.code))
    code.font.size, code.bold = Pt(7), False
    parts.add_blocks(document, part.stem, w)
    parts.add_stem_picture(document, part.figure, facts)
    line = parts.indented(document.add_paragraph())
    line.add_run(f"{w('answer')}  ").bold = True
    parts.add_content(line, key_answer(part), w)
    line.add_run(plain(f" {unit(part)} {key_letters(part, w)}".rstrip()))
    parts.right_tab(line, facts)
    line.add_run(f"\t[{part.response.marks}]")
    rows = list(worked_rows(part))
    if rows:
        _lines(document, rows, facts)
    _pictures(document, part, facts)


def _pictures(document: Docx, part: Part, facts: PaperFacts) -> None:
    """The pictures of the lines, each above what its line says; as many beside one another as there is room for."""
    rows: list[list[SolutionLine]] = []
    room = Fraction(parts.text_width(facts) - parts.NUMBERS)
    taken = room
    for solved in lines_with_pictures(part):
        width = _room_of(solved)
        taken += width
        if taken > room:
            rows.append([])
            taken = width
        rows[-1].append(solved)
    for row in rows:
        table = parts.bare_table(document, len(row))
        for column, cell, solved in zip(table.columns, table.add_row().cells, row, strict=True):
            assert solved.figure is not None
            column.width = cell.width = Mm(float(min(_room_of(solved), room)))
            line = cell.paragraphs[0]
            line.alignment = parts.CENTRE
            line.paragraph_format.keep_with_next = True
            parts.add_picture(line, solved.figure, facts)
            if solved.maths is not None:
                below = cell.add_paragraph()
                below.alignment = parts.CENTRE
                parts.add_maths(below, solved.maths, facts.words)


def _room_of(line: SolutionLine) -> Fraction:
    assert line.figure is not None
    return drawing(line.figure).width + GAP


def _lines(document: Docx, rows: Sequence[WorkedRow], facts: PaperFacts) -> None:
    """A table without lines: the reason, the left side to the right, the rest from the relation sign on."""
    w, width = facts.words, parts.text_width(facts) - parts.NUMBERS
    table = parts.bare_table(document, 3)
    for column, share in zip(table.columns, SHARES, strict=True):
        column.width = Mm(width * share)
    for row in rows:
        cells = table.add_row().cells
        for cell, share in zip(cells, SHARES, strict=True):
            cell.width = Mm(width * share)
        said = cells[0].paragraphs[0]
        if row.say is not None:
            parts.add_content(said, row.say, w)
        if row.aside is not None:
            said.add_run(f" {w('side-working')} ").italic = True
            parts.add_maths(said, row.aside, w)
        if row.rejected:
            said.add_run(f" {w('rejected')}").italic = True
        if row.left is not None and row.right is None:
            whole = cells[1].merge(cells[2])
            parts.add_maths(whole.paragraphs[0], row.left, w)
            continue
        left = cells[1].paragraphs[0]
        left.alignment = parts.RIGHT
        if row.left is not None:
            parts.add_maths(left, row.left, w)
        if row.right is not None:
            parts.add_maths(cells[2].paragraphs[0], row.right, w)
