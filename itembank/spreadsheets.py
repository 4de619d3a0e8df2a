"""Tables for spreadsheets: CSV in which no cell is taken for a formula, and cells read back as they were.

A spreadsheet works out what begins with one of a few signs, and a name or an answer may begin so. An apostrophe before
it makes it a text, as typing one does (OWASP, "CSV injection"; from memory). Plain numbers stay numbers.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from typing import Final

__all__ = ["as_cell", "as_csv", "as_text"]

_FORMULA: Final = re.compile(r"'*[=+\-@\t\r]")
_MARKED: Final = re.compile(r"'+[=+\-@\t\r]")
_LINE_END: Final = re.compile(r"\r\n?")  # the library quotes what holds its own line end only
_NUMBER: Final = re.compile(r"-?[0-9]+(?:\.[0-9]+)?")


def as_cell(text: str) -> str:
    """What is written for a text.

    >>> [as_cell(text) for text in ("=1+1", "-3", "-x", "'-x", "Jo")]
    ["'=1+1", '-3', "'-x", "''-x", 'Jo']
    """
    return "'" + text if _FORMULA.match(text) and not _NUMBER.fullmatch(text) else text


def as_text(cell: str) -> str:
    """The text that a cell stands for; what `as_cell` gives comes back as it was.

    >>> [as_text(cell) for cell in ("'=1+1", "-3", "''-x", "'Jo")]
    ['=1+1', '-3', "'-x", "'Jo"]
    """
    return cell[1:] if _MARKED.match(cell) else cell


def as_csv(rows: Iterable[Iterable[object]]) -> str:
    """Lines of cells, parted by commas and ended by line feeds, as are the lines within a cell."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerows([as_cell(_LINE_END.sub("\n", str(cell))) for cell in row] for row in rows)
    return out.getvalue()
