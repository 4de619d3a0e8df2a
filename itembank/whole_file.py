"""Files that are whole: written beside their place and moved there, so that nobody ever reads half of one."""

from __future__ import annotations

import os
from pathlib import Path

__all__ = ["put_whole"]


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
