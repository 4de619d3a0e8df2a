"""Tables as spreadsheets save them, each cell with its place in the file.

Commas, semicolons or tabs; UTF-8 with or without a byte-order mark, or UTF-16; quotation marks as usual (RFC 4180).
"""

from __future__ import annotations

import codecs
import contextlib
import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

from itembank.errors import Diagnostic, InputError, Level, Span
from itembank.spreadsheets import as_text

__all__ = ["MOST_BYTES", "MOST_CELLS", "Cell", "Table", "as_table", "has_head", "read_table", "wrong"]

MOST_BYTES: Final = 32 << 20
MOST_CELLS: Final = 5_000_000
_SEPARATORS: Final = ",;\t"
_LINES_ABOVE: Final = 12
"""Lines with several cells among which the head is looked for."""
_OF_UTF_8: Final = re.compile(rb"[\xc2-\xdf][\x80-\xbf]|[\xe0-\xef][\x80-\xbf]{2}|[\xf0-\xf4][\x80-\xbf]{3}")
_HELD: Final = re.compile('="([^"]*)"')
"""A text that is kept from a spreadsheet's hands, as platforms write it."""


class Cell(NamedTuple):
    """The text of a cell without blanks around it, and where it begins; lines and columns count from 1."""

    text: str
    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Table:
    """A head and rows; rows without any text are left out, and titles above the head, which fill one cell.

    Rows may be shorter than the head, never longer. is_older: it was read in the encoding of older programs.
    """

    path: str
    head: tuple[Cell, ...]
    rows: tuple[tuple[Cell, ...], ...]
    is_older: bool = False


def wrong(
    code: str, message: str, path: str, cell: Cell | None, hint: str = "", level: Level = Level.WRONG
) -> Diagnostic:
    """What is wrong at a cell, or at the beginning of the file. No line of the file is quoted: names stand there."""
    line, column, width = (cell.line, cell.column, len(cell.text)) if cell else (1, 1, 1)
    return Diagnostic(code, message, Span(path, line, column, column + max(width, 1)), level, hint=hint)


def read_table(path: str, data: bytes, heads: Collection[str] = (), *, older: bool = False) -> Table:
    """The table of a file. path: for messages; heads: in small letters, what one cell of its head says.

    older: whether what is no UTF-8 may be Windows-1252, which spreadsheets still save; the caller says so to people.

    The head is the first line that says so, else the first with more than one cell: titles may stand above it, and
    headings of several columns too.

    Raises InputError: `too-large`, `not-utf-8`, `no-table`, `open-quotation`, `too-many-cells`.

    >>> table = read_table("marks.csv", b"pupil;AB\\n'-Jo;2\\n")
    >>> [cell.text for cell in table.rows[0]], table.rows[0][1].column
    (['-Jo', '2'], 6)
    """
    if len(data) > MOST_BYTES:
        message = f"the file is larger than {MOST_BYTES >> 20} megabytes"
        raise InputError(wrong("too-large", message, path, None, "leave out what is no result"))
    text, is_older = _text(path, data, older=older)
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    first = text.split("\n", 1)[0].strip()
    start_line = 1
    if first.lower().startswith("sep=") and len(first) == 5:  # as one spreadsheet writes it
        separator, text, start_line = first[4], text.split("\n", 1)[1] if "\n" in text else "", 2
    else:
        first = next((line for line in text.split("\n") if _separators(line)), "")
        separator = max(_SEPARATORS, key=_outside_quotes(first).count)
    return replace(as_table(path, _rows(path, text, separator, start_line), heads), is_older=is_older)


def as_table(path: str, lines: Iterable[tuple[Cell, ...]], heads: Collection[str] = ()) -> Table:
    """The table of lines of cells, as `read_table` takes them."""
    rows = [row for row in lines if any(cell.text for cell in row)]
    if not rows:
        raise InputError(
            wrong("no-table", "the file holds no table", path, None, "a line of column names first")
        )
    filled = [at for at, row in enumerate(rows) if _filled(row) > 1]
    named = (at for at in filled[:_LINES_ABOVE] if _says(rows[at], heads))
    begin = next(named, filled[0] if filled else 0)
    head = rows[begin]
    width = _width(head)
    if (
        begin + 1 < len(rows) and not rows[begin + 1][0].text
    ):  # headings over several columns, names below them
        width = max(width, min(_width(rows[begin + 1]), len(head)))
    head = head[:width]
    return Table(path, head, tuple(_as_wide(path, row, len(head)) for row in rows[begin + 1 :]))


