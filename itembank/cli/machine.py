"""What the machine a command runs on can bear."""

from __future__ import annotations

import os
from typing import Final

__all__ = ["MOST_WORKERS", "processors"]

MOST_WORKERS: Final = 64


def processors() -> int:
    """How many processors this process may use, 1 to MOST_WORKERS."""
    if hasattr(os, "sched_getaffinity"):
        return min(MOST_WORKERS, len(os.sched_getaffinity(0)))
    return min(MOST_WORKERS, os.cpu_count() or 1)
