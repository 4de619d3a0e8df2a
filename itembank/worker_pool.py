"""Processes that share work, and that never outlive the process they work for."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context, parent_process
from multiprocessing.connection import wait
from threading import Thread
from typing import Any

__all__ = ["worker_pool"]


@contextmanager
def worker_pool(
    workers: int, begin: Callable[..., None] | None = None, *arguments: Any, fresh: bool = False
) -> Iterator[ProcessPoolExecutor]:
    """Give a pool of so many processes; when the `with` ends, however it does, none of them is left.

    begin: what each does first, with these arguments. fresh: each is started as a new program, whatever the platform
    is used to. After an interrupt (any exception but an `Exception`) what is being worked at is not waited for; else
    it is, and what waits is dropped. Workers leave the keyboard's interrupt to this process, and end when it is killed.

    >>> with worker_pool(2) as pool:
    ...     list(pool.map(abs, [-2, 3]))
    [2, 3]
    """
    context = get_context("spawn" if fresh else None)
    heard, told = context.Pipe(duplex=False)
    with heard, told:
        pool = ProcessPoolExecutor(workers, context, _begin, (heard, begin, arguments))
        try:
            yield pool
        except Exception:
            pool.shutdown(cancel_futures=True)
            raise
        except BaseException:
            told.send_bytes(b"end")  # nobody reads it: every worker sees that there is something to read
            pool.shutdown(cancel_futures=True)
            raise
        else:
            pool.shutdown()


def _begin(heard: Any, begin: Callable[..., None] | None, arguments: tuple[Any, ...]) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and callable(
            signal.getsignal(number)
        ):  # a forked worker has that of its parent
            signal.signal(number, signal.SIG_DFL)
    Thread(target=_end_with_parent, args=(heard,), daemon=True).start()
    if begin is not None:
        begin(*arguments)


def _end_with_parent(heard: Any) -> None:
    parent = parent_process()
    assert parent is not None
    wait([heard, parent.sentinel])
    os._exit(1)
