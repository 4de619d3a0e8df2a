"""`itembank analyse` as a user runs it: a bank is built, a simulated class sits it, the results come back."""

from __future__ import annotations

import csv
import json
import shutil
import zipfile
from pathlib import Path
from typing import Any

import pytest

from itembank.build import BuildRequest, build
from tests.analysis_samples import (
    choices_table,
    items_of,
    marks_of_a_class,
    replies_of_a_class,
    reports_of_a_class,
    write_csv,
)
from tests.cli.harness import DEMO, Program

PUPILS = 40


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo bank, built once."""
    out = tmp_path_factory.mktemp("analyse") / "built"
    build(BuildRequest(DEMO, out, 36, formats=("json",)))
    return out


@pytest.fixture
def program(tmp_path: Path, built: Path) -> Program:
    folder = tmp_path / "here"
    folder.mkdir()
    shutil.copytree(built, folder / "built")
    write_csv(folder / "marks.csv", marks_of_a_class(built, PUPILS, seed=5))
    return Program(folder)


def test_a_mark_sheet_is_told_as_text_and_as_json(program: Program) -> None:
    text = program.run("analyse", "built", "--responses", "marks.csv").out
    told = json.loads(program.run("analyse", "built", "--responses", "marks.csv", "--json").out)

    assert f"{PUPILS} pupils, 36 questions" in text
    assert (PUPILS, 36, 0) == (told["pupils"], len(told["questions"]), told["absent"])
    assert 0.7 < told["reliability"]["alpha"] < 1
    assert f"alpha {told['reliability']['alpha']:.2f}" in text
    assert 0 < told["reliability"]["standard_error"] < told["totals"]["deviation"]
    assert all(0 < each["facility"] < 1 for each in told["questions"])
    assert told["predicted"]["rank_correlation"] > 0.5, "the class finds hard what is predicted to be"
    assert "by_pupil" not in told


def test_many_faults_of_one_kind_are_told_by_some(program: Program) -> None:
    head, maximum, *pupils = marks_of_a_class(program.folder / "built", PUPILS, seed=5)
    ticks = [[line[0], *("x" for _ in line[1:-1]), ""] for line in pupils]
    write_csv(program.folder / "ticks.csv", [head, maximum, *ticks])

    told = program.run("analyse", "built", "--responses", "ticks.csv", status=1, err=None).err
    assert 6 == told.count("wrong: not-a-mark")
    assert f"and so in {PUPILS * 36 - 5} more places" in told


def test_many_doubts_of_one_kind_are_told_by_some(program: Program) -> None:
    """As where a column `total` counts what the marks do not have, for every pupil of a year."""
    head, *lines = marks_of_a_class(program.folder / "built", PUPILS, seed=5)
    assert "total" == head[-1]
    off = [[*line[:-1], "999"] if line[0] != "maximum" else line for line in lines]
    write_csv(program.folder / "off.csv", [head, *off])

    told = program.run("analyse", "built", "--responses", "off.csv", err=None).err

    assert 6 == told.count("doubtful: total-differs")
    assert f"and so in {PUPILS - 5} more places of this file, from here on" in told
    assert told.endswith("0 wrong, 6 doubtful\n")


@pytest.mark.parametrize(
    ("name", "member", "told"),
    [
        ("marks.xlsx", "xl/workbook.xml", "the workbook cannot be read"),
        ("marks.docx", "word/document.xml", "a text document"),
        ("marks.ods", "content.xml", "an office document"),
        ("marks.xls", b"\xd0\xcf\x11\xe0\xa1\xb1", "an office program"),
        ("marks.pdf", b"%PDF-1.7\n", "a PDF document"),
        ("marks.xls", b"\xef\xbb\xbf\r\n<HTML><table><tr><td>pupil</td></tr></table></HTML>", "a web page"),
    ],
)
def test_what_office_programs_save_is_told_to_be_saved_as_text(
    program: Program, name: str, member: str | bytes, told: str
) -> None:
    path = program.folder / name
    if isinstance(member, bytes):
        path.write_bytes(member)
    else:
        with zipfile.ZipFile(path, "w") as package:
            package.writestr(member, "<x/>")

    found = program.run("analyse", "built", "--responses", name, status=1, err=None).err
    assert told in found
    assert "save the sheet as CSV" in found


def test_a_form_is_to_be_named_where_there_are_several(program: Program) -> None:
    shutil.copytree(program.folder / "built", program.folder / "forms" / "form-a")

    told = program.run("analyse", "forms", "--responses", "marks.csv", status=1, err=None).err
    assert "name one, such as forms/form-a" in told
    assert (
        "there is no folder gone"
        in program.run("analyse", "gone", "--responses", "marks.csv", status=1, err=None).err
    )


def test_no_name_leaves_unless_it_is_asked_for(program: Program) -> None:
    out = program.folder / "report"
    program.run("analyse", "built", "--responses", "marks.csv", "--out", "report", left=None)
    texts = [path.read_text("utf-8") for path in out.iterdir()]
    named = program.run("analyse", "built", "--responses", "marks.csv", "--pupils").out

    assert {
        "report.md",
        "report.html",
        "report.json",
        "questions.csv",
        "templates.csv",
        "totals.csv",
        ".itembank-output",
    } == {path.name for path in out.iterdir()}
    assert not any("Pupil" in text for text in texts)
    assert "Pupil" not in program.run("analyse", "built", "--responses", "marks.csv", "--options").out
    assert "Pupil 07" in named


def test_a_folder_of_reports_is_replaced_whole_and_equal_results_give_equal_bytes(program: Program) -> None:
    def bytes_of() -> dict[str, bytes]:
        run = program.run("analyse", "built", "--responses", "marks.csv", "--out", "r", "--pupils", left=None)
        assert run.out.endswith("files in r\n")
        return {path.name: path.read_bytes() for path in sorted((program.folder / "r").iterdir())}

    first = bytes_of()

    assert "pupils.csv" in first
    assert first == bytes_of()


@pytest.mark.parametrize("out", ["built", "built/staff/..", "built/analysis", "other"])
def test_a_build_is_never_replaced_by_a_report(program: Program, out: str) -> None:
    shutil.copytree(program.folder / "built", program.folder / "other")
    done = program.run("analyse", "built", "--responses", "marks.csv", "--out", out, status=1, err=None)

    assert "would-replace-a-build" in done.err
    assert items_of(program.folder / "built")


def test_what_is_wrong_is_told_at_its_cell_as_text_and_as_json(program: Program) -> None:
    rows = marks_of_a_class(program.folder / "built", 3, seed=5)
    rows[3][2], rows[3][-1] = "9", ""
    rows[4][0] = rows[2][0]
    write_csv(program.folder / "bad.csv", rows)
    text = program.run("analyse", "built", "--responses", "bad.csv", status=1, err=None).err
    told = json.loads(program.run("analyse", "built", "--responses", "bad.csv", "--json", status=1).out)

    assert "bad.csv:4:12: wrong: more-than-maximum" in text
    assert "bad.csv:5:1: wrong: same-pupil-twice" in text
    assert "2 wrong, 0 doubtful" in text
    assert [("more-than-maximum", 4, 12), ("same-pupil-twice", 5, 1)] == [
        (each["code"], each["line"], each["column"]) for each in told["diagnostics"]
    ]
    assert "Pupil" not in text


@pytest.mark.parametrize(
    ("build", "responses", "code"),
    [("nothing", "marks.csv", "no-staff-files"), ("built", "nothing.csv", "cannot-be-read")],
)
def test_what_is_not_there_is_told(program: Program, build: str, responses: str, code: str) -> None:
    assert code in program.run("analyse", build, "--responses", responses, status=1, err=None).err


def test_staff_files_that_are_damaged_are_told(program: Program) -> None:
    items = program.folder / "built" / "staff" / "items.json"
    for text in (
        "{",
        "[]",
        '{"items": []}',
        '{"items": [{"code": 1}]}',
        "\ud83d".encode("utf-16", "surrogatepass"),
    ):
        items.write_bytes(text if isinstance(text, bytes) else text.encode())
        done = program.run("analyse", "built", "--responses", "marks.csv", status=1, err=None)
        assert "wrong-items-file" in done.err


def test_no_responses_are_wrong_usage(program: Program) -> None:
    program.run("analyse", "built", status=2, err=None)


def test_several_classes_come_in_several_files(program: Program) -> None:
    rows = marks_of_a_class(program.folder / "built", PUPILS, seed=5)
    write_csv(program.folder / "one.csv", rows[:20])
    write_csv(program.folder / "two.csv", [*rows[:2], *rows[20:]])
    together = program.run("analyse", "built", "--responses", "one.csv", "two.csv", "--json").out

    assert together == program.run("analyse", "built", "--responses", "marks.csv", "--json").out
    twice = program.run("analyse", "built", "--responses", "one.csv", "marks.csv", status=1, err=None)
    assert "same-pupil-twice" in twice.err


# what was chosen


def analysed(program: Program, *files: str) -> dict[str, Any]:
    told: dict[str, Any] = json.loads(
        program.run("analyse", "built", "--responses", *files, "--json", err=None).out
    )
    return told


def test_what_to_reteach_reads_as_a_page_and_not_as_a_template(program: Program) -> None:
    told = json.loads((program.folder / "built" / "staff" / "items.json").read_text("utf-8"))
    sentences = {
        slip[who]
        for item in told["items"]
        for part in item["parts"]
        for slip in part["slips"]
        for who in ("pupil", "teacher")
    }

    assert any("b² − ac" in each for each in sentences)
    assert [] == [each for each in sentences if "*" in each or "^" in each]
    answers = (program.folder / "built" / "staff" / "answer-map.csv").read_text("utf-8")
    assert "Uses b² − ac" in answers


def test_a_slip_that_half_of_the_class_makes_is_told_first(program: Program) -> None:
    replies = replies_of_a_class(program.folder / "built", PUPILS, seed=9, slip="sign-of-half")
    write_csv(program.folder / "chosen.csv", choices_table(replies))
    told = analysed(program, "chosen.csv")
    text = program.run("analyse", "built", "--responses", "chosen.csv", "--options", err=None).out
    teacher = told["slips"][0]["teacher"]

    assert "sign-of-half" == told["slips"][0]["slip"]
    assert told["slips"][0]["pupils"] >= PUPILS // 2
    assert told["slips"][0]["answers"] >= PUPILS // 2
    assert "sign-of-half" in [
        about for f in told["findings"] if f["rule"] == "common-slip" for about in f["about"]
    ]
    lines = text.splitlines()
    assert lines[lines.index("What to reteach") + 1].startswith("  sign-of-half, ")
    assert teacher in lines[lines.index("What to reteach") + 1]
    assert "Pupil" not in text


def test_an_item_with_a_wrong_key_is_found_and_no_other(program: Program) -> None:
    """The key of one choice is moved to another option after the class has answered."""
    built = program.folder / "built"
    write_csv(program.folder / "chosen.csv", choices_table(replies_of_a_class(built, 80, seed=3)))
    path = built / "staff" / "items.json"
    data = json.loads(path.read_text("utf-8"))
    item = next(each for each in data["items"] if each["address"]["template"] == "simplify-surd")
    options = item["parts"][0]["options"]
    right = next(each for each in options if each["right"])
    other = next(each for each in options if not each["right"])
    right["right"], other["right"] = False, True
    path.write_text(json.dumps(data), "utf-8")

    found = [each for each in analysed(program, "chosen.csv")["findings"] if each["rule"] == "key-in-doubt"]

    assert [[item["code"]]] == [each["about"] for each in found]
    assert f"chose {right['option']} (" in found[0]["message"]


@pytest.mark.parametrize("kept_as", ["folder", "zip", "files"])
def test_result_reports_say_what_the_table_of_choices_says(program: Program, kept_as: str) -> None:
    built = program.folder / "built"
    replies = replies_of_a_class(built, 24, seed=4, slip="sign-of-half")
    write_csv(program.folder / "chosen.csv", choices_table(replies))
    reports = reports_of_a_class(replies, {item["code"]: item["marks"] for item in items_of(built)})
    folder = program.folder / "reports"
    folder.mkdir()
    for name, data in reports.items():
        (folder / name).write_bytes(data)
    with zipfile.ZipFile(program.folder / "reports.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in reports.items():
            archive.writestr(f"session-1/{name}", data)
    files = {"folder": ["reports"], "zip": ["reports.zip"], "files": [f"reports/{name}" for name in reports]}[
        kept_as
    ]

    of_reports, of_table = analysed(program, *files), analysed(program, "chosen.csv")
    assert 24 == of_reports["pupils"]
    assert [] == of_reports.pop("doubtful")
    assert ["missing-column", "typed-answers"] == [each["code"] for each in of_table.pop("doubtful")]
    assert of_table == of_reports


def test_a_sheet_of_an_older_program_is_read_and_that_is_told_in_the_report(program: Program) -> None:
    head, maximum, *pupils = marks_of_a_class(program.folder / "built", PUPILS, seed=5)
    renamed = [["José", *pupils[0][1:]], *pupils[1:]]
    lines = "".join(";".join(map(str, line)) + "\r\n" for line in (head, maximum, *renamed))
    (program.folder / "older.csv").write_bytes(lines.encode("cp1252"))

    told = analysed(program, "older.csv", "--pupils")
    program.run("analyse", "built", "--responses", "older.csv", "--out", "told", err=None, left=None)

    assert "José" == told["by_pupil"][0]["pupil"]
    assert ["older-encoding"] == [each["code"] for each in told["doubtful"]]
    assert "Windows-1252" in (program.folder / "told" / "report.md").read_text(encoding="utf-8")


def test_marks_and_choices_of_one_class_go_together(program: Program) -> None:
    built = program.folder / "built"
    write_csv(program.folder / "chosen.csv", choices_table(replies_of_a_class(built, PUPILS, seed=5)))
    told = analysed(program, "marks.csv", "chosen.csv")

    assert told["answers"]
    assert "" == program.run("analyse", "built", "--responses", "marks.csv", "chosen.csv", "--json").err
    assert analysed(program, "marks.csv")["questions"] == told["questions"], "marks that were given count"


def test_result_reports_that_are_broken_or_hostile_are_told(program: Program) -> None:
    bomb = '<!DOCTYPE r [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><assessmentResult>&b;</assessmentResult>'
    for name, text, code in (
        ("bomb.xml", bomb, "document-type"),
        ("open.xml", "<assessmentResult>", "not-well-formed"),
        ("other.xml", "<manifest/>", "no-result-report"),
        ("strange.xml", '<assessmentResult><itemResult identifier="Q1"/></assessmentResult>', "unknown-item"),
    ):
        program.write(name, text)
        done = program.run("analyse", "built", "--responses", name, status=1, err=None)
        assert f"{name}:1:" in done.err
        assert code in done.err
    (program.folder / "cut.zip").write_bytes(b"PK\x03\x04 and no more")
    assert "damaged-zip" in program.run("analyse", "built", "--responses", "cut.zip", status=1, err=None).err


def test_letters_of_a_version_and_what_was_not_reached_in_it_are_read(tmp_path: Path) -> None:
    """Pupils sit two versions; each writes the letters that stand there for what all of them chose."""
    program = Program(tmp_path)
    out = tmp_path / "built"
    build(BuildRequest(DEMO, out, 24, formats=("json", "html"), versions=2))
    with (out / "staff" / "quadratics-versions.csv").open(encoding="utf-8", newline="") as file:
        printed = {
            (row["item"], row["version"]): row["order"].split()
            for row in csv.DictReader(file)
            if row["order"]
        }
    with (out / "staff" / "mark-sheet.csv").open(encoding="utf-8", newline="") as file:
        head, _, *numbers = list(csv.reader(file))
    replies = replies_of_a_class(out, 24, seed=6)
    codes = [code for code, reply in replies[0].items() if (code, "A") in printed]
    texts = {
        code: {each["option"]: each["plain"] for each in options} for code, options in _options(out).items()
    }
    rows, as_kept = [["pupil", "version", *codes]], [["pupil", *codes]]
    for number, each in enumerate(replies):
        version = "AB"[number % 2]
        letters = ["ABCDEFGH"[printed[code, version].index(each[code].text)] for code in codes]
        rows.append([f"P{number}", version, *letters])
        as_kept.append([f"P{number}", *(texts[code][each[code].text] for code in codes)])
    write_csv(tmp_path / "letters.csv", rows)
    write_csv(tmp_path / "texts.csv", as_kept)
    order = {row[0]: {code: int(row[head.index(code)]) for code in head[1:-1]} for row in numbers}
    assert ["question A", "question B"] == list(order)
    last = {version: max(places, key=places.__getitem__) for version, places in order.items()}
    marks = [["pupil", "version", *head[1:-1]]]
    for number in range(6):
        version = "AB"[number % 2]
        blank = last[f"question {version}"]
        marks.append([f"P{number}", version, *("" if code == blank else "1" for code in head[1:-1])])
    write_csv(tmp_path / "marks.csv", marks)

    told = [
        json.loads(program.run("analyse", "built", "--responses", name, "--json", err=None).out)
        for name in ("letters.csv", "texts.csv", "marks.csv")
    ]
    doubts = program.run("analyse", "built", "--responses", "marks.csv", err=None).err
    assert "taken-for-marks" in doubts

    assert len(codes) >= 8
    assert told[0]["answers"] == told[1]["answers"]
    with (out / "staff" / "quadratics-versions.csv").open(encoding="utf-8", newline="") as file:
        stands = {
            (row["item"], row["version"]): (row["question"], row["order"].split())
            for row in csv.DictReader(file)
        }
    choices = [each for each in told[0]["answers"] if each["kind"] == "choice"]
    assert choices
    for each in choices:
        for answer in each["chosen"]:
            for where in answer["printed"].split(", "):
                version, number, letter = where.split()
                question, there = stands[each["name"], version]
                assert (number, answer["answer"]) == (question, there["ABCDEF".index(letter)])
    assert dict.fromkeys(last.values(), 3) == {
        each["name"]: each["not_reached"] for each in told[2]["questions"] if each["not_reached"]
    }
    assert (
        "no-version"
        in program.run(
            "analyse", "built", "--responses", _without_version(tmp_path / "letters.csv"), status=1, err=None
        ).err
    )


def _options(built: Path) -> dict[str, list[dict[str, str]]]:
    return {
        item["code"]: item["parts"][0]["options"] for item in items_of(built) if "options" in item["parts"][0]
    }


def _without_version(path: Path) -> str:
    rows = list(csv.reader(path.read_text("utf-8").splitlines()))
    return write_csv(path.with_name("bare.csv"), [[row[0], *row[2:]] for row in rows]).name


def test_groups_are_held_against_each_other_and_who_has_none_is_told(program: Program) -> None:
    head, maximum, *pupils = marks_of_a_class(program.folder / "built", 90, seed=5)
    write_csv(program.folder / "marks.csv", [head, maximum, *pupils])
    lines = [[pupil[0], "Monday" if number % 2 else "Tuesday"] for number, pupil in enumerate(pupils[:-1])]
    write_csv(program.folder / "groups.csv", [["pupil", "class"], *lines])
    call = ("analyse", "built", "--responses", "marks.csv", "--groups", "groups.csv")
    plain = program.run(*call, err=None)
    told = json.loads(program.run(*call, "--json", err=None).out)
    program.run(*call, "--out", "report", err=None, left=None)

    assert "groups.csv:1:7: doubtful: no-group" in plain.err
    assert "1 of 90 pupils with results have no group here" in plain.err
    assert [("Monday", 44), ("Tuesday", 45)] == [(each["group"], each["pupils"]) for each in told["groups"]]
    assert {("Monday", "Tuesday")} == {(each["group"], each["beside"]) for each in told["differences"]}
    assert "Questions in the hands of groups" in plain.out
    assert (program.folder / "report" / "differences.csv").is_file()
    assert "groups" not in json.loads(
        program.run("analyse", "built", "--responses", "marks.csv", "--json").out
    )
