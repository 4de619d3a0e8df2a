"""Letters that stand for whole numbers: what of a set of solutions is left where a claim says so, n ∈ ℤ."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import floor
from typing import Final

from itembank.audit import formula, numbers
from itembank.audit.findings import CannotTell
from itembank.audit.formula import Letter, Node, Relation
from itembank.audit.letters import WHOLE_NUMBERS
from itembank.audit.numbers import Number
from itembank.audit.real_sets import EVERYTHING, RealSet, tidy

__all__ = ["among", "of_set", "parted"]

MOST: Final = 1_000
"""So many whole numbers are looked at in one set."""


def parted(node: Node) -> tuple[frozenset[str], Node | None]:
    """The letters of which a statement says that they are whole numbers, and what it says besides.

    Only what holds together is taken apart; ∈ within alternatives is left where it stands.

    >>> parted(Relation(Letter("n"), "∈", Letter("ℤ")))
    (frozenset({'n'}), None)
    """
    match node:
        case Relation(Letter(name), "∈", Letter(of)) if of == WHOLE_NUMBERS:
            return frozenset({name}), None
        case formula.Conjunction(parts):
            found = [parted(part) for part in parts]
            named = frozenset[str]().union(*(each for each, _ in found))
            rest = [each for _, each in found if each is not None]
            return (named, formula.all_of(rest) if rest else None) if named else (named, node)
        case _:
            return frozenset(), node


def of_set(found: RealSet) -> RealSet | frozenset[tuple[Number, ...]]:
    """The whole numbers of a set: each by itself, or, of a set without an end, with the rays that hold the rest.

    Raises CannotTell for more than `MOST`.

    >>> sorted(of_set(RealSet((1, Fraction(9, 2)), (False, True), (False, True, False))))
    [(2,), (3,), (4,)]
    """
    if not found.corners:
        return found if any(found.between) else frozenset()
    first, last = _floor(found.corners[0]), _floor(found.corners[-1]) + 1
    if last - first > MOST:
        raise CannotTell(f"more than {MOST} whole numbers")
    inside = [number for number in range(first - 1, last + 2) if _holds(found, number)]
    if not (found.between[0] or found.between[-1]):
        return frozenset((number,) for number in inside)
    return _with_rays(inside, range(first - 1, last + 2), left=found.between[0], right=found.between[-1])


def _with_rays(inside: Sequence[int], tried: range, *, left: bool, right: bool) -> RealSet:
    """Of each ray its last whole number is a corner, and every other whole number a point."""
    if len(inside) == len(tried) and left and right:
        return EVERYTHING
    held = set(inside)
    ends = []
    if left:
        ends.append(max(n for n in tried if held.issuperset(range(tried[0], n + 1))))
    if right:
        ends.append(min(n for n in tried if held.issuperset(range(n, tried[-1] + 1))))
    low = ends[0] if left else tried[0] - 1
    high = ends[-1] if right else tried[-1] + 1
    corners = [n for n in inside if low <= n <= high]
    between = [left, *[False] * (len(corners) - 1), right]
    return tidy(corners, [True] * len(corners), between)


def _holds(found: RealSet, number: int) -> bool:
    below = 0
    for place, corner in enumerate(found.corners):
        order = numbers.compared(number, corner)
        if order == 0:
            return found.at[place]
        if order > 0:
            below = place + 1
    return found.between[below]


def _floor(number: Number) -> int:
    if isinstance(number, int | Fraction):
        return floor(number)
    size = 1
    while numbers.compared(number, size) > 0 or numbers.compared(number, -size) < 0:
        size *= 2
    low, high = -size, size
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if numbers.compared(number, middle) >= 0 else (low, middle)
    return low


def among(found: Iterable[tuple[Number, ...]], columns: Sequence[int]) -> frozenset[tuple[Number, ...]]:
    """The tuples that have whole numbers in some columns."""
    return frozenset(row for row in found if all(_is_whole(row[column]) for column in columns))


def _is_whole(number: Number) -> bool:
    return isinstance(number, int | Fraction) and number.denominator == 1