def has_head(lines: Iterable[tuple[Cell, ...]], heads: Collection[str]) -> bool:
    """Whether one of the first lines with several cells says what a head says."""
    filled = [line for line in lines if _filled(line) > 1]
    return any(_says(line, heads) for line in filled[:_LINES_ABOVE])


def _says(row: tuple[Cell, ...], heads: Collection[str]) -> bool:
    return any(" ".join(cell.text.casefold().split()) in heads for cell in row)


def _separators(line: str) -> int:
    return max(map(_outside_quotes(line).count, _SEPARATORS))


def _width(row: tuple[Cell, ...]) -> int:
    """How many cells a row has, without empty ones at its end."""
    return max((at for at, cell in enumerate(row, 1) if cell.text), default=0)


def _filled(row: tuple[Cell, ...]) -> int:
    return sum(bool(cell.text) for cell in row)


def _text(path: str, data: bytes, *, older: bool) -> tuple[str, bool]:
    """The text, and whether it was read as Windows-1252: what has any letter as UTF-8 writes it is UTF-8, damaged."""
    utf_16 = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    if not utf_16 and b"\0" in data:
        cell = Cell("", 1, 1)
        raise InputError(wrong("not-utf-8", "the file is not in UTF-8", path, cell, "save it as `CSV UTF-8`"))
    try:
        return data.decode("utf-16" if utf_16 else "utf-8-sig"), False
    except UnicodeDecodeError as failed:
        if older and not utf_16 and not _OF_UTF_8.search(data):
            with contextlib.suppress(UnicodeDecodeError):
                return data.decode("cp1252"), True
        line = data[: failed.start].count(b"\n") + 1
        cell = Cell("", line, failed.start - data.rfind(b"\n", 0, failed.start))
        raise InputError(
            wrong("not-utf-8", "the file is not in UTF-8", path, cell, "save it as `CSV UTF-8`")
        ) from None


def _outside_quotes(line: str) -> str:
    return "".join(line.split('"')[::2])


def _as_wide(path: str, row: tuple[Cell, ...], width: int) -> tuple[Cell, ...]:
    extra = next((cell for cell in row[width:] if cell.text), None)
    if extra is not None:
        message = f"the line has {len(row)} cells and the head {width}"
        hint = "a text that holds the separator stands between quotation marks"
        raise InputError(wrong("too-many-cells", message, path, extra, hint))
    return row[:width]


def _rows(path: str, text: str, separator: str, line: int) -> Iterator[tuple[Cell, ...]]:
    """Every line of cells, by looking at one character after the other."""
    row: list[Cell] = []
    letters: list[str] = []
    column, begun, is_quoted, cells = 1, (line, 1), False, 0
    at, end = 0, len(text)
    while at < end:
        letter = text[at]
        if is_quoted:
            if letter == '"' and text[at + 1 : at + 2] == '"':
                letters.append('"')
                at, column = at + 1, column + 1
            elif letter == '"':
                is_quoted = False
            else:
                letters.append(letter)
        elif letter == '"' and not "".join(letters).strip():
            is_quoted, letters = True, []
        elif letter in (separator, "\n"):
            row.append(_cell(letters, begun))
            letters, cells = [], cells + 1
            begun = (line, column + 1)
            if cells > MOST_CELLS:
                message = f"the file has more than {MOST_CELLS} cells"
                raise InputError(wrong("too-large", message, path, None, "give several files"))
            if letter == "\n":
                yield tuple(row)
                row = []
                begun = (line + 1, 1)
        else:
            letters.append(letter)
        if letter == "\n":
            line, column = line + 1, 0
        at, column = at + 1, column + 1
    if is_quoted:
        cell = Cell("", *begun)
        message = "a quotation mark is opened and never closed"
        raise InputError(wrong("open-quotation", message, path, cell, "close it, or write it twice"))
    if letters or row:
        row.append(_cell(letters, begun))
        yield tuple(row)


def _cell(letters: list[str], begun: tuple[int, int]) -> Cell:
    text = "".join(letters).strip()
    held = _HELD.fullmatch(text)
    return Cell(held[1].strip() if held else as_text(text), *begun)
