"""What an equation says of one letter, told in the other letters: formulas of which a letter is made the subject.

An equation that is linear in the subject says that factor·subject + rest is 0; two equations say the same where the
one's factor times the other's rest is the other's factor times the one's rest.
"""

from __future__ import annotations

from typing import NamedTuple

from itembank.audit import conditions, formula, polynomials
from itembank.audit.findings import CannotTell
from itembank.audit.formula import Node, Scope
from itembank.audit.polynomials import ONE, Polynomial
from itembank.audit.positive_subjects import holds_where_positive, same_where_positive

__all__ = ["SHAPE", "holds", "is_told_alone", "same"]

SHAPE = "subject"


class _Formula(NamedTuple):
    factor: Polynomial
    rest: Polynomial


def same(first: Node, second: Node, subject: str, scope: Scope, *, positive: bool = False) -> bool:
    """Whether two equations say the same of the subject, whatever the other letters are.

    positive: every letter is a positive number. Raises CannotTell where one says nothing of it.
    """
    if positive:
        return same_where_positive(first, second, subject, scope)
    return _is_same(_formula(first, subject, scope), _formula(second, subject, scope))


def holds(node: Node, problem: Node, subject: str, scope: Scope, *, positive: bool = False) -> bool:
    """Whether an equation is true of what the problem says of the subject, whatever the other letters are.

    positive: every letter is a positive number.
    """
    if positive:
        return holds_where_positive(node, problem, subject, scope)
    value = _formula(problem, subject, scope)
    equal, _ = _asked(node, scope)
    return not any(_put_in(each, subject, value) for each in equal)


def is_told_alone(node: Node, subject: str) -> bool:
    """Whether a formula is `subject = ...` with other letters on the right."""
    return (
        isinstance(node, formula.Relation)
        and node.sign == "="
        and node.left == formula.Letter(subject)
        and formula.Letter(subject) not in set(formula.walk(node.right))
    )


def _is_same(first: _Formula, second: _Formula) -> bool:
    left = polynomials.multiply(first.factor, second.rest)
    return left == polynomials.multiply(second.factor, first.rest)


def _asked(node: Node, scope: Scope) -> tuple[list[Polynomial], list[Polynomial]]:
    """What is 0 where an equation holds, and what is not."""
    found = conditions.alternatives(conditions.condition(node, scope))
    if len(found) != 1 or any(atom.sign not in {"=", "≠"} for atom in found[0]):
        raise CannotTell("a formula is one equation")
    equal, unequal = ([atom.polynomial for atom in found[0] if atom.sign == sign] for sign in "=≠")
    return equal, unequal


def _formula(node: Node, subject: str, scope: Scope) -> _Formula:
    equal, unequal = _asked(node, scope)
    told: list[_Formula] = []
    for polynomial in equal:
        parts = polynomials.by_powers(polynomial, subject)
        if polynomial and max(parts) != 1:
            raise CannotTell(f"the equation is not linear in {subject}")
        if polynomial:
            told.append(_Formula(parts[1], parts.get(0, {})))
    if not told or not all(_is_same(told[0], other) for other in told[1:]):
        raise CannotTell(f"it does not say one thing of {subject}")
    if not all(_put_in(each, subject, told[0]) for each in unequal):
        raise CannotTell("something would be divided by 0")
    return told[0]


def _put_in(polynomial: Polynomial, subject: str, value: _Formula) -> Polynomial:
    """The polynomial times a power of the factor, with what the formula says put in for the subject."""
    parts = polynomials.by_powers(polynomial, subject)
    highest = max(parts, default=0)
    total: Polynomial = {}
    for exponent, part in parts.items():
        above = polynomials.power(polynomials.scale(value.rest, -1), exponent)
        below = polynomials.power(value.factor, highest - exponent) if highest > exponent else ONE
        total = polynomials.add(total, polynomials.multiply(part, polynomials.multiply(above, below)))
    return total
