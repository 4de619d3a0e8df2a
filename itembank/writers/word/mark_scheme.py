"""The mark scheme as a word-processing document: what earns each mark, what else is accepted, what slips score."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from docx.document import Document as Docx
from docx.shared import Pt

from itembank.items import Item, Part
from itembank.writers.facts import PaperFacts
from itembank.writers.paper import (
    follow_marks,
    has_kind,
    key_alone,
    question_name,
    slip_letters,
    slips_in_order,
)
from itembank.writers.scheme import (
    SchemeRow,
    alternatives,
    mark_words,
    scheme_rows,
    score_words,
    slip_score_words,
)
from itembank.writers.word import page, parts
from itembank.writers.word.characters import plain
from itembank.writers.word.lines import Row, Say, add_lines
from itembank.writers.word.staff import add_answer, add_head, begun_for_staff

if TYPE_CHECKING:
    from docx.text.paragraph import Paragraph as Line

__all__ = ["mark_scheme"]

SLIP: Final = 8
"""Millimetres by which what is said of a slip is set in."""
CHOSEN: Final = ("choice", "choices", "match", "order", "wrong-line")


def mark_scheme(items: Sequence[Item], facts: PaperFacts) -> bytes:
    """The mark scheme of any number of items."""
    w = facts.words
    document = begun_for_staff("mark-scheme", items, facts)
    note = w("scheme-kinds") + (f" {w('scheme-choice')}" if has_kind(items, *CHOSEN) else "")
    document.add_paragraph(plain(note))
    for number, item in enumerate(items, 1):
        for part in item.parts:
            add_head(document, question_name(number, part), item)
            _part(document, part, facts)
    return page.finished(document, facts)


def _part(document: Docx, part: Part, facts: PaperFacts) -> None:
    w = facts.words
    add_answer(document, part, key_alone(part, w), facts)
    if part.follow is not None:
        line = parts.indented(document.add_paragraph(f"{w('follow-answer')} "))
        parts.add_maths(line, part.follow, w)
        line.add_run(plain(follow_marks(part, w)))
    rows = list(scheme_rows(part))
    if rows:
        if part.response.kind not in ("entry", "written"):
            parts.indented(document.add_paragraph()).add_run(w("in-writing")).italic = True
        scheme = [Row(_says(r, facts), r.left, r.right, " ".join(map(str, r.marks))) for r in rows]
        add_lines(document, scheme, facts, with_marks=True)
        parts.apart(document)
    accepted = list(alternatives(part, w))
    if accepted:
        _named(document, w("alternatives"))
    for one in accepted:
        line = parts.indented(document.add_paragraph(), keep=False)
        line.add_run(plain(one.sentence))
        if one.example is not None:
            line.add_run(" ")
            parts.add_maths(line, one.example, w)
            line.add_run(f": {score_words(one.scores, part.response.marks, w)}.")
    if part.slips:
        _named(document, w("common-slips"))
        _slips(document, part, facts)


def _named(document: Docx, name: str) -> None:
    line = parts.indented(document.add_paragraph())
    line.paragraph_format.space_before = Pt(4)
    line.add_run(name).bold = True


def _says(row: SchemeRow, facts: PaperFacts) -> Say:
    w = facts.words

    def say(said: Line) -> None:
        said.add_run("; ".join(filter(None, (mark_words(mark, w) for mark in row.marks))))
        if row.say is not None:
            said.add_run(": ")
            parts.add_content(said, row.say, w)
        if row.aside is not None:
            said.add_run(" ")
            parts.add_maths(said, row.aside, w)

    return say


def _slips(document: Docx, part: Part, facts: PaperFacts) -> None:
    """What is written, then what went wrong and what it scores."""
    w = facts.words
    for slip in slips_in_order(part):
        line = parts.indented(document.add_paragraph())
        if letters := slip_letters(part, slip):
            line.add_run(f"{plain(letters)}  ").bold = True
        parts.add_maths(line, slip.answer, w)
        told = parts.indented(document.add_paragraph(), parts.NUMBERS + SLIP, keep=False)
        scores = slip_score_words(part, slip, w)
        if slip.called:
            told.add_run(plain(slip.called)).italic = True
            told.add_run(f", {scores}")
            if slip.teacher is not None:
                told.add_run(": ")
                parts.add_content(told, slip.teacher, w)
        elif slip.teacher is not None:
            parts.add_content(told, slip.teacher, w)
            told.add_run(f" ({scores})")
        else:
            told.add_run(scores)
