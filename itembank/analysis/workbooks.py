"""Workbooks of spreadsheet programs (.xlsx), read as the cells show what was typed or worked out.

A package of XML in a zip (ECMA-376, part 1, SpreadsheetML): text, the results of formulas and numbers are read, dates
and per cents as such. Nothing is worked out and nothing in it is run. Names inside are looked up, never used as paths.
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal, InvalidOperation
from typing import Final, NamedTuple

from lxml import etree

from itembank.analysis.tables import MOST_CELLS, Cell, wrong
from itembank.errors import InputError
from itembank.spreadsheets import as_text

__all__ = ["Sheet", "is_workbook", "read_workbook"]

_BOOK: Final = "xl/workbook.xml"
_MOST_BYTES: Final = 64 << 20
"""Of one member of the zip, unpacked."""
_MOST_COLUMNS: Final = 16_384
_DATES: Final = frozenset((*range(14, 23), *range(27, 37), *range(45, 48), *range(50, 59)))
"""Numbers of formats that show a date or a time, without a code in the file (part 1, 18.8.30)."""
_PER_CENTS: Final = frozenset((9, 10))
_QUOTED: Final = re.compile(r'"[^"]*"|\\.|\[[^\]]*\]')
_DAY: Final = re.compile(r"[ymdhs]", re.IGNORECASE)
_PLACE: Final = re.compile(r"([A-Z]{1,3})([1-9][0-9]{0,6})")
_DIGITS: Final = 15
"""Digits of a number that a spreadsheet keeps; what is worked out has more, as 0.30000000000000004."""
_UNREADABLE: Final = (
    zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError, ValueError, KeyError,
    IndexError, StopIteration, etree.XMLSyntaxError,
)  # fmt: skip


class Sheet(NamedTuple):
    """name: as its tab says; rows: of cells, whose places are the numbers of their row and column."""

    name: str
    rows: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True, slots=True)
class _Book:
    """texts: those that cells share. formats: of each style whether it shows a date, or per cents. first: day 0."""

    texts: Sequence[str]
    dates: frozenset[int]
    per_cents: frozenset[int]
    first: datetime


def is_workbook(data: bytes) -> bool:
    """Whether a file is a zip with a workbook in it."""
    if data[:4] != b"PK\x03\x04":
        return False
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return _BOOK in archive.namelist()
    except _UNREADABLE:
        return False


def read_workbook(path: str, data: bytes) -> tuple[Sheet, ...]:
    """The sheets that are not hidden and hold anything, in their order. path: for messages.

    Raises InputError `damaged-workbook`, `too-large`.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return tuple(sheet for sheet in _sheets(path, archive) if sheet.rows)
    except _UNREADABLE as failed:
        message = f"the workbook cannot be read: {str(failed)[:80] or type(failed).__name__}"
        hint = "open it in the spreadsheet program, save the sheet as CSV (UTF-8), and name that file"
        raise InputError(wrong("damaged-workbook", message, path, None, hint)) from None


def _sheets(path: str, archive: zipfile.ZipFile) -> Iterator[Sheet]:
    root = _xml(path, archive, _BOOK)
    targets = {
        str(each.get("Id")): posixpath.normpath(posixpath.join("xl", str(each.get("Target"))))
        for each in _xml(path, archive, "xl/_rels/workbook.xml.rels").iterfind("{*}Relationship")
    }
    properties = root.find("{*}workbookPr")
    begins_in_1904 = properties is not None and properties.get("date1904") in ("1", "true")
    names = archive.namelist()
    dates, per_cents = _styles(path, archive) if "xl/styles.xml" in names else (frozenset(), frozenset())
    texts = list(_texts(path, archive)) if "xl/sharedStrings.xml" in names else []
    book = _Book(texts, dates, per_cents, datetime(1904, 1, 1) if begins_in_1904 else datetime(1899, 12, 30))
    for sheet in root.iterfind("{*}sheets/{*}sheet"):
        if sheet.get("state", "visible") != "visible":
            continue
        number = next(str(value) for key, value in sheet.attrib.items() if str(key).endswith("}id"))
        target = targets[number].removeprefix("/")
        if target in names:
            yield Sheet(str(sheet.get("name", "")), tuple(_rows(path, _xml(path, archive, target), book)))


def _xml(path: str, archive: zipfile.ZipFile, name: str) -> etree._Element:
    with archive.open(name) as member:
        data = member.read(_MOST_BYTES + 1)
    if len(data) > _MOST_BYTES:
        message = f"a sheet of the workbook is larger than {_MOST_BYTES >> 20} megabytes"
        raise InputError(
            wrong("too-large", message, path, None, "save the sheet that is meant as a file of its own")
        )
    if b"<!DOCTYPE" in data or b"<!ENTITY" in data:
        raise ValueError("it declares a document type")
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, dtd_validation=False, huge_tree=False,
        remove_comments=True, remove_pis=True,
    )  # fmt: skip
    return etree.fromstring(data, parser)


