"""What the system refuses, and files that are none: told in a line with a remedy, without a wait."""

from __future__ import annotations

import codecs
import errno
import json
import os
import shutil
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
def test_a_pipe_in_place_of_a_file_of_the_bank_is_not_waited_for(tmp_path: Path) -> None:
    bank = tmp_path / "bank"
    shutil.copytree(DEMO, bank, ignore=shutil.ignore_patterns("bank.lock"))
    program = Program(tmp_path)

    os.mkfifo(bank / "bank.lock")
    built = program.run("build", "bank", "--out", "out", "--count", 1, status=1, err=None)
    assert "bank.lock:1:1: wrong: broken-lock" in built.err
    os.mkfifo(bank / "bank.approvals")
    assert "broken-approvals" in program.run("approve", "bank", status=1, err=None).err
    (bank / "bank.yaml").unlink()
    os.mkfifo(bank / "bank.yaml")
    assert "vertex-form" in program.run("show", "bank/templates/vertex-form.yaml", err=None).out


@pytest.mark.parametrize(
    ("name", "why"),
    [("con", "a device"), ("lpt1.yaml", "a device"), ("x" * 300, "longer than 80 characters")],
)
def test_no_template_gets_a_name_that_a_file_cannot_have_everywhere(
    tmp_path: Path, name: str, why: str
) -> None:
    ended = Program(tmp_path).run("new", name, status=2, err=None)

    assert why in ended.err
    assert [] == list(tmp_path.iterdir())


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


@pytest.mark.skipif(sys.platform in ("win32", "darwin"), reason="names of files are text there")
def test_a_name_that_is_no_text_is_as_good_as_another(tmp_path: Path) -> None:
    """As old archives leave them: a name in Latin-1 where names are read as UTF-8."""
    name = os.fsdecode(b"Mat\xe9riel")
    folder = tmp_path / "here" / name
    shutil.copytree(DEMO / "templates", folder / "templates")
    shutil.copy(DEMO / "slips.yaml", folder)
    (folder / "bank.yaml").write_text("bank: material\ntitle: Material\n", "utf-8")
    (folder / "templates" / "vertex-form.yaml").rename(folder / "templates" / f"{name}.yaml")
    program = Program(tmp_path / "here")

    for command in (
        ("coverage", name),
        ("build", name, "--out", f"{name}-out", "--count", 12, "--formats", "json"),
        ("show", f"{name}/templates/{name}.yaml", "--count", 1),
        ("used", name, "--json"),
    ):
        program.run(*command, err=None, left=None)

    assert (tmp_path / "here" / f"{name}-out" / "staff" / "items.json").is_file()


def test_what_was_saved_with_a_byte_order_mark_is_read_as_before(tmp_path: Path) -> None:
    """As an editor or a spreadsheet puts it before what it saves, with line ends of its own."""
    shutil.copytree(DEMO, tmp_path / "here" / "bank")
    program = Program(tmp_path / "here")
    program.run("approve", "bank", "vertex-form", "--by", "Ms Ash", err=None, left=None)
    wanted = program.run("build", "bank", "--out", "out", "--count", 12, "--formats", "qti3", left=None).out
    kept = [path for path in (tmp_path / "here" / "bank").rglob("*") if path.is_file()]
    assert {"bank.lock", "bank.approvals", "bank.yaml"} < {path.name for path in kept}
    for path in (*kept, tmp_path / "here" / "out" / "staff" / "digests.txt"):
        path.write_bytes(codecs.BOM_UTF8 + path.read_bytes().replace(b"\n", b"\r\n"))

    program.run("verify", "out", "--digests", "out/staff/digests.txt", left=None)
    again = program.run("build", "bank", "--out", "again", "--count", 12, "--formats", "qti3", left=None).out
    assert wanted.replace("in out", "in again") == again
    approved = program.run("approve", "bank", err=None, left=None).out
    assert "Ms Ash" in approved
