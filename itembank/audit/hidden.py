"""Equations with unknowns under roots and in exponents, solved for the letters that hide them.

What makes a letter the root it stands for goes along with the equation it comes from (`ratios.py`). What makes it a
power is asked of each solution here: it has to have a rational exponent that fits every power of its unknown.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from math import gcd, lcm
from typing import Final

from itembank.audit import numbers, polynomials, systems
from itembank.audit.conditions import All, Any, Atom, Condition, alternatives
from itembank.audit.findings import CannotTell
from itembank.audit.hidden_letters import base_factors, is_hidden, of_power, power_letter
from itembank.audit.numbers import Number, Radicals
from itembank.audit.polynomials import Polynomial
from itembank.audit.systems import Tuples

__all__ = ["exponent_of", "is_hidden_in", "solve"]

_LARGEST_DIVISOR: Final = 40
"""Of a letter in an exponent, where it is divided by several numbers."""


def is_hidden_in(asked: Condition) -> bool:
    """Whether a root or a power of unknowns is among what a condition asks."""
    match asked:
        case Atom(polynomial):
            return any(map(is_hidden, polynomials.letters(polynomial)))
        case All(parts) | Any(parts):
            return any(map(is_hidden_in, parts))


def solve(asked: Condition, unknowns: Sequence[str], shown: Sequence[str], *, with_false: bool) -> Tuples:
    """All real solutions of a condition, those of its letters that are shown.

    with_false: the values that working leads to before it is asked which sign a root has, what a power can be, and
    whether something is divided by 0. Raises CannotTell where there are infinitely many, where no equation can be
    solved by itself, and where an exponent is not rational.
    """
    found: set[tuple[Number, ...]] = set()
    for atoms in alternatives(asked):
        atoms, powers = _lowered(atoms)
        equations = [atom.polynomial for atom in atoms if atom.sign == "="]
        others = [atom for atom in atoms if atom.sign != "="]
        named = {name for atom in atoms for name in polynomials.letters(atom.polynomial)}
        plain = {name for equation in equations for name in polynomials.letters(equation)}
        later = {letter for _, letter, _ in powers.values()} - plain
        sought = [name for name in dict.fromkeys((*unknowns, *sorted(named))) if name not in later]
        for solution in systems.solve_equations(equations, tuple(sought)):
            if with_false:
                if not set(shown) <= solution.keys():
                    raise CannotTell("an exponent is not known before its power is")
                found.add(tuple(solution[name] for name in shown))
                continue
            whole = _with_exponents(solution, powers)
            if whole is not None and all(systems.satisfied(atom, whole) for atom in others):
                found.add(tuple(whole[name] for name in shown))
    return frozenset(found)


def _with_exponents(
    solution: dict[str, Number], powers: Mapping[str, tuple[Fraction, str, Fraction]]
) -> dict[str, Number] | None:
    """The solution with what stands in exponents; None where powers are not positive or do not fit each other."""
    found = dict(solution)
    for name, (base, letter, steps) in powers.items():
        value = found[name]
        if numbers.sign(value) <= 0:
            return None
        raised = exponent_of(value, base)
        exponent = None if raised is None else numbers.divide(raised, steps)
        known = found.get(letter)
        if exponent is None and known is None:
            raise CannotTell(f"the exponent {letter} is not rational")
        # a power of a whole number with an irrational exponent among these numbers is none of these numbers itself
        # (Gelfond and Schneider), so that an exponent which was found otherwise has to be this one
        if exponent is None or (known is not None and known != exponent):
            return None
        found[letter] = exponent
    return found


def exponent_of(value: Number, base: Fraction) -> Number | None:
    """The rational x with base^x = value, by the prime factors of both; None where there is none.

    value: positive.

    >>> exponent_of(27, Fraction(9))
    Fraction(3, 2)
    """
    if isinstance(value, Radicals) and len(value.terms) > 1:
        return None
    square = value * value
    assert not isinstance(square, Radicals)
    left = Fraction(square)
    ratios: set[Fraction] = set()
    for prime, times in base_factors(base).items():
        count = 0
        while left.numerator % prime == 0:
            left, count = left / prime, count + 1
        while left.denominator % prime == 0:
            left, count = left * prime, count - 1
        ratios.add(Fraction(count, 2 * times))
    if left != 1 or len(ratios) > 1:
        return None
    return numbers.ratio(ratios.pop(), 1)


def _lowered(atoms: Iterable[Atom]) -> tuple[list[Atom], dict[str, tuple[Fraction, str, Fraction]]]:
    """Atoms with the letter of each power taken as far up as its exponents go.

    Of each power its base, its exponent, and what that is multiplied by.
    """
    atoms = _with_one_divisor(list(atoms))
    powers: dict[str, tuple[Fraction, str, Fraction]] = {}
    for name in sorted({name for atom in atoms for name in polynomials.letters(atom.polynomial)}):
        power = of_power(name)
        if power is None:
            continue
        base, letter, over = power
        atoms = [_without_power(atom, name) for atom in atoms]
        exponents = [
            e for atom in atoms if atom.sign == "=" for e in polynomials.by_powers(atom.polynomial, name)
        ]
        step = gcd(*exponents)
        if step > 1 and all(_fits(atom, name, step) for atom in atoms):
            atoms = [Atom(_in_steps(atom.polynomial, name, step), atom.sign) for atom in atoms]
        else:
            step = 1
        powers[name] = base, letter, Fraction(step, over)
    return atoms, powers


def _with_one_divisor(atoms: list[Atom]) -> list[Atom]:
    """The same with one letter for 2^(x/2) and 2^(x/3), of which they are powers: 2^(x/6)."""
    names = {name for atom in atoms for name in polynomials.letters(atom.polynomial)}
    several: dict[tuple[Fraction, str], dict[str, int]] = {}
    for name in sorted(names):
        if power := of_power(name):
            several.setdefault(power[:2], {})[name] = power[2]
    for (base, letter), overs in several.items():
        common = lcm(*overs.values())
        for name, over in overs.items():
            if over != common and common <= _LARGEST_DIVISOR:
                new = polynomials.letter(power_letter(base, letter, common))
                atoms = [_put_in(atom, name, new, common // over) for atom in atoms]
    return atoms


def _put_in(atom: Atom, name: str, new: Polynomial, exponent: int) -> Atom:
    """An atom with a power of a letter for another letter. That a power is positive is as well said of its root."""
    if atom.polynomial == polynomials.letter(name) and atom.sign in {">", "≠"}:
        return Atom(new, atom.sign)
    total: Polynomial = {}
    for count, part in polynomials.by_powers(atom.polynomial, name).items():
        total = polynomials.add(total, polynomials.multiply(part, polynomials.power(new, count * exponent)))
    return Atom(total, atom.sign)


def _without_power(atom: Atom, name: str) -> Atom:
    """An equation divided by a power, which is never 0, where all exponents are then whole times a number above 1."""
    parts = polynomials.by_powers(atom.polynomial, name)
    lowest = min(parts, default=0)
    if atom.sign != "=" or not lowest or gcd(*(exponent - lowest for exponent in parts)) < 2:
        return atom
    total: Polynomial = {}
    for exponent, part in parts.items():
        power = polynomials.power(polynomials.letter(name), exponent - lowest)
        total = polynomials.add(total, polynomials.multiply(part, power))
    return Atom(total, atom.sign)


def _fits(atom: Atom, name: str, step: int) -> bool:
    """Whether a letter may be taken in steps. That a power is positive is as well said of one in steps."""
    is_bare = atom.polynomial == polynomials.letter(name) and atom.sign in {">", "≠"}
    return is_bare or all(exponent % step == 0 for exponent in polynomials.by_powers(atom.polynomial, name))


def _in_steps(polynomial: Polynomial, name: str, step: int) -> Polynomial:
    if polynomial == polynomials.letter(name):
        return polynomial
    total: Polynomial = {}
    for exponent, part in polynomials.by_powers(polynomial, name).items():
        power = polynomials.power(polynomials.letter(name), exponent // step)
        total = polynomials.add(total, polynomials.multiply(part, power))
    return total
