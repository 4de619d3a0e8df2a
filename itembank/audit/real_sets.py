"""Sets of real numbers that conditions on one letter describe: points and intervals, exactly.

A set is told by its corners, ascending, whether each corner is in it, and whether each gap between (and outside)
them is. Corners that change nothing are dropped, so equal sets are equal data.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cmp_to_key
from math import isqrt, lcm
from typing import Final

from itembank.audit import numbers, polynomials
from itembank.audit.conditions import All, Any, Atom, Condition, related
from itembank.audit.findings import CannotTell
from itembank.audit.numbers import Number
from itembank.audit.polynomials import Polynomial

__all__ = ["EMPTY", "EVERYTHING", "RealSet", "roots", "solve", "tidy"]


@dataclass(frozen=True, slots=True)
class RealSet:
    """corners ascending; at[i]: whether corner i is in; between[i]: the gap below corner i, last above all."""

    corners: tuple[Number, ...]
    at: tuple[bool, ...]
    between: tuple[bool, ...]

    @property
    def points(self) -> tuple[Number, ...] | None:
        """The members of a finite set, ascending; None for a set with an interval in it."""
        return None if any(self.between) else self.corners


CANDIDATES: Final = 2_000
EMPTY: Final = RealSet((), (), (False,))
EVERYTHING: Final = RealSet((), (), (True,))


def solve(asked: Condition, letter: str) -> RealSet:
    """All real values of a letter that satisfy a condition on it alone.

    Raises CannotTell where another letter takes part, and for polynomials whose roots are not in reach.
    """
    match asked:
        case Atom(polynomial, sign):
            return _atom(polynomial, sign, letter)
        case All(parts):
            return _joined([solve(part, letter) for part in parts], all, EVERYTHING)
        case Any(parts):
            return _joined([solve(part, letter) for part in parts], any, EMPTY)


def compare(first: Number, second: Number) -> int:
    """-1, 0 or 1 as the first is below, at or above the second."""
    return numbers.sign(first - second)


def roots(polynomial: Polynomial, letter: str) -> list[tuple[Number, int]]:
    """The real roots of a polynomial of degree >= 1 with their multiplicities, ascending.

    Degree at most 2 once rational roots are divided out. Raises CannotTell beyond.

    >>> roots({(("x", 2),): 1, (("x", 1),): -8, (): 16}, "x")
    [(4, 2)]
    """
    parts = polynomials.by_powers(polynomial, letter)
    coefficients: list[Number] = []
    for exponent in range(max(parts), -1, -1):
        value = polynomials.constant(parts.get(exponent, {}))
        if value is None:
            raise CannotTell("a letter is neither given nor to be found")
        coefficients.append(value)
    found = _roots(coefficients)
    distinct: list[tuple[Number, int]] = []
    for root in sorted(found, key=cmp_to_key(compare)):
        if distinct and distinct[-1][0] == root:
            distinct[-1] = (root, distinct[-1][1] + 1)
        else:
            distinct.append((root, 1))
    return distinct


def _atom(polynomial: Polynomial, sign: str, letter: str) -> RealSet:
    value = polynomials.constant(polynomial)
    if value is not None:
        return EVERYTHING if related(numbers.sign(value), sign) else EMPTY
    found = roots(polynomial, letter)
    parts = polynomials.by_powers(polynomial, letter)
    order = numbers.sign(polynomials.constant(parts[max(parts)]) or 0)
    between = [related(order, sign)]
    for _, count in reversed(found):
        order = -order if count % 2 else order
        between.insert(0, related(order, sign))
    return tidy([root for root, _ in found], [related(0, sign)] * len(found), between)


def _roots(coefficients: list[Number]) -> list[Number]:
    """Real roots with repetition, coefficients from the highest power, the first not 0."""
    if coefficients[-1] == 0:
        return [0, *_roots(coefficients[:-1])] if len(coefficients) > 1 else []
    degree = len(coefficients) - 1
    if degree <= 0:
        return []
    if degree == 1:
        return [numbers.divide(-coefficients[1], coefficients[0])]
    if degree == 2:
        return _quadratic_roots(*coefficients)
    root = _rational_root(coefficients)
    if root is None and _never_zero(coefficients):
        return []
    if root is None:
        raise CannotTell(f"a polynomial of degree {degree} without a rational root")
    return [root, *_roots(_divided(coefficients, root))]


def _quadratic_roots(a: Number, b: Number, c: Number) -> list[Number]:
    inside = b * b - a * c * 4
    order = numbers.sign(inside)
    if order < 0:
        return []
    root = numbers.square_root(inside)
    return [numbers.divide(-b - root, a * 2), numbers.divide(root - b, a * 2)]


def _rational_root(coefficients: Sequence[Number]) -> Number | None:
    """A rational root p/q: p divides the last, q the first of the whole-number coefficients."""
    fractions = [Fraction(number) for number in coefficients if isinstance(number, int | Fraction)]
    if len(fractions) < len(coefficients):
        raise CannotTell("a polynomial of higher degree with roots among its coefficients")
    common = lcm(*(fraction.denominator for fraction in fractions))
    whole = [int(fraction * common) for fraction in fractions]
    numerators, denominators = _divisors(abs(whole[-1])), _divisors(abs(whole[0]))
    if len(numerators) * len(denominators) > CANDIDATES:
        raise CannotTell("there are too many candidates for rational roots")
    for above in numerators:
        for below in denominators:
            for candidate in (Fraction(above, below), Fraction(-above, below)):
                value = Fraction(0)
                for number in whole:
                    value = value * candidate + number
                if value == 0:
                    return candidate.numerator if candidate.denominator == 1 else candidate
    return None


def _never_zero(coefficients: Sequence[Number]) -> bool:
    """Whether a polynomial with rational coefficients has no real root, by the signs of Sturm's chain at both ends."""
    upper = [Fraction(number) for number in coefficients if isinstance(number, int | Fraction)]
    lower = [number * exponent for exponent, number in enumerate(reversed(upper))][:0:-1]
    signs_right, signs_left = [upper[0] > 0], [(upper[0] > 0) == (len(upper) % 2 == 1)]
    while lower:
        signs_right.append(lower[0] > 0)
        signs_left.append((lower[0] > 0) == (len(lower) % 2 == 1))
        upper, lower = lower, [-number for number in _remainder(upper, lower)]
    return _turns(signs_left) == _turns(signs_right)


