"""Question papers as a word-processing document."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

from docx.document import Document as Docx
from docx.enum.text import WD_BREAK
from docx.shared import Mm, Pt

from itembank.content import Content
from itembank.expressions.display import Maths
from itembank.items import (
    EntryResponse,
    Item,
    MatchResponse,
    OrderResponse,
    Part,
    WrittenResponse,
    WrongLineResponse,
)
from itembank.writers.facts import PaperFacts
from itembank.writers.pages.responses import columns
from itembank.writers.paper import (
    has_kind,
    printed_options,
    rows_to_match,
    task,
    total_marks,
)
from itembank.writers.points import entry_blanks
from itembank.writers.space import lines_apart, space_of, squared_paper, writes_on_lines
from itembank.writers.word import page, parts
from itembank.writers.word.boxes import add_boxes
from itembank.writers.word.characters import plain
from itembank.writers.word.pupil import FRONT_LINES, add_pupil

if TYPE_CHECKING:
    from docx.text.paragraph import Paragraph as Line

__all__ = ["SMALL", "add_questions", "question_papers"]

LABELS: Final = 8
"""Millimetres of the column of the parts' labels."""
SMALL: Final = 10
"""Points of what is said beside the matter."""


def question_papers(papers: Sequence[tuple[PaperFacts, Sequence[Item]]]) -> bytes:
    """Question papers of any number of items, at least one, each from a new page; the looks are the first one's.

    The questions of equal items are worked out once.
    """
    facts = papers[0][0]
    document = page.begun(facts, facts.words("question-paper"), alone=len(papers) == 1)
    questions: dict[int, list[Any]] = {}
    for number, (of_one, items) in enumerate(papers):
        if number:
            page.next_paper(document, of_one)
        _front(document, items, of_one)
        if id(items) in questions:
            page.write_again(document, questions[id(items)])
        else:
            front = len(document.element.body) - 1  # the page comes last
            add_questions(document, items, facts)
            questions[id(items)] = page.written(document, front)
    return page.finished(document, facts)


def add_questions(document: Docx, items: Sequence[Item], facts: PaperFacts, *, end: bool = True) -> None:
    """The questions of any number of items, and where asked that they end there."""
    if items:
        # a row for each part, since word processors part rows less readily than lines that are to be kept together
        table = parts.bare_table(document, 2, 0, tight=True)
        for column, width in zip(table.columns, _widths(facts), strict=True):
            column.width = Mm(width)
        for number, item in enumerate(items, 1):
            for index, part in enumerate(item.parts):
                _part(table, number if index == 0 else 0, item, part, facts)
        if end:  # in the last row, so that it does not stand alone on a page
            _end(table.rows[-1].cells[1].add_paragraph(), facts, -parts.NUMBERS)
        parts.apart(document)  # a document ends with a line
    elif end:
        _end(document.add_paragraph(), facts, 0)


def _end(line: Line, facts: PaperFacts, start: float) -> None:
    parts.indented(line, start, keep=False).add_run(facts.words("end-of-questions"))
    line.alignment = parts.CENTRE
    line.paragraph_format.space_before = Pt(14)


def _front(document: Docx, items: Sequence[Item], facts: PaperFacts) -> None:
    w, total = facts.words, total_marks(items)
    if facts.author:
        document.add_paragraph(plain(facts.author))
    document.add_paragraph(plain(facts.title), style="Title")
    kind = document.add_paragraph(w("question-paper"))
    if facts.version:
        parts.right_tab(kind, page.text_width(facts))
        kind.add_run(f"\t{facts.version_told}").bold = True
    told = [
        (w("date"), facts.date), (w("time-allowed"), facts.time_allowed), (w("total-marks"), str(total)),
        (w("calculator"), w(f"calculator-{facts.calculator}-short") if facts.calculator else ""),
    ]  # fmt: skip
    for name, value in told:
        if value:
            line = document.add_paragraph()
            line.paragraph_format.tab_stops.add_tab_stop(Mm(70 if facts.looks.large else 45))
            line.paragraph_format.line_spacing = FRONT_LINES
            line.add_run(f"{name}\t").bold = True
            line.add_run(plain(value))
    add_pupil(document, facts, ("class",) if facts.date else ("class", "date"), total)
    document.add_paragraph(w("instructions"), style="Heading 1")
    rules = facts.how_to(
        items, total, has_choice=has_kind(items, "choice"), has_entry=has_kind(items, "entry"),
        has_other=has_kind(items, "choices", "match", "order"),
    )  # fmt: skip
    for sentence in rules:
        last = document.add_paragraph(plain(sentence), style="List Bullet")
    if facts.licence:
        last = document.add_paragraph()
        last.add_run(plain(w("licence", licence=facts.licence))).font.size = Pt(SMALL)
    if facts.looks.front == "page":
        last.add_run().add_break(
            WD_BREAK.PAGE
        )  # in a line of its own it might begin a page, and leave it empty


