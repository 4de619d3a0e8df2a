"""How often a process that is ours looks for garbage."""

from __future__ import annotations

import gc

__all__ = ["collect_now", "collect_seldom"]


def collect_seldom() -> None:
    """Look for cycles after 100 000 new containers, not 700: a batch of items has fewer, and items are trees.

    Going over them found nothing and took a twelfth of a build. What has cycles is still found, only later. Not for
    the process of somebody who uses the library: that is theirs to say.
    """
    gc.set_threshold(100_000, 50, 100)


def collect_now() -> None:
    """Let go of a large thing that refers to itself, as a word-processing document does, which nobody holds any more.

    Otherwise the documents of a class of 250 lie about together, with a gigabyte and a half.
    """
    gc.collect()
