"""A run that is forked ends as one by an interpreter of its own: status, both streams, files; for each command."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import pytest

from itembank.cli import main as command_line
from tests.analysis_samples import marks_of_a_class, write_csv
from tests.cli import processes
from tests.cli.harness import Ended, Program

BUILD = ("build", "bank", "--out", "out", "--count", "4", "--formats", "qti3,json")
RECORD = ("record", "out", "--into", "bank", "--group", "Evening algebra B", "--on", "2026-06-12")
SITTING = "2026-06-12-evening-algebra-b-quadratics"
BLUEPRINT = """blueprint: two
title: Two forms
forms: 2
items: 2
holds: [{template: vertex-form, items: 2}]
pool: 12
"""
RUNS = {
    "new": [("new", "mine"), ("new", "mine")],
    "check": [("check", "bank"), ("check", "bank", "nowhere.yaml", "--json")],
    "show": [
        ("show", "bank", "--count", "2"),
        ("show", "bank", "--count", "0"),
        ("show", "bank", "--page", "items.html"),
    ],
    "build": [BUILD, (*BUILD[:4], "--count", "1000000")],
    "approve": [
        ("approve", "bank", "--all", "--by", "Ms Ash", "--on", "2026-06-12"),
        ("approve", "bank", "none"),
        ("build", "bank", "--out", "out", "--count", "2", "--formats", "json", "--approved"),
    ],
    "assemble": [("assemble", "bank/blueprints/two.yaml", "--out", "forms", "--formats", "json")],
    "sampler": [("sampler", "bank", "--out", "sampler")],
    "verify": [BUILD, ("verify", "out"), ("verify", "nowhere.zip")],
    "analyse": [BUILD, ("analyse", "out", "--responses", "marks.csv", "--out", "report")],
    "learnt": [
        BUILD,
        (
            "learnt",
            "out",
            "marks.csv",
            "--out",
            "who",
            "--practice",
            "bank",
            "--count",
            "2",
            "--formats",
            "html",
        ),
    ],
    "calibrate": [BUILD, ("calibrate", "out", "marks.csv", "--out", "calibrated")],
    "markers": [
        BUILD,
        ("markers", "out", "marks.csv", "judged.csv"),
        ("markers", "out", "marks.csv", "again.csv", "--out", "agreed", "--undisputed", "settle.csv"),
    ],
    "passmark": [
        BUILD,
        ("passmark", "out", "--form", "form.csv", "--judges", "2"),
        ("passmark", "out", "--form", "form.csv"),
        ("passmark", "out", "--judgements", "judged.csv", "--responses", "marks.csv", "--out", "mark"),
    ],
    "record": [BUILD, RECORD, RECORD, (*RECORD[:-1], "someday")],
    "used": [("used", "bank"), BUILD, RECORD, ("used", "bank", "--limit", "0")],
    "restore": [
        BUILD,
        RECORD,
        ("restore", "bank", SITTING, "--out", "back"),
        ("restore", "bank", "x", "--out", "y"),
    ],
    "unrecord": [BUILD, RECORD, ("unrecord", "bank", SITTING), ("unrecord", "bank", SITTING)],
    "coverage": [("coverage", "bank")],
    "schema": [("schema",), ("--version",), ("grade",), ()],
}
"""Command -> runs one after the other in one folder, some of them wrong."""

pytestmark = pytest.mark.skipif(sys.platform in {"win32", "darwin"}, reason="no run is forked here")


def ended(
    program: Program, runs: list[tuple[str, ...]], afresh: bool
) -> tuple[list[Ended], dict[str, bytes]]:
    """How each run ended, and every file in the end."""
    found = []
    for arguments in runs:
        if arguments[0:1] in {("analyse",), ("calibrate",), ("learnt",), ("markers",), ("passmark",)}:
            write_csv(program.folder / "marks.csv", marks_of_a_class(program.folder / "out", 60, seed=5))
            shutil.copy(program.folder / "marks.csv", program.folder / "again.csv")
            kinds = ("below", "borderline", "above")
            judged = [[f"Pupil {number:02}", kinds[number % 3]] for number in range(1, 61)]
            write_csv(program.folder / "judged.csv", [["pupil", "judgement"], *judged])
        found.append(program.run(*arguments, status=None, err=None, left=None, afresh=afresh))
    names = [name for name in program.files() if (program.folder / name).is_file()]
    return found, {name: (program.folder / name).read_bytes() for name in names}


def test_every_command_is_run_in_both_ways() -> None:
    assert set(command_line._COMMANDS) == set(RUNS)


@pytest.mark.parametrize("command", RUNS)
def test_a_forked_run_ends_as_one_by_an_interpreter_of_its_own(command: str, tmp_path: Path) -> None:
    told = []
    for way in ("forked", "afresh"):
        folder = tmp_path / way / "here"
        folder.mkdir(parents=True)
        program = Program(folder)
        program.demo("vertex-form")
        program.write("bank/blueprints/two.yaml", BLUEPRINT)
        told.append(ended(program, RUNS[command], afresh=way == "afresh"))

    (runs, files), other = told
    assert (runs, files) == other
    assert any(each.status == 0 for run, each in zip(RUNS[command], runs, strict=True) if command in run[:1])


def test_nothing_of_a_run_is_left_for_the_next(tmp_path: Path) -> None:
    environment = Program(tmp_path).variables()
    double = "import itembank\nfrom itembank.cli import main\nmain.group.main = lambda **given: 7\nprint('doubled')"

    first = processes.run(["--version"], tmp_path, environment, before=double)
    second = processes.run(["--version"], tmp_path, environment)

    assert (7, b"doubled\n") == (first.returncode, first.stdout)
    assert (0, b"itembank, version") == (second.returncode, second.stdout[:17])


def test_what_goes_wrong_within_a_run_shows_as_a_traceback_and_a_signal_as_itself(tmp_path: Path) -> None:
    environment = Program(tmp_path).variables()

    for afresh in (False, True):
        broken = processes.run(["--version"], tmp_path, environment, before="1/0", afresh=afresh)
        killed = processes.run(
            ["--version"], tmp_path, environment, before="import os\nos.kill(os.getpid(), 9)", afresh=afresh
        )

        assert (1, -9) == (broken.returncode, killed.returncode)
        assert b"Traceback" in broken.stderr
        assert broken.stderr.endswith(b"ZeroDivisionError: division by zero\n")
