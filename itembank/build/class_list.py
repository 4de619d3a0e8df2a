"""A class list: a CSV file with one pupil on each line, for papers with names on them. Its names go nowhere else."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from pathlib import Path

from itembank.errors import Diagnostic, InputError, Span
from itembank.writers.order import LETTERS

__all__ = ["Pupil", "read_class_list"]

MOST_PUPILS = 2_000
LONGEST_NAME = 120
_NAMES = ("name", "pupil", "student", "nombre", "alumno")
_VERSIONS = ("version", "versión")


@dataclass(frozen=True, slots=True)
class Pupil:
    """A pupil: the name as printed, and the letter of a version."""

    name: str
    version: str


def read_class_list(path: Path, versions: int) -> tuple[Pupil, ...]:
    """The pupils of a file in its order.

    The first line names the columns: `name`, and perhaps `version` (a letter); other columns are left alone. Where
    no version stands, the letters go round. Raises InputError with everything that is wrong, each at its line.
    """
    try:
        with path.open("rb") as file:
            text = file.read(1 << 20).decode("utf-8-sig")
    except OSError as wrong:
        raise _wrong(path, 1, f"the class list cannot be read: {wrong.strerror}", "name a CSV file") from None
    except UnicodeDecodeError:
        raise _wrong(path, 1, "the class list is not in UTF-8", "save it as CSV in UTF-8") from None
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    except csv.Error as wrong:
        raise _wrong(path, 1, f"the class list is no CSV: {wrong}", "close every quotation mark") from None
    head = [cell.strip().lower() for cell in rows[0]] if rows else []
    column = next((head.index(name) for name in _NAMES if name in head), None)
    if column is None:
        raise _wrong(path, 1, "no column is called `name`", "begin the file with a line such as name,version")
    letters = next((head.index(name) for name in _VERSIONS if name in head), None)
    return _pupils(path, rows[1:], column, letters, versions)


def _pupils(
    path: Path, rows: list[list[str]], column: int, letters: int | None, versions: int
) -> tuple[Pupil, ...]:
    wrong: list[Diagnostic] = []
    found: list[Pupil] = []
    known = LETTERS[:versions]
    for line, row in enumerate(rows, 2):
        if not any(cell.strip() for cell in row):
            continue
        name = " ".join(row[column].split()) if column < len(row) else ""
        letter = row[letters].strip().upper() if letters is not None and letters < len(row) else ""
        if not name or len(name) > LONGEST_NAME:
            told = "the line has no name" if not name else f"a name is longer than {LONGEST_NAME} characters"
            wrong += _wrong(path, line, told, "one pupil on each line").diagnostics
        elif letter and letter not in known:
            told = f"there is no version `{letter[:20]}`"
            wrong += _wrong(path, line, told, f"versions: {', '.join(known)}").diagnostics
        else:
            found.append(Pupil(name, letter or known[len(found) % versions]))
    if wrong:
        raise InputError(wrong)
    if not found or len(found) > MOST_PUPILS:
        raise _wrong(path, 1, f"a class list has 1 to {MOST_PUPILS} pupils, not {len(found)}", "")
    return tuple(found)


def _wrong(path: Path, line: int, message: str, hint: str) -> InputError:
    return InputError(Diagnostic("wrong-class-list", message, Span(str(path), line, 1), hint=hint))
