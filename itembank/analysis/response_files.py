"""Opening what is analysed: a build's staff files, and files of results, each recognised by its looks."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from itembank.analysis.keys import Keys, read_keys
from itembank.analysis.mark_sheet import read_mark_sheet
from itembank.analysis.orders import Orders, read_orders
from itembank.analysis.responses import Record, Results, combine
from itembank.analysis.tables import MOST_BYTES, read_table
from itembank.errors import Diagnostic, InputError, Span

__all__ = ["read_build", "read_results"]

_MOST_OF_A_BUILD: Final = 1 << 30


def read_build(folder: Path) -> tuple[Keys, Orders]:
    """The keys of a build's folder and in which order its papers were printed.

    Raises InputError `no-staff-files` where there are none.
    """
    items = folder / "staff" / "items.json"
    if not items.is_file():
        message = f"{folder} holds no staff/items.json"
        hint = "name the folder that `itembank build` wrote, with `json` among its formats"
        raise InputError(Diagnostic("no-staff-files", message, Span(str(folder), 1, 1), hint=hint))
    keys = read_keys(str(items), _bytes(items, _MOST_OF_A_BUILD))
    found = sorted((folder / "staff").glob("*-versions.csv"))
    return keys, read_orders(str(found[0]), _bytes(found[0], MOST_BYTES), keys) if found else Orders()


def read_results(keys: Keys, orders: Orders, files: Sequence[Path]) -> Results:
    """The results of all files together. Raises InputError with everything that is wrong in any of them."""
    wrong: list[Diagnostic] = []
    doubts: list[Diagnostic] = []
    records: list[Record] = []
    for path in files:
        try:
            found, doubtful = _read(path, keys, orders)
        except InputError as failed:
            wrong += failed.diagnostics
        else:
            records += found
            doubts += doubtful
    if wrong:
        raise InputError(wrong)
    return combine(keys, records, doubts)


def _read(path: Path, keys: Keys, orders: Orders) -> tuple[list[Record], list[Diagnostic]]:
    table = read_table(str(path), _bytes(path, MOST_BYTES))
    return read_mark_sheet(table, keys, orders)


def _bytes(path: Path, most: int) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(most + 1)
    except OSError as failed:
        message = f"the file cannot be read: {(failed.strerror or str(failed)).lower()}"
        raise InputError(Diagnostic("cannot-be-read", message, Span(str(path), 1, 1))) from None
