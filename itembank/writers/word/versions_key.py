"""The key to all versions of a paper as a word-processing document: a table, several where there are many versions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from itembank.items import Item
from itembank.writers.facts import PaperFacts
from itembank.writers.paper import CombinedRow, combined_rows, total_marks
from itembank.writers.word import page, parts
from itembank.writers.word.answer_key import KeyTable, add_key_answer
from itembank.writers.word.characters import plain
from itembank.writers.word.staff import begun_for_staff

__all__ = ["versions_key"]

LONG: Final = len("A, B")
"""An option of more letters is an order, or pairs, and needs more room."""


class _Widths(NamedTuple):
    """Millimetres of the columns; most: so many versions stand side by side, for the answer needs what is left."""

    most: int
    place: int
    code: int = 27
    marks: int = 18


_SHORT, _LONG, _LARGE = _Widths(4, 19), _Widths(3, 30), _Widths(2, 36, marks=28)


def versions_key(versions: Sequence[Sequence[Item]], letters: Sequence[str], facts: PaperFacts) -> bytes:
    """The key to all versions, in the order of the first, which hold the same items."""
    rows = list(combined_rows(versions))
    is_long = any(len(option) > LONG for row in rows for _, option in row.places)
    widths = _LARGE if facts.looks.large else _LONG if is_long else _SHORT
    document = begun_for_staff("combined-key", versions[0], facts)
    for start in range(0, len(letters), widths.most):
        shown = slice(start, start + widths.most)
        places = [widths.place] * len(letters[shown])
        table = KeyTable(document, [widths.code, *places, 0, widths.marks], facts)
        _fill(table, rows, letters, shown, facts, total_marks(versions[0]))
        parts.apart(document)
    return page.finished(document, facts)


def _fill(
    table: KeyTable,
    rows: Sequence[CombinedRow],
    letters: Sequence[str],
    shown: slice,
    facts: PaperFacts,
    total: int,
) -> None:
    w = facts.words
    table.head((w("code"), *letters[shown], w("answer"), w("marks")))
    for each in rows:
        code, *places, answer, marks = table.row()
        if each.key.code:
            parts.add_code(code.paragraphs[0], each.key.code)
        for cell, (question, option) in zip(places, each.places[shown], strict=True):
            cell.paragraphs[0].add_run(plain(f"{question}  "))
            cell.paragraphs[0].add_run(plain(option)).bold = True
        add_key_answer(answer.paragraphs[0], each.key, w)
        marks.paragraphs[0].add_run(str(each.key.marks))
    *_, answer, marks = table.row()
    answer.paragraphs[0].add_run(w("total")).bold = True
    marks.paragraphs[0].add_run(str(total)).bold = True
