"""The small files a bank keeps: what one run keeps in them another that runs at once does not lose."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from itembank import folder_lock
from itembank.bank import approvals, lock
from itembank.bank.bank import Bank, read_bank
from itembank.bank.kept_file import alone

ROOT = Path(__file__).resolve().parents[3]


@pytest.fixture
def bank(tmp_path: Path) -> Bank:
    shutil.copytree(ROOT / "banks/quadratics/templates", tmp_path / "templates")
    shutil.copyfile(ROOT / "banks/quadratics/slips.yaml", tmp_path / "slips.yaml")
    (tmp_path / "bank.yaml").write_text("bank: b\ntitle: B\n", "utf-8")
    for path in (tmp_path / "templates").iterdir():
        if path.stem not in {"vertex-form", "missing-constant"}:
            path.unlink()
    return read_bank(tmp_path, str(tmp_path))


def approve(bank: Bank) -> None:
    approvals.approve(bank, ["vertex-form"], "Ms Ash", "2026-06-12")


def withdraw(bank: Bank) -> None:
    approvals.approve(bank, [], "Ms Ash", "2026-06-12")
    approvals.withdraw(bank, ["vertex-form"])


def write_lock(bank: Bank) -> None:
    lock.write_lock(bank, bank.entries)


@pytest.mark.parametrize(
    ("module", "name", "change"),
    [
        (approvals, "bank.approvals", approve),
        (approvals, "bank.approvals", withdraw),
        (lock, "bank.lock", write_lock),
    ],
)
def test_from_reading_to_writing_a_file_is_ours_alone(
    bank: Bank, monkeypatch: pytest.MonkeyPatch, module: Any, name: str, change: Callable[[Bank], None]
) -> None:
    beside = Path(bank.folder) / f".{name}.itembank-lock"
    order = []

    def told(what: str, does: Callable[..., Any]) -> Callable[..., Any]:
        def call(*given: Any) -> Any:
            taken = folder_lock.take(beside)
            order.append((what, taken is None))
            if taken is not None:
                folder_lock.release(beside, taken)
            return does(*given)

        return call

    monkeypatch.setattr(module, "read_kept", told("read", module.read_kept))
    monkeypatch.setattr(module, "put_whole", told("written", module.put_whole))
    change(bank)

    assert [("read", True), ("written", True)] == order[-2:]
    assert not beside.exists()


def test_where_no_lock_can_be_made_nobody_is_kept_out(tmp_path: Path) -> None:
    ran = []
    with alone(tmp_path / "there" / "is-none" / "bank.lock"):
        ran.append(True)

    assert [True] == ran
    assert [] == list(tmp_path.iterdir())
