"""Lines of a problem without solutions on the second road: sympy divides, in the ring of the displayed letters.

Solution sets, all empty, cannot tell such lines apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import reduce
from operator import mul

from itembank.expressions import tree
from itembank.proof.symbolic_numbers import ZERO, CannotTell, Rooted
from itembank.proof.symbolic_part import Asked
from itembank.proof.symbolic_reading import Space
from itembank.proof.symbolic_sets import solutions
from itembank.proof.symbolic_text import Piece

__all__ = ["is_another_problem", "is_untrue"]


def is_another_problem(asked: Asked, read: Piece, lets: Sequence[Piece] = ()) -> bool:
    """Whether a line, without solutions as the problem is, says something else. lets: the letters it may name.

    False where that cannot be told.
    """
    try:
        return _is_another_problem(asked, read, lets)
    except CannotTell:
        return False


def _is_another_problem(asked: Asked, read: Piece, lets: Sequence[Piece]) -> bool:
    if asked.part.problem.for_every or asked.rewrite or asked.subject:
        return False
    ours, theirs = _compared(asked, read), _compared(asked, asked.problem)
    for let in reversed(lets):
        told = _compared(asked, let)
        name = let.node.operands[0] if isinstance(let.node, tree.Relation) else None
        value = _told(asked.space, told[0], name.name) if told and isinstance(name, tree.Name) else None
        if ours is None or value is None or not isinstance(name, tree.Name):
            return False
        ours = [asked.space.put_in(each, name.name, value) for each in ours]
    if ours is None or theirs is None:
        return False
    if len(asked.unknowns) == 1:
        return len(ours) == len(theirs) == 1 and _is_other_multiple(asked, ours[0], theirs[0])
    return len(asked.unknowns) == len(theirs) == 2 and _is_other_system(asked.space, ours, theirs)


def is_untrue(asked: Asked, read: Piece) -> bool:
    """Whether side working is no identity and, an equation of a square or more in the only unknown, has solutions.

    Beside equations in two unknowns it has to be one of them, or what is left of them.
    Beside a problem without solutions it would hold for all of them, whatever it says.
    """
    if asked.part.problem.for_every or asked.rewrite or asked.subject or read.pattern.has_either_sign:
        return False
    if not isinstance(read.node, tree.Relation) or read.node.operators != ("=",):
        return False
    try:
        ours = _compared(asked, read)
        if not ours:
            return False
        if len(asked.unknowns) > 1:
            is_told = isinstance(read.node.operands[0], tree.Name) and not tree.names(read.node.operands[1])
            return not is_told and (not asked.space.letters_in(ours[0]) or is_another_problem(asked, read))
        if not any(_degree(asked, side) >= 2 for side in _sides(asked, read)):
            return False
        return not asked.space.letters_in(ours[0]) or bool(solutions(asked.space, read, asked.unknowns))
    except CannotTell:
        return False


def _sides(asked: Asked, read: Piece) -> list[Rooted]:
    assert isinstance(read.node, tree.Relation)
    return [asked.space.value(read, side) for side in read.node.operands]


def _degree(asked: Asked, value: Rooted) -> int:
    return max(max(asked.space.powers(value, name), default=0) for name in asked.unknowns)


def _compared(asked: Asked, read: Piece) -> list[Rooted] | None:
    """What a statement says is 0, or has a sign; None where it is more than equations together or one inequality."""
    node = read.node
    if (
        isinstance(node, tree.Relation)
        and len(node.operators) == 1
        and node.operators[0] in ["<=", ">=", "<", ">"]
    ):
        if any(isinstance(each, tree.Call) and each.function == "abs" for each in tree.walk(node)):
            return None
        first, second = _sides(asked, read)
        return [first - second]
    found = asked.space.alternatives(read)
    if not found or any(each.may_have_false_roots for each in found):
        return None
    if len(found) == 1:
        return [each for each in found[0].zero if each]
    if any(len(each.zero) != 1 for each in found):
        return None
    return [reduce(mul, (each.zero[0] for each in found))]


def _told(inside: Space, value: Rooted, name: str) -> Rooted | None:
    """What a letter is where a value is 0 that has it to the first power, times a number."""
    powers = inside.powers(value, name)
    if not set(powers) <= {0, 1} or 1 not in powers or inside.letters_in(powers[1]):
        return None
    return -powers.get(0, ZERO) * powers[1].inverse()


def _is_other_multiple(asked: Asked, ours: Rooted, theirs: Rooted) -> bool:
    (name,) = asked.unknowns
    if any(asked.space.letters_in(each) != [name] for each in (ours, theirs)):
        return False
    first, second = asked.space.powers(ours, name), asked.space.powers(theirs, name)
    degree = max(first)
    return degree == max(second) >= 2 and bool(second[degree] * ours - first[degree] * theirs)


def _is_other_system(inside: Space, ours: list[Rooted], theirs: list[Rooted]) -> bool:
    theirs = sorted(theirs, key=lambda each: sum(max(inside.powers(each, n)) for n in inside.letters))
    for equation, other in (theirs, theirs[::-1]):
        for name in inside.letters_in(equation):
            value = _told(inside, equation, name)
            if value is None:
                continue
            left = inside.put_in(other, name, value)
            letters = inside.letters_in(left)
            if letters and max(inside.powers(left, letters[0])) != 2:
                continue
            return not all(
                any(_are_multiples(inside, each, one) for one in theirs)
                or _is_left(inside, inside.put_in(each, name, value), left, each)
                for each in ours
            )
    return False


def _is_left(inside: Space, found: Rooted, left: Rooted, before: Rooted) -> bool:
    """Whether an equation, with the unknown put in, is true or what is left of the problem, or is beyond comparison."""
    if not found or not inside.letters_in(before):
        return True
    if not inside.letters_in(left):
        return False
    letters = inside.letters_in(found)
    return bool(letters and max(inside.powers(found, letters[0])) > 2) or _are_multiples(inside, found, left)


def _are_multiples(inside: Space, first: Rooted, second: Rooted) -> bool:
    """Whether they are by a number: taken crosswise with what multiplies one product of letters, they are equal."""
    a, b = first, second
    for name in inside.letters:
        degree = max(inside.powers(a, name), default=0)
        if degree != max(inside.powers(b, name), default=0):
            return False
        a, b = inside.powers(a, name)[degree], inside.powers(b, name)[degree]
    return not b * first - a * second
