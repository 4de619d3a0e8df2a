"""How far the items of one template differ from each other, for who predicts a new one of it."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import TypeAlias

__all__ = ["spread_within"]

Told: TypeAlias = tuple[Decimal, Decimal]
"""How much harder than predicted an item was, and the standard error of that."""


def spread_within(templates: Sequence[Sequence[Told]]) -> Decimal | None:
    """The standard deviation of items of one template, without what chance among pupils adds; all templates together.

    None where no template has several items. Source: moments, as DerSimonian & Laird 1986, Controlled Clinical Trials
    7, 177-188, have them, with equal weights (from memory).

    >>> spread_within([[(Decimal(1), Decimal(0)), (Decimal(3), Decimal(0))], [(Decimal(7), Decimal(0))]])
    Decimal('1.414213562373095048801688724')
    >>> spread_within([[(Decimal(1), Decimal(2)), (Decimal(3), Decimal(2))]])
    Decimal('0')
    """
    several = [items for items in templates if len(items) > 1]
    if not several:
        return None
    apart = chance = Decimal(0)
    for items in several:
        mean = sum((beyond for beyond, _ in items), Decimal(0)) / len(items)
        apart += sum(((beyond - mean) ** 2 for beyond, _ in items), Decimal(0))
        chance += sum((error**2 for _, error in items), Decimal(0)) * (1 - Decimal(1) / len(items))
    free = sum(len(items) - 1 for items in several)
    return (max(apart - chance, Decimal(0)) / free).sqrt()
