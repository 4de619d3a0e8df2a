"""Tables of what pupils chose or typed: a line for each pupil, a column for each question; or a line for each answer.

An option is named by its text (as a platform reports it: plain, LaTeX or MathML), or by its letter as printed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Final

from itembank.analysis.blocks import counted
from itembank.analysis.columns import (
    is_summary,
    label_of,
    pupil_of,
    question_named,
    question_numbered,
    questions_of,
    special_columns,
    unknown_item,
)
from itembank.analysis.dates import TYPE_AGAIN, is_date
from itembank.analysis.keys import ANOTHER, Keys, Question
from itembank.analysis.line_names import names_maxima
from itembank.analysis.mark_columns import ANSWERS
from itembank.analysis.mark_sheet import (
    DASHES,
    compare_maximum,
    compare_total,
    mark_of,
    marked,
    was_absent,
    was_not_given,
)
from itembank.analysis.matching import Letters, answered, entry_mark, is_left_to_work_out, letter_of, named_in
from itembank.analysis.orders import NUMBERED, Orders
from itembank.analysis.responses import BLANK, NOT_GIVEN, OMITTED, Answer, Record, given_of
from itembank.analysis.shown import offered_shown
from itembank.analysis.tables import Cell, Table, wrong
from itembank.errors import Diagnostic, InputError, Level, Span

__all__ = ["is_long", "read_chosen", "read_long"]


_LOST: Final = re.compile(r"\ufffd|\?\s*[0-9A-Za-z(]")
"""What programs write for a sign that an older encoding has not: 2?5 for 2√5, ?8 for −8."""


def is_long(table: Table) -> bool:
    """Whether a table has a line for each answer."""
    heads = special_columns(table, [])
    return "item" in heads and ("answer" in heads or "mark" in heads)


def read_chosen(
    table: Table, keys: Keys, orders: Orders, marks: frozenset[int] = frozenset()
) -> tuple[list[Record], list[Diagnostic]]:
    """A record for each line. marks: the places of questions whose columns hold marks, as a mark sheet does.

    Raises InputError as a mark sheet does, and `unknown-option`, `no-version`, `date-for-answer`.
    """
    found: list[Diagnostic] = []
    special = special_columns(table, found)
    columns = questions_of(table, keys, special, found)
    order = tuple(columns[column] for column in sorted(columns))
    records: list[Record] = []
    seen: dict[str, Cell] = {}
    reader = _Reader(table.path, keys, orders, found)
    for row in table.rows:
        label = label_of(row, special)
        if names_maxima(label):
            if marks:
                compare_maximum(table.path, row, columns, keys, found)
            continue
        if label in ANSWERS or NUMBERED.fullmatch(label):
            continue
        if is_summary(table.path, row, special, found):
            continue
        pupil, version = pupil_of(table.path, row, special, seen, found, orders.versions)
        cells = {place: row[column] for column, place in columns.items() if column < len(row)}
        if was_absent(cells.values(), are_marks=any(cells[place].text for place in marks & cells.keys())):
            cells = {}
        so_far = len(found)
        answers = {
            place: reader.mark(cells.get(place), place)
            if place in marks
            else reader.answer(cells.get(place), place, version)
            for place in columns.values()
        }
        if marks and len(found) == so_far:
            compare_total(table.path, row, special, answers, found)
        place = Span(table.path, row[0].line, row[0].column)
        records.append(Record(pupil, place, given_of(answers), orders.of_pupil(version, order), version))
    return records, reader.finished()


def read_long(table: Table, keys: Keys, orders: Orders) -> tuple[list[Record], list[Diagnostic]]:
    """A record for each pupil of a table with a line for each answer: pupil, item, answer, mark, perhaps version.

    Questions of which a pupil has no line were not given to them.
    """
    found: list[Diagnostic] = []
    special = special_columns(table, found)
    reader = _Reader(table.path, keys, orders, found)
    answers: dict[str, dict[int, Answer]] = {}
    begun: dict[str, tuple[str, str, Span]] = {}
    for row in table.rows:
        if is_summary(table.path, row, special, found):
            continue
        pupil, version = pupil_of(table.path, row, special, {}, found, orders.versions)
        cells = {what: row[column] for what, column in special.items() if column < len(row)}
        item = cells.get("item")
        place = question_named(item.text, keys) if item is not None else None
        if place is None and item is not None:
            place = question_numbered(item.text, keys)
        if place is None:
            found.append(unknown_item(table.path, item or row[0], keys))
            continue
        name = pupil.casefold()
        begun.setdefault(name, (pupil, version, Span(table.path, row[0].line, row[0].column)))
        known = answers.setdefault(name, {})
        if place in known:
            message = f"the pupil of this line has an answer to {keys.questions[place].column} above"
            found.append(wrong("same-pupil-twice", message, table.path, item, "keep the answer that counts"))
            continue
        known[place] = reader.answer(cells.get("answer"), place, version, cells.get("mark"))
    records = []
    for name, (pupil, version, span) in begun.items():
        order = orders.of_pupil(version, tuple(answers[name]))
        records.append(Record(pupil, span, given_of(answers[name]), order, version))
    return records, [*reader.finished(), *_missing_lines(table, answers)]


def _missing_lines(table: Table, answers: Mapping[str, Mapping[int, Answer]]) -> list[Diagnostic]:
    """That some have no line for a question, where others have one for each: who left it empty may have none."""
    every = set().union(*answers.values()) if answers else set()
    lacking = sum(len(known) < len(every) for known in answers.values())
    if not 0 < lacking < len(answers):
        return []
    message = (
        f"{counted(lacking, 'pupil')} {'have' if lacking > 1 else 'has'} no line for some of the {len(every)} "
        "questions: these are taken as not given, and count neither for nor against anybody"
    )
    hint = "where they were left empty, put in a line with nothing for the answer"
    return [wrong("missing-line", message, table.path, None, hint, Level.DOUBTFUL)]


class _Reader:
    """Reads cells, and keeps what is wrong with them."""

    def __init__(self, path: str, keys: Keys, orders: Orders, found: list[Diagnostic]) -> None:
        self.path, self.keys, self.orders, self.found = path, keys, orders, found
        self.has_typed = self.lacks_version = False
        self.left: list[Cell] = []
        """Typed answers that are not worked out."""
        self.lost: list[Cell] = []
        """Typed answers of which saving may have lost a sign."""

    def answer(self, cell: Cell | None, place: int, version: str, told: Cell | None = None) -> Answer:
        """The answer of a cell, with the marks of another where there are some."""
        question = self.keys.questions[place]
        mark = self._mark(told, place) if told is not None and told.text else None
        if cell is None or not cell.text:
            return BLANK if mark is None else answered(question, (), mark)
        if cell.text in DASHES:
            return OMITTED
        if mark is None and was_not_given(cell):
            return NOT_GIVEN
        if is_date(cell.text):
            message = f"`{cell.text[:20]}` is a date, and no answer to {question.column}"
            self.found.append(wrong("date-for-answer", message, self.path, cell, TYPE_AGAIN))
            return OMITTED
        letters = self._letters(cell, place, version)
        if letters is None:
            return OMITTED
        names = named_in(cell.text, question, letters)
        if not names:
            self.found.append(self._unknown_option(cell, question, letters))
        self.has_typed |= question.kind == "entry" and mark is None
        if mark is None and is_left_to_work_out(cell.text, question):
            self.left.append(cell)
        elif mark is None and names == (ANOTHER,) and question.kind == "entry" and _LOST.search(cell.text):
            self.lost.append(cell)
        return answered(question, names, mark if mark is not None else entry_mark(cell.text, question))

    def _unknown_option(self, cell: Cell, question: Question, letters: Letters) -> Diagnostic:
        printed = {name: letter for letter, name in letters.items()}
        named = [
            (printed.get(each.name, each.name), offered_shown(each)[:40]) for each in question.offered[:8]
        ]
        number = ""
        if question.kind in ("choice", "choices"):
            named.sort()
            if cell.text in map(str, range(1, len(named) + 1)):
                number = f"write the letter, {named[int(cell.text) - 1][0]} for {cell.text}; "
        offered = ", ".join(f"{name} ({text})" for name, text in named)
        message = f"`{cell.text[:60]}` is no option of {question.column}"
        hint = f"{number}its options: {offered}; nothing, or -, for none"
        return wrong("unknown-option", message, self.path, cell, hint)

    def mark(self, cell: Cell | None, place: int) -> Answer:
        """The marks of a cell."""
        if cell is None:
            return BLANK
        return mark_of(self.path, cell, self.keys.questions[place], self.found)

    def _mark(self, cell: Cell, place: int) -> Fraction | None:
        question = self.keys.questions[place]
        mark = marked(cell.text)
        if mark is None or mark > question.maximum:
            message = f"`{cell.text[:20]}` is no number of marks for {question.column}"
            self.found.append(wrong("not-a-mark", message, self.path, cell, f"0 to {question.maximum}"))
        return mark

    def _letters(self, cell: Cell, place: int, version: str) -> Letters | None:
        """The letters of options as printed for this pupil; None, and told, where nobody can know."""
        question = self.keys.questions[place]
        own = {offered.name: offered.name for offered in question.offered}
        if not letter_of(cell.text) or question.kind not in ("choice", "choices"):
            return own if question.kind != "choices" else self.orders.letters(version, place, own) or own
        printed = self.orders.letters(version, place, own)
        if printed is None and not version and not self.lacks_version:
            self.lacks_version = True
            versions = ", ".join(sorted(self.orders.versions))
            message = (
                f"the letter {letter_of(cell.text)} stands for another option in each version of the paper"
            )
            hint = f"add a column `version` with the version of each pupil: {versions}"
            self.found.append(wrong("no-version", message, self.path, cell, hint))
        return printed

    def finished(self) -> list[Diagnostic]:
        """What is doubtful. Raises InputError where anything is wrong."""
        if any(each.level is Level.WRONG for each in self.found):
            raise InputError(self.found)
        if self.left:
            also = f", and {len(self.left) - 1} more so" if len(self.left) > 1 else ""
            message = f"`{self.left[0].text[:20]}` is not worked out, or not as it was asked{also}: no marks are given"
            hint = (
                "correct what was mistyped; if marks are due, give them in a column `mark` or as a mark sheet"
            )
            self.found.append(wrong("not-worked-out", message, self.path, self.left[0], hint, Level.DOUBTFUL))
        if self.lost:
            also = f", and so in {len(self.lost) - 1} more" if len(self.lost) > 1 else ""
            message = (
                f"in `{self.lost[0].text[:20]}` a sign such as √ or − may have been lost when it was saved{also}: "
                "no marks are given"
            )
            hint = "save what the platform or the workbook holds as CSV UTF-8, or as .xlsx"
            self.found.append(wrong("lost-signs", message, self.path, self.lost[0], hint, Level.DOUBTFUL))
        if self.has_typed:
            message = "typed answers earn all their marks here, one less if not simplified, or none: nothing for a part"
            hint = "give the marks too, in a column `mark` or as a mark sheet; they count then"
            self.found.append(wrong("typed-answers", message, self.path, None, hint, Level.DOUBTFUL))
        return self.found
