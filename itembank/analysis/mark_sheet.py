"""The mark sheet of a build, filled in: a line for each pupil, a column for each question, under them the maximum."""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from typing import Final

from itembank.analysis.columns import (
    is_summary,
    label_of,
    pupil_of,
    questions_of,
    special_columns,
    version_unknown,
)
from itembank.analysis.dates import TYPE_AGAIN, is_date
from itembank.analysis.exact import marks_told
from itembank.analysis.keys import Keys, Question
from itembank.analysis.line_names import names_maxima
from itembank.analysis.orders import NUMBERED, Orders
from itembank.analysis.responses import BLANK, NOT_GIVEN, OMITTED, Answer, Record, State, given_of
from itembank.analysis.tables import Cell, Table, wrong
from itembank.errors import Diagnostic, InputError, Level, Span

__all__ = [
    "DASHES", "compare_maximum", "compare_total", "is_meant_as_mark", "mark_of", "marked", "read_mark_sheet",
    "was_absent", "was_not_given",
]  # fmt: skip

TICKS: Final = tuple("✓✔√☑✅xX✗✘✕×☒")
DASHES: Final = ("-", "–", "—", "−")
_ABSENT: Final = frozenset(
    (
        "a",
        "ab",
        "abs",
        "absent",
        "away",
        "ill",
        "sick",
        "n/a",
        "na",
        "ausente",
        "aus",
        "falta",
        "krank",
        "fehlt",
        "abwesend",
        "entschuldigt",
    )
)
_LETTERS: Final = frozenset(("a", "ab"))
_NOT_GIVEN: Final = frozenset(("n/a", "n.a", "n. a", "na"))
_LIKE_FIGURES: Final = {"O": "0", "o": "0", "l": "1", "I": "1"}
_WHOLE: Final = re.compile(r"[0-9]{1,4}")
_PARTS: Final = {"¼": Fraction(1, 4), "½": Fraction(1, 2), "¾": Fraction(3, 4)}
_MARK: Final = re.compile(r"(?=[.,]?[0-9])([0-9]{0,4})(?:[.,]([0-9]{1,6}))?")
_OUT_OF: Final = re.compile(r"([0-9]{1,4}(?:[.,][0-9]{1,6})?)\s*/\s*[0-9]{1,4}")
_PER_CENT: Final = re.compile(r"[0-9]{1,3}(?:[.,][0-9]{1,6})?\s*%")


@lru_cache(maxsize=4096)
def marked(text: str) -> Fraction | None:
    """The number of a cell, with a point or a comma, or with a half or quarters as one sign; None for no number.

    >>> marked("1,5"), marked("2."), marked("3"), marked("½"), marked("2¼"), marked(".5")
    (Fraction(3, 2), None, Fraction(3, 1), Fraction(1, 2), Fraction(9, 4), Fraction(1, 2))
    """
    part = _PARTS.get(text[-1:])
    if part is not None:
        whole = text[:-1].rstrip()
        return part + int(whole) if _WHOLE.fullmatch(whole) else part if not whole else None
    found = _MARK.fullmatch(text)
    return Fraction(f"{found[1] or 0}.{found[2] or 0}") if found else None


def is_meant_as_mark(text: str) -> bool:
    """Whether a text is no mark but stands where marks do: a tick or a cross, per cent, so many of so many.

    >>> [is_meant_as_mark(text) for text in ("✓", "50 %", "1/2", "2", "x = 1/2")]
    [True, True, True, False, False]
    """
    return text in TICKS or _OUT_OF.fullmatch(text) is not None or _PER_CENT.fullmatch(text) is not None


