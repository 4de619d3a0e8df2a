"""The question paper as a word-processing document."""

from __future__ import annotations

import io
from collections.abc import Sequence

from docx.document import Document as Docx
from docx.enum.text import WD_BREAK, WD_TAB_ALIGNMENT, WD_TAB_LEADER
from docx.shared import Mm, Pt
from docx.text.paragraph import Paragraph as Line

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
    working_millimetres,
)
from itembank.writers.word import parts
from itembank.writers.word.characters import plain

__all__ = ["question_paper"]


def question_paper(items: Sequence[Item], facts: PaperFacts) -> bytes:
    """The question paper of any number of items."""
    document = parts.begun(facts, facts.words("question-paper"))
    _front(document, items, facts)
    for number, item in enumerate(items, 1):
        for index, part in enumerate(item.parts):
            _part(document, number if index == 0 else 0, item, part, facts)
    end = document.add_paragraph(facts.words("end-of-questions"))
    end.alignment = parts.CENTRE
    out = io.BytesIO()
    document.save(out)
    return out.getvalue()


def _front(document: Docx, items: Sequence[Item], facts: PaperFacts) -> None:
    w, total = facts.words, total_marks(items)
    if facts.author:
        document.add_paragraph(plain(facts.author))
    document.add_paragraph(plain(facts.title), style="Title")
    kind = document.add_paragraph(w("question-paper"))
    if facts.version:
        parts.right_tab(kind, facts)
        kind.add_run(f"\t{w('version', letter=facts.version)}").bold = True
    told = [
        (w("date"), facts.date), (w("time-allowed"), facts.time_allowed), (w("total-marks"), str(total)),
        (w("calculator"), w(f"calculator-{facts.calculator}-short") if facts.calculator else ""),
    ]  # fmt: skip
    for name, value in told:
        if value:
            line = document.add_paragraph()
            line.paragraph_format.tab_stops.add_tab_stop(Mm(45))
            line.add_run(f"{name}\t").bold = True
            line.add_run(plain(value))
    _pupil(document, facts, total)
    document.add_paragraph(w("instructions"), style="Heading 1")
    rules = facts.how_to(
        items, total, has_choice=has_kind(items, "choice"), has_entry=has_kind(items, "entry")
    )
    for sentence in rules:
        document.add_paragraph(plain(sentence), style="List Bullet")
    if facts.licence:
        document.add_paragraph(plain(w("licence", licence=facts.licence)))
    if facts.looks.front == "page":
        document.add_paragraph().add_run().add_break(WD_BREAK.PAGE)


def _pupil(document: Docx, facts: PaperFacts, total: int) -> None:
    w = facts.words
    cell = document.add_table(rows=1, cols=1, style="Table Grid").cell(0, 0)
    name = cell.paragraphs[0]
    name.paragraph_format.space_before = Pt(8)
    name.add_run(f"{w('name')}  ")
    name.add_run(plain(facts.pupil) if facts.pupil else "_" * 48).bold = bool(facts.pupil)
    more = cell.add_paragraph(f"{w('class')}  {'_' * 14}    ")
    if not facts.date:
        more.add_run(f"{w('date')}  {'_' * 14}    ")
    more.add_run(f"{w('marks-score')}  {'_' * 6} {w('out-of', total=total)}")
    more.paragraph_format.space_before = Pt(8)


def _part(document: Docx, number: int, item: Item, part: Part, facts: PaperFacts) -> None:
    w, response = facts.words, part.response
    before = len(document.paragraphs)
    start = parts.NUMBERS + (8 if part.label else 0)
    last = parts.add_blocks(document, part.stem, w, start)
    _numbered(document.paragraphs[before], number, item, part, start)
    parts.add_stem_picture(document, part.figure, facts, start)
    if sentence := task(part, w):
        last = parts.indented(document.add_paragraph(sentence), start)
    if isinstance(response, MatchResponse):
        for row, statement in rows_to_match(part):
            last = parts.indented(document.add_paragraph(), start)
            last.add_run(f"{row}  ").bold = True
            parts.add_maths(last, statement, w)
            parts.right_tab(last, facts)
            last.add_run("\t____")
    shown: list[tuple[str, Content | Maths]] = [
        (each.identifier, each.content) for each in printed_options(part)
    ]
    if shown:
        last = parts.options_line(document, shown, columns(printed_options(part)), facts, start)
    elif isinstance(response, WrongLineResponse):
        for place, shown_line in enumerate(response.lines, 1):
            last = parts.indented(document.add_paragraph(), start)
            last.add_run(f"{place}  ").bold = True
            if shown_line.say is not None:
                parts.add_content(last, shown_line.say, w)
                last.add_run().add_break()
            parts.add_maths(last, shown_line.maths, w)
    elif isinstance(response, EntryResponse) and response.instruction.shape.blocks:
        last = parts.add_blocks(document, response.instruction, w, start)
    parts.right_tab(last, facts)
    last.add_run(f"\t[{response.marks}]")
    last.paragraph_format.space_after = Mm(working_millimetres(part))
    if isinstance(response, EntryResponse):
        _answer(document, response, facts)
    elif isinstance(response, OrderResponse):
        line = document.add_paragraph("____    " * len(response.things))
        line.alignment = parts.RIGHT
    elif isinstance(response, WrittenResponse):
        _lines_to_write_on(document, response.lines, facts, start)
    else:
        last.paragraph_format.keep_with_next = False


def _numbered(line: Line, number: int, item: Item, part: Part, start: float) -> None:
    """The number, the label and the small code before the first words of a part."""
    line.paragraph_format.first_line_indent = Mm(-start)
    line.paragraph_format.tab_stops.add_tab_stop(Mm(parts.NUMBERS))
    line.paragraph_format.space_before = Pt(0 if number else 10)
    head = line.insert_paragraph_before() if number else None
    if head is not None:
        parts.indented(head, 0)
        head.paragraph_format.space_before = Pt(14)
        head.paragraph_format.space_after = Pt(0)
        head.add_run(plain(item.code)).font.size = Pt(6)
    before = [f"{number}\t" if number else "\t", *([f"({part.label})\t"] if part.label else [])]
    for text in reversed(before):
        run = line.add_run(text)
        run.bold = text[0].isdigit()
        line._p.remove(run._r)
        line._p.insert(1, run._r)  # behind the properties of the paragraph, which come first


def _lines_to_write_on(document: Docx, lines: int, facts: PaperFacts, start: float) -> None:
    for _ in range(lines):
        line = parts.indented(document.add_paragraph(), start, keep=False)
        line.paragraph_format.space_before = Pt(10)
        line.paragraph_format.tab_stops.add_tab_stop(
            Mm(parts.text_width(facts)), WD_TAB_ALIGNMENT.RIGHT, WD_TAB_LEADER.LINES
        )
        line.add_run("\t")


def _answer(document: Docx, response: EntryResponse, facts: PaperFacts) -> None:
    line = document.add_paragraph()
    line.alignment = parts.RIGHT
    for index, blank in enumerate(response.blanks):
        line.add_run("\u2003\u2003" if index else "")
        parts.add_boxes(line, blank, facts.words)
    if response.tick:
        line.add_run(f"\u2003\u2003☐ {facts.words('no-real-solution')}")
