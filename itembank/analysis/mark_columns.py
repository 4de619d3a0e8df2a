"""Which columns of a table hold marks, and which what was chosen or typed: people keep both in one sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Final

from itembank.analysis.columns import is_summary, label_of, questions_of, special_columns
from itembank.analysis.keys import ANOTHER, Keys, Question
from itembank.analysis.line_names import names_maxima
from itembank.analysis.mark_sheet import DASHES, is_meant_as_mark, marked, was_absent, was_not_given
from itembank.analysis.matching import named_in
from itembank.analysis.orders import NUMBERED
from itembank.analysis.tables import Table
from itembank.errors import Diagnostic

__all__ = ["ANSWERS", "columns_of_marks", "says_maxima"]

ANSWERS: Final = ("answers", "respuestas", "antworten")
"""What the first cell of a line below the head says, where numbers are typed answers and no marks."""
_ODD: Final = 10
"""Of so many cells one may be no mark in a table of marks (house rule)."""
_WITHOUT_OPTIONS: Final = ("entry", "written")


def says_maxima(table: Table) -> bool:
    """Whether a line says the maximum of each question."""
    return any(map(names_maxima, _labels(table)))


def _labels(table: Table) -> list[str]:
    special = special_columns(table, [])
    return [label_of(row, special) for row in table.rows]


def columns_of_marks(table: Table, keys: Keys) -> frozenset[int]:
    """The places of the questions whose columns hold marks; all where hardly anything but marks stands in the table.

    A column of options holds marks where they are numbers up to its maximum and do not all name options; with a line
    of maxima, unless half of its cells name options and not all are marks. What is typed is marks where such a line
    says so, or where all typed columns could be marks and fewer than half of their cells are the right answer or a
    known slip. What is written by hand is never typed: its numbers are marks. A line `answers` says that all
    other numbers are answers.
    """
    cells = _cells(table, keys)
    questions = {place: keys.questions[place] for place in cells}
    could_be = {place for place, texts in cells.items() if _are_marks(texts, questions[place])}
    says_answers = any(label in ANSWERS for label in _labels(table))
    if says_maxima(table) and not says_answers:
        return frozenset(
            place
            for place, texts in cells.items()
            if place in could_be
            or questions[place].kind in _WITHOUT_OPTIONS
            or 2 * _naming(texts, questions[place]) < len(texts)
        )
    written = {place for place in could_be if questions[place].kind == "written" and cells[place]}
    if says_answers:
        return frozenset(written)
    filled = {place for place, texts in cells.items() if texts}
    if filled and (filled <= could_be or _are_meant_as_marks(cells, questions)):
        return frozenset(cells)
    entries = {place for place in filled if questions[place].kind == "entry"}
    number = sum(len(cells[place]) for place in entries)
    known = sum(_naming(cells[place], questions[place]) for place in entries)
    found = written | (entries if entries <= could_be and 2 * known < number else set())
    of_options = {
        place for place in filled & could_be
        if questions[place].kind not in _WITHOUT_OPTIONS
        and _naming(cells[place], questions[place]) < len(cells[place])
    }  # fmt: skip
    return frozenset(found | of_options)


def _cells(table: Table, keys: Keys) -> Mapping[int, Sequence[str]]:
    """Place of a question -> what stands in its column, without lines that are of no pupil and what is left out."""
    found: list[Diagnostic] = []
    special = special_columns(table, found)
    columns = questions_of(table, keys, special, found)
    rows = []
    for row in table.rows:
        label = label_of(row, special)
        if label in ANSWERS or names_maxima(label) or NUMBERED.fullmatch(label):
            continue
        given = [row[column] for column in columns if column < len(row)]
        if not was_absent(given, are_marks=False) and not is_summary(table.path, row, special, found):
            rows.append(row)
    return {
        place: [
            row[column].text
            for row in rows
            if column < len(row)
            and row[column].text
            and row[column].text not in DASHES
            and not was_not_given(row[column])
        ]
        for column, place in columns.items()
    }


def _are_marks(texts: Sequence[str], question: Question) -> bool:
    numbers = [marked(text) for text in texts]
    return all(number is not None and number <= Fraction(question.maximum) for number in numbers)


def _are_meant_as_marks(cells: Mapping[int, Sequence[str]], questions: Mapping[int, Question]) -> bool:
    """Whether nearly every cell is a mark or meant as one, and no other names an option or a known answer.

    So a mark above the maximum, a date or a cross among marks is told as such, and no whole sheet is taken for answers.
    """
    number = sum(map(len, cells.values()))
    odd = [
        (text, questions[place])
        for place, texts in cells.items()
        for text in texts
        if not _are_marks([text], questions[place])
    ]
    strange = sum(not is_meant_as_mark(text) for text, _ in odd)
    with_options = any(question.kind not in _WITHOUT_OPTIONS for _, question in odd)
    telling = [each for each in odd if strange or not with_options or each[1].kind not in _WITHOUT_OPTIONS]
    return _ODD * strange <= number and not any(_naming([text], question) for text, question in telling)


def _naming(texts: Sequence[str], question: Question) -> int:
    """How many cells name an option, the right answer or a known slip."""
    own = {offered.name: offered.name for offered in question.offered}
    return sum(bool(names) and ANOTHER not in names for names in (named_in(t, question, own) for t in texts))
