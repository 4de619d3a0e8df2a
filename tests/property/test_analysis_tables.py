"""Laws of reading results: what a spreadsheet wrote is read back, each cell at its place, and nothing crashes."""

from __future__ import annotations

import csv
import io
from contextlib import suppress

from hypothesis import given
from hypothesis import strategies as st

from itembank.analysis.meanings import meaning_of, readings
from itembank.analysis.tables import read_table
from itembank.errors import InputError

CELLS = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\r\x00"), max_size=12).map(
    str.strip
)
ROWS = st.lists(st.lists(CELLS.filter(lambda text: text[:1] != "'"), min_size=3, max_size=3), max_size=5)
HEAD = ["pupil", "one", "two"]


@given(
    ROWS,
    st.sampled_from(",;\t"),
    st.sampled_from(["\n", "\r\n"]),
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]),
)
def test_a_table_comes_back_with_every_cell_at_its_place(
    rows: list[list[str]], separator: str, ending: str, encoding: str
) -> None:
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=separator, lineterminator=ending).writerows([HEAD, *rows])
    table = read_table("t.csv", out.getvalue().encode(encoding))
    lines = out.getvalue().replace("\r\n", "\n").split("\n")

    assert [row for row in rows if any(row)] == [[cell.text for cell in row] for row in table.rows]
    assert HEAD == [cell.text for cell in table.head]
    for cell in (cell for row in table.rows for cell in row):
        there = lines[cell.line - 1][cell.column - 1 :]
        first = cell.text.split("\n")[0]
        assert there.startswith((first, '"' + first.replace('"', '""')))


@given(st.binary(max_size=60))
def test_any_bytes_are_a_table_or_are_refused(data: bytes) -> None:
    head = ""
    with suppress(InputError):
        head = read_table("t.csv", b"pupil,A\n" + data).head[0].text

    assert head in ("", "pupil")


@given(st.text("x=±-+*/^()√0123456789,;. <>yabpqsrt≤and", max_size=30))
def test_any_text_has_meanings_or_none_and_a_text_that_has_one_keeps_it_with_blanks_around(text: str) -> None:
    assert len(set(readings(text))) == len(list(readings(text)))
    assert meaning_of(text) == meaning_of(f" {text} ")
