"""Solution sets of inequalities on the second road: the line cut at all roots, and one number tried in each stretch."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cmp_to_key
from itertools import pairwise

from itembank.expressions import tree
from itembank.proof.symbolic_numbers import CannotTell, Rooted, rational
from itembank.proof.symbolic_reading import Space
from itembank.proof.symbolic_sets import Points, real_roots
from itembank.proof.symbolic_text import Piece

__all__ = ["Stretches", "is_of_regions", "is_of_whole_numbers", "region"]

MOST_READINGS = 16
MOST_WHOLE = 1_000
"""So many whole numbers at most are tried one by one."""


@dataclass(frozen=True, slots=True)
class Stretches:
    """corners ascending; at: whether each is in the set; between: the stretch below each corner, the last above all."""

    corners: tuple[Rooted, ...]
    at: tuple[bool, ...]
    between: tuple[bool, ...]


def is_of_regions(read: Piece) -> bool:
    """Whether a relation other than = (and ≈) stands in a piece, or a modulus of letters."""
    return any(
        (isinstance(node, tree.Relation) and not set(node.operators) <= {"=", "≈"}) or _is_modulus(node)
        for node in tree.walk(read.node)
    )


def _is_modulus(node: tree.Node) -> bool:
    return isinstance(node, tree.Call) and node.function == "abs" and bool(set(tree.names(node)))


def _without_moduli(node: tree.Node) -> list[tree.Node]:
    """All readings of an expression with each modulus of letters as what is inside or its opposite.

    Raises CannotTell for more than `MOST_READINGS`.
    """
    readings = [node]
    while found := [(each, size) for each in readings for size in tree.walk(each) if _is_modulus(size)]:
        whole, size = found[0]
        (inside,) = tree.children(size)
        readings.remove(whole)
        readings += [_exchanged(whole, size, by) for by in (inside, tree.Negation(inside))]
        if len(readings) > MOST_READINGS:
            raise CannotTell("too many moduli")
    return readings


def _exchanged(whole: tree.Node, old: tree.Node, new: tree.Node) -> tree.Node:
    return tree.transform(whole, lambda node: new if node is old else None)


def region(space: Space, statements: list[Piece], unknown: str) -> Stretches | Points:
    """The numbers for which all statements hold: points where there are finitely many. Raises CannotTell."""
    corners: list[Rooted] = []
    for read in statements:
        if read.pattern.has_either_sign:
            raise CannotTell("± stands in an inequality")
        for node in tree.walk(read.node):
            if isinstance(node, tree.Relation) and node.operators != ("∈",):
                for first, second in pairwise(node.operands):
                    difference = tree.Sum(first, (("-", second),))
                    for each in _without_moduli(difference):
                        for value in space.corners(read, each):
                            corners += _roots(space, value, unknown)
            elif _is_modulus(node):
                for each in _without_moduli(tree.children(node)[0]):
                    corners += _roots(space, space.value(read, each), unknown)
    distinct = sorted(_distinct(corners), key=cmp_to_key(_order))
    if any(map(is_of_whole_numbers, statements)):
        return _whole_numbers(space, statements, unknown, distinct)
    at = [_holds(space, statements, unknown, corner) for corner in distinct]
    between = [_holds(space, statements, unknown, number) for number in _between(distinct)]
    return _tidy(distinct, at, between)


def is_of_whole_numbers(read: Piece) -> bool:
    """Whether a statement says of its letter that it is a whole number; it may say more, but no alternative."""
    return any(
        isinstance(node, tree.Relation) and node.operators == ("∈",)
        for node in (read.node.parts if isinstance(read.node, tree.And) else (read.node,))
    )


def _whole_numbers(space: Space, statements: list[Piece], unknown: str, corners: list[Rooted]) -> Points:
    """Each whole number from below the first corner to above the last is tried; beyond them nothing may hold."""
    if not corners:
        raise CannotTell("whole numbers without an end")
    low, high = _floor(corners[0]) - 1, _floor(corners[-1]) + 2
    if high - low > MOST_WHOLE:
        raise CannotTell(f"more than {MOST_WHOLE} whole numbers")
    tried = {number: _holds(space, statements, unknown, rational(number)) for number in range(low, high + 1)}
    if tried[low] or tried[high]:
        raise CannotTell("whole numbers without an end")
    return frozenset((rational(number),) for number, holds in tried.items() if holds)


def _floor(number: Rooted) -> int:
    """The largest whole number not above one: found by doubling, then by halving."""
    size = 1
    while (number - rational(size)).sign() >= 0 or (number + rational(size)).sign() < 0:
        size *= 2
    low, high = -size, size
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if (number - rational(middle)).sign() >= 0 else (low, middle)
    return low


def _roots(space: Space, value: Rooted, unknown: str) -> list[Rooted]:
    if set(space.letters_in(value)) - {unknown}:
        raise CannotTell("a letter is neither given nor to be found")
    powers = space.powers(value, unknown)
    if max(powers, default=0) == 0:
        return []
    zero = rational(0)
    return real_roots([powers.get(exponent, zero).number() for exponent in range(max(powers), -1, -1)])


def _holds(space: Space, statements: list[Piece], unknown: str, number: Rooted) -> bool:
    return all(space.holds(read, {unknown: number}) for read in statements)


def _between(corners: list[Rooted]) -> list[Rooted]:
    """A number below all corners, one between each two, one above all."""
    if not corners:
        return [rational(0)]
    half = rational(1, 2)
    inner = [(low + high) * half for low, high in pairwise(corners)]
    return [corners[0] - rational(1), *inner, corners[-1] + rational(1)]


def _distinct(numbers: list[Rooted]) -> list[Rooted]:
    found: list[Rooted] = []
    for number in numbers:
        if all(number - other for other in found):
            found.append(number)
    return found


def _order(first: Rooted, second: Rooted) -> int:
    return (first - second).sign()


def _tidy(corners: list[Rooted], at: list[bool], between: list[bool]) -> Stretches | Points:
    """Corners that change nothing are dropped."""
    kept = [index for index in range(len(corners)) if not (at[index] == between[index] == between[index + 1])]
    if not any(between):
        return frozenset((corners[index],) for index in kept)
    gaps = [between[index] for index in kept]
    return Stretches(
        tuple(corners[index] for index in kept), tuple(at[index] for index in kept), (*gaps, between[-1])
    )
