"""Files that are whole: written beside their place and moved there, so that nobody ever reads half of one.

And read whole, where somebody names them: whatever is named, no more than asked for is read, and nothing is waited for.
"""

from __future__ import annotations

import errno
import os
import select
import stat
import sys
from pathlib import Path
from typing import Final

__all__ = ["put_new", "put_whole", "read_at_most"]

_PATIENCE: Final = 2.0
"""Seconds in which a program that is to write into a pipe has to begin."""


def put_whole(path: Path, data: bytes) -> None:
    """Write a file, whatever stood there. Raises OSError; then all is as it was.

    Two processes may do so at once: each writes beside the place under a name of its own, and the last stays.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     put_whole(Path(folder) / "lock.json", b"{}")
    ...     [(path.name, path.read_bytes()) for path in Path(folder).iterdir()]
    [('lock.json', b'{}')]
    """
    beside = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        beside.write_bytes(data)
        os.replace(beside, path)
    finally:
        beside.unlink(missing_ok=True)


def put_new(path: Path, data: bytes) -> None:
    """Write a file where none is. Raises OSError, FileExistsError among them; then all is as it was."""
    file = path.open("xb")
    try:
        with file:
            file.write(data)
    except BaseException:
        path.unlink(missing_ok=True)
        raise


def read_at_most(path: Path, most: int) -> bytes:
    """The first bytes of a file that somebody named, `most` of them or fewer; of an endless device too.

    A pipe is read while somebody writes into it, as with `<(command)`. Raises OSError, also for a pipe into which
    nobody does: to open one would be to wait for ever.

    >>> read_at_most(Path(os.devnull), 10)
    b''
    """
    if sys.platform == "win32" or not stat.S_ISFIFO(path.stat().st_mode):
        with path.open("rb") as file:
            return file.read(most)
    with open(path, "rb", opener=_without_waiting) as pipe:
        if not select.select([pipe], [], [], _PATIENCE)[0]:
            raise OSError(errno.ENXIO, "it is a pipe into which nobody writes", str(path))
        os.set_blocking(pipe.fileno(), True)
        return pipe.read(most)


def _without_waiting(path: str, flags: int) -> int:
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))
