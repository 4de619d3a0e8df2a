"""Sittings from disk: builds with the files of their results."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from itembank.analysis.response_files import read_build, read_results
from itembank.calibration.sample import SatBuild
from itembank.errors import Diagnostic, InputError, Span
from itembank.output_folder import restore

__all__ = ["read_sittings"]


def read_sittings(named: Sequence[tuple[Path, Sequence[Path]]]) -> list[SatBuild]:
    """Each build with its results. named: the folder of a build, and files as `itembank analyse` takes them.

    A build is called as its folder is, as it was named where two are called alike, and with the first file of its
    results where one is named twice. Raises InputError, `same-results-twice` for a file that counts twice in a build.
    """
    _refuse_twice(named)
    folders = [build.resolve().name for build, _ in named]
    times = Counter(folders)
    spelled = Counter(str(build) for build, _ in named)
    found = []
    for (build, files), folder in zip(named, folders, strict=True):
        restore(build)
        keys, orders = read_build(build)
        name = folder if times[folder] == 1 else str(build)
        if spelled[str(build)] > 1:
            name += f" ({files[0]})"
        found.append(SatBuild(name, keys.title or name, read_results(keys, orders, files)))
    return found


def _refuse_twice(named: Sequence[tuple[Path, Sequence[Path]]]) -> None:
    """Of a build named once, a file named twice is told pupil by pupil; of one named twice, nothing else would tell."""
    known: dict[tuple[Path, Path], int] = {}
    for group, (build, files) in enumerate(named):
        for file in files:
            first = known.setdefault((build.resolve(), file.resolve()), group)
            if first != group:
                message = f"{file} is named twice as results of {build}, so its pupils would count twice"
                hint = "name it once"
                raise InputError(Diagnostic("same-results-twice", message, Span(str(file), 1, 1), hint=hint))
