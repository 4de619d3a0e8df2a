"""Cells that no spreadsheet takes for a formula, and that come back as they were."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from itembank.spreadsheets import as_cell, as_csv, as_text

CELLS = st.text(st.sampled_from("'=+-@\t\rx3. ") | st.characters(codec="utf-8"), max_size=8)


@given(CELLS)
def test_a_text_comes_back_as_it_was(text: str) -> None:
    assert text == as_text(as_cell(text))


@given(CELLS)
def test_nothing_but_a_number_begins_like_a_formula(text: str) -> None:
    cell = as_cell(text)
    if cell[:1] in {"=", "+", "-", "@", "\t", "\r"}:
        assert cell == text
        float(text)


@given(st.lists(st.lists(CELLS, min_size=2, max_size=2), min_size=1))
def test_a_table_is_read_back_by_any_reader_of_csv(rows: list[list[str]]) -> None:
    text = as_csv(rows)
    unix = [[cell.replace("\r\n", "\n").replace("\r", "\n") for cell in row] for row in rows]
    assert unix == [[as_text(cell) for cell in row] for row in csv.reader(io.StringIO(text, newline=""))]


@pytest.mark.parametrize("number", ["-3", "0", "12.50", "-0.5"])
def test_numbers_stay_numbers(number: str) -> None:
    assert number == as_cell(number) == as_text(number)
    assert f"{number},{number}\n" == as_csv([[number, number]])
