"""How often a process that is ours looks for garbage."""

from __future__ import annotations

import gc

__all__ = ["collect_seldom"]


def collect_seldom() -> None:
    """Look for cycles after 100 000 new containers, not 700: a batch of items has fewer, and items are trees.

    Going over them found nothing and took a twelfth of a build. What has cycles is still found, only later. Not for
    the process of somebody who uses the library: that is theirs to say.
    """
    gc.set_threshold(100_000, 50, 100)
