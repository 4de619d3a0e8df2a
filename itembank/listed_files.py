"""What lies in a folder, where a folder that may not be read is told and not taken for an empty one."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from itembank.errors import Diagnostic, InputError, Span

__all__ = ["files_below", "files_in"]


def files_in(folder: Path, suffixes: tuple[str, ...]) -> list[Path]:
    """The files of a folder whose names end so, in order, those too that cannot be read; none where there is no folder.

    Raises InputError `not-readable` for a folder that may not be read.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = Path(folder, "a.yaml").write_text("")
    ...     [path.name for path in files_in(Path(folder), (".yaml",))], files_in(Path(folder, "none"), ("",))
    (['a.yaml'], [])
    """
    return sorted(_ending(*next(_walked(folder), (folder, [])), suffixes))


def files_below(folder: Path, suffixes: tuple[str, ...]) -> Iterator[Path]:
    """As `files_in`, of a folder and its sub-folders, links to folders left out; folder by folder, in no order."""
    for here, names in _walked(folder):
        yield from _ending(here, names, suffixes)


def _walked(folder: Path) -> Iterator[tuple[Path, list[str]]]:
    def told(failed: OSError) -> None:
        if not isinstance(failed, FileNotFoundError | NotADirectoryError):
            where = failed.filename or str(folder)
            reason = failed.strerror or type(failed).__name__
            raise InputError(
                Diagnostic(
                    "not-readable",
                    f"the folder `{where}` cannot be read: {reason}",
                    Span(where, 1, 1),
                    hint="check who may read it, and open it",
                )
            ) from None

    for here, _, names in os.walk(folder, onerror=told):
        yield Path(here), names


def _ending(folder: Path, names: list[str], suffixes: tuple[str, ...]) -> Iterator[Path]:
    return (folder / name for name in names if name.endswith(suffixes))
