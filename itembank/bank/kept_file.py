"""The small JSON files a bank keeps beside its templates: read whole, or told to be broken."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Final, TypeVar

from itembank import folder_lock
from itembank.errors import Diagnostic, InputError, Span
from itembank.whole_file import read_at_most

__all__ = ["alone", "read_kept"]

T = TypeVar("T")
_MOST: Final = 1 << 26


@contextmanager
def alone(path: Path) -> Iterator[None]:
    """While a file is read, changed and written no other run does so: what that one kept would be lost.

    Where no lock can be made, as in a folder that may only be read, nobody is kept out: writing tells why.
    """
    beside = path.with_name(f".{path.name}.itembank-lock")
    lock = None
    with suppress(OSError):
        lock = folder_lock.take(beside, wait=True)
    try:
        yield
    finally:
        if lock is not None:
            folder_lock.release(beside, lock)


def read_kept(path: Path, name: str, entry: Callable[[Any], T], broken: Diagnostic) -> dict[str, T]:
    """What a file keeps under a name, each entry as `entry` makes it of JSON; {} where there is no such file.

    broken: what is told, at the file's first line, of a file that cannot be read; raised as InputError.
    """
    try:
        found = json.loads(read_at_most(path, _MOST).decode("utf-8-sig"))[name]
        if not isinstance(found, Mapping):
            raise TypeError
        return {str(key): entry(each) for key, each in found.items()}
    except FileNotFoundError:
        return {}
    except (OSError, ValueError, KeyError, TypeError):
        at = Span(str(path), 1, 1)
        raise InputError(Diagnostic(broken.code, broken.message, at, hint=broken.hint)) from None
