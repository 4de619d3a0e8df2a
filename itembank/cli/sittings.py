"""Builds with the results of those who sat them, as commands that take several name them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from itembank.errors import Diagnostic, InputError, Span

__all__ = ["grouped"]


def grouped(command: str, paths: Sequence[Path]) -> Iterator[tuple[Path, list[Path]]]:
    """Each build with the files that follow it. Raises InputError `no-build`, `no-results-named`."""
    what = f"name a build, then its results, then the next build: {command} form-a a.csv form-b b.csv"
    groups: list[tuple[Path, list[Path]]] = []
    for path in paths:
        if _is_build(path):
            groups.append((path, []))
        elif groups:
            groups[-1][1].append(path)
        else:
            hint = what
            if any(path.glob("form-*/staff/items.json")):
                hint = f"it holds forms: name each with its results, {path}/form-a first"
            message = f"{path} is no folder that a build wrote"
            raise InputError(Diagnostic("no-build", message, Span(str(path), 1, 1), hint=hint))
    for build, files in groups:
        if not files:
            message = f"no file of results follows the build {build}"
            raise InputError(Diagnostic("no-results-named", message, Span(str(build), 1, 1), hint=what))
    yield from groups


def _is_build(path: Path) -> bool:
    return (path / "staff" / "items.json").is_file()
