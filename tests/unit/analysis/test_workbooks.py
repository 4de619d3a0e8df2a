"""Workbooks as spreadsheet programs write them: SpreadsheetML of ECMA-376, part 1, chapter 18 (from memory)."""

from __future__ import annotations

import io
import zipfile
from fractions import Fraction
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.chart import BarChart, Reference
from openpyxl.worksheet.worksheet import Worksheet

from itembank.analysis import workbooks
from itembank.analysis.groups_file import read_groups
from itembank.analysis.orders import Orders
from itembank.analysis.response_files import read_results
from itembank.analysis.tables import Cell
from itembank.analysis.workbooks import is_workbook, read_workbook
from itembank.errors import InputError
from tests.analysis_samples import keys_of, results_of
from tests.workbook_samples import DAY, DAY_AND_MONTH, DAYS, PER_CENT, PER_CENT_TOO, TIME, rows, workbook

KEYS = keys_of([2, 1, 3])


def one(cell: str, **more: str) -> str:
    """What a single cell says."""
    (sheet,) = read_workbook("m.xlsx", workbook(("Marks", f'<row r="1">{cell}</row>'), **more))
    return sheet.rows[0][-1].text


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ('<c r="A1"><v>2</v></c>', "2"),
        ('<c r="A1"><v>1.5</v></c>', "1.5"),
        ('<c r="A1"><v>0.30000000000000004</v></c>', "0.3"),
        ('<c r="A1"><v>2.9999999999999996</v></c>', "3"),
        ('<c r="A1"><v>-0.5</v></c>', "-0.5"),
        ('<c r="A1"><v>1E2</v></c>', "100"),
        ('<c r="A1"><v>1E999999</v></c>', "Infinity"),
        ('<c r="A1" t="s"><v>1</v></c>', "Jürgen"),
        ('<c r="A1" t="inlineStr"><is><r><t>x = </t></r><r><t>3</t></r></is></c>', "x = 3"),
        ('<c r="A1" t="str"><f>A2</f><v>b</v></c>', "b"),
        ('<c r="A1"><f>SUM(B2:D2)</f><v>4</v></c>', "4"),
        ('<c r="A1"><f>SUM(B2:D2)</f></c>', "=SUM(B2:D2)"),
        ('<c r="A1" t="e"><v>#DIV/0!</v></c>', "#DIV/0!"),
        ('<c r="A1" t="b"><v>1</v></c>', "TRUE"),
        # 3 February 2026 is day 46056 of spreadsheets, 44594 of those that begin in 1904 (from memory)
        (f'<c r="A1" s="{DAY}"><v>46056</v></c>', "2026-02-03"),
        (f'<c r="A1" s="{DAY_AND_MONTH}"><v>46056.5</v></c>', "2026-02-03"),
        (f'<c r="A1" s="{TIME}"><v>0.4375</v></c>', "10:30"),
        (f'<c r="A1" s="{PER_CENT}"><v>0.5</v></c>', "50 %"),
        (f'<c r="A1" s="{PER_CENT_TOO}"><v>0.125</v></c>', "12.5 %"),
        (f'<c r="A1" s="{DAYS}"><v>2</v></c>', "2"),
        ('<c r="C1"><v>7</v></c>', "7"),
        ("<c/><c><v>7</v></c>", "7"),
    ],
)
def test_a_cell_says_what_a_spreadsheet_shows(cell: str, told: str) -> None:
    shared = '<si><t>no</t></si><si><t>Jürgen</t><rPh sb="0" eb="6"><t>said</t></rPh></si>'

    assert told == one(cell, shared=shared)


def test_days_of_books_that_begin_in_1904_are_those_days() -> None:
    cell = f'<c r="A1" s="{DAY}"><v>44594</v></c>'

    assert "2026-02-03" == one(cell, first='<workbookPr date1904="1"/>')


def test_cells_have_the_numbers_of_their_row_and_column() -> None:
    data = workbook(("Marks", rows(("pupil", None, "ITEM00"), (None, None, 2), begin=3)))

    (sheet,) = read_workbook("m.xlsx", data)

    assert (
        (Cell("pupil", 3, 1), Cell("", 3, 2), Cell("ITEM00", 3, 3)),
        (Cell("", 4, 1), Cell("", 4, 2), Cell("2", 4, 3)),
    ) == sheet.rows
    assert is_workbook(data)
    assert not is_workbook(b"PK\x03\x04 and no more")


