"""Judges' ratings from tables: the form with a column for each judge, a line for each judge, or one for each rating."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from enum import Enum
from fractions import Fraction
from typing import Final, NamedTuple

from itembank.analysis.columns import question_named, question_numbered, unknown_item
from itembank.analysis.dates import TYPE_AGAIN, is_date
from itembank.analysis.exact import marks_told
from itembank.analysis.keys import Keys, Question
from itembank.analysis.line_names import names_maxima, names_summary
from itembank.analysis.mark_sheet import DASHES, marked
from itembank.analysis.response_files import some_of
from itembank.analysis.tables import Cell, Table, wrong
from itembank.errors import Diagnostic, InputError, Level
from itembank.standard_setting.angoff import Panel

__all__ = ["HEAD", "ITEMS", "JUDGES", "MOST_ROUNDS", "Scale", "column_name", "read_ratings"]

HEAD: Final = ("item", "on paper", "title", "marks")
"""The head of the form before its judges."""
ITEMS: Final = frozenset(("item", "item code", "code"))
_NUMBERS: Final = frozenset(("on paper", "question", "question number", "number", "no", "no."))
_MAXIMA: Final = frozenset(("marks", "maximum", "max", "maximum marks", "out of"))
_TITLES: Final = frozenset(("title", "template", "topic"))
JUDGES: Final = frozenset(("judge", "rater", "panellist", "panelist"))
_ROUNDS: Final = frozenset(("round",))
_RATINGS: Final = frozenset(("rating", "ratings"))
MOST_ROUNDS: Final = 9
_WITH_ROUND: Final = re.compile(r"(.*?)[\s,;:(\[-]*round\s*([1-9])[\s)\]]*", re.IGNORECASE)
_FRACTION: Final = re.compile(r"[0-9]{1,4}/[1-9][0-9]{0,3}")
_SHORT: Final = 40
_FEW: Final = 3
"""Questions of several marks from which on ratings of at most 1 look like shares (house rule)."""


class Scale(Enum):
    """What a plain number in a table of ratings is."""

    MARKS = "marks"
    SHARE = "share"
    PERCENT = "percent"


def column_name(judge: str, number: int) -> str:
    """The head of a judge's column in a round.

    >>> column_name("Ada", 1), column_name("Ada", 2)
    ('Ada', 'Ada, round 2')
    """
    return judge if number == 1 else f"{judge}, round {number}"


class _Entry(NamedTuple):
    """A cell that may hold a rating: of which judge, in which round, of which question (its place)."""

    judge: str
    number: int
    place: int
    cell: Cell


@dataclass(slots=True)
class _Reading:
    """What is put together from all files. judges: folded name -> name; known: where each rating stands.

    plain: judges who wrote a number without %.
    """

    keys: Keys
    scale: Scale
    judges: dict[str, str] = field(default_factory=dict)
    ratings: dict[tuple[str, int, int], Fraction] = field(default_factory=dict)
    known: dict[tuple[str, int, int], tuple[str, Cell]] = field(default_factory=dict)
    plain: set[str] = field(default_factory=set)
    found: list[Diagnostic] = field(default_factory=list)


def read_ratings(
    tables: Sequence[Table], keys: Keys, questions: Sequence[Question], scale: Scale = Scale.MARKS
) -> tuple[Panel, list[Diagnostic]]:
    """The ratings of all judges, and what is doubtful.

    questions: those of the build, as the panel is to have them. A number is on the scale, one with % a share of the
    question's marks; an empty cell or - is no rating. The head of a judge's column may end with `round 2`.
    Raises InputError with all that is wrong: `no-item-column`, `unknown-item`, `same-column-twice`, `wrong-maximum`,
    `not-a-rating`, `more-than-maximum`, `not-a-round`, `no-judge`, `rated-twice`, `no-ratings`, `item-not-rated`.
    """
    reading = _Reading(keys, scale)
    for table in tables:
        for entry in _entries(table, reading):
            _take(table.path, entry, reading)
    found = reading.found
    if any(each.level is Level.WRONG for each in found):
        raise InputError(some_of(found))
    if not reading.ratings:
        hint = "a column for each judge, or each round of a judge, holds what is expected of a pupil at the border"
        raise InputError([*found, wrong("no-ratings", "no cell holds a rating", tables[0].path, None, hint)])
    panel = _panel(reading, questions)
    _look_at(panel, tables[0].path, found, reading.plain, scale)
    if any(each.level is Level.WRONG for each in found):
        raise InputError(found)
    return panel, found


def _folded(text: str) -> str:
    return " ".join(text.casefold().split())


def _entries(table: Table, reading: _Reading) -> Iterator[_Entry]:
    heads = [_folded(cell.text) for cell in table.head]
    judge = _first(heads, JUDGES)
    item = _first(heads, ITEMS)
    item = _first(heads, _NUMBERS) if item is None else item
    if judge is not None and item is not None:
        yield from _by_ratings(table, reading, heads, judge, item)
    elif judge is not None:
        yield from _by_judges(table, reading, heads, judge)
    elif item is not None:
        yield from _by_items(table, reading, heads, item)
    else:
        message = "no column tells which item is rated"
        hint = "call the column with the codes of items `item`, as in the form that --form writes"
        reading.found.append(wrong("no-item-column", message, table.path, table.head[0], hint))


def _first(heads: Sequence[str], names: frozenset[str]) -> int | None:
    return next((column for column, head in enumerate(heads) if head in names), None)


def _by_items(table: Table, reading: _Reading, heads: Sequence[str], item: int) -> Iterator[_Entry]:
    """A line for each question, a column for each judge and round."""
    lines = []
    taken: dict[int, Cell] = {}
    most = _first(heads, _MAXIMA)
    for row in table.rows:
        place = _question(table.path, row[item] if item < len(row) else row[0], reading)
        if place is None:
            continue
        if place in taken:
            message = f"{row[item].text[:_SHORT]} stands in line {taken[place].line} too"
            reading.found.append(
                wrong("rated-twice", message, table.path, row[item], "leave one of the two lines out")
            )
            continue
        taken[place] = row[item]
        if most is not None and most < len(row):
            _compare_maximum(table.path, row[most], reading.keys.questions[place], reading.found)
        lines.append((place, row))
    known = ITEMS | _NUMBERS | _MAXIMA | _TITLES
    for column, cell in enumerate(table.head):
        if not cell.text or heads[column] in known or names_summary(heads[column]):
            continue
        cells = [(place, row[column]) for place, row in lines if column < len(row)]
        cells = [(place, each) for place, each in cells if each.text and each.text not in DASHES]
        if cells and not any(_number(each.text) for _, each in cells):
            message = f"the column `{cell.text[:_SHORT]}` holds no number and is left alone"
            hint = "if it is a judge's, write marks, or shares such as 60 %"
            reading.found.append(wrong("no-judge", message, table.path, cell, hint, Level.DOUBTFUL))
            continue
        with_round = _WITH_ROUND.fullmatch(cell.text)
        name, number = (with_round[1], int(with_round[2])) if with_round else (cell.text, 1)
        for place, each in cells:
            yield _Entry(name or "judge", number, place, each)


def _by_judges(table: Table, reading: _Reading, heads: Sequence[str], judge: int) -> Iterator[_Entry]:
    """A line for each judge and round, a column for each question."""
    at_round = _first(heads, _ROUNDS)
    columns: dict[int, int] = {}
    taken: dict[int, Cell] = {}
    for column, cell in enumerate(table.head):
        if not cell.text or column in (judge, at_round) or names_summary(heads[column]):
            continue
        place = _question(table.path, cell, reading)
        if place in taken:
            message = f"the column {cell.text[:_SHORT]} stands here twice"
            reading.found.append(
                wrong("same-column-twice", message, table.path, cell, "leave one of them out")
            )
        elif place is not None:
            columns[column], taken[place] = place, cell
    for row in table.rows:
        if names_maxima(row[0].text):
            for column, place in columns.items():
                if column < len(row):
                    _compare_maximum(table.path, row[column], reading.keys.questions[place], reading.found)
            continue
        if names_summary(row[0].text):
            continue
        named = _judge_and_round(table.path, row, judge, at_round, reading)
        for column, place in columns.items():
            if named and column < len(row) and row[column].text:
                yield _Entry(*named, place, row[column])


def _by_ratings(
    table: Table, reading: _Reading, heads: Sequence[str], judge: int, item: int
) -> Iterator[_Entry]:
    """A line for each rating."""
    rating = _first(heads, _RATINGS)
    if rating is None:
        message = "no column is called `rating`"
        hint = "a table with the columns judge and item has a third one, rating (and round, where there are several)"
        reading.found.append(wrong("no-item-column", message, table.path, table.head[0], hint))
        return
    at_round = _first(heads, _ROUNDS)
    for row in table.rows:
        named = _judge_and_round(table.path, row, judge, at_round, reading)
        place = _question(table.path, row[item] if item < len(row) else row[0], reading)
        if named and place is not None and rating < len(row) and row[rating].text:
            yield _Entry(*named, place, row[rating])


def _judge_and_round(
    path: str, row: tuple[Cell, ...], judge: int, at_round: int | None, reading: _Reading
) -> tuple[str, int] | None:
    name = " ".join(row[judge].text.split()) if judge < len(row) else ""
    if not name:
        hint = "any name or letter will do"
        reading.found.append(wrong("no-judge", "the line names no judge", path, row[0], hint))
        return None
    told = row[at_round] if at_round is not None and at_round < len(row) else None
    if told is None or not told.text:
        return name, 1
    number = re.fullmatch(r"(?:round\s*)?([1-9])", told.text, re.IGNORECASE)
    if number is None:
        message = f"`{told.text[:_SHORT]}` is no round"
        reading.found.append(wrong("not-a-round", message, path, told, f"1 to {MOST_ROUNDS}"))
        return None
    return name, int(number[1])


def _question(path: str, cell: Cell, reading: _Reading) -> int | None:
    """The place of the question that a cell names; None for a line of sums, or with a fault told."""
    if not cell.text or names_maxima(cell.text) or names_summary(cell.text):
        return None
    place = question_named(cell.text, reading.keys)
    place = question_numbered(cell.text, reading.keys) if place is None else place
    if place is None:
        reading.found.append(unknown_item(path, cell, reading.keys))
    return place


def _compare_maximum(path: str, cell: Cell, question: Question, found: list[Diagnostic]) -> None:
    if cell.text and marked(cell.text) != question.maximum:
        message = (
            f"the maximum of {question.column} is {question.maximum} in the build, here {cell.text[:20]}"
        )
        hint = "give the folder of the build that this form came with"
        found.append(wrong("wrong-maximum", message, path, cell, hint))


class _Number(NamedTuple):
    value: Fraction
    is_percent: bool


def _number(text: str) -> _Number | None:
    """
    >>> _number("62,5 %"), _number(".6").value, _number("3/4").value, _number("3/0")
    (_Number(value=Fraction(125, 2), is_percent=True), Fraction(3, 5), Fraction(3, 4), None)
    """
    is_percent = text.endswith("%")
    plain = text.removesuffix("%").rstrip()
    value = marked("0" + plain if plain.startswith((".", ",")) else plain)
    if value is None and _FRACTION.fullmatch(plain):
        value = Fraction(plain)
    return None if value is None else _Number(value, is_percent)


def _take(path: str, entry: _Entry, reading: _Reading) -> None:
    cell, question = entry.cell, reading.keys.questions[entry.place]
    if cell.text in DASHES:
        return
    number = _number(cell.text)
    if number is None:
        message = f"`{cell.text[:20]}` is no rating"
        hint = (
            f"the marks that a pupil at the border is expected to earn, 0 to {question.maximum}, or a share of them "
            "such as 60 %; nothing for no rating"
        )
        hint = TYPE_AGAIN if is_date(cell.text) else hint
        reading.found.append(wrong("not-a-rating", message, path, cell, hint))
        return
    scale = Scale.PERCENT if number.is_percent else reading.scale
    marks = {
        Scale.MARKS: number.value,
        Scale.SHARE: number.value * question.maximum,
        Scale.PERCENT: number.value * question.maximum / 100,
    }[scale]
    if marks > question.maximum:
        reading.found.append(_too_much(path, cell, question, scale))
        return
    judge = " ".join(entry.judge.split())
    place = (judge.casefold(), entry.number, entry.place)
    if place in reading.known:
        where, first = reading.known[place]
        message = (
            f"{judge[:_SHORT]} rates {question.column} here and in {where}:{first.line}:{first.column}, "
            f"both in round {entry.number}"
        )
        hint = "give each judge a column with a name of its own; a second round has `round 2` behind the name"
        reading.found.append(wrong("rated-twice", message, path, cell, hint))
        return
    reading.known[place] = (path, cell)
    reading.judges.setdefault(judge.casefold(), judge)
    reading.ratings[place] = marks
    if not number.is_percent:
        reading.plain.add(reading.judges[judge.casefold()])


def _too_much(path: str, cell: Cell, question: Question, scale: Scale) -> Diagnostic:
    if scale is Scale.PERCENT:
        return wrong(
            "more-than-maximum", f"{cell.text} is more than the whole", path, cell, "0 to 100 per cent"
        )
    if scale is Scale.SHARE:
        hint = "a share is 0 to 1; with --scale percent it is 0 to 100, with --scale marks it is marks"
        return wrong("more-than-maximum", f"{cell.text} is more than the whole", path, cell, hint)
    message = f"{cell.text} marks stand here, and {question.column} has at most {question.maximum}"
    hint = (
        f"0 to {question.maximum}; if all numbers are per cent, add --scale percent, if shares, --scale share"
    )
    return wrong("more-than-maximum", message, path, cell, hint)


def _panel(reading: _Reading, questions: Sequence[Question]) -> Panel:
    places = reading.keys.by_column()
    last = max(number for _, number, _ in reading.ratings)
    rounds = tuple(
        tuple(
            tuple(reading.ratings.get((judge, number, places[question.column])) for question in questions)
            for judge in reading.judges
        )
        for number in range(1, last + 1)
    )
    return Panel(tuple(questions), tuple(reading.judges.values()), rounds)


def _look_at(panel: Panel, path: str, found: list[Diagnostic], plain: set[str], scale: Scale) -> None:
    """plain: judges who wrote numbers without %, which are on the scale."""
    last = panel.carried()[-1]
    columns = list(zip(panel.questions, zip(*last, strict=True), strict=True))
    nobody = [question.column for question, column in columns if all(rating is None for rating in column)]
    if nobody:
        message = f"nobody rated {len(nobody)} of {len(columns)} questions: {_some(nobody)}"
        hint = "a pass mark is of the whole test: have every question rated by somebody"
        found.append(wrong("item-not-rated", message, path, None, hint))
        return
    for judge, row in zip(panel.judges, last, strict=True):
        lacking = [q.column for q, rating in zip(panel.questions, row, strict=True) if rating is None]
        if lacking:
            message = f"{judge[:_SHORT]} rated all but {len(lacking)} questions: {_some(lacking)}"
            hint = "their means are of the others' ratings; this judge has no pass mark of its own"
            found.append(wrong("rating-missing", message, path, None, hint, Level.DOUBTFUL))
        if judge in plain:
            found += _may_be_shares(panel, path, judge, row, scale)


def _may_be_shares(
    panel: Panel, path: str, judge: str, row: Sequence[Fraction | None], scale: Scale
) -> Iterator[Diagnostic]:
    rated = [
        (q, rating)
        for q, rating in zip(panel.questions, row, strict=True)
        if rating is not None and rating > 0
    ]
    several = [rating for q, rating in rated if q.maximum > 1]
    told = ""
    if scale is Scale.MARKS and len(several) >= _FEW and max(several) <= 1:
        most = marks_told(max(several))
        told = f"expects more than 1 mark of no question of several, {most} at most: taken for marks"
    elif scale is Scale.PERCENT and rated and all(100 * rating <= q.maximum for q, rating in rated):
        told = "expects more than 1 per cent of no question: taken for per cent"
    if told:
        hint = "if these are shares of the marks, 0 to 1, say --scale share"
        yield wrong("may-be-shares", f"{judge[:_SHORT]} {told}", path, None, hint, Level.DOUBTFUL)


def _some(names: Sequence[str]) -> str:
    return ", ".join(names[:5]) + (" ..." if len(names) > 5 else "")
