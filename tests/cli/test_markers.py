"""`itembank markers` as a user runs it: two teachers mark a class, a third a sample of it."""

from __future__ import annotations

import csv
import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from itembank.analysis.response_files import read_build
from itembank.build import BuildRequest, build
from itembank.library import markers
from tests.analysis_samples import marks_of_a_class, write_csv
from tests.cli.harness import ROOT, Program

PUPILS = 24


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A build of every kind of response."""
    folder = tmp_path_factory.mktemp("markers")
    shutil.copytree(ROOT / "banks" / "kinds", folder / "bank")
    build(BuildRequest(folder / "bank", folder / "built", 12, formats=("json", "html")))
    return folder


@pytest.fixture
def program(tmp_path: Path, built: Path) -> Program:
    """Ash marked all; Bay too, a mark less on each written question above 0 and a slip on a choice; Cole a sample."""
    folder = tmp_path / "here"
    shutil.copytree(built, folder)
    program = Program(folder)
    rows = marks_of_a_class(folder / "built", PUPILS, seed=5)
    write_csv(folder / "Ash.csv", rows)
    written = [at for at, kind in kinds(folder).items() if kind == "written"]
    bay = [list(row) for row in rows]
    for row in bay[2:]:
        for at in written:
            row[at] = str(max(0, int(row[at]) - 1))
        row[-1] = ""
    choice = next(at for at, kind in kinds(folder).items() if kind == "choices")
    bay[2][choice] = "1" if bay[2][choice] == "0" else "0"
    write_csv(folder / "Bay.csv", bay)
    sample = [row if at < 5 else [row[0], *[""] * (len(row) - 1)] for at, row in enumerate(rows)]
    write_csv(folder / "Cole.csv", sample)
    return program


def kinds(folder: Path) -> dict[int, str]:
    """Column of the mark sheet -> kind of response."""
    with (folder / "built/staff/mark-sheet.csv").open(encoding="utf-8", newline="") as file:
        head = next(csv.reader(file))
    keys, _ = read_build(folder / "built")
    found = {question.column: question.kind for question in keys.questions}
    return {at: found[name] for at, name in enumerate(head) if name in found}


def told(program: Program, *more: str) -> Any:
    return json.loads(program.run("markers", "built", *more, "--json", err=None, left=None).out)


def test_the_harder_marker_and_the_slip_are_told(program: Program) -> None:
    out = program.run("markers", "built", "Ash.csv", "Bay.csv", err=None).out
    (pair,) = told(program, "Ash.csv", "Bay.csv")["agreements"]

    assert "24 scripts marked by both" in out
    assert re.search(r"Bay gives [0-9.]+ marks less for a script than Ash", out)
    assert out.count(": Bay is harder, on ") == 2
    assert out.count("only the key counts, and of 1 script") == 1
    assert "(--pupils names them)" in out
    assert "Pupil" not in out
    assert [each["kind"] for each in pair["questions"] if each["stands_out"]] == ["written", "written"]
    assert [each["kind"] for each in pair["questions"] if each["slip"]] == ["choices"]
    assert pair["marks"] == PUPILS * 12
    assert pair["shift"] == pytest.approx(sum(each["shift"] for each in pair["questions"]), abs=0.001)


def test_pupils_are_named_only_where_asked_for(program: Program) -> None:
    out = program.run("markers", "built", "Ash.csv", "Bay.csv", "--pupils", "--within", 0, err=None).out

    assert "mark them again: Pupil" in out
    assert "Scripts on which they differ" in out
    assert "differing" not in told(program, "Ash.csv", "Bay.csv")["agreements"][0]
    assert told(program, "Ash.csv", "Bay.csv", "--pupils")["agreements"][0]["differing"]


def test_three_markers_are_held_against_each_other(program: Program) -> None:
    found = told(program, "Ash.csv", "Bay.csv", "Cole.csv")

    assert [(each["first"], each["second"], each["scripts"]) for each in found["agreements"]] == [
        ("Ash", "Bay", PUPILS),
        ("Ash", "Cole", 3),
        ("Bay", "Cole", 3),
    ]
    ash_and_cole = found["agreements"][1]
    assert ash_and_cole["same"] == ash_and_cole["marks"] == 36
    assert ash_and_cole["first_alone"] == PUPILS - 3
    assert found["markers"][2] == {"marker": "Cole", "scripts": 3}


def test_who_passes_by_one_marker_alone(program: Program) -> None:
    (pair,) = told(program, "Ash.csv", "Bay.csv", "--pass", "15")["agreements"]
    made = pair["decisions"]

    assert sum(made[name] for name in ("both", "neither", "first", "second")) == PUPILS
    assert made["first"] > 0
    assert made["scripts"] == PUPILS


def test_scripts_with_empty_cells_are_told_where_passes_are_counted(program: Program) -> None:
    rows = [line.split(",") for line in (program.folder / "Bay.csv").read_text("utf-8").splitlines()]
    rows[-1][1] = rows[-2][1] = ""
    program.write("Gap.csv", "\n".join(map(",".join, rows)) + "\n")

    out = program.run("markers", "built", "Ash.csv", "Gap.csv", "--pass", "15", err=None).out

    assert f"of {PUPILS - 2} scripts with every question marked by both" in out
    assert "2 scripts more have empty cells, so nobody can tell who passes" in out


def test_what_nobody_disputes_is_a_mark_sheet_once_the_rest_is_settled(program: Program) -> None:
    out = program.run(
        "markers", "built", "Ash.csv", "Bay.csv", "--undisputed", "settle.csv", err=None, left=("settle.csv",)
    ).out
    (pair,) = told(program, "Ash.csv", "Bay.csv")["agreements"]
    text = (program.folder / "settle.csv").read_text("utf-8")

    assert text.count("?") == pair["marks"] - pair["same"]
    assert out.endswith(f"settle.csv: {text.count('?')} marks to settle\n")
    refused = program.run("analyse", "built", "--responses", "settle.csv", status=1, err=None)
    assert "`?` is no number of marks" in refused.err + refused.out
    program.write("settled.csv", text.replace("?", "0"))
    settled = json.loads(
        program.run("analyse", "built", "--responses", "settled.csv", "--json", err=None, left=None).out
    )
    assert settled["pupils"] == PUPILS

    again = program.run(
        "markers", "built", "Ash.csv", "Bay.csv", "--undisputed", "settle.csv", status=1, err=None
    )
    assert "file-exists" in again.out + again.err
    assert (program.folder / "settle.csv").read_text("utf-8") == text


def test_the_report_is_a_folder_of_its_own(program: Program) -> None:
    out = program.run(
        "markers", "built", "Ash.csv", "Bay.csv", "Cole.csv", "--out", "agreed", err=None, left=None
    ).out

    names = {path.name for path in (program.folder / "agreed").iterdir()}
    assert {"report.md", "report.html", "report.json", "markers.csv", "questions-1.csv"} <= names
    assert "scripts-1.csv" not in names
    assert "Ash and Bay: " in out
    refused = program.run(
        "markers", "built", "Ash.csv", "Bay.csv", "--out", "built", status=1, err=None, left=None
    )
    assert "would-replace-a-build" in refused.out + refused.err


@pytest.mark.parametrize(
    ("sheets", "more", "code"),
    [
        (("Ash.csv", "Ash.csv"), (), "one-marker"),
        (("Ash.csv", "nobody.csv"), (), "nothing-in-common"),
        (("Ash.csv", "Bay.csv"), ("--pass", "1000"), "beyond-the-maximum"),
        (("Ash.csv", "absent.csv"), (), "absent.csv"),
    ],
)
def test_what_is_wrong_is_told(
    program: Program, sheets: tuple[str, ...], more: tuple[str, ...], code: str
) -> None:
    head, *_ = (program.folder / "Ash.csv").read_text("utf-8").splitlines()
    program.write("nobody.csv", f"{head}\nSomebody Else,{','.join('1' for _ in head.split(',')[1:-1])},\n")

    ended = program.run("markers", "built", *sheets, *more, status=1, err=None)

    assert code in ended.out + ended.err
    assert "Traceback" not in ended.err


def test_one_sheet_is_wrong_usage(program: Program) -> None:
    ended = program.run("markers", "built", "Ash.csv", status=2, err=None)

    assert "it takes two markers" in ended.err


def test_sheets_of_one_name_are_told_apart_by_their_folders(program: Program) -> None:
    for folder in ("first", "second"):
        (program.folder / folder).mkdir()
        shutil.copy(program.folder / "Ash.csv", program.folder / folder / "marks.csv")
    found = told(program, "first/marks.csv", "second/marks.csv")

    assert [each["marker"] for each in found["markers"]] == ["first/marks", "second/marks"]
    assert found["agreements"][0]["same"] == found["agreements"][0]["marks"]


def test_two_of_three_with_nothing_in_common_are_told(program: Program) -> None:
    rows = [row.split(",") for row in (program.folder / "Ash.csv").read_text("utf-8").splitlines()]
    program.write("Dene.csv", "\n".join(",".join(row) for row in (*rows[:2], *rows[8:])))
    ended = program.run("markers", "built", "Ash.csv", "Cole.csv", "Dene.csv", err=None)

    assert "Cole and Dene have no mark in common" in ended.out + ended.err


def test_the_library_tells_the_same(program: Program) -> None:
    folder = program.folder
    found = markers(folder / "built", folder / "Ash.csv", folder / "Bay.csv", within=2, pass_mark=15)
    (pair,) = told(program, "Ash.csv", "Bay.csv", "--within", "2", "--pass", "15")["agreements"]

    (each,) = found.agreements
    assert (each.same, len(each.far)) == (pair["same"], pair["far_apart"])
    assert each.decisions is not None
    assert each.decisions.both == pair["decisions"]["both"]
