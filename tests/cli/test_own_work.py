"""What people did in a folder that a build wrote: no build throws it away."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.harness import DEMO, Program

BLUEPRINT = "blueprint: two\ntitle: Two forms\nforms: 2\nitems: 3\npool: 6\n"
BUILD = ("build", "bank", "--out", "quiz", "--count", 4, "--formats", "latex,html,json")
FORMS = ("assemble", "bank/blueprints/two.yaml", "--out", "forms", "--formats", "html,json")
BACK = ("restore", "bank", "2026-06-12-b-two", "--out", "back")
LEARNT = ("learnt", "quiz", "marks.csv", "--practice", "bank", "--out", "who", "--formats", "html,json")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A build, two forms, what was sat brought back, and practice."""
    program = Program(tmp_path_factory.mktemp("own-work") / "here")
    program.folder.mkdir()
    shutil.copytree(DEMO, program.folder / "bank")
    program.write("bank/blueprints/two.yaml", BLUEPRINT)
    program.run(*BUILD, left=None)
    program.run(*FORMS, left=None)
    program.run("record", "forms", "--into", "bank", "--group", "B", "--on", "2026-06-12", left=None)
    program.run(*BACK, left=None)
    head, *more = (program.folder / "quiz/staff/mark-sheet.csv").read_text("utf-8").splitlines()
    none = ",".join("0" for _ in head.split(",")[1:-1])
    program.write("marks.csv", "\n".join([head, *more, f"Ada,{none},", f"Bo,{none},"]) + "\n")
    program.run(*LEARNT, left=None)
    return program.folder


@pytest.fixture
def program(made: Path, tmp_path: Path) -> Program:
    shutil.copytree(made, tmp_path / "here")
    return Program(tmp_path / "here")


def _filled_in(path: Path) -> None:
    path.write_text(path.read_text("utf-8") + "Ada,1,1,1,1,4\n", "utf-8")


def _put_there(path: Path) -> None:
    path.write_text("Ada,3\n", "utf-8")


@pytest.mark.parametrize(
    ("command", "name", "did"),
    [
        (BUILD, "quiz/staff/mark-sheet.csv", _filled_in),
        (BUILD, "quiz/pupils/quadratics-question-paper.tex", _filled_in),
        (BUILD, "quiz/results.csv", _put_there),
        (FORMS, "forms/form-b/staff/mark-sheet.csv", _filled_in),
        (FORMS, "forms/results.csv", _put_there),
        (BACK, "back/*/staff/mark-sheet.csv", _filled_in),
        ((*BACK, "--formats", "html"), "back/*/staff/mark-sheet.csv", _filled_in),
        (LEARNT, "who/practice/*/staff/mark-sheet.csv", _filled_in),
    ],
)
def test_nothing_is_written_over_what_somebody_did_there(
    program: Program, command: tuple[object, ...], name: str, did: Callable[[Path], None]
) -> None:
    path = next(program.folder.glob(name), program.folder / name)
    did(path)
    kept = path.read_bytes()

    told = program.run(*command, status=1, err=None).err

    folder, _, below = path.relative_to(program.folder).as_posix().partition("/")
    assert "own-work-there" in told
    assert (
        f"cannot go to {folder}: it holds what was changed or put there since it was written: {below}" in told
    )
    assert "move these files to another place, or give another folder" in told
    assert kept == path.read_bytes()


def test_what_programs_leave_by_themselves_is_nobodys_work(program: Program) -> None:
    for name in (
        "quiz/.DS_Store", "quiz/pupils/.~lock.quadratics-question-paper.docx#", "quiz/pupils/Thumbs.db",
        "quiz/pupils/quadratics-question-paper.aux", "quiz/pupils/quadratics-question-paper.log",
        "quiz/pupils/quadratics-question-paper.pdf",
    ):  # fmt: skip
        program.write(name, "left")

    program.run(*BUILD, left=None)
    assert not (program.folder / "quiz/.DS_Store").exists()


def test_what_was_moved_away_is_no_hindrance_and_of_many_files_some_are_told(program: Program) -> None:
    for number in range(5):
        program.write(f"quiz/scan-{number}.txt", "a scan")
    told = program.run(*BUILD, status=1, err=None).err
    assert "written: scan-0.txt, scan-1.txt, scan-2.txt and 2 more" in told

    for path in (program.folder / "quiz").glob("scan-*"):
        path.unlink()
    (program.folder / "quiz/staff/mark-sheet.csv").rename(program.folder / "filled-in.csv")
    program.run(*BUILD, left=("quiz/staff/mark-sheet.csv",))


def test_a_list_that_is_none_of_ours_tells_nothing(program: Program) -> None:
    program.write("quiz/staff/digests.txt", "something else\n")
    told = program.run(*BUILD, status=1, err=None).err
    assert "own-work-there" in told
