"""One table with pupils of several forms: nobody is marked by the key of a form they did not have."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from itembank.analysis.forms import of_this_form, with_versions
from itembank.analysis.keys import read_keys
from itembank.analysis.orders import Orders, read_orders
from itembank.analysis.response_files import read_results
from itembank.analysis.tables import read_table
from itembank.errors import InputError
from tests.analysis_samples import keys_of

KEYS = keys_of([2, 1, 3])
FORM_A = replace(KEYS, form="A")
VERSIONS = Orders({"A": (0, 1, 2), "B": (2, 1, 0)})
LINES = ",ITEM00,ITEM01,ITEM02\nmaximum,,2,1,3\nAnn,{},1,1,1\nBob,{},2,0,3\nCas,{},2,1,3\n"


@pytest.mark.parametrize("head", ["form", "Version", "Modelo", "Fassung"])
def test_pupils_of_other_forms_are_left_out_and_that_is_told(head: str, tmp_path: Path) -> None:
    file = tmp_path / "all.csv"
    file.write_text(f"pupil,{head}" + LINES.format("A", "Form b", "a"), encoding="utf-8")

    found = read_results(FORM_A, Orders(), [file])

    assert ["Ann", "Cas"] == [each.pupil for each in found.sittings]
    (doubt,) = [each for each in found.doubts if each.code == "other-form"]
    assert "1 line of form B is left out: this build is form A" == doubt.message
    assert doubt.span is not None
    assert (1, 7) == (doubt.span.line, doubt.span.column)


def test_a_table_of_another_form_alone_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "b.csv"
    file.write_text("pupil,form" + LINES.format("B", "B", "C"), encoding="utf-8")

    with pytest.raises(InputError) as raised:
        read_results(FORM_A, Orders(), [file])

    (told,) = raised.value.diagnostics
    assert ("other-form", "all lines are of form B, C, and this build is form A") == (told.code, told.message)


@pytest.mark.parametrize(
    ("form", "values", "codes"),
    [
        ("A", ("A", "A", ""), []),
        ("A", ("7B", "7B", "7B"), []),
        ("A", ("1", "2", "1"), ["forms-unknown"]),
        ("", ("A", "B", "A"), ["forms-unknown"]),
        ("", ("B", "B", "B"), []),
    ],
)
def test_what_a_column_does_not_decide_leaves_every_line(
    form: str, values: tuple[str, ...], codes: list[str]
) -> None:
    table = read_table("m.csv", ("pupil,form" + LINES.format(*values)).encode())

    left, doubts = of_this_form(table, replace(KEYS, form=form), Orders())

    assert table == left
    assert codes == [each.code for each in doubts]


def test_where_a_build_has_versions_a_form_is_one_of_them() -> None:
    table = read_table("m.csv", ("pupil,form" + LINES.format("A", "form B", "b")).encode())

    left, doubts = of_this_form(table, KEYS, VERSIONS)

    assert "version" == left.head[1].text
    assert ["A", "B", "B"] == [row[1].text for row in left.rows[1:]]
    assert [] == doubts
    other = read_table("m.csv", ("pupil,form" + LINES.format("7A", "7B", "7B")).encode())
    assert (other, []) == of_this_form(other, KEYS, VERSIONS)


def test_versions_are_those_of_the_class_list_where_no_column_tells_them(tmp_path: Path) -> None:
    sheet = (
        "pupil,version,ITEM00,ITEM01,ITEM02\nmaximum,,2,1,3\nquestion A,,1,2,3\nquestion B,,3,2,1\n"
        "Ann,A,,,\nBob,B,,,\n"
    )
    orders = read_orders("mark-sheet.csv", sheet.encode(), KEYS)
    file = tmp_path / "m.csv"
    lines = "ITEM00,ITEM01,ITEM02\nmaximum,2,1,3\nBOB,2,0\nAnn,2,1,\nCas,1,1,1\n"
    file.write_text(f"pupil,{lines}", encoding="utf-8")

    found = read_results(KEYS, orders, [file])

    assert [("BOB", "B"), ("Ann", "A"), ("Cas", "")] == [(s.pupil, s.version) for s in found.sittings]
    # in version B the third question comes first: it was left out, and not the last that was not reached
    assert ["omitted", "not reached"] == [s.answers[2].state.value for s in found.sittings[:2]]
    assert "versions-of-class-list" in [each.code for each in found.doubts]
    for text, named in (
        ("pupil,version,ITEM00\nAnn,B,2\n", orders),
        ("pupil,ITEM00\nAnn,2\n", replace(orders, named={})),
    ):
        told = read_table("m.csv", text.encode())
        assert (told, []) == with_versions(told, named)


@pytest.mark.parametrize(
    ("bank", "title", "letter"),
    [
        ("half-term-b", "Half term B", "B"), ("half-term", "Half term B", ""),
        ("half-term-b", "Half term", ""), ("b", "B", ""),
    ],
)  # fmt: skip
def test_a_build_knows_its_letter_by_name_and_title(bank: str, title: str, letter: str) -> None:
    part = {"label": "", "response": "written", "key": {"plain": "x"}, "marks": 1, "slips": []}
    address = {"template": "t", "version": 1, "seed": 1, "position": 0}
    item = {"code": "K7Q2M", "address": address, "title": "T", "marks": 1, "parts": [part]}
    told = {"bank": bank, "title": title, "items": [item]}

    assert letter == read_keys("items.json", json.dumps(told).encode()).form
