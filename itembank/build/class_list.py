"""A class list: a CSV file or a workbook with one pupil on each line, for papers with names on them. Its names go
nowhere else.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from itembank.analysis.workbooks import is_workbook, read_workbook
from itembank.errors import Diagnostic, InputError, Level, Span
from itembank.whole_file import read_at_most
from itembank.writers.order import LETTERS

__all__ = ["Pupil", "read_class_list", "same_names"]

MOST_PUPILS = 2_000
LONGEST_NAME = 120
MOST_BYTES = 1 << 20
_SEPARATORS = ",;\t"
_SAID = re.compile(r'"?sep=([,;\t])"?\s*')
"""A first line by which some spreadsheets are told what parts the cells."""
_LINES_ABOVE = 12
"""Lines among which the one is looked for that names the columns."""
_Row = tuple[int, list[str]]
"""The number of a line, and its cells."""
_NAMES = (
    "name", "full name", "pupil", "student", "pupil name", "student name", "nombre completo", "alumno", "alumna",
    "estudiante", "schüler", "schülerin", "schüler/in",
)  # fmt: skip
_GIVEN_NAMES = ("first name", "given name", "forename", "nombre", "nombres", "vorname")
_FAMILY_NAMES = ("family name", "last name", "surname", "apellidos", "apellido", "nachname", "familienname")
_VERSIONS = ("version", "versión", "form", "forma")
_CLASSES_TOO = ("form", "forma")


@dataclass(frozen=True, slots=True)
class Pupil:
    """A pupil: the name as printed, and the letter of a version."""

    name: str
    version: str


def read_class_list(path: Path, versions: int) -> tuple[Pupil, ...]:
    """The pupils of a file in its order.

    The first line, or the first below titles, names the columns, parted by commas, semicolons or tabs: `name`, or
    `first name` and `family name`, and perhaps `version` or `form` (a letter); other columns are left alone, and a
    `form` without letters, which is a class. Where no letter stands, letters go round. Raises InputError with
    everything that is wrong, each at its line.
    """
    data = _bytes(path)
    rows = _of_workbook(path, data) if is_workbook(data) else _of_text(path, _text(path, data))
    begin = _begin(rows)
    if begin is None:
        raise _wrong(path, 1, "no column is called `name`", "begin the file with a line such as name,version")
    head = _head(rows[begin][1])
    rows = rows[begin + 1 :]
    if not is_workbook(data):
        _nothing_beyond(path, rows, head)
    return _pupils(path, rows, _name_columns(head), _letters(head, rows), versions)


def _begin(rows: list[_Row]) -> int | None:
    """Which row names the columns."""
    return next((at for at, (_, row) in enumerate(rows[:_LINES_ABOVE]) if _name_columns(_head(row))), None)


def _head(row: list[str]) -> list[str]:
    return [cell.strip().lower() for cell in row]


def _of_workbook(path: Path, data: bytes) -> list[_Row]:
    """The rows of the one sheet that names pupils. Raises InputError where there are several."""
    sheets = [
        (sheet.name, [(row[0].line, [cell.text for cell in row]) for row in sheet.rows])
        for sheet in read_workbook(str(path), data)
    ]
    telling = [(name, rows) for name, rows in sheets if _begin(rows) is not None]
    if len(telling) > 1:
        told = f"{len(telling)} sheets of the workbook name pupils: {', '.join(name[:40] for name, _ in telling[:5])}"
        raise _wrong(path, 1, told, "save the one that is meant as a file of its own")
    return telling[0][1] if telling else []


def _of_text(path: Path, text: str) -> list[_Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_separator(text), strict=True)
    rows: list[_Row] = []
    line = 1
    try:
        for row in reader:
            rows.append((line, row))
            line = reader.line_num + 1
    except csv.Error as wrong:
        told = f"the class list is no CSV: {wrong}"
        raise _wrong(path, line, told, "close every quotation mark") from None
    return rows


def _separator(text: str) -> str:
    """What parts the columns: what the file says itself, or what parts the line that names them; commas within names
    decide nothing."""
    above = text.splitlines()[:_LINES_ABOVE]
    said = _SAID.fullmatch(above[0]) if above else None
    if said:
        return said[1]

    def columns(separator: str) -> int:
        rows = ([cell.strip().strip('"') for cell in line.split(separator)] for line in above)
        return max((len(row) for row in rows if _name_columns(_head(row))), default=0)

    return max(_SEPARATORS, key=lambda each: (columns(each), "\n".join(above).count(each)))


def _nothing_beyond(path: Path, rows: list[_Row], head: list[str]) -> None:
    """A cell behind the last column that has a name may be half of a name: `Lovelace, Ada` without quotation marks."""
    told = [
        (line, beyond)
        for line, row in rows
        if (beyond := next(filter(str.strip, row[len(head) :]), "").strip())
    ]
    hint = (
        'put a name that has a comma in quotation marks, "Lovelace, Ada"; name every column in the first line'
    )
    wrong = [
        _wrong(path, line, f"`{beyond[:40]}` stands behind the last column that has a name", hint)
        for line, beyond in told
    ]
    if wrong:
        raise InputError(diagnostic for each in wrong for diagnostic in each.diagnostics)


def same_names(path: Path, pupils: tuple[Pupil, ...]) -> tuple[Diagnostic, ...]:
    """That pupils of one name cannot be told apart when their results come back; nothing where there are none."""
    names = [" ".join(pupil.name.split()).casefold() for pupil in pupils]
    several = sum(number > 1 for number in Counter(names).values())
    if not several:
        return ()
    stand = "1 name stands" if several == 1 else f"{several} names stand"
    message = f"{stand} in the list more than once: nobody can tell the results of these pupils apart"
    hint = "write something of their own behind the names, a class or a number"
    return (Diagnostic("same-name", message, Span(str(path), 1, 1), Level.DOUBTFUL, hint=hint),)


def _bytes(path: Path) -> bytes:
    try:
        data = read_at_most(path, MOST_BYTES + 1)
    except OSError as wrong:
        raise _wrong(path, 1, f"the class list cannot be read: {wrong.strerror}", "name a CSV file") from None
    if len(data) > MOST_BYTES:
        raise _wrong(
            path, 1, "the class list is larger than a megabyte", "leave out all columns but the names"
        )
    return data


def _text(path: Path, data: bytes) -> str:
    utf_16 = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        return data.decode("utf-16" if utf_16 else "utf-8-sig")
    except UnicodeDecodeError:
        raise _wrong(
            path, 1, "the class list is not in UTF-8", "save it as CSV in UTF-8, or as .xlsx"
        ) from None


def _name_columns(head: list[str]) -> list[int]:
    """The columns that make up a name, in the order in which it is printed; none where there is no such column."""
    whole = [head.index(name) for name in _NAMES if name in head]
    given, family = (
        [head.index(name) for name in names if name in head] for names in (_GIVEN_NAMES, _FAMILY_NAMES)
    )
    return whole[:1] or [*given[:1], *family[:1]]


def _letters(head: list[str], rows: list[tuple[int, list[str]]]) -> int | None:
    """The column that tells versions; one called `form` in which no letter stands is the class, as schools say."""
    for name in _VERSIONS:
        if name in head:
            column = head.index(name)
            told = [row[column].strip() for _, row in rows if column < len(row) and row[column].strip()]
            if name not in _CLASSES_TOO or any(len(cell) == 1 and cell.isalpha() for cell in told):
                return column
    return None


def _pupils(
    path: Path, rows: list[tuple[int, list[str]]], columns: list[int], letters: int | None, versions: int
) -> tuple[Pupil, ...]:
    wrong: list[Diagnostic] = []
    found: list[Pupil] = []
    known = LETTERS[:versions]
    for line, row in rows:
        if not any(cell.strip() for cell in row):
            continue
        name = " ".join(" ".join(row[column] for column in columns if column < len(row)).split())
        letter = row[letters].strip().upper() if letters is not None and letters < len(row) else ""
        if not name or len(name) > LONGEST_NAME:
            told = "the line has no name" if not name else f"a name is longer than {LONGEST_NAME} characters"
            wrong += _wrong(path, line, told, "one pupil on each line").diagnostics
        elif letter and letter not in known:
            told = f"there is no version or form `{letter[:20]}`"
            hint = f"there are: {', '.join(known)}; a column that tells the class is called class"
            wrong += _wrong(path, line, told, hint).diagnostics
        else:
            found.append(Pupil(name, letter or known[len(found) % versions]))
    if wrong:
        raise InputError(wrong)
    if not found or len(found) > MOST_PUPILS:
        raise _wrong(
            path, 1, f"a class list has 1 to {MOST_PUPILS} pupils, not {len(found)}", "one pupil on each line"
        )
    return tuple(found)


def _wrong(path: Path, line: int, message: str, hint: str) -> InputError:
    return InputError(Diagnostic("wrong-class-list", message, Span(str(path), line, 1), hint=hint))
