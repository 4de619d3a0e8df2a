"""Tables of a text: columns of numbers are centred, others begin at their side; common practice, no source."""

from __future__ import annotations

import pytest

from itembank.content import Table
from itembank.templates.text import text_shape


@pytest.mark.parametrize(
    ("ruled", "cells", "alignment"),
    [
        ("---", ("12", "-3.5"), "center"),
        ("---", ("1,000", "20 %"), "center"),
        ("---", ("12", "twelve"), ""),
        ("---", ("3 pens", "4 pens"), ""),
        ("---", ("", "4"), ""),
        ("--:", ("12", "3"), "right"),
        (":--", ("12", "3"), "left"),
    ],
)
def test_a_column_of_numbers_is_centred_unless_said(
    ruled: str, cells: tuple[str, str], alignment: str
) -> None:
    rows = "".join(f"| shop | {cell} |\n" for cell in cells)
    (table,) = text_shape(f"| Where | Price |\n|---|{ruled}|\n{rows}", 0).blocks

    assert isinstance(table, Table)
    assert ("", alignment) == table.alignments


def test_a_table_without_rows_has_no_columns_of_numbers() -> None:
    (table,) = text_shape("| x | y |\n|---|---|\n", 0).blocks

    assert isinstance(table, Table)
    assert ("", "") == table.alignments
