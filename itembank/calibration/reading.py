"""Sittings from disk: builds with the files of their results."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from itembank.analysis.response_files import read_build, read_results
from itembank.calibration.sample import SatBuild
from itembank.output_folder import restore

__all__ = ["read_sittings"]


def read_sittings(named: Sequence[tuple[Path, Sequence[Path]]]) -> list[SatBuild]:
    """Each build with its results. named: the folder of a build, and files as `itembank analyse` takes them.

    A build is called as its folder is, or as it was named where two are called alike. Raises InputError.
    """
    folders = [build.resolve().name for build, _ in named]
    times = Counter(folders)
    found = []
    for (build, files), folder in zip(named, folders, strict=True):
        restore(build)
        keys, orders = read_build(build)
        name = folder if times[folder] == 1 else str(build)
        found.append(SatBuild(name, keys.title or name, read_results(keys, orders, files)))
    return found