def test_a_workbook_of_a_library_is_read_with_its_formulas_charts_and_merged_cells() -> None:
    book = Workbook()
    marks = book.active
    assert isinstance(marks, Worksheet)
    marks.append(["Unit 4"])
    marks.append(["Name", "ITEM00", "Sum"])
    marks.append(["Ann", 0.5, "=B3"])
    marks.merge_cells("A1:C1")
    marks["B3"].number_format = "0%"
    chart = BarChart()
    chart.add_data(Reference(marks, min_col=2, min_row=2, max_row=3))
    book.create_chartsheet("Chart").add_chart(chart)
    book.create_sheet("Empty")
    saved = io.BytesIO()
    book.save(saved)

    (sheet,) = read_workbook("m.xlsx", saved.getvalue())

    assert [["Unit 4"], ["Name", "ITEM00", "Sum"], ["Ann", "50 %", "=B3"]] == [
        [cell.text for cell in row] for row in sheet.rows
    ]


CLASS = rows(("Name", "Mail"), ("Ann", "a"))
MARKS = rows(
    ("Unit 4",),
    (),
    ("Name", "ITEM00", "ITEM01", "ITEM02"),
    ("Maximum", 2, 1, 3),
    ("Ann", 1.5, 0, 3),
    ("Mean", 1.5, 0, 3),
)

TOO_MANY = rows(("Name", "ITEM00", "ITEM01", "ITEM02"), ("Maximum", 2, 1, 3), ("Ann", 1, 7, 3))


@pytest.mark.parametrize("root", ["", "/xl/"])
def test_a_workbook_is_read_as_the_table_that_it_holds(root: str, tmp_path: Path) -> None:
    file = tmp_path / "marks.xlsx"
    file.write_bytes(workbook(("Class", CLASS), ("Old", MARKS), ("Marks", MARKS), hidden=("Old",), root=root))

    results = read_results(KEYS, Orders(), [file])

    assert [("Ann", [Fraction(3, 2), 0, 3])] == [
        (each.pupil, [answer.mark for answer in each.answers.values()]) for each in results.sittings
    ]
    assert [("summary-line", 6, 1)] == [
        (each.code, each.span.line, each.span.column) for each in results.doubts if each.span
    ]


def test_groups_are_read_from_a_workbook_too(tmp_path: Path) -> None:
    file = tmp_path / "groups.xlsx"
    file.write_bytes(
        workbook(("Marks", MARKS), ("Groups", rows(("Title",), ("Name", "Group"), ("Pupil 0", "A"))))
    )

    groups, _ = read_groups(file, results_of([[1, 0]]))

    assert {"pupil 0": "A"} == groups


@pytest.mark.parametrize(
    ("sheets", "code", "line", "column"),
    [
        ((("One", MARKS), ("Two", MARKS)), "several-sheets", 1, 1),
        ((("Marks", ""),), "no-table", 1, 1),
        ((("Class", CLASS),), "unknown-item", 1, 1),
        ((("Marks", TOO_MANY),), "more-than-maximum", 3, 3),
        ((("Marks", '<row r="1"><c r="A1" t="s"><v>9</v></c></row>'),), "damaged-workbook", 1, 1),
        ((("Marks", "</sheetData>"),), "damaged-workbook", 1, 1),
    ],
)
def test_what_is_wrong_is_told_at_its_cell(
    sheets: tuple[tuple[str, str], ...], code: str, line: int, column: int, tmp_path: Path
) -> None:
    file = tmp_path / "marks.xlsx"
    file.write_bytes(workbook(*sheets))

    with pytest.raises(InputError) as caught:
        read_results(KEYS, Orders(), [file])
    found = next(each for each in caught.value.diagnostics if each.code == code)
    assert found.span
    assert (str(file), line, column) == (found.span.path, found.span.line, found.span.column)


def test_a_workbook_that_declares_entities_or_is_too_large_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    data = workbook(("Marks", MARKS))
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            kept = old.read(name)
            new.writestr(
                name, b"<!DOCTYPE a [<!ENTITY e 'x'>]>" + kept if name.endswith("sheet1.xml") else kept
            )

    with pytest.raises(InputError, match="document type"):
        read_workbook("m.xlsx", out.getvalue())
    monkeypatch.setattr(workbooks, "MOST_CELLS", 3)
    with pytest.raises(InputError, match="more than 3 cells"):
        read_workbook("m.xlsx", data)
    monkeypatch.setattr(workbooks, "_MOST_BYTES", 20)
    with pytest.raises(InputError, match="larger than"):
        read_workbook("m.xlsx", data)
