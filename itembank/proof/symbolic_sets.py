"""Solution sets in sympy's rings: real roots by the formula, systems by substitution and Groebner bases.

Where nothing here leads to all solutions, CannotTell is raised; a set is never guessed, and never a part of one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import prod
from typing import Any, TypeAlias

import sympy
from sympy import QQ
from sympy.polys.groebnertools import groebner
from sympy.polys.rings import PolyElement

from itembank.proof.symbolic_hidden import equations, with_exponents, with_hidden
from itembank.proof.symbolic_numbers import ZERO, CannotTell, Rooted, rational, square_root
from itembank.proof.symbolic_reading import Space, System
from itembank.proof.symbolic_text import Piece

__all__ = [
    "Points",
    "count_real_roots",
    "real_roots",
    "satisfied",
    "solutions",
    "solve",
    "systems",
    "with_false_roots",
]

Point: TypeAlias = tuple[Rooted, ...]
Points: TypeAlias = frozenset[Point]

_T = sympy.Dummy("t")
MOST_SOLUTIONS = 64
MOST_EQUATIONS, MOST_LETTERS, HIGHEST_PRODUCT_OF_DEGREES = 6, 3, 9
"""Larger systems are not given to Buchberger's algorithm."""


def solutions(space: Space, read: Piece, unknowns: Sequence[str], for_every: Sequence[str] = ()) -> Points:
    """All real solutions of a statement, each in the order of `unknowns`. Raises CannotTell.

    >>> from itembank.proof.symbolic_reading import space
    >>> from itembank.proof.symbolic_text import piece
    >>> found = solutions(space(("x",)), piece("x^2 - 2*x - 15 = 0"), ["x"])
    >>> found == {(rational(5),), (rational(-3),)}
    True
    """
    found: set[Point] = set()
    for system in systems(space, read, for_every):
        found |= solve(space, system, unknowns)
    return frozenset(found)


def systems(space: Space, read: Piece, for_every: Sequence[str] = ()) -> list[System]:
    """A statement as alternatives, each what holds together for every value of the letters `for_every`."""
    if not for_every:
        return space.alternatives(read)
    alternatives = space.alternatives(read)
    divisors = [value for system in alternatives for value in system.not_zero]
    if not all(_is_never_all_zero(space, value, for_every) for value in divisors):
        raise CannotTell("an identity that is divided by what may be 0 everywhere")
    return [
        System(tuple(part for value in system.zero for part in _in_all(space, value, for_every)))
        for system in alternatives
    ]


def _is_never_all_zero(space: Space, value: Rooted, for_every: Sequence[str]) -> bool:
    """Whether some coefficient of a value in the letters `for_every` is a number other than 0."""
    return any(part and not space.letters_in(part) for part in _in_all(space, value, for_every))


def _in_all(space: Space, value: Rooted, for_every: Sequence[str]) -> list[Rooted]:
    found = [value]
    for letter in for_every:
        found = [part for each in found for part in space.powers(each, letter).values()]
    return found


def satisfied(space: Space, system: System, unknowns: Sequence[str], point: Point) -> bool:
    """Whether a point, put in, makes every value 0 that should be, and nothing that should not."""
    values: Mapping[str, Rooted] | None = dict(zip(unknowns, point, strict=True))
    if system.hidden:
        try:
            values = with_hidden(space, system.hidden, values or {})
        except (
            CannotTell
        ):  # of 5^x with x = 5/6, say, there is no value here, and the equation can be solved all the same
            return point in solve(space, system, unknowns)
    if values is None:
        return False
    return not any(_at(space, value, values) for value in system.zero) and all(
        _at(space, value, values) for value in system.not_zero
    )


def _at(space: Space, value: Rooted, values: Mapping[str, Rooted]) -> Rooted:
    for letter, number in values.items():
        value = space.put_in(value, letter, number)
    return value


def solve(space: Space, system: System, unknowns: Sequence[str]) -> Points:
    """All real points at which a system holds. Raises CannotTell."""
    if system.hidden:
        return _uncovered(space, system, unknowns, unknowns, strict=True)
    found = _solve(space, [value for value in system.zero if value], tuple(unknowns), reduced=False)
    return frozenset(
        tuple(solution[name] for name in unknowns)
        for solution in found
        if all(_at(space, value, solution) for value in system.not_zero)
    )


def with_false_roots(space: Space, system: System, unknowns: Sequence[str], shown: Sequence[str]) -> Points:
    """What some unknowns are before false roots are given up. Raises CannotTell."""
    return _uncovered(space, system, unknowns, shown, strict=False)


def _uncovered(
    space: Space, system: System, unknowns: Sequence[str], shown: Sequence[str], *, strict: bool
) -> Points:
    zero, not_zero, letters, hidden = equations(space, system, unknowns)
    found: set[Point] = set()
    for solution in _solve(space, zero, letters, reduced=False):
        whole = with_exponents(hidden, solution) if strict else solution
        if whole is None or (strict and not all(_at(space, value, whole) for value in not_zero)):
            continue
        if not set(shown) <= whole.keys():
            raise CannotTell("an exponent is not known before its power is")
        found.add(tuple(whole[name] for name in shown))
    return frozenset(found)