def read_mark_sheet(table: Table, keys: Keys, orders: Orders) -> tuple[list[Record], list[Diagnostic]]:
    """A record for each pupil, and what is doubtful.

    An empty cell is omitted, or not reached where nothing follows in the order of the paper; `-` is omitted; `n/a` says
    that a pupil did not have the question. Who was absent has an empty line, or words in it that say so.
    Raises InputError with all that is wrong: `no-pupil-column`, `unknown-item`, `same-column-twice`, `wrong-maximum`,
    `no-pupil`, `same-pupil-twice`, `not-a-mark`, `more-than-maximum`.
    """
    found: list[Diagnostic] = []
    special = special_columns(table, found)
    columns = questions_of(table, keys, special, found)
    order = tuple(columns[column] for column in sorted(columns))
    records: list[Record] = []
    seen: dict[str, Cell] = {}
    for row in table.rows:
        label = label_of(row, special)
        if names_maxima(label):
            compare_maximum(table.path, row, columns, keys, found)
            continue
        if NUMBERED.fullmatch(label) or is_summary(table.path, row, special, found):
            continue
        pupil, version = pupil_of(table.path, row, special, seen, found, orders.versions)
        so_far = len(found)
        cells = {place: row[column] for column, place in columns.items() if column < len(row)}
        answers: dict[int, Answer] = {}
        if not was_absent(cells.values()):
            answers = {
                place: mark_of(table.path, cell, keys.questions[place], found)
                for place, cell in cells.items()
            }
        answers |= {place: BLANK for place in columns.values() if place not in answers}
        if len(found) == so_far:
            compare_total(table.path, row, special, answers, found)
        place = Span(table.path, row[0].line, row[0].column)
        records.append(Record(pupil, place, given_of(answers), orders.of_pupil(version, order), version))
    if any(record.order is None and not record.version for record in records):
        found.append(version_unknown(table))
    if any(each.level is Level.WRONG for each in found):
        raise InputError(found)
    return records, found


def was_absent(cells: Iterable[Cell], *, are_marks: bool = True) -> bool:
    """Whether a line has nothing but words that say so: a pupil without a mark, as one whose line is empty.

    are_marks: else `a` and `ab` are letters of options.
    """
    words = {cell.text.casefold().rstrip(".") for cell in cells if cell.text}
    return bool(words) and words <= (_ABSENT if are_marks else _ABSENT - _LETTERS)


def was_not_given(cell: Cell) -> bool:
    """Whether a cell says that the pupil did not have the question, beside others that the pupil had."""
    return cell.text.casefold().rstrip(".") in _NOT_GIVEN


def mark_of(path: str, cell: Cell, question: Question, found: list[Diagnostic]) -> Answer:
    """The marks of a cell; what is wrong with it goes to `found`."""
    if not cell.text:
        return BLANK
    if cell.text in DASHES:
        return OMITTED
    if was_not_given(cell):
        return NOT_GIVEN
    mark = marked(cell.text)
    if mark is None:
        message = f"`{cell.text[:20]}` is no number of marks"
        hint = (
            f"0 to {question.maximum}; nothing, or -, for what was left out, n/a for what was not given; "
            "who was absent has an empty line, or `abs` and nothing else"
        )
        if figure := _LIKE_FIGURES.get(cell.text):
            hint = f"this is a letter: write the figure {figure}"
        if is_date(cell.text):
            hint = TYPE_AGAIN
        if out_of := _OUT_OF.fullmatch(cell.text):
            hint = f"write the marks alone: {out_of[1]}"
        if _PER_CENT.fullmatch(cell.text):
            hint = f"write marks, 0 to {question.maximum}, and no per cent"
        if cell.text in TICKS:
            hint = f"write {question.maximum} where all is right and 0 where nothing is, instead of ticks and crosses"
        found.append(wrong("not-a-mark", message, path, cell, hint))
    elif mark > question.maximum:
        message = f"{cell.text} marks stand here, and {question.column} has at most {question.maximum}"
        found.append(wrong("more-than-maximum", message, path, cell, f"0 to {question.maximum}"))
    return Answer(State.ANSWERED, mark)


def compare_maximum(
    path: str, row: tuple[Cell, ...], columns: dict[int, int], keys: Keys, found: list[Diagnostic]
) -> None:
    """Another maximum means another test than the build's."""
    for column, place in columns.items():
        question = keys.questions[place]
        cell = row[column] if column < len(row) else None
        if cell is not None and cell.text and marked(cell.text) != question.maximum:
            message = (
                f"the maximum of {question.column} is {question.maximum} in the build, here {cell.text[:20]}"
            )
            hint = "give the folder of the build that this sheet came with"
            found.append(wrong("wrong-maximum", message, path, cell, hint))


def compare_total(
    path: str,
    row: tuple[Cell, ...],
    special: dict[str, int],
    answers: dict[int, Answer],
    found: list[Diagnostic],
) -> None:
    """That marks add up to another total than the line says is doubtful."""
    column = special.get("total")
    cell = row[column] if column is not None and column < len(row) else None
    total = marked(cell.text) if cell else None
    added = sum((answer.mark for answer in answers.values() if answer.mark is not None), Fraction(0))
    if cell is not None and total is not None and total != added:
        message = f"the total here is {cell.text}, the marks add up to {marks_told(added)}"
        hint = "the marks are used, not the total; look at both"
        found.append(wrong("total-differs", message, path, cell, hint, Level.DOUBTFUL))
