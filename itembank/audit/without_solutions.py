"""Lines of a problem without solutions: as solution sets, all empty, cannot tell them apart, polynomials do."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import reduce

from itembank.audit import numbers, polynomials
from itembank.audit.conditions import All, Any, Atom, Condition
from itembank.audit.findings import CannotTell
from itembank.audit.polynomials import Polynomial

__all__ = ["is_another_problem", "is_of_squares"]


def is_another_problem(
    line: Condition, problem: Condition, unknowns: Sequence[str], lets: Iterable[Condition] = ()
) -> bool:
    """Whether a line, without solutions as the problem is, says something else; False where that is not plain.

    lets: what new letters of the line stand for.
    """
    try:
        ours, theirs = _atoms(line), _atoms(problem)
        if ours is None or theirs is None:
            return False
        for let in lets:
            told = _atoms(let)
            new = sorted(polynomials.letters(told[0]) - set(unknowns)) if told and len(told) == 1 else []
            value = _value(told[0], new[0]) if told and len(new) == 1 else None
            if value is None:
                return False
            ours = [polynomials.put_in(each, new[0], value) for each in ours]
        if len(unknowns) == 1:
            return len(ours) == len(theirs) == 1 and _is_other_multiple(ours[0], theirs[0], unknowns[0])
        return len(unknowns) == len(theirs) == 2 and _is_other_system(ours, theirs)
    except CannotTell:
        return False


def is_of_squares(sides: Iterable[Polynomial], unknowns: Sequence[str]) -> bool:
    """Whether one of some expressions has a square or more of an unknown."""
    return any(_degree(side, name) >= 2 for side in sides for name in unknowns)


def _atoms(asked: Condition) -> list[Polynomial] | None:
    """What is 0 in equations that hold together, or what has a sign in one inequality; None for anything else.

    Of alternatives, each one equation, it is their product.
    """
    if isinstance(asked, Any):
        each = [part.polynomial for part in asked.parts if isinstance(part, Atom) and part.sign == "="]
        return [reduce(polynomials.multiply, each)] if each and len(each) == len(asked.parts) else None
    atoms = [asked] if isinstance(asked, Atom) else _flat(asked)
    if atoms is None or (
        any(atom.sign != "=" for atom in atoms) and (len(atoms) > 1 or atoms[0].sign == "≠")
    ):
        return None
    return [atom.polynomial for atom in atoms if atom.polynomial]


def _flat(asked: Condition) -> list[Atom] | None:
    if isinstance(asked, Atom):
        return [asked]
    if not isinstance(asked, All):
        return None
    found: list[Atom] = []
    for part in asked.parts:
        below = _flat(part)
        if below is None:
            return None
        found += below
    return found


def _degree(polynomial: Polynomial, name: str) -> int:
    return max(polynomials.by_powers(polynomial, name), default=0)


def _value(polynomial: Polynomial, name: str) -> Polynomial | None:
    """What a letter is where a polynomial is 0 that has it to the first power, times a number."""
    parts = polynomials.by_powers(polynomial, name)
    factor = polynomials.constant(parts[1]) if 1 in parts and set(parts) <= {0, 1} else None
    return None if factor is None else polynomials.scale(parts.get(0, {}), numbers.divide(-1, factor))


def _is_other_multiple(ours: Polynomial, theirs: Polynomial, name: str) -> bool:
    if any(polynomials.letters(each) != {name} for each in (ours, theirs)):
        return False
    degree = _degree(ours, name)
    return degree == _degree(theirs, name) >= 2 and not _are_multiples(ours, theirs)


def _is_other_system(ours: list[Polynomial], theirs: list[Polynomial]) -> bool:
    theirs = sorted(theirs, key=lambda each: max(sum(power for _, power in monomial) for monomial in each))
    for equation, other in (theirs, theirs[::-1]):
        for name in sorted(polynomials.letters(equation)):
            value = _value(equation, name)
            if value is None:
                continue
            left = polynomials.put_in(other, name, value)
            letters = polynomials.letters(left)
            if letters and _degree(left, min(letters)) != 2:
                continue
            return not all(
                any(_are_multiples(each, one) for one in theirs)
                or _is_left(polynomials.put_in(each, name, value), left, each)
                for each in ours
            )
    return False


def _is_left(found: Polynomial, left: Polynomial, before: Polynomial) -> bool:
    """Whether an equation, with an unknown put in, is true or what is left of the problem, or is beyond comparison."""
    if not found or not polynomials.letters(before):
        return True
    if not polynomials.letters(left):
        return False
    letters = polynomials.letters(found)
    return bool(letters and _degree(found, min(letters)) > 2) or _are_multiples(found, left)


def _are_multiples(first: Polynomial, second: Polynomial) -> bool:
    if set(first) != set(second):
        return False
    one = next(iter(first))
    return polynomials.scale(first, second[one]) == polynomials.scale(second, first[one])