def _remainder(upper: list[Fraction], lower: list[Fraction]) -> list[Fraction]:
    left = list(upper)
    for _ in range(len(upper) - len(lower) + 1):
        factor = left[0] / lower[0]
        left = [
            number - (factor * lower[place] if place < len(lower) else 0) for place, number in enumerate(left)
        ][1:]
    first = next((place for place, number in enumerate(left) if number), len(left))
    return left[first:]


def _turns(signs: list[bool]) -> int:
    return sum(signs[place] != signs[place + 1] for place in range(len(signs) - 1))


def _divisors(number: int) -> list[int]:
    if number > 10**10:
        raise CannotTell("the coefficients are too large to look for rational roots")
    small = [divisor for divisor in range(1, isqrt(number) + 1) if number % divisor == 0]
    return [*small, *(number // divisor for divisor in reversed(small) if divisor * divisor != number)]


def _divided(coefficients: Sequence[Number], root: Number) -> list[Number]:
    """The quotient by (x − root)."""
    quotient: list[Number] = []
    carried: Number = 0
    for number in coefficients[:-1]:
        carried = carried * root + number
        quotient.append(carried)
    return quotient


def _joined(sets: list[RealSet], decide: Callable[[list[bool]], bool], neutral: RealSet) -> RealSet:
    if not sets:
        return neutral
    if len(sets) == 1:
        return sets[0]
    corners: list[Number] = []
    for each in sets:
        for corner in each.corners:
            if corner not in corners:
                corners.append(corner)
    key = cmp_to_key(compare)
    corners.sort(key=key)
    keyed = [key(corner) for corner in corners]
    rows = [
        _refined(each, corners, [bisect_left(keyed, key(corner)) for corner in each.corners]) for each in sets
    ]
    at = [decide([row[0][index] for row in rows]) for index in range(len(corners))]
    between = [decide([row[1][index] for row in rows]) for index in range(len(corners) + 1)]
    return tidy(corners, at, between)


def _refined(each: RealSet, corners: list[Number], places: list[int]) -> tuple[list[bool], list[bool]]:
    """The same set told at more corners; `places` is where its own corners stand among them."""
    at: list[bool] = []
    between = [each.between[0]]
    passed = 0
    for index in range(len(corners)):
        if passed < len(places) and places[passed] == index:
            at.append(each.at[passed])
            passed += 1
        else:
            at.append(each.between[passed])
        between.append(each.between[passed])
    return at, between


def tidy(corners: Sequence[Number], at: Sequence[bool], between: Sequence[bool]) -> RealSet:
    """The set of corners that ascend, without those that change nothing."""
    kept: list[Number] = []
    kept_at: list[bool] = []
    kept_between = [between[0]]
    for index, corner in enumerate(corners):
        if at[index] == kept_between[-1] == between[index + 1]:
            continue
        kept.append(corner)
        kept_at.append(at[index])
        kept_between.append(between[index + 1])
    return RealSet(tuple(kept), tuple(kept_at), tuple(kept_between))
