"""The solution set of a statement in one letter as pieces of the number line, decided exactly.

Between the roots of its relations a statement does not change, so it is tried once at every root and once between
every two.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cmp_to_key
from itertools import pairwise

from itembank.errors import DomainError
from itembank.expressions import exact, numbers, polynomials, tree
from itembank.expressions.numbers import Exact, compare
from itembank.expressions.polynomials import Polynomial
from itembank.figures import Piece
from itembank.figures.scale import near
from itembank.generator.exactly import holds

__all__ = ["between", "breaks", "pieces"]

MOST_BREAKS = 8


def pieces(node: tree.Node, letter: str, values: Mapping[str, Exact]) -> tuple[Piece, ...]:
    """The numbers for which a statement holds, as disjoint pieces, ascending.

    Raises DomainError where a relation is of a degree above 2, or has surds in a square's coefficients.
    """
    readings = [tree.with_sign(node, sign) for sign in (1, -1)] if tree.has_plus_minus(node) else [node]
    found = breaks((each for reading in readings for each in _differences(reading, letter, values)), letter)
    truths = [
        any(exact.truth(reading, {**values, letter: point}, holds, letter) for reading in readings)
        for point in between(found)
    ]
    return tuple(_joined(found, truths))


def _differences(node: tree.Node, letter: str, values: Mapping[str, Exact]) -> Iterable[Polynomial]:
    for part in tree.walk(node):
        if isinstance(part, tree.Relation):
            sides = [exact.polynomial(side, values, letter) for side in part.operands]
            yield from (polynomials.subtract(left, right) for left, right in pairwise(sides))


def breaks(found: Iterable[Polynomial], letter: str) -> list[Exact]:
    """The real roots of polynomials in a letter, each once, ascending."""
    roots = {root for each in found for root in _roots(each, letter)}
    if len(roots) > MOST_BREAKS:
        raise DomainError(f"a picture has at most {MOST_BREAKS} numbers marked")
    return sorted(roots, key=cmp_to_key(compare))


def _roots(polynomial: Polynomial, letter: str) -> Iterable[Exact]:
    a, b, c = (part.constant() for part in polynomials.quadratic_coefficients(polynomial, letter))
    if a == 0:
        return () if b == 0 else (numbers.divide(numbers.negate(c), b),)
    square = numbers.subtract(numbers.multiply(b, b), numbers.multiply(4, numbers.multiply(a, c)))
    if numbers.sign(square) < 0:
        return ()
    root, twice = numbers.square_root(square), numbers.multiply(2, a)
    centre = numbers.divide(numbers.negate(b), twice)
    reach = numbers.divide(root, twice)
    return numbers.subtract(centre, reach), numbers.add(centre, reach)


def between(found: list[Exact]) -> list[Exact]:
    """A number below all, the first, a number between it and the second, ..., the last, a number above all."""
    if not found:
        return [0]
    points: list[Exact] = [numbers.whole(near(found[0]) // 1 - 1)]
    for low, high in pairwise(found):
        middle = numbers.whole((near(low) + near(high)) / 2)
        if not compare(low, middle) < 0 < compare(high, middle):
            raise DomainError("two numbers lie too close together to be drawn apart")
        points += [low, middle]
    return [*points, found[-1], numbers.whole(near(found[-1]) // 1 + 2)]


def _joined(found: list[Exact], truths: list[bool]) -> Iterable[Piece]:
    """Neighbouring places where it holds, as pieces; places alternate between intervals and numbers."""
    start: tuple[Exact | None, bool] | None = None
    for place, truth in enumerate(truths):
        at = found[place // 2] if place % 2 else None
        if truth and start is None:
            start = (at, True) if place % 2 else (found[place // 2 - 1] if place else None, False)
        elif not truth and start is not None:
            end = (at, False) if place % 2 else (found[place // 2 - 1], True)
            yield Piece(*start, *end)
            start = None
    if start is not None:
        yield Piece(*start, None, False)
