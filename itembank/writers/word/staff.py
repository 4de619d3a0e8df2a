"""What documents for staff share: their front, the head of an item, the line of the right answer."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from docx.document import Document as Docx
from docx.shared import Pt

from itembank.items import Item, Part
from itembank.writers.facts import PaperFacts
from itembank.writers.paper import key_answer, total_marks, unit
from itembank.writers.word import page, parts
from itembank.writers.word.characters import plain

if TYPE_CHECKING:
    from docx.text.paragraph import Paragraph as Line

__all__ = ["add_answer", "add_head", "begun_for_staff"]


def begun_for_staff(name: str, items: Sequence[Item], facts: PaperFacts) -> Docx:
    """A document with its title and what it is."""
    w = facts.words
    document = page.begun(facts, w(name))
    document.add_paragraph(plain(facts.title), style="Title")
    kind = w(name) + (f", {facts.version_told}" if facts.version else "")
    counts = f"{w.counted('questions', len(items))}, {w.counted('marks', total_marks(items))}"
    document.add_paragraph(plain(f"{kind}. {w('for-staff')} {counts}."))
    return document


def add_head(document: Docx, name: str, item: Item) -> None:
    """The number of a question and, small, the item's code."""
    head = document.add_paragraph(style="Heading 2")
    head.add_run(f"{name}  ")
    code = head.add_run(plain(item.code))
    code.font.size, code.bold = Pt(7), False


def add_answer(box: parts.Box, part: Part, letters: str, facts: PaperFacts) -> Line:
    """The right answer with where it stands, and its marks at the right."""
    w = facts.words
    line = parts.indented(box.add_paragraph())
    line.add_run(f"{w('answer')}  ").bold = True
    parts.add_content(line, key_answer(part), w)
    line.add_run(plain(f" {unit(part)} {letters}".rstrip()))
    parts.right_tab(line, page.text_width(facts))
    line.add_run(f"\t[{part.response.marks}]")
    return line
