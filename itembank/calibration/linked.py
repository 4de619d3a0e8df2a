"""Which items can stand on one scale: those that pupils themselves have set against each other, both ways.

Source: Fischer 1981, Psychometrika 46, 59-77 (from memory): the conditional estimates of a Rasch model exist and are
unique just when no set of items can be split off of which every pupil who was given items on both sides did at least as
well as could be on the one side, or as badly as could be on the other.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TypeAlias

__all__ = ["linked"]

_Scores: TypeAlias = Mapping[int, int]


def linked(pupils: Sequence[_Scores]) -> list[tuple[int, ...]]:
    """The sets of items that can stand on one scale, the largest first, of two equal ones the earlier items first.

    An item leads to another where a pupil scored more than the least that anybody did at the first, and less than the
    most at the second; items that lead to each other, perhaps by way of others, belong together. One alone is none.
    """
    least: dict[int, int] = {}
    most: dict[int, int] = {}
    for scores in pupils:
        for item, score in scores.items():
            least[item] = min(score, least.get(item, score))
            most[item] = max(score, most.get(item, score))
    leads: dict[int, int] = dict.fromkeys(least, 0)
    for scores in pupils:
        below = sum(1 << item for item, score in scores.items() if score < most[item])
        for item, score in scores.items():
            if score > least[item]:
                leads[item] |= below
    reached = {item: _reached(item, leads) for item in leads}
    sets: dict[tuple[int, ...], None] = {}
    for item in sorted(leads):
        together = tuple(
            other for other in sorted(leads) if reached[item] >> other & 1 and reached[other] >> item & 1
        )
        if len(together) > 1:
            sets[together] = None
    return sorted(sets, key=lambda items: (-len(items), items))


def _reached(item: int, leads: Mapping[int, int]) -> int:
    """The items that one leads to in the end, as bits."""
    found, fresh = 0, leads[item]
    while fresh:
        found |= fresh
        following = 0
        for other in leads:
            if fresh >> other & 1:
                following |= leads[other]
        fresh = following & ~found
    return found
