"""Figures without rounding: a fraction, the root of a fraction, or the reason why there is none."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Context, Decimal
from fractions import Fraction
from math import isqrt, lcm
from operator import mul
from typing import TypeAlias

from itembank.errors import DomainError

__all__ = [
    "CannotTell",
    "Root",
    "Statistic",
    "added",
    "correlation",
    "correlation_of_sums",
    "logit",
    "marks_told",
    "mean",
    "ranks",
    "rounded",
    "variance",
]


@dataclass(frozen=True, slots=True)
class CannotTell:
    """A figure that does not exist here. reason: why, in words for a teacher; it is never read as 0."""

    reason: str


@dataclass(frozen=True, slots=True)
class Root:
    """The square root of a fraction >= 0, or the negative one."""

    square: Fraction
    is_negative: bool = False

    def exceeds(self, bound: Fraction) -> bool:
        """Whether it is greater than a fraction, decided on the squares.

        >>> Root(Fraction(2)).exceeds(Fraction(7, 5)), Root(Fraction(2), True).exceeds(Fraction(-3, 2))
        (True, True)
        """
        if self.is_negative:
            return bound < 0 and self.square < bound**2
        return bound < 0 or self.square > bound**2


Statistic: TypeAlias = Fraction | Root | CannotTell


def rounded(value: Fraction | Root, places: int) -> Decimal:
    """A figure at some decimals, the nearest; a half goes away from 0.

    places: 0 to 20.

    >>> rounded(Fraction(-1, 8), 2), rounded(Root(Fraction(2)), 3), rounded(Root(Fraction(0), True), 2)
    (Decimal('-0.13'), Decimal('1.414'), Decimal('0.00'))
    """
    unit = 10**places
    if isinstance(value, Root):
        # The whole part of twice the root tells on which side of a half it stands.
        twice = isqrt(4 * unit**2 * value.square.numerator // value.square.denominator)
        is_negative = value.is_negative
    else:
        twice = 2 * unit * abs(value.numerator) // value.denominator
        is_negative = value < 0
    nearest = (twice + 1) // 2
    # Put together digit by digit: arithmetic of decimals would round to its own precision.
    return Decimal((int(is_negative and nearest > 0), tuple(map(int, str(nearest))), -places))


def added(marks: Iterable[Fraction | None]) -> Fraction:
    """The sum of marks, of which most are whole; None adds nothing.

    >>> added([Fraction(1), None, Fraction(3, 2)])
    Fraction(5, 2)
    """
    whole, rest = 0, Fraction(0)
    for mark in marks:
        if mark is None:
            continue
        if mark.denominator == 1:
            whole += mark.numerator
        else:
            rest += mark
    return rest + whole


def mean(values: Sequence[Fraction]) -> Fraction:
    """The sum by the number. values: one or more."""
    if not values:
        raise DomainError("the mean of nothing")
    return added(values) / len(values)


def variance(values: Sequence[Fraction]) -> Fraction | CannotTell:
    """The sample variance: sum of (x - mean)^2 by n - 1. Smallest n: 2.

    >>> variance([Fraction(1), Fraction(3)])
    Fraction(2, 1)
    """
    if len(values) < 2:
        return CannotTell("fewer than two values")
    unit = lcm(*{value.denominator for value in values})
    xs, number = _in_whole_units(values), len(values)
    squares = number * sum(x * x for x in xs) - sum(xs) ** 2
    return Fraction(squares, number * (number - 1) * unit * unit)


def correlation(first: Sequence[Fraction], second: Sequence[Fraction]) -> Root | CannotTell:
    """The product-moment correlation of pairs, r = S_xy / sqrt(S_xx * S_yy); sample or population makes no difference.

    Smallest n: 3, since two pairs lie on a line. Undefined where either side is the same throughout.
    Source: Crocker & Algina 1986, chapter 2 (from memory).

    >>> rounded(correlation([*map(Fraction, (1, 2, 3))], [*map(Fraction, (1, 2, 2))]), 3)
    Decimal('0.866')
    """
    xs, ys = _in_whole_units(first), _in_whole_units(second)
    squares = sum(map(mul, xs, xs)), sum(map(mul, ys, ys))
    return correlation_of_sums(len(xs), (sum(xs), sum(ys)), squares, sum(map(mul, xs, ys)))


def correlation_of_sums(
    number: int, sums: tuple[int, int], squares: tuple[int, int], products: int
) -> Root | CannotTell:
    """The same of so many pairs whose sums, sums of squares and sum of products are known."""
    if number < 3:
        return CannotTell("fewer than three pairs")
    x, y = sums
    xx, yy = number * squares[0] - x * x, number * squares[1] - y * y
    if not xx or not yy:
        return CannotTell("one side is the same throughout")
    xy = number * products - x * y
    return Root(Fraction(xy * xy, xx * yy), xy < 0)


def _in_whole_units(values: Sequence[Fraction]) -> list[int]:
    """Values in the largest unit in which all are whole: no correlation depends on it, and whole numbers are quick."""
    unit = lcm(*{value.denominator for value in values})
    return [value.numerator * (unit // value.denominator) for value in values]


def ranks(values: Sequence[Fraction]) -> list[Fraction]:
    """The place of each value from the smallest, 1; equal ones share the middle of their places.

    >>> [str(rank) for rank in ranks([*map(Fraction, (5, 1, 5))])]
    ['5/2', '1', '5/2']
    """
    first: dict[Fraction, int] = {}
    number: dict[Fraction, int] = {}
    for place, value in enumerate(sorted(values), 1):
        first.setdefault(value, place)
        number[value] = number.get(value, 0) + 1
    return [Fraction(2 * first[value] + number[value] - 1, 2) for value in values]


def logit(share: Fraction, places: int) -> Decimal | CannotTell:
    """ln(share / (1 - share)) at some decimals, by decimals that are correct to far more places than are kept.

    share: 0 to 1; at the ends there is none. places: 0 to 10.

    >>> logit(Fraction(3, 4), 2), logit(Fraction(1), 2)
    (Decimal('1.10'), CannotTell(reason='everyone or no one'))
    """
    if not 0 < share < 1:
        return CannotTell("everyone or no one")
    odds = share / (1 - share)
    many = Context(prec=40)
    value = many.ln(many.divide(Decimal(odds.numerator), Decimal(odds.denominator)))
    return rounded(Fraction(value), places)


def marks_told(marks: Fraction) -> str:
    """Marks as people write them, at four decimals at most.

    >>> marks_told(Fraction(3, 2)), marks_told(Fraction(40))
    ('1.5', '40')
    """
    return str(rounded(marks, 4)).rstrip("0").rstrip(".")