def _widths(facts: PaperFacts) -> tuple[float, float]:
    """Millimetres of the numbers and of the questions."""
    return parts.NUMBERS, page.text_width(facts) - parts.NUMBERS


def _part(table: Any, number: int, item: Item, part: Part, facts: PaperFacts) -> None:
    """A row: number and small code at the left, the part at the right."""
    widths = _widths(facts)
    head, body = parts.whole_row(table).cells
    for cell, width in zip((head, body), widths, strict=True):
        cell.width = Mm(width)
    before = Pt(16 if number else 8)
    if number:
        named = head.paragraphs[0]
        named.paragraph_format.space_before = before
        named.paragraph_format.space_after = Pt(0)
        named.add_run(str(number)).bold = True
        head.add_paragraph().add_run(plain(item.code)).font.size = Pt(5.5)  # the widest code has room
    column = parts.Column(body, widths[1], LABELS if part.label else 0)
    _asked(column, part, facts)
    body._tc.remove(body.paragraphs[0]._p)  # the empty one every cell begins with
    first = body.paragraphs[0]
    first.paragraph_format.space_before = before
    if part.label:
        first.paragraph_format.first_line_indent = Mm(-LABELS)
        label = first.add_run(f"({part.label})\t")._r
        first._p.remove(label)
        first._p.insert(1, label)  # behind the properties of the paragraph, which come first


def _asked(column: parts.Column, part: Part, facts: PaperFacts) -> None:
    w, response = facts.words, part.response
    last = parts.add_blocks(column.box, part.stem, w, column.start)
    parts.add_stem_picture(column.box, part.figure, facts, column.start, column.width - column.start)
    if sentence := task(part, w, answer_sheet=facts.answer_sheet):
        last = column.line(sentence)
    if isinstance(response, MatchResponse):
        for row, statement in rows_to_match(part):
            last = column.hanging(f"{row}\t")
            parts.add_maths(last, statement, w)
            parts.right_tab(last, column.width)
            last.add_run("\t____")
    shown: list[tuple[str, Content | Maths]] = [
        (each.identifier, each.content) for each in printed_options(part)
    ]
    if shown:
        if isinstance(response, MatchResponse):
            last.paragraph_format.space_after = Pt(8)
        last = parts.options_line(column, shown, columns(printed_options(part), facts.looks), facts)
    elif isinstance(response, WrongLineResponse):
        for place, shown_line in enumerate(response.lines, 1):
            last = column.hanging(f"{place}\t")
            if shown_line.say is not None:
                parts.add_content(last, shown_line.say, w)
                last.add_run().add_break()
            parts.add_maths(last, shown_line.maths, w)
    elif isinstance(response, EntryResponse) and response.instruction.shape.blocks:
        last = parts.add_blocks(column.box, response.instruction, w, column.start)
    parts.right_tab(last, column.width)
    last.add_run(f"\t[{response.marks}]")
    _room(column, last, part, facts)
    if isinstance(response, EntryResponse):
        _answer(column, response, facts)
    elif isinstance(response, OrderResponse):
        boxes = column.line("____    " * len(response.things))
        boxes.alignment = parts.RIGHT
        boxes.paragraph_format.space_before = Mm(3)
    elif isinstance(response, WrittenResponse) and writes_on_lines(part):
        _lines_to_write_on(column, response.lines, lines_apart(facts.looks, written=True))
    else:
        last.paragraph_format.keep_with_next = False


def _room(column: parts.Column, last: Line, part: Part, facts: PaperFacts) -> None:
    """The room for working: empty, ruled, framed, or squared paper as native shapes."""
    space = space_of(part, facts.looks)
    if space.squares:
        line = column.line()
        line.paragraph_format.line_spacing = 1.0
        picture = squared_paper(part, space, facts.words)
        parts.add_drawing(line, picture, column.width - column.start, space.scale)
    elif space.kind == "lines":
        _lines_to_write_on(column, space.lines, lines_apart(facts.looks))
    elif space.kind == "box":
        parts.add_frame(column, space.millimetres)
    else:
        last.paragraph_format.space_after = Mm(space.millimetres)


def _lines_to_write_on(column: parts.Column, lines: int, apart: Fraction) -> None:
    for _ in range(lines):
        line = column.line(keep=False)
        line.paragraph_format.space_after = Pt(0)
        line.paragraph_format.line_spacing = Mm(float(apart))
        parts.ruled(line)


def _answer(column: parts.Column, response: EntryResponse, facts: PaperFacts) -> None:
    line = column.line(keep=False)
    line.alignment = parts.RIGHT
    line.paragraph_format.space_before = Mm(3)
    for index, blank in enumerate(entry_blanks(response)):
        line.add_run(" \u2003 " if index else "")
        add_boxes(line, blank, facts)
    if response.tick:
        # a word processor that has no room left takes the whole of it to the next line
        told = facts.words("no-real-solution").replace(" ", "\u00a0")
        line.add_run(f" \u2003 ☐\u00a0{told}")
