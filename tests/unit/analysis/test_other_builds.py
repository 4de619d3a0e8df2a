"""Results of several builds in one table or folder: nobody is marked by the key of a build they did not sit."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from itembank.analysis.orders import Orders, read_orders
from itembank.analysis.other_builds import code_of_another, who_sat_another
from itembank.analysis.response_files import read_results
from itembank.generator.item_codes import OPEN_SECRET, item_code
from itembank.items import Address
from tests.analysis_samples import item_result, keys_of, report_xml

CODES = [item_code(Address("template", 1, 1, position), OPEN_SECRET) for position in range(6)]
A, B, COMMON, C, OTHER_1, OTHER_2 = CODES
_FOUR = keys_of([2, 1, 3, 1])
KEYS = replace(
    _FOUR,
    questions=tuple(replace(q, code=c) for q, c in zip(_FOUR.questions, (A, B, C, COMMON), strict=True)),
)


def read(text: str, tmp_path: Path, orders: Orders | None = None) -> tuple[list[str], dict[str, str]]:
    file = tmp_path / "all.csv"
    file.write_text(text, encoding="utf-8")
    found = read_results(KEYS, orders or Orders(), [file])
    return [each.pupil for each in found.sittings], {each.code: each.message for each in found.doubts}


def test_a_column_of_another_build_is_known_by_its_check_character() -> None:
    slip = OTHER_1[:-1] + ("B" if OTHER_1[-1] != "B" else "C")

    assert OTHER_1 == code_of_another(f"Solve it ({OTHER_1})", KEYS)
    assert OTHER_1 == code_of_another(f"{OTHER_1.lower()}b", KEYS)
    assert ["", "", ""] == [code_of_another(text, KEYS) for text in (A, slip, "Comment")]


def test_who_answered_another_forms_items_and_common_ones_is_left_out_of_a_wide_table(tmp_path: Path) -> None:
    text = (
        f"pupil,{A},{B},{C},{COMMON},{OTHER_1},{OTHER_2}\nmaximum,2,1,3,1,1,1\n"
        "Ann,1,0,2,1,,\nBob,,,,1,0,1\nCas,2,,,1,,\nDee,-,-,,0,1,1\n"
    )

    pupils, doubts = read(text, tmp_path)

    assert ["Ann", "Cas"] == pupils
    assert (
        f"what is told of 2 items of another build is left alone: {OTHER_1}, {OTHER_2}"
        == (doubts["item-of-another-build"])
    )
    assert doubts["other-form"].startswith("2 pupils answered items of another build and few or none")


@pytest.mark.parametrize(
    "lines",
    [
        "Ann,1,0,2,1,,\nBob,1,1,0,1,0,1\nCas,2,,,1,1,\n",  # two tests in one table
        "Ann,1,0,,,1,1\nBob,,0,,,0,1\n",  # nobody has this build alone
    ],
)
def test_two_tests_in_one_table_leave_everybody(lines: str, tmp_path: Path) -> None:
    text = f"pupil,{A},{B},{C},{COMMON},{OTHER_1},{OTHER_2}\nmaximum,2,1,3,1,1,1\n{lines}"

    pupils, doubts = read(text, tmp_path)

    assert len(lines.splitlines()) == len(pupils)
    assert "other-form" not in doubts
    assert "item-of-another-build" in doubts


def test_a_table_with_a_line_for_each_answer_may_hold_two_forms(tmp_path: Path) -> None:
    lines = [("Ann", A, "1"), ("Ann", B, "0"), ("Ann", C, "3"), ("Ann", COMMON, "1")]
    lines += [("Bob", COMMON, "1"), ("Bob", OTHER_1, "1"), ("Bob", OTHER_2, "0"), ("Cas", OTHER_2, "1")]
    text = "pupil,item,mark\n" + "".join(f"{','.join(line)}\n" for line in lines)

    pupils, doubts = read(text, tmp_path)

    assert ["Ann"] == pupils
    assert doubts["other-form"].startswith("2 pupils")
    assert doubts["item-of-another-build"].startswith("what is told of 2 items")


def test_who_has_no_line_for_some_questions_is_told(tmp_path: Path) -> None:
    whole = "".join(f"{name},{code},1\n" for name in ("Ann", "Bob") for code in (A, B))

    _, doubts = read(f"pupil,item,mark\n{whole}Cas,{A},1\n", tmp_path)

    assert doubts["missing-line"].startswith("1 pupil has no line for some of the 2 questions")
    for whole_or_not in (f"{whole}Cas,{A},1\nCas,{B},\n", f"Ann,{A},1\nBob,{B},1\n"):
        _, doubts = read(f"pupil,item,mark\n{whole_or_not}", tmp_path)
        assert "missing-line" not in doubts


def test_reports_of_another_form_are_left_out_and_items_of_others_told(tmp_path: Path) -> None:
    def given(pupil: str, *codes: str) -> None:
        items = [item_result(code, {"BOX_1": ["4"]}, "1") for code in codes]
        (tmp_path / f"{pupil}.xml").write_bytes(report_xml(pupil, items))

    given("ann", A, B, C, COMMON)
    given("bob", COMMON, OTHER_1, OTHER_2)

    found = read_results(KEYS, Orders(), [tmp_path])

    assert ["ann"] == [each.pupil for each in found.sittings]
    assert ["item-of-another-build", "other-form"] == [each.code for each in found.doubts]
    given("bob", COMMON, A, B, C, "survey")
    found = read_results(KEYS, Orders(), [tmp_path])
    assert ["ann", "bob"] == [each.pupil for each in found.sittings]
    (doubt,) = found.doubts
    assert "what is told of 1 item of another build is left alone: survey" == doubt.message


def test_pupils_whom_the_mark_sheet_of_the_build_does_not_name_are_told(tmp_path: Path) -> None:
    sheet = (
        f"pupil,{A},{B},{C},{COMMON},total\nmaximum,2,1,3,1,7\nquestion,1,2,3,4,\nAnn  Lee,,,,,\nBob,,,,,\n"
    )
    orders = read_orders("mark-sheet.csv", sheet.encode(), KEYS)
    assert {"ann lee": "", "bob": ""} == orders.named
    head = f"pupil,{A},{B},{C},{COMMON}\nmaximum,2,1,3,1\n"

    pupils, doubts = read(f"{head}ann lee,1,1,3,1\nCas,1,0,0,1\nDee,0,0,0,1\n", tmp_path, orders)

    assert ["ann lee", "Cas", "Dee"] == pupils
    assert doubts["not-on-class-list"].startswith(
        "2 pupils are not on the class list of staff/mark-sheet.csv"
    )
    for lines in ("Ann Lee,1,1,3,1\nBob,1,0,0,1\n", "P1,1,1,3,1\nP2,1,0,0,1\n"):
        assert "not-on-class-list" not in read(head + lines, tmp_path, orders)[1]


def test_a_mark_sheet_without_pupils_names_nobody() -> None:
    for sheet in (f"pupil,{A}\nmaximum,2\n", f"code,{A}\nmaximum,2\nAnn,1\n"):
        assert {} == read_orders("mark-sheet.csv", sheet.encode(), KEYS).named


def test_nobody_sat_another_build_where_most_of_this_one_was_answered_too() -> None:
    assert frozenset({"b"}) == who_sat_another({"a": {0, 1, 2}, "b": {0}}, {"b"}, 4)
    assert frozenset({"b"}) == who_sat_another({"a": {0, 1, 2}}, {"b"}, 4)
    assert frozenset() == who_sat_another({"a": {0, 1, 2}, "b": {0, 1, 2}}, {"b"}, 4)
