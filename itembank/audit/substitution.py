"""A new letter for a polynomial in the unknown: what it may be before it is asked whether the unknown is then real."""

from __future__ import annotations

from itembank.audit import polynomials
from itembank.audit.conditions import All, Atom, Condition, alternatives
from itembank.audit.hidden_letters import is_hidden
from itembank.audit.polynomials import Polynomial
from itembank.audit.systems import Tuples, solve

__all__ = ["values_before"]


def values_before(problem: Condition, let: Condition, unknown: str, new: str) -> Tuples | None:
    """The values of the new letter by the problem alone, false ones among them where a power of the unknown is even.

    None where the letter is no polynomial of even degree in the unknown, or where the unknown cannot be put away by
    it. Raises CannotTell as `solve` does.
    """
    cases = alternatives(problem)
    named = _only_equation(let)
    if named is None or any(not _is_plain(atom) for atoms in cases for atom in atoms):
        return None
    in_unknown, in_new = polynomials.by_powers(named, unknown), polynomials.by_powers(named, new)
    degree = max(in_unknown)
    letter_alone = max(in_new) == 1 and polynomials.constant(in_new[1]) is not None
    if polynomials.letters(named) != {unknown, new} or not letter_alone or degree % 2 or not degree:
        return None
    if polynomials.constant(in_unknown[degree]) is None:
        return None
    found: Tuples = frozenset()
    for atoms in cases:
        left = [_without(atom.polynomial, named, unknown, degree) for atom in atoms]
        if any(unknown in polynomials.letters(each) for each in left):
            return None
        found |= solve(All(tuple(Atom(each, "=") for each in left)), (new,))
    return found


def _only_equation(let: Condition) -> Polynomial | None:
    cases = alternatives(let)
    if len(cases) != 1 or len(cases[0]) != 1 or not _is_plain(cases[0][0]):
        return None
    return cases[0][0].polynomial


def _is_plain(atom: Atom) -> bool:
    """Whether it is an equation in which nothing stands for a root or a power."""
    return atom.sign == "=" and not any(map(is_hidden, polynomials.letters(atom.polynomial)))


def _without(polynomial: Polynomial, named: Polynomial, unknown: str, degree: int) -> Polynomial:
    """The polynomial where as many powers of the unknown as can be are said by the new letter, times a number."""
    leading = polynomials.by_powers(named, unknown)[degree]
    while polynomial:
        powers = polynomials.by_powers(polynomial, unknown)
        top = max(powers)
        if top < degree:
            break
        raised = polynomials.power(polynomials.letter(unknown), top - degree)
        off = polynomials.multiply(polynomials.multiply(powers[top], raised), named)
        polynomial = polynomials.subtract(polynomials.multiply(leading, polynomial), off)
    return polynomial
