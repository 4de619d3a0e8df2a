"""What is kept on disk between commands: our own frozen data, by content, so that nothing is worked out twice.

An entry is named by a digest of everything it was made of, this version of the program included. It is read back
through a loader that knows our own data types only; anything odd about it means that it is made afresh. It may hold
generated code, so it is trusted as a compiled module is: only a file of the same user that nobody else may write to
is read.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import pickle
import stat
import sys
import tempfile
from collections.abc import Iterable
from enum import Enum
from pathlib import Path
from typing import Any

__all__ = ["Reader", "cache_folder", "digest_of_program", "read", "thin_out", "write"]

MOST_BYTES = 64 * 1024 * 1024
_SEAL = 20
"""Bytes before an entry by which damage is known: a changed bit may be another word, and no proof would miss it."""


def cache_folder() -> Path | None:
    """Where entries are kept; None where that is switched off or nobody's home is known."""
    base = os.environ.get("ITEMBANK_CACHE") or os.environ.get("XDG_CACHE_HOME")
    if base == "off":
        return None
    with contextlib.suppress(RuntimeError, OSError):
        return (Path(base) if base else Path.home() / ".cache") / "itembank"
    return None


def digest_of_program(files: Iterable[Path]) -> hashlib.blake2b:
    """A digest begun with the version of the program and of Python, and with sizes and times of some of our files."""
    from itembank import __version__

    state = hashlib.blake2b(digest_size=20)
    state.update(f"{__version__} {sys.version_info[:3]}\0".encode())
    for path in files:
        with contextlib.suppress(OSError):
            status = path.stat()
            state.update(f"{path.name} {status.st_size} {status.st_mtime_ns}\0".encode())
    return state


class Reader(pickle.Unpickler):
    """Knows our frozen data and plain containers; refuses everything else."""

    _known = frozenset(
        {
            ("fractions", "Fraction"),
            ("builtins", "frozenset"),
            ("builtins", "set"),
            ("copyreg", "_reconstructor"),
            ("builtins", "object"),
        }
    )
    _rooms = (
        "itembank.bank.bank",
        "itembank.bank.line_shares",
        "itembank.bank.lint.across",
        "itembank.bank.review",
        "itembank.bank.slip_shares",
        "itembank.content",
        "itembank.difficulty.",
        "itembank.errors",
        "itembank.expressions.",
        "itembank.generator.",
        "itembank.items",
        "itembank.publication",
        "itembank.templates.template",
        "itembank.yaml_source",
    )

    def find_class(self, module: str, name: str) -> Any:
        """A class of ours by its name. Raises UnpicklingError for anything else."""
        if (module, name) == ("builtins", "getattr"):
            return _member
        if (module, name) in self._known or (
            module.startswith(self._rooms) and name[:1].isupper() and "." not in name
        ):
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"{module}.{name} does not belong into a cache entry")


def _member(owner: object, name: str) -> Enum:
    """A member of an enumeration, which is all that `getattr` is for in an entry."""
    if not (isinstance(owner, type) and issubclass(owner, Enum)):
        raise pickle.UnpicklingError(f"{owner!r} is no enumeration")
    return owner[name]


def read(path: Path) -> object | None:
    """What is kept in a file of ours; None where there is none, or anything is odd about it."""
    try:
        status = path.stat()
        if status.st_size > MOST_BYTES or not _is_ours(status):
            return None
        seal, data = (whole := path.read_bytes())[:_SEAL], whole[_SEAL:]
        if seal != _seal(data):
            return None
        found: object = Reader(io.BytesIO(data)).load()
    except Exception:
        return None
    return found


def _seal(data: bytes) -> bytes:
    return hashlib.blake2b(data, digest_size=_SEAL).digest()


def _is_ours(status: os.stat_result) -> bool:
    """Whether nobody else can have written a file; on Windows the user's own folders say so, not the file's mode."""
    if not stat.S_ISREG(status.st_mode):
        return False
    return sys.platform == "win32" or (status.st_uid == os.getuid() and not status.st_mode & 0o022)


def write(path: Path, value: object) -> None:
    """Beside and moved into place; a cache that cannot be written is no trouble."""
    with contextlib.suppress(OSError, pickle.PicklingError):
        path.parent.mkdir(parents=True, exist_ok=True)
        data = pickle.dumps(value, protocol=5)
        data = _seal(data) + data
        handle, name = tempfile.mkstemp(dir=path.parent, suffix=".new")
        beside = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            os.replace(beside, path)
        except OSError:
            beside.unlink(missing_ok=True)
            raise


def thin_out(folder: Path, pattern: str, most: int) -> None:
    """Leaves the newest entries of a kind."""
    with contextlib.suppress(OSError):
        entries = sorted(folder.glob(pattern), key=lambda path: path.stat().st_mtime)
        for old in entries[:-most]:
            old.unlink(missing_ok=True)
