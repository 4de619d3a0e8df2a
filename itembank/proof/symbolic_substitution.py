"""The same for sympy's rings: a new letter for a polynomial in the unknown, and what it may be before x is real."""

from __future__ import annotations

from collections.abc import Sequence

from itembank.proof.symbolic_numbers import Rooted
from itembank.proof.symbolic_reading import Space, System
from itembank.proof.symbolic_sets import Points, solve

__all__ = ["values_before"]


def values_before(
    space: Space, problem: Sequence[System], let: System, unknown: str, new: str
) -> Points | None:
    """What the new letter may be by the problem alone; None where it is no polynomial of even degree in the unknown,
    or where the problem cannot be said in it. Raises CannotTell."""
    plain = [let, *problem]
    if len(let.zero) != 1 or any(system.not_zero or system.hidden for system in plain):
        return None
    (named,) = let.zero
    in_new, in_unknown = space.powers(named, new), space.powers(named, unknown)
    degree = max(in_unknown)
    if degree == 0 or degree % 2 or set(in_new) != {0, 1} or set(space.letters_in(named)) != {unknown, new}:
        return None
    if space.letters_in(in_new[1]) or space.letters_in(in_unknown[degree]):
        return None
    found: Points = frozenset()
    for system in problem:
        rests = tuple(_rest(space, value, named, unknown) for value in system.zero)
        if any(unknown in space.letters_in(rest) for rest in rests):
            return None
        found |= solve(space, System(rests), (new,))
    return found


def _rest(space: Space, value: Rooted, named: Rooted, unknown: str) -> Rooted:
    """What is left of a value when the polynomial is taken off as often as it goes, times a number."""
    divisor = space.powers(named, unknown)
    degree = max(divisor)
    letter = Rooted({1: space.ring.gens[space.letters.index(unknown)]})
    while value and max(powers := space.powers(value, unknown)) >= degree:
        highest = max(powers)
        value = value * divisor[degree] - named * powers[highest] * letter.power(highest - degree)
    return value
