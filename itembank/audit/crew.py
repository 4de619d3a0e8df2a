"""Work shared among processes, each of which keeps to a stretch of its own as long as there is something left of it.

What is alike stands together in a package, and a process has to get to know everything that it meets. So the parts of
the work are not dealt out in turn: each process begins where its stretch begins, and one that has come to its end takes
from the end of the longest stretch that is left.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, wait
from contextlib import ExitStack
from types import TracebackType
from typing import Any, Final, TypeVar

from itembank.worker_pool import worker_pool

__all__ = ["Crew"]

_AHEAD: Final = 2
"""Parts a process has at a time, so that it need not wait for the next."""
_Part = TypeVar("_Part")
_Result = TypeVar("_Result")


class Crew:
    """Processes that start at once. begin: what each does first, with these arguments; a crew is left as a context."""

    def __init__(self, workers: int, begin: Callable[..., None], *arguments: Any) -> None:
        with ExitStack() as pools:
            self._workers = [
                pools.enter_context(worker_pool(1, begin, *arguments, fresh=True)) for _ in range(workers)
            ]
            for worker in self._workers:
                worker.submit(_nothing)  # a process is started for the first thing there is to do
            self._pools = pools.pop_all()

    def __enter__(self) -> Crew:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self._pools.__exit__(kind, error, traceback)

    def done(self, work: Callable[[_Part], _Result], parts: Sequence[_Part]) -> Iterator[_Result]:
        """What comes of each part, in order. Raises what the work raises."""
        size = -(-len(parts) // len(self._workers))
        left = [deque(range(len(parts))[size * at : size * (at + 1)]) for at in range(len(self._workers))]
        running: dict[Future[_Result], tuple[int, int]] = {}
        ready: dict[int, _Result] = {}

        def give(worker: int) -> None:
            longest = max(left, key=len)
            if left[worker] or longest:
                part = left[worker].popleft() if left[worker] else longest.pop()
                running[self._workers[worker].submit(work, parts[part])] = worker, part

        for worker in range(len(self._workers) * _AHEAD):
            give(worker % len(self._workers))
        following = 0
        while running:
            for future in wait(running, return_when=FIRST_COMPLETED).done:
                worker, part = running.pop(future)
                ready[part] = future.result()
                give(worker)
            while following in ready:
                yield ready.pop(following)
                following += 1


def _nothing() -> None:
    pass
