"""Tables in which pupils stand several times, for they tried a quiz more than once: the first attempt counts."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from itembank.analysis.blocks import counted
from itembank.analysis.columns import pupil_of, special_columns
from itembank.analysis.orders import folded
from itembank.analysis.tables import Cell, Table, wrong
from itembank.errors import Diagnostic, Level

__all__ = ["of_first_attempts"]

_HEADS: Final = frozenset(
    (
        "attempt",
        "attempt number",
        "attempt no",
        "attempt no.",
        "attempt #",
        "versuch",
        "versuch nr.",
        "versuchsnummer",
        "intento",
        "número de intento",
        "n.º de intento",
    )
)


def of_first_attempts(table: Table) -> tuple[Table, list[Diagnostic]]:
    """The table with the first attempt of each pupil, without the column that numbers them, and what is doubtful.

    What follows a first attempt follows what was told or found out after it, and so says less of items (common
    practice, no source). A column with anything but whole numbers says nothing. Raises InputError `no-pupil-column`.
    """
    heads = (" ".join(cell.text.casefold().split()) for cell in table.head)
    column = next((at for at, head in enumerate(heads) if head in _HEADS), None)
    if column is None:
        return table, []
    special = special_columns(table, [])
    numbered = [(row, _number(row, column)) for row in table.rows]
    if not any(number is not None for _, number in numbered):
        return table, []
    who = [folded(pupil_of(table.path, row, special, {}, [])[0]) for row in table.rows]
    first: dict[str, int] = {}
    for name, (_, number) in zip(who, numbered, strict=True):
        if number is not None:
            first[name] = min(number, first.get(name, number))
    kept: list[tuple[str, tuple[Cell, ...]]] = []
    later: list[tuple[str, tuple[Cell, ...]]] = []
    for name, (row, number) in zip(who, numbered, strict=True):
        is_later = number is not None and number > first[name]
        (later if is_later else kept).append((name, row))
    rows = tuple((*row[:column], *row[column + 1 :]) for _, row in kept)
    alone = replace(table, head=(*table.head[:column], *table.head[column + 1 :]), rows=rows)
    if not later:
        return alone, []
    message = (
        f"{counted(len({name for name, _ in later}), 'pupil')} tried more than once by the column "
        f"`{table.head[column].text[:40]}`: the first attempt of each counts"
    )
    hint = "where another one is to count, leave the lines of the others out"
    return alone, [wrong("several-attempts", message, table.path, later[0][1][0], hint, Level.DOUBTFUL)]


def _number(row: tuple[Cell, ...], column: int) -> int | None:
    text = row[column].text if column < len(row) else ""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 4 else None
