"""The inequalities of an interval's boxes: what set they say together, and whether its ends are in form."""

from __future__ import annotations

from dataclasses import replace
from functools import reduce

from itembank.expressions import numbers
from itembank.expressions.numbers import Exact
from itembank.items import SIGNS, Blank, BoxValue
from itembank.proof import regions
from itembank.proof.regions import Region

__all__ = ["end_blank", "entered_region", "interval_fault"]


def end_blank(blank: Blank) -> Blank:
    """The blank of an end alone."""
    return replace(blank, form=blank.ends, boxes=blank.boxes[1:], ends="", pair=False)


def entered_region(signs: list[tuple[str, Exact]], join: str) -> Region:
    """The set of one or two inequalities, each a sign's word and its end.

    >>> entered_region([("gt", 2), ("le", 3)], "and")
    (Piece(low=2, low_in=False, high=3, high_in=True),)
    """
    rays = [regions.of_sign(0, 1, numbers.negate(end), SIGNS[word]) for word, end in signs]
    if join == "or":
        return regions.union(piece for ray in rays for piece in ray)
    return reduce(regions.intersection, rays)


def interval_fault(blank: Blank, values: tuple[tuple[BoxValue, ...], ...]) -> str:
    """What is wrong with keyed inequalities whatever their ends; "" for nothing."""
    if not 1 <= len(values) <= 2 or blank.slots != 2:
        return f"{len(values)} inequalities are keyed"
    if (len(values) == 2) != (blank.join in {"and", "or"}):
        return "it is not plain how the inequalities are joined"
    if any(group[0] not in SIGNS for group in values):
        return "an inequality has no sign"
    return ""
