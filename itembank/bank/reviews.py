"""Reviews of many templates, in this process or in several, always in the same order."""

from __future__ import annotations

from collections.abc import Generator, Iterator, Sequence
from contextlib import closing

from itembank.bank.bank import Entry
from itembank.bank.extensions import activate
from itembank.bank.kept_reviews import KeptReviews
from itembank.bank.review import Review, review
from itembank.garbage import collect_seldom
from itembank.publication import Extension

__all__ = ["SHARED_FROM", "reviews"]

SHARED_FROM = 6
"""Templates from which starting processes is worth it."""


def reviews(
    entries: Sequence[Entry],
    workers: int,
    extensions: Sequence[Extension] = (),
    kept: KeptReviews | None = None,
) -> Iterator[Review]:
    """The review of each entry. extensions: those of the bank, which every process has to know.

    kept: where reviews are looked up before, and kept. Raises Contradiction for a fault of our own.
    """
    known = [kept.of(entry) if kept is not None and kept.covers(entry) else None for entry in entries]
    left = [entry for entry, found in zip(entries, known, strict=True) if found is None]
    with closing(_afresh(left, workers, extensions)) as afresh:
        for entry, found in zip(entries, known, strict=True):
            if found is not None:
                yield found
                continue
            made = next(afresh)
            if kept is not None and kept.covers(entry):
                kept.keep(entry, made)
            yield made
    if kept is not None and left:
        kept.thin_out()


def _afresh(
    entries: Sequence[Entry], workers: int, extensions: Sequence[Extension]
) -> Generator[Review, None, None]:
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
