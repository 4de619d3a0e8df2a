"""The frame a pupil fills in at the head of a word-processing document: name, class, date and what was scored."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from docx.enum.text import WD_TAB_ALIGNMENT, WD_TAB_LEADER
from docx.shared import Mm, Pt

from itembank.writers.facts import PaperFacts
from itembank.writers.word import page, parts
from itembank.writers.word.characters import plain

if TYPE_CHECKING:
    from docx.document import Document as Docx
    from docx.text.paragraph import Paragraph as Line

__all__ = ["FRONT_LINES", "add_pupil"]

FRONT_LINES: Final = 1.1
"""The room between single lines of a front, whatever it is within texts."""
_APART: Final = 4
"""Millimetres between a rule to write on and the next word."""
_WITHIN: Final = 2
"""Millimetres by which rules end before the edge of the frame."""
_ENDED: Final = "\u2060"
"""A sign without width: in a frame LibreOffice draws no rule at the end of a line."""
_OUT_OF: Final = 22
"""Millimetres for the marks there are to score, behind the rule for those that were."""


def add_pupil(document: Docx, facts: PaperFacts, asked: Sequence[str], total: int | None = None) -> None:
    """A frame with the pupil's name, or a rule for it, and rules for what else is asked, by the names of its words.

    total: the marks of a paper whose score is written here too.
    """
    w = facts.words
    table = document.add_table(rows=1, cols=1, style="Table Grid")
    parts.within_margins(table)
    cell = table.cell(0, 0)
    cell.width = table.columns[0].width = Mm(page.text_width(facts))
    name = cell.paragraphs[0]
    if facts.pupil:
        name.add_run(f"{w('name')}  ")
        name.add_run(plain(facts.pupil)).bold = True
    else:
        _ask(name, [(w("name"), "")], facts)
    rest = [(w(each), "") for each in asked]
    score = [] if total is None else [(w("marks-score"), w("out-of", total=total))]
    # large letters leave no room for all in one line
    for fields in filter(None, (rest, score) if facts.looks.large else ([*rest, *score],)):
        _ask(cell.add_paragraph(), fields, facts)
    for line in cell.paragraphs:
        line.paragraph_format.space_before = Pt(10)
        line.paragraph_format.line_spacing = FRONT_LINES


def _ask(line: Line, fields: Sequence[tuple[str, str]], facts: PaperFacts) -> None:
    """Each name with a rule behind it, and what stands behind the rule; the fields share the line evenly."""
    room = page.text_width(facts) - 2 * parts.CELL_EDGE - _WITHIN
    stops = line.paragraph_format.tab_stops
    for number, (name, behind) in enumerate(fields, 1):
        end = room * number / len(fields)
        ruled = end - (
            _OUT_OF * (2 if facts.looks.large else 1) if behind else _APART * (number < len(fields))
        )
        stops.add_tab_stop(Mm(ruled), WD_TAB_ALIGNMENT.LEFT, WD_TAB_LEADER.LINES)
        line.add_run(f"{plain(name)} \t" + (f" {plain(behind)}" if behind else _ENDED))
        if number < len(fields):
            stops.add_tab_stop(Mm(end))
            line.add_run("\t")
