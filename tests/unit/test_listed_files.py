"""Folders that may not be read: told, never taken for empty ones. The system's refusal is played, for root may all."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from itembank.assembly.checking import check
from itembank.bank.bank import read_bank
from itembank.errors import InputError
from itembank.listed_files import files_below, files_in
from itembank.store.before import built_before
from itembank.store.reading import has_record, read_record
from tests.cli.harness import DEMO


@pytest.fixture
def bank(tmp_path: Path) -> Path:
    folder = tmp_path / "bank"
    shutil.copytree(DEMO, folder)
    return folder


def close(monkeypatch: pytest.MonkeyPatch, closed: Path) -> None:
    """Nobody may read this folder from now on."""
    look = os.scandir

    def refuse(path: Any = ".") -> Iterator[Any]:
        if Path(path) == closed:
            raise PermissionError(13, "Permission denied", str(path))
        return look(path)

    monkeypatch.setattr(os, "scandir", refuse)


def test_files_of_a_folder_are_listed_in_order_and_none_where_there_is_no_folder(tmp_path: Path) -> None:
    for name in ("b.yaml", "a.yml", "c.txt", "below/d.yaml"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("")

    assert ["a.yml", "b.yaml"] == [path.name for path in files_in(tmp_path, (".yaml", ".yml"))]
    assert {"b.yaml", "d.yaml"} == {path.name for path in files_below(tmp_path, (".yaml",))}
    assert [] == files_in(tmp_path / "none", ("",))
    assert [] == files_in(tmp_path / "c.txt", ("",))


def test_a_bank_whose_templates_may_not_be_read_is_not_told_to_have_none(
    bank: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    close(monkeypatch, bank / "templates")

    with pytest.raises(InputError, match="templates` cannot be read: Permission denied") as told:
        read_bank(bank, str(bank))
    (only,) = told.value.diagnostics
    assert ("not-readable", "check who may read it, and open it") == (only.code, only.hint)


def test_check_tells_of_blueprints_that_may_not_be_read(bank: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for template in sorted((bank / "templates").iterdir())[1:]:
        template.unlink()
    close(monkeypatch, bank / "blueprints")

    told = [each.message for each in check([bank]).diagnostics if each.code == "not-readable"]
    assert [f"the folder `{bank / 'blueprints'}` cannot be read: Permission denied"] == told


def test_a_record_that_may_not_be_read_is_no_empty_one(bank: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sittings = bank / "record" / "sittings"
    sittings.mkdir(parents=True)
    assert read_record(bank).sittings == ()
    close(monkeypatch, sittings)

    with pytest.raises(InputError, match="sittings` cannot be read"):
        read_record(bank)


def test_a_record_in_a_folder_that_may_not_be_entered_is_looked_for(
    bank: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(path: Path) -> bool:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(Path, "is_dir", refuse)
    assert has_record(bank)


def test_builds_that_may_not_be_read_leave_no_item_out_unseen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "built" / "staff").mkdir(parents=True)
    close(monkeypatch, tmp_path / "built" / "staff")

    with pytest.raises(InputError, match="staff` cannot be read"):
        built_before([tmp_path / "built"])
