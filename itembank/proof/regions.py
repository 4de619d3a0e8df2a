"""Solution sets of inequalities in one unknown: unions of intervals with exact ends, by the signs of polynomials.

A region is a tuple of pieces from left to right that neither overlap nor touch, so equal sets are equal data.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from fractions import Fraction
from functools import cmp_to_key
from typing import NamedTuple, TypeAlias

from itembank.expressions import numbers
from itembank.expressions.numbers import Exact
from itembank.proof.solver import CannotDecide, quadratic_roots

__all__ = [
    "EVERYTHING",
    "NOTHING",
    "Piece",
    "Region",
    "intersection",
    "of_quotient",
    "of_sign",
    "points",
    "related",
    "told",
    "union",
    "whole_numbers",
]


class Piece(NamedTuple):
    """From low to high, each end in the piece or not; None where there is no end. A point has both ends alike."""

    low: Exact | None
    low_in: bool
    high: Exact | None
    high_in: bool


Region: TypeAlias = tuple[Piece, ...]
EVERYTHING: Region = (Piece(None, False, None, False),)
NOTHING: Region = ()


def of_sign(a: Exact, b: Exact, c: Exact, sign: str) -> Region:
    """Where a*t^2 + b*t + c stands to 0 as a relation sign says. Raises CannotDecide for other signs.

    >>> of_sign(1, -5, 6, "<")
    (Piece(low=2, low_in=False, high=3, high_in=False),)
    """
    if a == 0 and b == 0:
        return EVERYTHING if related(numbers.sign(c), sign) else NOTHING
    corners = quadratic_roots(a, b, c)
    order = numbers.sign(a) if a != 0 else numbers.sign(b)
    orders = [order]
    for _ in range(1 if a == 0 else 2 if len(corners) == 2 else 0):
        orders.insert(0, -orders[0])
    if len(corners) == 1 and a != 0:
        orders = [order, order]
    return _of_cells(corners, related(0, sign), [related(each, sign) for each in orders])


def of_quotient(above: Callable[[str], Region], below: Callable[[str], Region], sign: str) -> Region:
    """Where a quotient stands to 0 as a relation sign says; above, below: where its parts do so.

    >>> told(of_quotient(lambda s: of_sign(0, 1, 1, s), lambda s: of_sign(0, 1, -2, s), "<="))
    'from -1 with the end up to 2 without it'
    """
    apart = below("!=")
    if sign in {"=", "!="}:
        return intersection(above(sign), apart)
    like, unlike = (">", "<") if sign.startswith(">") else ("<", ">")
    found = [*intersection(above(like), below(">")), *intersection(above(unlike), below("<"))]
    if related(0, sign):
        found += intersection(above("="), apart)
    return union(found)


def related(order: int, sign: str) -> bool:
    """Whether a number whose sign is `order` stands to 0 as asked. Raises CannotDecide for a sign that is not exact."""
    match sign:
        case "=":
            return order == 0
        case "!=":
            return order != 0
        case "<":
            return order < 0
        case "<=":
            return order <= 0
        case ">":
            return order > 0
        case ">=":
            return order >= 0
        case _:
            raise CannotDecide(f"the sign {sign} is not decided exactly")


def _of_cells(corners: list[Exact], at: bool, between: list[bool]) -> Region:
    """corners ascending, each in the region or not; between: the gap below each corner, the last above all."""
    pieces = []
    ends: list[Exact | None] = [None, *corners, None]
    for index, inside in enumerate(between):
        if inside:
            pieces.append(Piece(ends[index], False, ends[index + 1], False))
    if at:
        pieces += [Piece(corner, True, corner, True) for corner in corners]
    return union(pieces)


MOST_WHOLE = 100
"""A stretch holds at most so many whole numbers where these are told one by one."""


def whole_numbers(region: Region) -> Region:
    """The whole numbers in a region, each a point; of a stretch without an end the rest from the last one on.

    Equal sets of whole numbers are equal. Raises CannotDecide for more than `MOST_WHOLE` in a stretch.

    >>> told(whole_numbers(of_sign(2, 0, -9, "<")))
    '-2 alone, -1 alone, 0 alone, 1 alone, 2 alone'
    >>> whole_numbers(of_sign(0, 2, -7, ">")) == whole_numbers(of_sign(0, 1, -4, ">="))
    True
    """
    found: list[tuple[int | None, int | None]] = []
    for piece in region:
        low = None if piece.low is None else _first_whole(piece.low, piece.low_in)
        high = None if piece.high is None else -_first_whole(numbers.negate(piece.high), piece.high_in)
        if low is not None and high is not None and low > high:
            continue
        if found and low is not None and found[-1][1] is not None and low <= found[-1][1] + 1:
            low = found.pop()[0]
        found.append((low, high))
    pieces: list[Piece] = []
    for low, high in found:
        if low is None or high is None:
            pieces.append(Piece(low, low is not None, high, high is not None))
        elif high - low >= MOST_WHOLE:
            raise CannotDecide(f"more than {MOST_WHOLE} whole numbers")
        else:
            pieces += [Piece(each, True, each, True) for each in range(low, high + 1)]
    return tuple(pieces)


def _first_whole(end: Exact, is_in: bool) -> int:
    """The smallest whole number at an end or above it."""
    if isinstance(end, numbers.Surd):
        below = next(
            low // scale for low, high, scale in numbers.bounds(end) if low // scale == high // scale
        )
        return below + 1
    first = -(-Fraction(end) // 1)
    return int(first) if is_in or first != end else int(first) + 1


def union(pieces: Iterable[Piece]) -> Region:
    """All that lies in one of the pieces."""
    found: list[Piece] = []
    for piece in sorted(pieces, key=cmp_to_key(_by_low)):
        if found and _touch(found[-1], piece):
            last = found[-1]
            order = _by_high(last, piece)
            high = last if order >= 0 else piece
            found[-1] = Piece(last.low, last.low_in, high.high, high.high_in)
        else:
            found.append(piece)
    return tuple(found)


def intersection(first: Region, second: Region) -> Region:
    """All that lies in both."""
    found = []
    for one in first:
        for other in second:
            low = one if _by_low(one, other) >= 0 else other
            high = one if _by_high(one, other) <= 0 else other
            piece = Piece(low.low, low.low_in, high.high, high.high_in)
            if not _is_empty(piece):
                found.append(piece)
    return union(found)


def points(region: Region) -> frozenset[Exact] | None:
    """The members of a finite region; None for one with an interval in it."""
    found = set()
    for piece in region:
        if piece.low is None or piece.low != piece.high:
            return None
        found.add(piece.low)
    return frozenset(found)


def told(region: Iterable[Piece], number: Callable[[Exact], str] = str) -> str:
    """A region in words a teacher can check.

    >>> told(of_sign(1, 0, -4, ">="))
    'up to -2 with the end, from 2 with the end'
    >>> told(of_sign(1, 0, -4, "<")), told(of_sign(1, 0, -4, ">"))
    ('between -2 and 2 without the ends', 'below -2, above 2')
    """
    return ", ".join(_told(piece, number) for piece in region) or "none"


def _told(piece: Piece, number: Callable[[Exact], str]) -> str:
    if piece.low is not None and piece.high is not None:
        low, high = number(piece.low), number(piece.high)
        if piece.low == piece.high:
            return f"{low} alone"
        if piece.low_in == piece.high_in:
            return f"between {low} and {high} {'with' if piece.low_in else 'without'} the ends"
        with_end = {True: "with the end", False: "without it"}
        return f"from {low} {with_end[piece.low_in]} up to {high} {with_end[piece.high_in]}"
    if piece.low is not None:
        return f"from {number(piece.low)} with the end" if piece.low_in else f"above {number(piece.low)}"
    if piece.high is not None:
        return f"up to {number(piece.high)} with the end" if piece.high_in else f"below {number(piece.high)}"
    return "every number"


def _by_low(first: Piece, second: Piece) -> int:
    """The order of two pieces by where they begin; one that holds its end begins earlier."""
    if first.low is None or second.low is None:
        return (first.low is not None) - (second.low is not None)
    order = numbers.compare(first.low, second.low)
    return order or second.low_in - first.low_in


def _by_high(first: Piece, second: Piece) -> int:
    """The order by where they end."""
    if first.high is None or second.high is None:
        return (first.high is None) - (second.high is None)
    order = numbers.compare(first.high, second.high)
    return order or first.high_in - second.high_in


def _touch(first: Piece, second: Piece) -> bool:
    """Whether a piece that begins no earlier leaves no gap after the first."""
    if first.high is None or second.low is None:
        return True
    order = numbers.compare(second.low, first.high)
    return order < 0 or (order == 0 and (first.high_in or second.low_in))


def _is_empty(piece: Piece) -> bool:
    if piece.low is None or piece.high is None:
        return False
    order = numbers.compare(piece.low, piece.high)
    return order > 0 or (order == 0 and not (piece.low_in and piece.high_in))
