"""A file that one process at a time can hold, for as long as it lives: the system frees what an ended one held.

By flock on Linux, macOS and BSD, by a locked byte on Windows.
"""

from __future__ import annotations

import errno
import os
import sys
import time
from contextlib import suppress
from pathlib import Path

__all__ = ["release", "take"]

_TRIES = 100
_held: set[int] = set()

if sys.platform == "win32":
    import msvcrt

    _PAUSE = 0.05
    _OPENED = os.O_RDWR | os.O_CREAT | os.O_BINARY | os.O_NOINHERIT

    def _is_locked(file: int, *, wait: bool) -> bool:
        while True:
            try:
                msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
                return True
            except OSError as error:
                if error.errno not in (errno.EACCES, errno.EDEADLK):
                    raise
                if not wait:
                    return False
            time.sleep(_PAUSE)

else:
    import fcntl

    _OPENED = os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW

    def _is_locked(file: int, *, wait: bool) -> bool:
        try:
            fcntl.flock(file, fcntl.LOCK_EX if wait else fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError as error:
            # A disk without locks: the numbers of the writing processes are all there is to go by.
            if error.errno not in (errno.ENOLCK, errno.ENOTSUP, errno.ENOSYS):
                raise
        return True

    def _let_go_in_child() -> None:
        # A forked worker that outlives a killed build would hold the lock with it, perhaps for ever.
        for file in _held:
            os.close(file)
        _held.clear()

    os.register_at_fork(after_in_child=_let_go_in_child)


def take(path: Path, *, wait: bool = False) -> int | None:
    """Hold the file at `path`, made where it is missing; None if another holds it. Raises OSError.

    wait: until it can be held. What is given back is for `release`.
    """
    for _ in range(_TRIES):
        file = os.open(path, _OPENED, 0o666)
        _held.add(file)
        try:
            locked = _is_locked(file, wait=wait)
        except OSError:
            _close(file)
            raise
        if not locked:
            _close(file)
            return None
        # The last holder may have removed the file after we opened it: then what we hold keeps nobody out.
        with suppress(FileNotFoundError):
            if os.path.samestat(os.fstat(file), path.lstat()):
                return file
        _close(file)
    return None


def release(path: Path, file: int) -> None:
    """Let a file go, and remove it."""
    if (
        sys.platform == "win32"
    ):  # an open file cannot be removed there; one that another opened meanwhile stays
        _close(file)
    with suppress(OSError):
        path.unlink()
    if sys.platform != "win32":
        _close(file)


def _close(file: int) -> None:
    _held.discard(file)
    os.close(file)
