"""`itembank calibrate` as a user runs it: two builds of one bank are sat by classes of unequal strength."""

from __future__ import annotations

import csv
import json
import random
import shutil
from math import exp
from pathlib import Path
from typing import Any

import pytest

from itembank.build import BuildRequest, build
from itembank.library import calibrate
from tests.analysis_samples import items_of, write_csv
from tests.cli.harness import DEMO, Program

HARDER = {"monic-even-surd": 1.5, "simplify-surd": -1.0}
"""How much harder than predicted the classes find some templates, in logits."""


def class_sits(built: Path, count: int, strength: float) -> list[list[str]]:
    """The build's mark sheet, filled in by the partial credit model; as many pupils as said."""
    draw = random.Random(f"{built.name} {count}")
    with (built / "staff" / "mark-sheet.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))[:2]
    difficulty = {
        item["code"]: item["difficulty"]["thousandths"] / 1000 + HARDER.get(item["address"]["template"], 0)
        for item in items_of(built)
    }
    for number in range(count):
        ability = draw.gauss(strength, 1)
        marks = [
            sum(draw.random() < 1 / (1 + exp(difficulty[code[:9]] - ability)) for _ in range(int(most)))
            for code, most in zip(rows[0][1:-1], rows[1][1:-1], strict=True)
        ]
        rows.append([f"Pupil {number:03}", *map(str, marks), str(sum(marks))])
    return rows


@pytest.fixture(scope="module")
def program(tmp_path_factory: pytest.TempPathFactory) -> Program:
    """A bank, an autumn and a spring build that share items, and what two classes made of them."""
    folder = tmp_path_factory.mktemp("calibrate") / "here"
    folder.mkdir()
    program = Program(folder)
    bank = program.demo()
    build(BuildRequest(bank, folder / "autumn", 12, formats=("json",)))
    build(BuildRequest(bank, folder / "spring", 24, formats=("json",)))
    write_csv(folder / "autumn.csv", class_sits(folder / "autumn", 150, -0.8))
    write_csv(folder / "spring.csv", class_sits(folder / "spring", 150, 0.8))
    return program


SITTINGS = ("autumn", "autumn.csv", "spring", "spring.csv")


def told(program: Program, *more: str) -> Any:
    return json.loads(program.run("calibrate", *SITTINGS, "--json", *more, left=None).out)


def test_items_in_common_link_two_sittings_and_templates_come_out_as_hard_as_they_were(
    program: Program,
) -> None:
    found = told(program)
    beyond = {each["template"]: each["beyond"] for each in found["templates"]}
    others = [value for name, value in beyond.items() if name not in HARDER]

    assert (1, 300, 24) == (found["scales"], found["pupils"], len(found["items"]) + len(found["left_out"]))
    middle = sum(others) / len(others)
    assert 0.8 < beyond["monic-even-surd"] - middle < 2.2
    assert -1.8 < beyond["simplify-surd"] - middle < -0.4
    assert all(abs(each["infit"] - 1) < 0.5 for each in found["items"] if each["infit"] is not None)
    assert {150, 300} == {each["pupils"] for each in found["items"]}


def test_the_report_is_told_and_written(program: Program) -> None:
    text = program.run("calibrate", *SITTINGS).out
    out = program.run("calibrate", *SITTINGS, "--out", "report", left=None).out

    assert "Calibration\n" in text
    assert "logits harder than predicted" in text
    assert "300 pupils" in out
    written = {path.name for path in (program.folder / "report").iterdir()}
    assert {"report.md", "report.html", "report.json", "items.csv", "templates.csv", "marks-1.csv"} <= written
    assert json.loads((program.folder / "report" / "report.json").read_text("utf-8")) == told(program)
    shutil.rmtree(program.folder / "report")


def test_pupils_whose_answers_are_odd_are_named_where_that_is_asked_for(program: Program) -> None:
    counted, named = told(program)["odd_pupils"], told(program, "--pupils")["odd_pupils"]
    text = program.run("calibrate", *SITTINGS, "--pupils").out

    assert counted["odd"] == len(named["pupils"]) > 0
    assert "pupils" not in counted
    assert all(each["pupil"] in text and each["chance"] <= 0.01 for each in named["pupils"])
    assert "--pupils names them" not in text


def test_a_bank_that_keeps_it_predicts_by_it_and_calibrates_to_the_same_again(program: Program) -> None:
    """Predictions of builds made afterwards have what was kept in them, and it is not counted twice."""
    before = {item["code"]: item["difficulty"] for item in items_of(program.folder / "spring")}
    out = program.run("calibrate", *SITTINGS, "--into", "bank", left=("bank/calibration.yaml",)).out
    kept = (program.folder / "bank" / "calibration.yaml").read_text("utf-8")
    found = told(program)
    program.run("check", "bank")
    program.run("build", "bank", "--out", "again", "--count", "36", "--formats", "json", left=None)
    after = {item["code"]: item["difficulty"] for item in items_of(program.folder / "again")}
    observed = {each["item"]: each["difficulty"] for each in found["items"]}
    shifts = {each["template"]: each["beyond"] for each in found["templates"]}

    assert "items and 12 templates kept in bank/calibration.yaml" in out
    for item in items_of(program.folder / "again"):
        code, template = item["code"], item["address"]["template"]
        if code in observed:
            assert after[code]["thousandths"] == pytest.approx(1000 * observed[code], abs=0.51)
        elif code in before:
            assert after[code]["thousandths"] == pytest.approx(
                before[code]["thousandths"] + 1000 * shifts[template], abs=0.51
            )
        names = [each["feature"] for each in after[code]["contributions"]]
        assert names.count("observed") == (template in shifts) + (code in observed)
        assert after[code]["thousandths"] == sum(each["adds"] for each in after[code]["contributions"])

    program.run("build", "bank", "--out", "spring", "--count", "24", "--formats", "json", left=None)
    program.run("calibrate", *SITTINGS, "--into", "bank", left=None)
    assert kept == (program.folder / "bank" / "calibration.yaml").read_text("utf-8")
    shown = program.run("show", "bank/templates/monic-even-surd.yaml", "--count", "1").out
    assert "observed" in shown
    report = (program.folder / "again" / "report.md").read_text("utf-8")
    assert "by what sittings told of its items" in report
    (program.folder / "bank" / "calibration.yaml").unlink()
    shutil.rmtree(program.folder / "again")


def test_what_is_told_of_templates_that_the_bank_has_no_more_is_not_kept(program: Program) -> None:
    """A bank grows and loses templates; what was sat of the others is worth as much as before."""
    gone = program.folder / "bank" / "templates" / "simplify-surd.yaml"
    text = gone.read_text("utf-8")
    gone.unlink()
    out = program.run("calibrate", *SITTINGS, "--into", "bank", left=None).out
    kept = (program.folder / "bank" / "calibration.yaml").read_text("utf-8")
    checked = program.run("check", "bank", status=1, err=None)  # a blueprint names it too
    gone.write_text(text, "utf-8")
    (program.folder / "bank" / "calibration.yaml").unlink()

    assert "22 items and 11 templates kept in bank/calibration.yaml" in out
    assert "nothing of templates that the bank has no more: simplify-surd\n" in out
    assert "simplify-surd" not in kept
    assert "calibration.yaml:" not in checked.out + checked.err


def test_a_program_has_it_from_the_library(program: Program) -> None:
    here = program.folder
    found = calibrate((here / "autumn", [here / "autumn.csv"]), (here / "spring", [here / "spring.csv"]))

    assert told(program)["items"][0]["difficulty"] == pytest.approx(
        float(found.items[0].difficulty), abs=1e-4
    )


def test_one_build_that_two_classes_sat_is_told_by_their_results(program: Program) -> None:
    """Each class is known by its file, and the form's totals are not set against themselves."""
    write_csv(program.folder / "other class.csv", class_sits(program.folder / "autumn", 60, 1))
    twice = ("autumn", "autumn.csv", "autumn", "other class.csv")
    found = json.loads(program.run("calibrate", *twice, "--json", left=None).out)

    names = ["autumn (autumn.csv)", "autumn (other class.csv)"]
    assert names == [each["name"] for each in found["forms"]]
    assert set(names) == {each["sitting"] for each in found["drifts"]}
    assert [] == found["level"]


@pytest.mark.parametrize(
    ("arguments", "code", "hint"),
    [
        (("autumn.csv", "autumn"), "no-build", "name a build, then its results"),
        (("forms", "autumn.csv"), "no-build", "name each with its results, forms/form-a first"),
        (("autumn", "spring", "spring.csv"), "no-results-named", "calibrate form-a a.csv form-b b.csv"),
        ((*SITTINGS, "--into", "autumn"), "not-a-bank", ""),
        ((*SITTINGS, "--into", str(DEMO.parent / "kinds")), "another-bank", "the sittings were built from"),
        (("autumn", "few.csv", "--into", "bank"), "too-few-pupils", "more sittings"),
        (("autumn", "alike.csv"), "nothing-to-calibrate", "results of more pupils"),
        ((*SITTINGS, "--out", "autumn"), "would-replace-a-build", "another folder"),
        (("autumn", "autumn.csv", "./autumn", "./autumn.csv"), "same-results-twice", "name it once"),
        (("autumn", "nothing.csv"), "cannot-be-read", ""),
    ],
)
def test_what_is_wrong_is_told_and_nothing_is_written(
    program: Program, arguments: tuple[str, ...], code: str, hint: str
) -> None:
    rows = class_sits(program.folder / "autumn", 12, 0)
    write_csv(program.folder / "few.csv", rows)
    alike = [row if number < 2 else [f"P{number}", *rows[1][1:]] for number, row in enumerate(rows)]
    write_csv(program.folder / "alike.csv", alike)
    staff = program.folder / "forms" / "form-a" / "staff"
    staff.mkdir(parents=True, exist_ok=True)
    (staff / "items.json").write_text("{}", "utf-8")

    ended = program.run("calibrate", *arguments, status=1, err=None)

    assert f"wrong: {code}" in ended.err
    assert hint in ended.err


@pytest.mark.parametrize(
    ("text", "code", "place"),
    [
        ("calibration: x\nitems:\n  - {item: a/1/1/2, difficulty: 3.5}\n", "wrong-value", "3:33"),
        ("calibration: x\nitems:\n  - {item: a/1/2, difficulty: 3}\n", "wrong-value", "3:12"),
        (
            "calibration: x\ntemplates:\n  - {template: b, adds: 1}\n  - {template: b, adds: 2}\n",
            "observed-twice",
            "4:5",
        ),
        ("calibration: x\nitem: []\n", "unknown-key", "2:1"),
        ("items: []\n", "missing-key", "1:1"),
    ],
)  # fmt: skip
def test_a_file_that_is_changed_by_hand_is_read_with_care(
    tmp_path: Path, text: str, code: str, place: str
) -> None:
    folder = tmp_path / "here"
    folder.mkdir()
    program = Program(folder)
    program.demo("simplify-surd")
    program.write("bank/calibration.yaml", text)

    ended = program.run("check", "bank", status=1, err=None)

    assert f"bank/calibration.yaml:{place}: wrong: {code}" in ended.out + ended.err


def _bank_with(tmp_path: Path, text: str) -> Program:
    folder = tmp_path / "here"
    folder.mkdir()
    program = Program(folder)
    program.demo("simplify-surd")
    program.write("bank/calibration.yaml", text)
    return program


@pytest.mark.parametrize("address", ["/1/2/1", "A B/1/2/1", "x/01/1/2", "x/0/1/2", "x/1/2/-1", "x/1/1/2/3"])
def test_an_odd_address_is_told(tmp_path: Path, address: str) -> None:
    program = _bank_with(tmp_path, f"calibration: x\nitems:\n  - {{item: {address}, difficulty: 3}}\n")

    assert (
        "bank/calibration.yaml:3:12: wrong: wrong-value"
        in program.run("check", "bank", status=1, err=None).out
    )


def test_templates_that_the_bank_lacks_are_told_once_and_hinder_nothing(tmp_path: Path) -> None:
    """As after a template was renamed."""
    program = _bank_with(
        tmp_path,
        "calibration: x\nitems:\n"
        "  - {item: simplify-surds/1/1/2, difficulty: 3}\n"
        "  - {item: simplify-surds/1/1/3, difficulty: 3}\n"
        "templates: [{template: simplify-surds, adds: 1}, {template: lost, adds: 1}]\n",
    )
    out = program.run("check", "bank").out

    assert 2 == out.count("doubtful: unknown-template")
    assert (
        "bank/calibration.yaml:3:5: doubtful: unknown-template\n  the bank has no template `simplify-surds`"
        in out
    )
    assert "nearest: simplify-surd\n" in out
    assert "calibration.yaml:5:50" in out
    assert "calibrate anew, or take its lines out" in out


def test_a_folder_called_like_the_file_is_told_though_the_bank_was_read_before(tmp_path: Path) -> None:
    program = _bank_with(tmp_path, "calibration: x\n")
    file = program.folder / "bank" / "calibration.yaml"
    file.unlink()
    program.run("check", "bank")
    file.mkdir()

    ended = program.run("check", "bank", status=1, err=None)
    assert "`bank/calibration.yaml` is a folder" in ended.out + ended.err


def test_a_version_raised_after_a_sitting_predicts_its_items_anew_and_says_so(tmp_path: Path) -> None:
    """An item of a new version may be another one; what the template's items were beyond prediction stays."""
    program = _bank_with(
        tmp_path,
        "calibration: November\nitems:\n"
        + "".join(f"  - {{item: simplify-surd/1/1/{place}, difficulty: 9000}}\n" for place in range(400))
        + "templates: [{template: simplify-surd, adds: 500}]\n",
    )
    before = program.run("check", "bank").out
    template = program.folder / "bank" / "templates" / "simplify-surd.yaml"
    text = template.read_text("utf-8")
    template.write_text(text.replace("version: 1\n", "version: 2\n"), "utf-8")
    after = program.run("check", "bank").out
    program.run("build", "bank", "--out", "built", "--count", "5", "--formats", "json", left=None)

    assert "observed in sittings: 400 items; the template is 0.5 logits harder than predicted\n" in before
    assert (
        "observed in sittings: 0 items; 400 items of other versions are predicted anew; the template is 0.5"
        in after
    )
    assert "items of `simplify-surd` that were sat are of other versions and predicted anew" in (
        program.folder / "built" / "report.md"
    ).read_text("utf-8").replace("\n", " ")
    for item in items_of(program.folder / "built"):
        assert [500] == [
            each["adds"] for each in item["difficulty"]["contributions"] if each["feature"] == "observed"
        ]
