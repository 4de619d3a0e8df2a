"""A file that is written whole, or not at all."""

from __future__ import annotations

import errno
import io
import os
import subprocess
import sys
from pathlib import Path
from typing import IO, Any

import pytest

from itembank import whole_file
from itembank.whole_file import put_new, put_whole, read_at_most


def test_what_stood_there_is_replaced(tmp_path: Path) -> None:
    path = tmp_path / "sitting.yaml"
    put_whole(path, b"old")
    put_whole(path, "nuevo año\n".encode())

    assert "nuevo año\n".encode() == path.read_bytes()
    assert [path] == list(tmp_path.iterdir())


@pytest.mark.parametrize("step", ["write_bytes", "replace"])
def test_a_failure_leaves_what_stood_there_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    path = tmp_path / "sitting.yaml"
    put_whole(path, b"old")

    def full(*given: object) -> None:
        raise OSError(28, "No space left on device")

    target, name = (Path, "write_bytes") if step == "write_bytes" else (whole_file.os, "replace")
    monkeypatch.setattr(target, name, full)
    with pytest.raises(OSError, match="No space left"):
        put_whole(path, b"new")
    monkeypatch.undo()

    assert b"old" == path.read_bytes()
    assert [path] == list(tmp_path.iterdir())


def test_a_new_file_takes_no_place_of_another(tmp_path: Path) -> None:
    put_new(tmp_path / "a.yaml", b"whole")
    with pytest.raises(FileExistsError):
        put_new(tmp_path / "a.yaml", b"other")

    assert b"whole" == (tmp_path / "a.yaml").read_bytes()


class _Full(io.BytesIO):
    """A file on a disk without room: writing fails, or closing, when what was held back is written."""

    def __init__(self, step: str) -> None:
        super().__init__()
        self.step = step

    def write(self, data: Any) -> int:
        self._fail_at("write")
        return super().write(data)

    def close(self) -> None:
        super().close()
        self._fail_at("close")

    def _fail_at(self, step: str) -> None:
        if self.step == step:
            self.step = ""
            raise OSError(errno.ENOSPC, "No space left on device")


@pytest.mark.parametrize("step", ["write", "close"])
def test_of_a_new_file_nothing_stays_on_a_full_disk(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    path = tmp_path / "a.yaml"

    def opened(self: Path, mode: str) -> IO[bytes]:
        self.touch()
        return _Full(step)

    monkeypatch.setattr(Path, "open", opened)
    with pytest.raises(OSError, match="No space left"):
        put_new(path, b"template: first\n")

    assert [] == list(tmp_path.iterdir())


@pytest.mark.skipif(sys.platform == "win32", reason="pipes have no names in folders there")
def test_a_pipe_is_read_to_its_end_once_somebody_writes(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    writer = subprocess.Popen(["sh", "-c", "{ echo name; sleep 0.2; echo Ada; } > pipe"], cwd=tmp_path)

    assert b"name\nAda\n" == read_at_most(tmp_path / "pipe", 100)
    assert 0 == writer.wait()


@pytest.mark.skipif(sys.platform == "win32", reason="pipes have no names in folders there")
def test_a_pipe_into_which_nobody_writes_is_given_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    os.mkfifo(tmp_path / "pipe")
    monkeypatch.setattr(whole_file, "_PATIENCE", 0)

    with pytest.raises(OSError, match="it is a pipe into which nobody writes"):
        read_at_most(tmp_path / "pipe", 100)


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="there is no endless device here")
def test_of_an_endless_device_no_more_is_read_than_asked_for() -> None:
    assert bytes(10) == read_at_most(Path("/dev/zero"), 10)
