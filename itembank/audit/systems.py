"""Conditions on several letters with finitely many solutions, solved by putting one equation into the others."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

from itembank.audit import numbers, polynomials, real_sets
from itembank.audit.conditions import Atom, Condition, alternatives, related
from itembank.audit.findings import CannotTell
from itembank.audit.numbers import Number
from itembank.audit.polynomials import Polynomial

__all__ = ["Tuples", "satisfied", "solve", "solve_equations"]

Tuples: TypeAlias = frozenset[tuple[Number, ...]]


def solve(asked: Condition, unknowns: Sequence[str]) -> Tuples:
    """All real solutions, each a tuple in the order of the unknowns.

    Raises CannotTell where there are infinitely many, or no equation can be solved by itself.
    """
    found: set[tuple[Number, ...]] = set()
    for atoms in alternatives(asked):
        equations = [atom.polynomial for atom in atoms if atom.sign == "="]
        others = [atom for atom in atoms if atom.sign != "="]
        for solution in solve_equations(equations, tuple(unknowns)):
            if all(satisfied(atom, solution) for atom in others):
                found.add(tuple(solution[name] for name in unknowns))
    return frozenset(found)


def solve_equations(equations: list[Polynomial], unknowns: tuple[str, ...]) -> list[dict[str, Number]]:
    """The unknowns for which polynomials are 0, some perhaps repeated. Raises CannotTell as `solve` does."""
    left = [equation for equation in equations if equation]
    if any(polynomials.constant(equation) is not None for equation in left):
        return []
    if not left:
        if unknowns:
            raise CannotTell(f"{unknowns[0]} may have infinitely many values")
        return [{}]
    linear = _linear(left, unknowns)
    if linear:
        index, name, value = linear
        rest = tuple(each for each in unknowns if each != name)
        put = [polynomials.put_in(equation, name, value) for at, equation in enumerate(left) if at != index]
        return [{**solution, name: _value(value, solution)} for solution in solve_equations(put, rest)]
    return _by_roots(left, unknowns)


def _by_roots(equations: list[Polynomial], unknowns: tuple[str, ...]) -> list[dict[str, Number]]:
    for index, equation in enumerate(equations):
        names = polynomials.letters(equation)
        if len(names) == 1 and names <= set(unknowns):
            (name,) = names
            rest = tuple(each for each in unknowns if each != name)
            found = []
            for root, _ in real_sets.roots(equation, name):
                put = [
                    polynomials.put_in(other, name, polynomials.number(root))
                    for at, other in enumerate(equations)
                    if at != index
                ]
                found += [{**solution, name: root} for solution in solve_equations(put, rest)]
            return found
    raise CannotTell("the equations cannot be solved one after the other")


def _linear(equations: list[Polynomial], unknowns: tuple[str, ...]) -> tuple[int, str, Polynomial] | None:
    """An equation that gives one unknown by the others, whatever these are."""
    for index, equation in enumerate(equations):
        for name in unknowns:
            parts = polynomials.by_powers(equation, name)
            factor = polynomials.constant(parts[1]) if set(parts) <= {0, 1} and 1 in parts else None
            if factor is not None:
                return index, name, polynomials.scale(parts.get(0, {}), numbers.divide(-1, factor))
    return None


def _value(polynomial: Polynomial, solution: dict[str, Number]) -> Number:
    for name, value in solution.items():
        polynomial = polynomials.put_in(polynomial, name, polynomials.number(value))
    found = polynomials.constant(polynomial)
    if found is None:
        raise CannotTell("a letter is neither given nor to be found")
    return found


def satisfied(atom: Atom, solution: dict[str, Number]) -> bool:
    """Whether a solution, put in, satisfies an atom. Raises CannotTell where a letter has no value."""
    return related(numbers.sign(_value(atom.polynomial, solution)), atom.sign)
