"""A new letter for a polynomial in the unknown: u for x^2, so that an equation in x^2 is one in u.

The equation in u has solutions that no real x leads to, where x^2 would be negative. They come up in the working, and
a line may give them up.
"""

from __future__ import annotations

from collections.abc import Sequence

from itembank.expressions import polynomials
from itembank.expressions.polynomials import Polynomial
from itembank.proof.solver import Solution, System, solve

__all__ = ["values_before"]


def values_before(
    problem: Sequence[System], let: System, unknown: str, new: str
) -> frozenset[Solution] | None:
    """What the new letter may be by the problem alone, before it is asked whether the unknown is then real.

    problem: its alternatives; let: what says that the new letter is a polynomial in the unknown, of even degree.
    None where it is no such letter, or where the problem cannot be said in it. Raises CannotDecide as `solve` does.
    """
    if (
        len(let.zero) != 1
        or let.not_zero
        or let.hidden
        or any(each.not_zero or each.hidden for each in problem)
    ):
        return None
    (named,) = let.zero
    powers = named.in_powers_of(unknown)
    leading = powers[max(powers)]
    if (
        set(named.letters) != {unknown, new}
        or max(powers) % 2
        or leading.letters
        or not _is_alone(named, new)
    ):
        return None
    found: set[Solution] = set()
    for alternative in problem:
        said = [_said_anew(each, named, unknown) for each in alternative.zero]
        if any(unknown in each.letters for each in said):
            return None
        found |= solve(said, (new,))
    return frozenset(found)


def _is_alone(named: Polynomial, new: str) -> bool:
    """Whether the new letter stands by itself, times a number."""
    powers = named.in_powers_of(new)
    return max(powers) == 1 and not powers[1].letters


def _said_anew(equation: Polynomial, named: Polynomial, unknown: str) -> Polynomial:
    """The equation with what the new letter is put in as often as it fits: the rest of a division, times a number."""
    divisor = named.in_powers_of(unknown)
    degree = max(divisor)
    while (powers := equation.in_powers_of(unknown)) and max(powers) >= degree:
        highest = max(powers)
        step = polynomials.power(polynomials.letter(unknown), highest - degree)
        taken = polynomials.multiply(polynomials.multiply(powers[highest], step), named)
        equation = polynomials.subtract(polynomials.multiply(divisor[degree], equation), taken)
    return equation
