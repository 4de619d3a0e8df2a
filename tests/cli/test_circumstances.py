"""What the system refuses, and files that are none: told in a line with a remedy, without a wait."""

from __future__ import annotations

import errno
import json
import os
import sys
from pathlib import Path

import pytest

from itembank.cli import main
from tests.cli.harness import DEMO, Program

FAILED = PermissionError(errno.EACCES, "Permission denied", "a\nb.yaml")


def test_what_the_system_refuses_is_told_with_a_remedy(capsys: pytest.CaptureFixture[str]) -> None:
    assert main._failed(FAILED, as_json=False) == main.WRONG

    assert capsys.readouterr().err.splitlines() == [
        "itembank: a\\nb.yaml: Permission denied",
        "  hint: check who may read and write it, and who may enter the folders above it",
    ]


def test_programs_are_told_the_remedy_too(capsys: pytest.CaptureFixture[str]) -> None:
    main._failed(OSError(errno.ENOSPC, "No space left on device"), as_json=True)

    (told,) = json.loads(capsys.readouterr().out)["diagnostics"]
    assert ("No space left on device", "make room on that disk, or in the folder for temporary files") == (
        told["message"],
        told["hint"],
    )


@pytest.mark.skipif(sys.platform == "win32", reason="pipes have no names in folders there")
def test_verify_waits_for_no_pipe_and_reads_no_endless_device(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.zip")
    program = Program(tmp_path)

    for path in ("pipe.zip", "/dev/zero"):
        ended = program.run("verify", path, status=1, err=None)
        assert "it is a device or a pipe: save the package as a file and name that" in ended.out + ended.err


@pytest.mark.skipif(sys.platform == "win32", reason="pipes have no names in folders there")
def test_a_pipe_into_which_nobody_writes_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    program = Program(tmp_path)

    listed = program.run("build", str(DEMO), "--out", "out", "--class-list", "pipe", status=1, err=None)
    digests = program.run("verify", "there.zip", "--digests", "pipe", status=1, err=None)

    assert "the class list cannot be read: it is a pipe into which nobody writes" in listed.err
    assert "the list of digests pipe cannot be read: it is a device or a pipe" in digests.err + digests.out
    assert ["pipe"] == [path.name for path in tmp_path.iterdir()]


def test_a_list_of_digests_that_never_ends_is_not_read(tmp_path: Path) -> None:
    ended = Program(tmp_path).run("verify", "there.zip", "--digests", "/dev/zero", status=1, err=None)

    assert "it is a device or a pipe" in ended.err + ended.out


def test_a_line_break_in_a_name_stays_in_its_line(tmp_path: Path) -> None:
    ended = Program(tmp_path).run("check", "two\nlines.yaml", status=1, err=None)

    assert ended.out.splitlines()[:2] == [
        "two\\nlines.yaml:1:1: wrong: not-there",
        "  two\\nlines.yaml is not there",
    ]


def test_of_thousands_of_unknown_keys_the_first_are_told(tmp_path: Path) -> None:
    (tmp_path / "many.yaml").write_text("".join(f"key{number}: 1\n" for number in range(3000)), "utf-8")
    ended = Program(tmp_path).run("check", "many.yaml", status=1, err=None, left=None)

    assert "wrong: many-faults" in ended.out
    assert ended.out.count("wrong: unknown-key") <= 200
    assert "more lines of this file are not as they should be" in ended.out
