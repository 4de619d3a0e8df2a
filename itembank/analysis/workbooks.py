"""Workbooks of spreadsheet programs (.xlsx), read as the cells show what was typed or worked out.

openpyxl reads the package (ECMA-376, part 1, SpreadsheetML); here stands what the text of a cell is, and what is too
large to be read. Nothing is worked out and nothing in a workbook is run.
"""

from __future__ import annotations

import io
import re
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from numbers import Number
from typing import TYPE_CHECKING, Any, Final, NamedTuple
from xml.etree.ElementTree import ParseError

from lxml.etree import XMLSyntaxError

from itembank.analysis.tables import MOST_CELLS, Cell, wrong
from itembank.errors import InputError
from itembank.spreadsheets import as_text

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook

__all__ = ["Sheet", "is_workbook", "read_workbook"]

_BOOK: Final = "xl/workbook.xml"
_MOST_BYTES: Final = 64 << 20
"""Of one member of the zip, unpacked."""
_PER_CENT: Final = re.compile(r'(?:"[^"]*"|\\.|\[[^\]]*\]|[^%])*%')
"""A format with a sign for per cents that is none of its words."""
_DIGITS: Final = 15
"""Digits of a number that a spreadsheet keeps; what is worked out has more, as 0.30000000000000004."""
_UNREADABLE: Final = (
    zipfile.BadZipFile, zlib.error, ParseError, XMLSyntaxError, ArithmeticError, AttributeError, EOFError, LookupError,
    NotImplementedError, OSError, RuntimeError, TypeError, ValueError,
)  # fmt: skip
"""What the library ends in where the parts of a package do not fit each other."""


class Sheet(NamedTuple):
    """name: as its tab says; rows: of cells, whose places are the numbers of their row and column."""

    name: str
    rows: tuple[tuple[Cell, ...], ...]


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
        _refuse_unfit(path, data)
        with warnings.catch_warnings():
            warnings.simplefilter(
                "ignore"
            )  # of parts that it leaves out: styles, rules for what may be typed
            written, worked_out = _opened(data, results=False), _opened(data, results=True)
            return tuple(sheet for sheet in _sheets(path, written, worked_out) if sheet.rows)
    except _UNREADABLE as failed:
        message = f"the workbook cannot be read: {str(failed)[:80] or type(failed).__name__}"
        hint = "open it in the spreadsheet program, save the sheet as CSV (UTF-8), and name that file"
        raise InputError(wrong("damaged-workbook", message, path, None, hint)) from None


def _refuse_unfit(path: str, data: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        for info in archive.infolist():
            if info.file_size > _MOST_BYTES:
                message = f"a sheet of the workbook is larger than {_MOST_BYTES >> 20} megabytes"
                hint = "save the sheet that is meant as a file of its own"
                raise InputError(wrong("too-large", message, path, None, hint))
            with archive.open(info) as member:
                if b"<!DOCTYPE" in member.read(4096):
                    raise ValueError("it declares a document type")


def _opened(data: bytes, *, results: bool) -> Workbook:
    """results: whether a formula is what it came to when the file was saved."""
    from openpyxl import load_workbook  # not at the top: builds read no workbooks

    return load_workbook(io.BytesIO(data), read_only=True, data_only=results, keep_links=False)


def _sheets(path: str, written: Workbook, worked_out: Workbook) -> Iterator[Sheet]:
    for name in written.sheetnames:
        sheet, results = written[name], worked_out[name]
        if sheet not in written.worksheets or sheet.sheet_state != "visible":
            continue
        for each in (sheet, results):
            each.reset_dimensions()  # programs write sizes that are not so
        yield Sheet(name, tuple(_rows(path, sheet.iter_rows(), results.iter_rows())))


def _rows(path: str, written: Any, worked_out: Any) -> Iterator[tuple[Cell, ...]]:
    cells = 0
    for line, (row, results) in enumerate(zip(written, worked_out, strict=True), start=1):
        texts = [as_text(_shown(cell, result).strip()) for cell, result in zip(row, results, strict=True)]
        while texts and not texts[-1]:
            del texts[-1]
        cells += len(texts)
        if cells > MOST_CELLS:
            message = f"the workbook has more than {MOST_CELLS} cells"
            raise InputError(wrong("too-large", message, path, None, "give several files"))
        if texts:
            yield tuple(Cell(text, line, column) for column, text in enumerate(texts, start=1))


def _shown(cell: Any, result: Any) -> str:
    """The text of a cell, as its kind and style show it; a formula that nobody has worked out, as it stands."""
    match result.value:
        case None | "":
            return f"={str(getattr(cell.value, 'text', cell.value)).removeprefix('=')}" if cell.value else ""
        case bool(value):
            return str(value).upper()
        case Number() as number:  # a binary fraction is read by the shortest decimal that stands for it
            return _number(Decimal(str(number)), str(cell.number_format))
        case datetime() as moment:
            return f"{moment:%Y-%m-%d}"
        case date() as day:
            return f"{day:%Y-%m-%d}"
        case time() as hour:
            return f"{hour:%H:%M}"
        case timedelta() as length:
            minutes = round(length.total_seconds()) // 60
            return f"{minutes // 60:02}:{minutes % 60:02}"
        case value:
            return str(value)


def _number(number: Decimal, style: str) -> str:
    if not number.is_finite() or not -_DIGITS <= number.adjusted() <= _DIGITS:
        return str(number) if number else "0"
    return f"{_plain(100 * number)} %" if _PER_CENT.match(style) else _plain(number)


def _plain(number: Decimal) -> str:
    """Without what the binary fractions of spreadsheets leave at the end.

    >>> _plain(Decimal("0.30000000000000004")), _plain(Decimal("1.50")), _plain(Decimal("2E+1"))
    ('0.3', '1.5', '20')
    """
    text = f"{number:.{_DIGITS - 1 - max(number.adjusted(), 0)}f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text) or "0"