def _solve(
    space: Space, system: list[Rooted], unknowns: tuple[str, ...], *, reduced: bool
) -> list[dict[str, Rooted]]:
    named = [space.letters_in(value) for value in system]
    for letters in named:
        if not letters:
            return []
        stray = [letter for letter in letters if letter not in unknowns]
        if stray:
            raise CannotTell(f"the letter {stray[0]} is neither given nor to be found")
    if not unknowns:
        return [{}]
    if not system:
        raise CannotTell(f"{unknowns[0]} is not determined")
    alone = [(value, letters[0]) for value, letters in zip(system, named, strict=True) if len(letters) == 1]
    if not alone:
        if reduced:
            raise CannotTell("the system is no chain of equations in one unknown")
        return _solve(space, _basis(space, system), unknowns, reduced=True)
    value, letter = min(alone, key=lambda each: max(space.powers(*each)))
    rest = [other for other in system if other is not value]
    others = tuple(name for name in unknowns if name != letter)
    found = []
    for number in real_roots(_dense(space, value, letter)):
        left = [space.put_in(other, letter, number) for other in rest]
        for solution in _solve(space, [each for each in left if each], others, reduced=reduced):
            found.append({**solution, letter: number})
        if len(found) > MOST_SOLUTIONS:
            raise CannotTell(f"more than {MOST_SOLUTIONS} solutions")
    return found


def _basis(space: Space, system: list[Rooted]) -> list[Rooted]:
    """The reduced Groebner basis, in the order of the letters: a chain where there are finitely many solutions."""
    polynomials: list[Any] = [value.terms.get(1) for value in system]
    if not all(value.is_rational() and isinstance(value.terms.get(1), PolyElement) for value in system):
        raise CannotTell("a system in several unknowns with roots among its numbers")
    letters = {letter for value in system for letter in space.letters_in(value)}
    degrees = prod(max(map(sum, polynomial.itermonoms())) for polynomial in polynomials)
    if (
        len(polynomials) > MOST_EQUATIONS
        or len(letters) > MOST_LETTERS
        or degrees > HIGHEST_PRODUCT_OF_DEGREES
    ):
        raise CannotTell("a system that is too large to be solved")
    return [Rooted({1: polynomial}) for polynomial in groebner(polynomials, space.ring)]


def _dense(space: Space, value: Rooted, letter: str) -> list[Rooted]:
    """The coefficients of a value in one letter, from the highest power."""
    powers = space.powers(value, letter)
    return [powers.get(exponent, ZERO).number() for exponent in range(max(powers), -1, -1)]


def real_roots(coefficients: list[Rooted]) -> list[Rooted]:
    """The distinct real roots of a polynomial of degree 1 or more, coefficients from the highest power.

    Above degree 2, of its rational factors. Raises CannotTell where a factor's roots are no sums of square roots.
    """
    if len(coefficients) == 2:
        a, b = coefficients
        return [-b * a.inverse()]
    if len(coefficients) == 3:
        return _quadratic_roots(*coefficients)
    if not all(coefficient.is_rational() for coefficient in coefficients):
        raise CannotTell("an equation above degree 2 with roots among its coefficients")
    found: list[Rooted] = []
    for factor, _ in _polynomial(coefficients).factor_list()[1]:
        if factor.degree() > 2:
            if factor.count_roots():
                raise CannotTell("an equation above degree 2 that does not factorise")
            continue
        found += real_roots([Rooted({1: c} if c else {}) for c in _rationals(factor)])
    return found


def _quadratic_roots(a: Rooted, b: Rooted, c: Rooted) -> list[Rooted]:
    inside = b * b - rational(4) * a * c
    order = inside.sign()
    if order < 0:
        return []
    below = (a + a).inverse()
    if order == 0:
        return [-b * below]
    root = square_root(inside)
    return [(root - b) * below, (-root - b) * below]


def count_real_roots(space: Space, value: Rooted, unknown: str) -> int:
    """How many distinct real roots, without finding them: by the discriminant's sign, or by Sturm's theorem."""
    coefficients = _dense(space, value, unknown)
    if len(coefficients) == 1:
        if not value:
            raise CannotTell(f"{unknown} is not determined")
        return 0
    if len(coefficients) == 2:
        return 1
    if len(coefficients) == 3:
        a, b, c = coefficients
        return (b * b - rational(4) * a * c).sign() + 1
    if not all(coefficient.is_rational() for coefficient in coefficients):
        raise CannotTell("an equation above degree 2 with roots among its coefficients")
    return int(_polynomial(coefficients).count_roots())


def _polynomial(coefficients: list[Rooted]) -> Any:
    return sympy.Poly.from_list([QQ.to_sympy(c.rational_part()) for c in coefficients], _T, domain=QQ)


def _rationals(polynomial: Any) -> list[Any]:
    return [QQ.from_sympy(coefficient) for coefficient in polynomial.all_coeffs()]
