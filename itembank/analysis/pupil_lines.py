"""Tables that tell one thing of each pupil: the group somebody belongs to, how a teacher judges somebody."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.analysis.columns import label_of, pupil_of
from itembank.analysis.line_names import names_maxima
from itembank.analysis.orders import NUMBERED
from itembank.analysis.tables import Cell, Table
from itembank.errors import Diagnostic

__all__ = ["pupil_lines"]


def pupil_lines(
    table: Table, special: dict[str, int], column: int, found: list[Diagnostic]
) -> Iterator[tuple[str, Cell | None]]:
    """The name of each pupil, in small letters, and the cell that stands in a column of the line; None for a line
    that ends before it or has nothing there.

    special: as `special_columns` finds them. Lines of a mark sheet that are of no pupil are passed over; lines without
    a name, and names that stand twice, are told in `found`.
    """
    seen: dict[str, Cell] = {}
    for row in table.rows:
        label = label_of(row, special)
        if names_maxima(label) or NUMBERED.fullmatch(label):
            continue
        name, _ = pupil_of(table.path, row, special, seen, found)
        cell = row[column] if column < len(row) else None
        yield name.casefold(), cell if cell is not None and cell.text.strip() else None
