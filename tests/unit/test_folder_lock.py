"""The lock of an output folder, on this system and by the calls of Windows against a stand-in for them."""

from __future__ import annotations

import errno
import fcntl
import importlib.util
import os
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

from itembank import folder_lock


def _locking(file: int, mode: int, length: int) -> None:
    """As Windows' own does (Microsoft's documentation of `_locking`, from memory): EACCES where another holds it."""
    assert (2, 1) == (mode, length)
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise PermissionError(errno.EACCES, "Permission denied") from None


@pytest.fixture(params=["here", "windows"])
def locks(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    if request.param == "here":
        return folder_lock
    calls = ModuleType("msvcrt")
    vars(calls).update(locking=_locking, LK_NBLCK=2)
    monkeypatch.setitem(sys.modules, "msvcrt", calls)
    monkeypatch.setattr(os, "O_BINARY", 0, raising=False)
    monkeypatch.setattr(os, "O_NOINHERIT", os.O_CLOEXEC, raising=False)
    monkeypatch.setattr(sys, "platform", "win32")
    assert folder_lock.__file__ is not None
    spec = importlib.util.spec_from_file_location("folder_lock_there", folder_lock.__file__)
    assert spec is not None
    assert spec.loader is not None
    there = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(there)
    return there


def test_one_holds_it_and_another_does_not(locks: ModuleType, tmp_path: Path) -> None:
    path = tmp_path / "lock"
    first = locks.take(path)

    assert first is not None
    assert locks.take(path) is None
    locks.release(path, first)
    assert not path.exists()
    second = locks.take(path)
    assert second is not None
    locks.release(path, second)


def test_who_waits_gets_it_when_it_is_let_go(
    locks: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "lock"
    first = locks.take(path)
    assert first is not None
    let_go: list[Callable[[], None]] = [lambda: locks.release(path, first)]
    flock = fcntl.flock

    def asked(file: int, operation: int) -> None:
        # Whoever waits sleeps in the kernel here, or between its tries there: then the holder lets go.
        if not operation & fcntl.LOCK_NB and let_go:
            let_go.pop()()
        flock(file, operation)

    monkeypatch.setattr(fcntl, "flock", asked)
    if hasattr(locks, "msvcrt"):
        monkeypatch.setattr(locks.time, "sleep", lambda seconds: let_go.pop()())
    second = locks.take(path, wait=True)

    assert second is not None
    assert not let_go
    assert locks.take(path) is None
    locks.release(path, second)
