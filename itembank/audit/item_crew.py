"""The items of a large package shared among processes, each of which opens the package for itself."""

from __future__ import annotations

import atexit
import gc
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from functools import cache, partial
from pathlib import Path
from typing import Final

from itembank.audit.crew import Crew
from itembank.audit.dialects import Version
from itembank.audit.extensions import PICTURES
from itembank.audit.item_audit import Audited, Items, Wanted, Way
from itembank.audit.package import Package, open_package

__all__ = ["audited", "crew_of", "few_collections"]

SHARED_FROM: Final = 1_000
"""Files of a package from which on it pays to start other processes."""
PART: Final = 100
"""Items a worker is given at a time: as few as let none wait long for the last."""


@contextmanager
def few_collections() -> Iterator[None]:
    """Much is remembered and little of what is made refers to itself: looking for such takes a tenth of the time."""
    usual = gc.get_threshold()
    gc.set_threshold(50_000, 20, 50)
    try:
        yield
    finally:
        gc.set_threshold(*usual)


def crew_of(path: Path, package: Package, way: Way, workers: int) -> Crew | None:
    """Processes that share the items of a large package, None where others would not pay, or know less than this."""
    if workers <= 1 or len(package.names) < SHARED_FROM:
        return None
    if PICTURES:  # extensions are loaded in this process only
        return None
    return Crew(workers, _open_in_worker, path, way)


def audited(
    package: Package, items: list[Wanted], version: Version | None, way: Way, crew: Crew | None
) -> Iterator[Audited]:
    """What is found of each item, in order."""
    if crew is None:
        yield from Items(package, version, way).audited(items)
        return
    parts = [items[start : start + PART] for start in range(0, len(items), PART)]
    for found in crew.done(partial(_audited_in_worker, version), parts):
        yield from found


_in_worker: tuple[Package, Way]
"""The package of a worker, opened once."""


def _open_in_worker(path: Path, way: Way) -> None:
    global _in_worker
    opened = ExitStack()
    atexit.register(opened.close)
    _in_worker = opened.enter_context(open_package(path)), way
    opened.enter_context(few_collections())


@cache
def _items_in_worker(version: Version | None) -> Items:
    """What is known of frames is kept from part to part."""
    package, way = _in_worker
    return Items(package, version, way)


def _audited_in_worker(version: Version | None, items: list[Wanted]) -> list[Audited]:
    return list(_items_in_worker(version).audited(items))
