"""A file that is written whole, or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank import whole_file
from itembank.whole_file import put_whole


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
