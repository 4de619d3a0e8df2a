"""Reviews of many templates, in this process or in several, always in the same order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from itembank.bank.bank import Entry
from itembank.bank.extensions import activate
from itembank.bank.review import Review, review
from itembank.garbage import collect_seldom
from itembank.publication import Extension

__all__ = ["SHARED_FROM", "reviews"]

SHARED_FROM = 6
"""Templates from which starting processes is worth it."""


def reviews(entries: Sequence[Entry], workers: int, extensions: Sequence[Extension] = ()) -> Iterator[Review]:
    """The review of each entry. extensions: those of the bank, which every process has to know.

    Raises Contradiction for a fault of our own.
    """
    if workers <= 1 or len(entries) < SHARED_FROM:
        yield from map(review, entries)
        return
    from itembank.worker_pool import worker_pool

    with worker_pool(workers, _start, tuple(extensions)) as pool:
        for job in [pool.submit(review, entry) for entry in entries]:
            yield job.result()


def _start(extensions: tuple[Extension, ...]) -> None:
    collect_seldom()
    if extensions:
        activate(extensions)
