"""`itembank passmark` as a user runs it: the form goes to judges and comes back, teachers judge, a class sits."""

from __future__ import annotations

import csv
import json
import re
import shutil
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from itembank import library
from itembank.build import BuildRequest, build
from tests.analysis_samples import marks_of_a_class, write_csv
from tests.cli.harness import DEMO, Program

PUPILS = 40
KINDS = ("below", "borderline", "above")


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo bank, built once from a copy."""
    folder = tmp_path_factory.mktemp("passmark")
    shutil.copytree(DEMO, folder / "bank")
    build(BuildRequest(folder / "bank", folder / "built", 24, formats=("json", "html")))
    return folder


@pytest.fixture
def program(tmp_path: Path, built: Path) -> Program:
    """What a school has: results, judged pupils, ratings of two judges in the form of the build."""
    folder = tmp_path / "here"
    shutil.copytree(built, folder)
    program = Program(folder)
    marks = marks_of_a_class(folder / "built", PUPILS, seed=5)
    write_csv(folder / "marks.csv", marks)
    best = sorted(marks[2:], key=lambda row: int(row[-1]))
    judged = [[row[0], KINDS[3 * place // PUPILS]] for place, row in enumerate(best)]
    write_csv(folder / "judged.csv", [["pupil", "judgement"], *judged])
    program.run("passmark", "built", "--form", "form.csv", "--judges", 2, "--rounds", 2, left=("form.csv",))
    fill(folder / "form.csv", folder / "ratings.csv")
    return program


def rows(path: Path) -> list[list[str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


def fill(form: Path, filled: Path) -> None:
    """Judge 1 expects half the marks of each item, judge 2 nine tenths, and goes down to seven tenths in round 2."""
    head, *lines = rows(form)
    told = [[*line[:4], f"{int(line[3]) / 2:g}", "", f"{int(line[3]) * 9 / 10:g}", "70 %"] for line in lines]
    write_csv(filled, [head, *told])


def told(program: Program, *more: str) -> Any:
    return json.loads(program.run("passmark", "built", *more, "--json").out)


def test_the_form_names_each_question_of_the_paper_with_its_marks(program: Program) -> None:
    head, *lines = rows(program.folder / "form.csv")
    sheet, most, numbers, *_ = rows(program.folder / "built/staff/mark-sheet.csv")

    assert [
        "item",
        "on paper",
        "title",
        "marks",
        "judge 1",
        "judge 1, round 2",
        "judge 2",
        "judge 2, round 2",
    ] == head
    assert [list(column) for column in (sheet[1:-1], numbers[1:-1], most[1:-1])] == [
        [line[column] for line in lines] for column in (0, 1, 3)
    ]
    assert all(line[2] and not any(line[4:]) for line in lines)


def test_a_filled_in_form_is_never_replaced(program: Program) -> None:
    before = (program.folder / "form.csv").read_bytes()
    ended = program.run("passmark", "built", "--form", "form.csv", status=1, err=None)
    within = program.run("passmark", "built", "--form", "built/staff/form.csv", status=1, err=None)
    nowhere = program.run("passmark", "built", "--form", "no/form.csv", "--json", status=1, err=None)

    assert "form.csv:1:1: wrong: file-exists" in ended.err
    assert before == (program.folder / "form.csv").read_bytes()
    assert "would-replace-a-build" in within.err
    assert "not-writable" in nowhere.out + nowhere.err


def test_the_form_is_told_in_a_line(program: Program) -> None:
    ended = program.run("passmark", "built", "--form", "one.csv", "--judges", 1, left=("one.csv",))

    assert "one.csv: 24 questions, 1 judge, 1 round\n" == ended.out


def test_the_form_is_told_as_data(program: Program) -> None:
    ended = program.run("passmark", "built", "--form", "other.csv", "--json", left=("other.csv",))

    assert {"form": "other.csv", "questions": 24, "judges": 10, "rounds": 1} == json.loads(ended.out)


def test_what_judges_would_accept_has_a_form_that_reads_back(program: Program) -> None:
    ended = program.run(
        "passmark",
        "built",
        "--form",
        "limits.csv",
        "--form-of",
        "limits",
        "--judges",
        3,
        left=("limits.csv",),
    )
    head, first, *others = rows(program.folder / "limits.csv")
    write_csv(program.folder / "filled.csv", [head, [first[0], "40 %", "60 %", "5", "60"], *others])
    data = told(program, "--judgements", "filled.csv", "--responses", "marks.csv")

    assert "limits.csv: 3 judges\n" == ended.out
    assert ["judge", "least mark", "most mark", "least fail", "most fail"] == head
    assert 1 == data["compromise"]["judges"], "who writes nothing says nothing"


def test_pupils_have_a_form_that_reads_back(program: Program) -> None:
    form = ("passmark", "built", "--form", "pupils.csv", "--form-of", "pupils", "--responses", "marks.csv")
    ended = program.run(*form, "--json", left=("pupils.csv",))
    head, *lines = rows(program.folder / "pupils.csv")
    write_csv(
        program.folder / "filled.csv", [head, *([line[0], "borderline"] for line in lines[:9]), *lines[9:]]
    )
    data = told(program, "--judgements", "filled.csv", "--responses", "marks.csv")

    assert {"form": "pupils.csv", "pupils": PUPILS} == json.loads(ended.out)
    assert ["pupil", "judgement"] == head
    assert all("" == line[1] for line in lines)
    assert {"below": 0, "borderline": 9, "above": 0} == data["judged"]


def test_a_boundary_is_held_against_the_one_below_it(program: Program) -> None:
    head, *lines = rows(program.folder / "form.csv")
    merit = [[*line[:4], "", f"{int(line[3]) * 3 / 4:g}", "", f"{int(line[3]) * 4 / 5:g}"] for line in lines]
    write_csv(program.folder / "merit.csv", [head, *merit])
    both = ("--judgements", "merit.csv", "--boundary", "merit", "--responses", "marks.csv")
    text = program.run("passmark", "built", *both, "--lower", "ratings.csv").out
    turned = told(program, "--judgements", "ratings.csv", "--lower", "merit.csv")["beside"]
    other = program.run("passmark", "built", *both, "--lower", "judged.csv", "--json", err=None)
    twice = program.run(
        "passmark", "built", "--judgements", "merit.csv", "--lower", "merit.csv", status=1, err=None
    )

    assert "Beside the boundary below" in text
    assert ["judge 1", "judge 2"] == [each["judge"] for each in turned["judges"]]
    assert turned["steps"][0]["mark"] < turned["steps"][0]["lower"]
    assert len(lines) == len(turned["questions"])
    assert [] == json.loads(other.out)["beside"]["steps"]
    assert "nothing-beside" in other.err
    assert "same-judgements-twice" in twice.err
    assert library.passmark(
        program.folder / "built",
        program.folder / "merit.csv",
        lower=[program.folder / "ratings.csv"],
    ).beside


def test_the_cut_is_that_of_the_ratings(program: Program) -> None:
    data = told(program, "--judgements", "ratings.csv")
    maximum = data["maximum"]
    (cut,) = data["cuts"]

    assert Fraction(6, 10) * maximum == Fraction(cut["exactly"])
    assert [round(0.7 * maximum, 4), round(0.6 * maximum, 4)] == [each["cut"] for each in data["rounds"]]
    assert cut["mark"] - 1 < Fraction(cut["exactly"]) <= cut["mark"]
    assert [] == cut["outcomes"]


def test_a_spreadsheet_in_another_language_says_the_same(program: Program) -> None:
    text = (program.folder / "ratings.csv").read_text("utf-8")
    cells = [[cell.replace(".", ",") for cell in row] for row in csv.reader(text.splitlines())]
    lines = ["sep=;", *(";".join(row) for row in cells)]
    (program.folder / "ratings.csv").write_bytes(("\ufeff" + "\r\n".join(lines)).encode("utf-16-le"))

    assert Fraction(6, 10) == Fraction(
        told(program, "--judgements", "ratings.csv")["cuts"][0]["exactly"]
    ) / Fraction(told(program, "--judgements", "ratings.csv")["maximum"])


def test_judged_pupils_and_results_tell_two_more_marks_and_who_would_pass(program: Program) -> None:
    data = told(
        program, "--judgements", "ratings.csv", "--judgements", "judged.csv", "--responses", "marks.csv"
    )
    totals = sorted(int(row[-1]) for row in rows(program.folder / "marks.csv")[2:])
    border = totals[14:27]  # 3 * place // 40 is 1

    assert ["Angoff", "borderline group", "contrasting groups"] == [cut["method"] for cut in data["cuts"]]
    assert (PUPILS, 0) == (data["pupils"], data["left_out"])
    assert {"below": 14, "borderline": 13, "above": 13} == data["judged"]
    assert border[6] == data["borderline"]["median"]
    for cut in data["cuts"]:
        assert [cut["mark"] + step for step in (-1, 0, 1)] == [each["mark"] for each in cut["outcomes"]]
        for each in cut["outcomes"]:
            assert each["passing"] == sum(total >= each["mark"] for total in totals)


def test_no_pupil_is_named_in_what_is_written(program: Program) -> None:
    more = ("--judgements", "ratings.csv", "--judgements", "judged.csv", "--responses", "marks.csv")
    ended = program.run("passmark", "built", *more, "--boundary", "merit", "--out", "mark", left=None)
    folder = program.folder / "mark"
    files = {path.name: path.read_text("utf-8") for path in folder.iterdir()}

    assert re.search(r"^Angoff: from \d+ of \d+ marks$", ended.out, re.MULTILINE)
    assert ended.out.endswith("9 files in mark\n")
    assert {
        "report.md",
        "report.html",
        "report.json",
        "cuts.csv",
        "outcomes.csv",
        "questions.csv",
    } <= files.keys()
    assert files["report.md"].startswith("# Mark for merit: ")
    assert not any("Pupil 0" in text for text in files.values())
    assert all("judge 2" in files[name] for name in ("report.md", "report.html", "report.json", "judges.csv"))


def test_files_of_several_judges_may_follow_each_other(program: Program) -> None:
    head, *lines = rows(program.folder / "ratings.csv")
    for judge, columns in (("1", (0, 4, 5)), ("2", (0, 6, 7))):
        write_csv(program.folder / f"{judge}.csv", [[row[at] for at in columns] for row in (head, *lines)])

    assert told(program, "--judgements", "1.csv", "2.csv") == told(program, "--judgements", "ratings.csv")


def test_the_terminal_tells_the_report(program: Program) -> None:
    text = program.run("passmark", "built", "--judgements", "ratings.csv").out

    assert text.startswith("Pass mark: Completing the square, evening algebra\n")
    assert "2 judges are few" in text


def test_what_is_wrong_is_told_at_its_place_and_nothing_is_written(program: Program) -> None:
    text = (program.folder / "ratings.csv").read_text("utf-8").splitlines()
    cells = text[3].split(",")
    cells[4] = "60"
    (program.folder / "ratings.csv").write_text("\n".join([*text[:3], ",".join(cells), *text[4:]]), "utf-8")
    column = len(",".join(cells[:4])) + 2
    ended = program.run(
        "passmark", "built", "--judgements", "ratings.csv", "--out", "mark", status=1, err=None
    )
    as_json = program.run("passmark", "built", "--judgements", "ratings.csv", "--json", status=1, err=None)

    assert f"ratings.csv:4:{column}: wrong: more-than-maximum" in ended.err
    assert "add --scale percent" in ended.err
    assert "more-than-maximum" in as_json.out


def test_doubts_are_told_beside_the_result(program: Program) -> None:
    head, *lines = rows(program.folder / "ratings.csv")
    write_csv(program.folder / "ratings.csv", [[*head, "comment"], *([*line, "hard"] for line in lines)])
    ended = program.run("passmark", "built", "--judgements", "ratings.csv", "--json", err=None)

    assert "doubtful: no-judge" in ended.err
    assert 1 == len(json.loads(ended.out)["cuts"])


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ((), "name what judges say with --judgements FILE"),
        (
            ("--judgements", "ratings.csv", "--form", "new.csv"),
            "--form writes the blank form and nothing else",
        ),
        (("--judgements", "ratings.csv", "--judges", "3"), "--judges and --rounds are for the form"),
        (("ratings.csv",), "is ratings.csv of judges or of results?"),
        (
            ("--judgements", "judged.csv", "--responses", "marks.csv", "more.csv"),
            "is more.csv of judges or of results?",
        ),
        (("--form", "new.csv", "--lower", "ratings.csv"), "--form writes the blank form and nothing else"),
        (
            ("--form", "new.csv", "--form-of", "limits", "--responses", "marks.csv"),
            "leave the other files out",
        ),
        (("--form", "new.csv", "--form-of", "pupils"), "a form of pupils needs their names"),
        (("--form", "new.csv", "--form-of", "limits", "--rounds", "2"), "--rounds is for a form of ratings"),
        (
            ("--form", "new.csv", "--form-of", "pupils", "--responses", "marks.csv", "--judges", "2"),
            "a form of pupils is for one teacher",
        ),
        (("--judgements", "ratings.csv", "--form-of", "limits"), "--form-of is for the form"),
        (("--form", "new.csv", "--judges", "0"), "Invalid value for '--judges'"),
        (("--judgements", "ratings.csv", "--scale", "stars"), "Invalid value for '--scale'"),
    ],
)
def test_wrong_usage_says_what_is_right(program: Program, more: tuple[str, ...], said: str) -> None:
    assert said in program.run("passmark", "built", *more, status=2, err=None).err


def test_a_build_is_not_replaced_and_a_folder_without_one_is_refused(program: Program) -> None:
    over = program.run(
        "passmark", "built", "--judgements", "ratings.csv", "--out", "built", status=1, err=None
    )
    bank = program.run("passmark", "bank", "--judgements", "ratings.csv", status=1, err=None)
    without = program.run("passmark", "built", "--judgements", "judged.csv", status=1, err=None)

    assert "would-replace-a-build" in over.err
    assert "no-staff-files" in bank.err
    assert "no-responses" in without.err
    assert "add --responses FILE" in without.err
