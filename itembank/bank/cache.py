"""Banks read once are kept on disk by content, so that the next command starts without parsing anything.

A cache entry is named by a digest of every file of the bank, the path it is shown under, and this version of the
program. It is read back through a loader that knows our own frozen data types only; anything odd about it means
that the bank is read afresh. It holds generated code, so it is trusted as a compiled module is: only a file of the
same user that nobody else may write to is read.
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
from enum import Enum
from pathlib import Path
from typing import Any

from itembank import __version__
from itembank.bank.bank import BANK_FILE, CALIBRATION_FILE, SLIP_FILE, Bank, read_bank, template_files

MOST_BYTES = 64 * 1024 * 1024
MOST_ENTRIES = 64
_SEAL = 20
"""Bytes before an entry by which damage is known: a changed bit may be another word, and no proof would miss it."""


def load_bank(folder: Path, shown_as: str, language: str = "") -> Bank:
    """The bank of a folder, from the cache where it is unchanged. Raises InputError as `read_bank` does."""
    place = _cache_folder()
    if place is None:
        return read_bank(folder, shown_as, language)
    name = place / f"{_digest(folder, shown_as, language)}.bank"
    kept = _read(name)
    if kept is not None:
        if kept.facts.extensions:
            from itembank.bank.extensions import activate

            activate(kept.facts.extensions)
        return kept
    bank = read_bank(folder, shown_as, language)
    _write(name, bank)
    return bank


def _cache_folder() -> Path | None:
    base = os.environ.get("ITEMBANK_CACHE") or os.environ.get("XDG_CACHE_HOME")
    if base == "off":
        return None
    with contextlib.suppress(RuntimeError, OSError):
        return (Path(base) if base else Path.home() / ".cache") / "itembank"
    return None


def _digest(folder: Path, shown_as: str, language: str) -> str:
    state = hashlib.blake2b(digest_size=20)
    state.update(
        f"{__version__} {sys.version_info[:3]} {shown_as}\0{language}\0".encode("utf-8", "surrogateescape")
    )
    for path in _own_files():
        with contextlib.suppress(OSError):
            status = path.stat()
            state.update(f"{path.name} {status.st_size} {status.st_mtime_ns}\0".encode())
    for path in (folder / BANK_FILE, folder / SLIP_FILE, folder / CALIBRATION_FILE, *template_files(folder)):
        state.update(os.fsencode(path.relative_to(folder)) + b"\0")
        if path.exists() and not path.is_file():  # a pipe would be waited for
            state.update(b"\0 no file")
            continue
        try:
            with path.open("rb") as file:
                content = file.read(1 << 21)
        except FileNotFoundError:
            continue
        except OSError:
            state.update(b"\0 not readable")
        else:
            state.update(len(content).to_bytes(8, "big") + content)
            if path.name == BANK_FILE and b"extensions" in content:
                from itembank.bank.extensions import state as of_extensions

                state.update(of_extensions(path))
    return state.hexdigest()


def _own_files() -> list[Path]:
    """The parts of the program a recipe depends on."""
    here = Path(__file__).parent.parent
    rooms = ("", "bank", "difficulty", "expressions", "generator", "properties", "templates", "yaml_source")
    return sorted(
        path
        for room in rooms
        for path in (here / room).glob("*.[plt]*")
        if path.suffix in {".py", ".lark", ".toml"}
    )


class _Reader(pickle.Unpickler):
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


def _read(path: Path) -> Bank | None:
    try:
        status = path.stat()
        if status.st_size > MOST_BYTES or not _is_ours(status):
            return None
        seal, data = (whole := path.read_bytes())[:_SEAL], whole[_SEAL:]
        if seal != _seal(data):
            return None
        found = _Reader(io.BytesIO(data)).load()
    except Exception:
        return None
    return found if isinstance(found, Bank) else None


def _seal(data: bytes) -> bytes:
    return hashlib.blake2b(data, digest_size=_SEAL).digest()


def _is_ours(status: os.stat_result) -> bool:
    """Whether nobody else can have written a file; on Windows the user's own folders say so, not the file's mode."""
    if not stat.S_ISREG(status.st_mode):
        return False
    return sys.platform == "win32" or (status.st_uid == os.getuid() and not status.st_mode & 0o022)


def _write(path: Path, bank: Bank) -> None:
    """Beside and moved into place; a cache that cannot be written is no trouble."""
    with contextlib.suppress(OSError, pickle.PicklingError):
        path.parent.mkdir(parents=True, exist_ok=True)
        data = pickle.dumps(bank, protocol=5)
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
        entries = sorted(path.parent.glob("*.bank"), key=lambda p: p.stat().st_mtime)
        for old in entries[:-MOST_ENTRIES]:
            old.unlink(missing_ok=True)
