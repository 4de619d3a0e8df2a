"""Solutions as sympy gives them: points, intervals and tuples, and when two of them are one.

Algebraic numbers that differ are told apart by minimal polynomials, never by decimals.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, TypeAlias

from itembank.audit.findings import CannotTell
from itembank.audit.numbers import Number, Radicals
from itembank.audit.real_sets import RealSet

__all__ = [
    "Expression",
    "Piece",
    "exact",
    "in_order",
    "is_zero",
    "pieces_of",
    "rational",
    "same_number",
    "same_pieces",
    "same_tuple",
    "same_tuples",
]

Expression: TypeAlias = Any
"""A sympy expression; sympy has no types of its own."""


@dataclass(frozen=True, slots=True)
class Piece:
    """An interval from `low` to `high` (a point where they are one), ends included or not."""

    low: Expression
    high: Expression
    with_low: bool
    with_high: bool


def same_pieces(first: Sequence[Piece], second: Sequence[Piece]) -> bool:
    """Whether two sets are the same."""
    return len(first) == len(second) and all(
        (a.with_low, a.with_high) == (b.with_low, b.with_high)
        and same_number(a.low, b.low)
        and same_number(a.high, b.high)
        for a, b in zip(first, second, strict=True)
    )


def in_order(gathered: Sequence[Piece]) -> list[Piece]:
    """Separate pieces from left to right; 60 digits order them, they decide nothing about equality."""
    import sympy

    return sorted(gathered, key=lambda piece: sympy.N(piece.low, 60))


def same_tuples(first: Sequence[tuple[Expression, ...]], second: Sequence[tuple[Expression, ...]]) -> bool:
    """Whether two finite sets, each without repetition, are the same."""
    return len(first) == len(second) and all(any(same_tuple(a, b) for b in second) for a in first)


def exact(number: Number) -> Expression:
    """A number of the first road, for sympy."""
    import sympy

    if isinstance(number, Radicals):
        return sympy.Add(*(rational(factor) * sympy.sqrt(radicand) for radicand, factor in number.terms))
    return rational(number)


def rational(number: int | Fraction) -> Expression:
    """A rational number, for sympy."""
    import sympy

    return sympy.Rational(number.numerator, number.denominator)


def pieces_of(found: RealSet) -> list[Piece]:
    """A set of the first road as pieces from left to right."""
    import sympy

    gathered: list[Piece] = []
    low, with_low, inside = -sympy.oo, False, found.between[0]
    for corner, at, after in zip(found.corners, found.at, found.between[1:], strict=True):
        here = exact(corner)
        if inside and not (at and after):
            gathered.append(Piece(low, here, with_low, at))
        elif at and not inside and not after:
            gathered.append(Piece(here, here, True, True))
        if after and not (inside and at):
            low, with_low = here, at and not inside
        inside = after
    return [*gathered, Piece(low, sympy.oo, with_low, False)] if inside else gathered


def same_number(first: Expression, second: Expression) -> bool:
    """Whether two algebraic numbers (or infinities) are one."""
    if first == second:
        return True
    if not (first.is_finite and second.is_finite):
        return False
    return is_zero(first - second)


def same_tuple(first: tuple[Expression, ...], second: tuple[Expression, ...]) -> bool:
    """Whether two tuples are one, value by value."""
    return all(same_number(a, b) for a, b in zip(first, second, strict=True))


def is_zero(number: Expression) -> bool:
    """Whether an algebraic number is 0, by its minimal polynomial."""
    import sympy

    plain = sympy.expand(sympy.sqrtdenest(number))
    if plain.is_Rational:
        return bool(plain == 0)
    variable = sympy.Dummy("t")
    try:
        return bool(sympy.minimal_polynomial(plain, variable) == variable)
    except (NotImplementedError, sympy.polys.polyerrors.NotAlgebraic) as stuck:
        raise CannotTell("a number that is not algebraic") from stuck