def _texts(path: str, archive: zipfile.ZipFile) -> Iterator[str]:
    for each in _xml(path, archive, "xl/sharedStrings.xml").iterfind("{*}si"):
        yield _text_of(each)


def _text_of(element: etree._Element) -> str:
    """What stands in runs of letters, without how it is read aloud."""
    return "".join(
        part.text or ""
        for part in element.iterfind(".//{*}t")
        if etree.QName(part.getparent()).localname != "rPh"
    )


def _styles(path: str, archive: zipfile.ZipFile) -> tuple[frozenset[int], frozenset[int]]:
    """The numbers of the styles that show dates, and of those that show per cents."""
    root = _xml(path, archive, "xl/styles.xml")
    codes = {
        int(each.get("numFmtId", "0")): _QUOTED.sub("", str(each.get("formatCode", "")))
        for each in root.iterfind("{*}numFmts/{*}numFmt")
    }
    dates, per_cents = set(), set()
    for style, each in enumerate(root.iterfind("{*}cellXfs/{*}xf")):
        number = int(each.get("numFmtId", "0"))
        code = codes.get(number, "")
        if "%" in code or number in _PER_CENTS:
            per_cents.add(style)
        elif _DAY.search(code.replace("General", "")) or (number in _DATES and not code):
            dates.add(style)
    return frozenset(dates), frozenset(per_cents)


def _rows(path: str, root: etree._Element, book: _Book) -> Iterator[tuple[Cell, ...]]:
    line = cells = 0
    for row in root.iterfind("{*}sheetData/{*}row"):
        line = int(row.get("r", line + 1))
        found: dict[int, str] = {}
        column = 0
        for cell in row.iterfind("{*}c"):
            place = _PLACE.fullmatch(cell.get("r", ""))
            column = _column(place[1]) if place else column + 1
            if column > _MOST_COLUMNS:
                raise ValueError("a column has no such place")
            if text := as_text(_shown(cell, book).strip()):
                found[column] = text
        cells += max(found, default=0)
        if cells > MOST_CELLS:
            message = f"the workbook has more than {MOST_CELLS} cells"
            raise InputError(wrong("too-large", message, path, None, "give several files"))
        if found:
            yield tuple(Cell(found.get(at, ""), line, at) for at in range(1, max(found) + 1))


def _column(letters: str) -> int:
    """
    >>> _column("A"), _column("Z"), _column("AA")
    (1, 26, 27)
    """
    number = 0
    for letter in letters:
        number = 26 * number + ord(letter) - ord("A") + 1
    return number


def _shown(cell: etree._Element, book: _Book) -> str:
    """The text of a cell, as its kind and style show it; a formula that nobody has worked out, as it stands."""
    value = cell.findtext("{*}v") or ""
    formula = cell.findtext("{*}f")
    if formula is not None and cell.find("{*}v") is None:
        return f"={formula}"
    match cell.get("t", "n"):
        case "s":
            return book.texts[int(value)] if value else ""
        case "inlineStr":
            inside = cell.find("{*}is")
            return _text_of(inside) if inside is not None else ""
        case "n" if value:
            return _number(value, int(cell.get("s", "0")), book)
        case "b":
            return {"1": "TRUE", "0": "FALSE"}.get(value, value)
        case _:
            return value


def _number(value: str, style: int, book: _Book) -> str:
    try:
        number = Decimal(value)
    except InvalidOperation:
        return value
    if not number.is_finite() or not -_DIGITS <= number.adjusted() <= _DIGITS:
        return value if number else "0"
    if style in book.dates:
        return _date(number, book.first)
    if style in book.per_cents:
        return f"{_plain(100 * number)} %"
    return _plain(number)


def _plain(number: Decimal) -> str:
    """Without what the binary fractions of spreadsheets leave at the end.

    >>> _plain(Decimal("0.30000000000000004")), _plain(Decimal("1.50")), _plain(Decimal("2E+1"))
    ('0.3', '1.5', '20')
    """
    text = f"{number:.{_DIGITS - 1 - max(number.adjusted(), 0)}f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text) or "0"


def _date(number: Decimal, first: datetime) -> str:
    """A day as ISO 8601 has it, which is told to be a date; a time alone as hours and minutes."""
    try:
        when = first + timedelta(days=int(number), seconds=round(number % 1 * 86_400))
    except OverflowError:
        return _plain(number)
    return f"{when:%H:%M}" if number < 1 else f"{when:%Y-%m-%d}"
