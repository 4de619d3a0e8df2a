"""Lines of maxima that do not say so: without a name, or with one that somebody may have."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from itembank.analysis.columns import label_of, questions_of, special_columns
from itembank.analysis.keys import Keys
from itembank.analysis.line_names import MAY_BE_A_NAME
from itembank.analysis.mark_sheet import marked
from itembank.analysis.tables import Cell, Table, wrong
from itembank.errors import Diagnostic, Level

__all__ = ["with_maxima_named"]

FEWEST: Final = 2
"""Marks below which a line says too little to be one of maxima (house rule)."""


def with_maxima_named(table: Table, keys: Keys) -> tuple[Table, list[Diagnostic]]:
    """The table with `maximum` at lines that hold the maximum of each question, and what is doubtful of it.

    Such a line has no name, or is called Max. One of that name whose marks are the best of every question, or called
    Min with the least, is no pupil either: spreadsheets work these out beside a mean.
    """
    special = special_columns(table, [])
    columns = questions_of(table, keys, special, [])
    rows: list[tuple[Cell, ...]] = []
    doubts: list[Diagnostic] = []
    for row in table.rows:
        label = re.sub(r"\W", "", label_of(row, special))
        filled = {column: row[column] for column in columns if column < len(row) and row[column].text}
        if label not in ("", *MAY_BE_A_NAME) or len(filled) < FEWEST:
            rows.append(row)
            continue
        marks = {column: marked(cell.text) for column, cell in filled.items()}
        is_whole = all(mark == keys.questions[columns[column]].maximum for column, mark in marks.items())
        if is_whole and label != "min":
            rows.append(_named(row, special))
        elif not label or not _is_at_the_end(label, filled, table):
            rows.append(row)
            continue
        if label:
            which = "maximum" if is_whole else "best mark" if label == "max" else "least mark"
            message = (
                f"the line `{label.title()}` has the {which} of every question and is taken for no pupil"
            )
            hint = "if it is a pupil's name, write the family name beside it"
            doubts.append(wrong("summary-line", message, table.path, row[0], hint, Level.DOUBTFUL))
    return Table(table.path, table.head, tuple(rows)), doubts


def _is_at_the_end(label: str, filled: Mapping[int, Cell], table: Table) -> bool:
    """Whether nobody has a better mark, or a lesser one, in any question."""
    for column, cell in filled.items():
        told = marked(cell.text)
        marks = [marked(row[column].text) for row in table.rows if column < len(row)]
        known = [mark for mark in marks if mark is not None]
        if told is None or told != (max(known) if label == "max" else min(known)):
            return False
    return True


def _named(row: tuple[Cell, ...], special: Mapping[str, int]) -> tuple[Cell, ...]:
    """The line with `maximum` for its name."""
    names = {special[part] for part in ("pupil", "given", "family") if part in special}
    at = special["pupil"] if special["pupil"] < len(row) else 0
    cells = [cell._replace(text="") if column in names else cell for column, cell in enumerate(row)]
    cells[at] = cells[at]._replace(text="maximum")
    return tuple(cells)
