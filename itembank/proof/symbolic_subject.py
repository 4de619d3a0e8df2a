"""Formulas on the second road: an equation read back in sympy's ring and solved afresh for its subject."""

from __future__ import annotations

from itembank.expressions import tree
from itembank.proof.symbolic_numbers import CannotTell, Rooted, rational
from itembank.proof.symbolic_reading import Fraction, Space, System
from itembank.proof.symbolic_text import Piece

__all__ = ["holds_for", "is_told_alone", "solved"]


def solved(space: Space, read: Piece, subject: str) -> Fraction:
    """What an equation says of its subject, told in the other letters.

    Raises CannotTell where it says no such thing.
    """
    system = _system(space, read)
    found: list[Fraction] = []
    for value in system.zero:
        powers = space.powers(value, subject)
        if value and max(powers) != 1:
            raise CannotTell(f"the equation is not linear in {subject}")
        if value:
            found.append(Fraction(-powers.get(0, rational(0)), powers[1]))
    if not found:
        raise CannotTell(f"both sides are the same, whatever {subject} is")
    first, *others = found
    if any(first.above * other.below - other.above * first.below for other in others):
        raise CannotTell(f"it says two things of {subject}")
    if not all(_above(space, value, subject, first) for value in system.not_zero):
        raise CannotTell("something is divided by 0")
    return first


def holds_for(space: Space, read: Piece, subject: str, value: Fraction) -> bool:
    """Whether an equation is true, whatever the other letters are, with a quotient put in for the subject."""
    return not any(_above(space, each, subject, value) for each in _system(space, read).zero)


def is_told_alone(read: Piece, subject: str) -> bool:
    """Whether a piece is `subject = ...` with other letters on the right."""
    node = read.node
    return (
        isinstance(node, tree.Relation)
        and node.operators == ("=",)
        and node.operands[0] == tree.Name(subject)
        and subject not in tree.names(node.operands[1])
    )


def _system(space: Space, read: Piece) -> System:
    alternatives = space.alternatives(read)
    if len(alternatives) != 1 or alternatives[0].hidden:
        raise CannotTell("a formula is one equation between quotients of polynomials")
    return alternatives[0]


def _above(space: Space, value: Rooted, subject: str, put_in: Fraction) -> Rooted:
    powers = space.powers(value, subject)
    highest = max(powers, default=0)
    total = rational(0)
    for exponent, part in powers.items():
        total = total + part * put_in.above.power(exponent) * put_in.below.power(highest - exponent)
    return total
