"""What people did in a folder that a build wrote is not thrown away when it is written again.

A mark sheet is filled in where it lies, a paper gets another sentence, results are put beside them. The list of digests
tells what is as the build left it; all else is somebody's. What programs leave by themselves is not.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from itembank.build.digests import CHANGES_FILE, DIGEST_FILE, file_digest, file_digests
from itembank.errors import Diagnostic, InputError

__all__ = ["refuse_own_work"]

_MOST_TOLD: Final = 3
_LEFT_BY_PROGRAMS: Final = re.compile(
    r"[.~].*|Thumbs\.db|desktop\.ini|.*\.(?:aux|log|out|fls|fdb_latexmk|synctex\.gz)", re.IGNORECASE
)
"""Hidden files, locks and thumbnails, and what TeX leaves. From memory."""
_OF_ALL_FORMS: Final = frozenset({"report.json", "report.md"})


def refuse_own_work(out: Path, what: str) -> None:
    """Raises InputError `own-work-there` where a folder holds what no build wrote, or what was changed since.

    out: a folder to be replaced: of a build, of forms, or of results with practice in it; anything else passes. what:
    its subject in messages ("the build").
    """
    found = sorted(set(_own_work(out))) if out.is_dir() else []
    if found:
        told = ", ".join(found[:_MOST_TOLD]) + (
            f" and {len(found) - _MOST_TOLD} more" if found[_MOST_TOLD:] else ""
        )
        message = (
            f"{what} cannot go to {out}: it holds what was changed or put there since it was written: {told}"
        )
        hint = "move these files to another place, or give another folder"
        raise InputError(Diagnostic("own-work-there", message, hint=hint))


def _own_work(out: Path) -> Iterator[str]:
    candidates = [out, *_folders(out), *_folders(out / "practice")]
    builds = [each for each in candidates if (each / "staff" / DIGEST_FILE).is_file()]
    for build in builds:
        for path in _changed(build):
            yield path.relative_to(out).as_posix()
    if any(build.parent == out and build.name.startswith("form-") for build in builds):
        for path in out.iterdir():
            if (
                path.is_file()
                and path.name not in _OF_ALL_FORMS
                and not _LEFT_BY_PROGRAMS.fullmatch(path.name)
            ):
                yield path.name


def _folders(folder: Path) -> list[Path]:
    return sorted(each for each in folder.iterdir() if each.is_dir()) if folder.is_dir() else []


def _changed(build: Path) -> Iterator[Path]:
    listed = file_digests(build / "staff" / DIGEST_FILE)
    unlisted = {f"staff/{DIGEST_FILE}", f"staff/{CHANGES_FILE}"}
    for path in sorted(each for each in build.rglob("*") if each.is_file()):
        name = path.relative_to(build).as_posix()
        if name in listed:
            if file_digest(path) != listed[name]:
                yield path
        elif name not in unlisted and not _left_by_program(path, name, listed):
            yield path


def _left_by_program(path: Path, name: str, listed: dict[str, str]) -> bool:
    is_set = name.endswith(".pdf") and f"{name[:-4]}.tex" in listed
    return is_set or _LEFT_BY_PROGRAMS.fullmatch(path.name) is not None
