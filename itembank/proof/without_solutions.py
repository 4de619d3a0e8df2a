"""Lines of a problem without solutions: solution sets, all empty, cannot tell them apart, so equations are compared.

In one unknown a line, its alternatives multiplied, is a multiple of the problem, where their degrees are the same. Of
two equations in two unknowns, one linear in an unknown, each equation of a line is a multiple of one of them, or it is
what is left when that unknown is put in: a quadratic in the other, for two curves that do not meet. What cannot be
compared so is held to nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import reduce

from itembank.errors import DomainError
from itembank.expressions import numbers, polynomials
from itembank.expressions.display import Compared, Maths
from itembank.expressions.polynomials import Polynomial
from itembank.items import Part
from itembank.proof import meaning
from itembank.proof.quick import quick_proportions
from itembank.proof.solver import CannotDecide

__all__ = ["is_another_problem", "is_untrue"]


def is_another_problem(part: Part, maths: Maths, lets: Sequence[Maths] = ()) -> bool:
    """Whether a line, without solutions as the problem is, says something else. lets: the letters it may name."""
    problem = part.problem
    if problem.for_every or len(problem.unknowns) > 2:
        return False
    if len(problem.unknowns) == 1 and not lets:
        quick = [
            reader(each.numbers)
            for each in (maths, problem.statement)
            if (reader := quick_proportions(each.shape, problem.unknowns[0], problem.main_letter)) is not None
        ]
        if len(quick) == 2 and None not in quick:
            return bool(quick[0] != quick[1])
    try:
        ours, theirs = (_compared(each, problem.main_letter) for each in (maths, problem.statement))
        if ours is None or theirs is None:
            return False
        ours = _without_letters(ours, lets, problem.main_letter)
    except (CannotDecide, DomainError):
        return False
    if ours is None:
        return False
    if len(problem.unknowns) == 1:
        return _is_other_multiple(ours, theirs)
    return _is_other_system(ours, theirs)


def is_untrue(part: Part, maths: Maths, lets: Sequence[Maths] = ()) -> bool:
    """Whether side working is no identity and, an equation of a square or more in the only unknown, has solutions.

    Beside equations in two unknowns it has to be one of them, or what is left of them.
    Beside a problem without solutions it would hold for all of them, whatever it says.
    """
    problem, looks = part.problem, meaning.looks(maths.shape)
    if problem.for_every or lets or looks.has_inequality or looks.has_either_sign:
        return False
    try:
        ours = _compared(maths, problem.main_letter)
        if not ours:
            return False
        if len(problem.unknowns) > 1:
            return looks.told is None and (not ours[0].letters or is_another_problem(part, maths))
        if not _is_of_squares(maths, problem.unknowns):
            return False
        return not ours[0].letters or bool(
            meaning.solutions(maths, problem.unknowns, (), problem.main_letter)
        )
    except (CannotDecide, DomainError):
        return False


def _is_of_squares(maths: Maths, unknowns: Sequence[str]) -> bool:
    """Whether a side of an equation has a square or more of an unknown."""
    node = maths.shape.display
    if not isinstance(node, Compared) or node.signs != ("=",):
        return False
    sides = [meaning.Meaning(maths.numbers).polynomial(each) for each in node.operands]
    return any(max(side.in_powers_of(name), default=0) >= 2 for side in sides for name in unknowns)


def _compared(maths: Maths, main_letter: str) -> list[Polynomial] | None:
    """What a statement says is 0, or has a sign; None where it is more than equations together or one inequality."""
    node = maths.shape.display
    if meaning.looks(maths.shape).is_of_regions:
        if meaning.looks(maths.shape).moduli or not isinstance(node, Compared) or len(node.signs) != 1:
            return None
        left, right = (meaning.Meaning(maths.numbers, main_letter).polynomial(each) for each in node.operands)
        return [polynomials.subtract(left, right)]
    found = meaning.systems(maths, main_letter)
    if not found or any(each.may_have_false_roots for each in found):
        return None
    if len(found) == 1:
        return [each for each in found[0].zero if each.terms]
    if any(len(each.zero) != 1 for each in found):
        return None
    return [reduce(polynomials.multiply, [each.zero[0] for each in found])]


def _without_letters(
    ours: list[Polynomial], lets: Sequence[Maths], main_letter: str
) -> list[Polynomial] | None:
    """The same with what new letters stand for put in; None where they are not told so."""
    for let in reversed(lets):
        told = _compared(let, main_letter)
        if told is None or len(told) != 1 or not isinstance(let.shape.display, Compared):
            return None
        names = meaning.letters(let.shape.display.operands[0])
        if len(names) != 1:
            return None
        (name,) = names
        parts = told[0].in_powers_of(name)
        if set(parts) != {0, 1} or parts[1].letters:
            return None
        value = polynomials.scale(parts[0], numbers.negate(numbers.invert(parts[1].constant())))
        ours = [polynomials.substitute(each, name, value) for each in ours]
    return ours


def _is_other_multiple(ours: list[Polynomial], theirs: list[Polynomial]) -> bool:
    if (
        len(ours) != 1
        or len(theirs) != 1
        or len(ours[0].letters) != 1
        or ours[0].letters != theirs[0].letters
    ):
        return False
    (name,) = ours[0].letters
    degrees = {max(each.in_powers_of(name)) for each in (ours[0], theirs[0])}
    return len(degrees) == 1 and min(degrees) >= 2 and not _proportional(ours[0], theirs[0])


def _is_other_system(ours: list[Polynomial], theirs: list[Polynomial]) -> bool:
    if len(theirs) != 2:
        return False
    theirs = sorted(theirs, key=_degree)
    for equation, other in (theirs, theirs[::-1]):
        for name in equation.letters:
            parts = equation.in_powers_of(name)
            if not equation.is_linear_in(name) or parts[1].letters:
                continue
            value = polynomials.scale(
                parts.get(0, polynomials.ZERO), numbers.negate(numbers.invert(parts[1].constant()))
            )
            left = polynomials.substitute(other, name, value)
            if left.letters and max(left.in_powers_of(left.letters[0])) != 2:
                continue
            return not all(
                any(_proportional(each, one) for one in theirs)
                or _is_left(polynomials.substitute(each, name, value), left, each)
                for each in ours
            )
    return False


def _degree(polynomial: Polynomial) -> int:
    return max(sum(power for _, power in monomial) for monomial, _ in polynomial.terms)


def _is_left(found: Polynomial, left: Polynomial, before: Polynomial) -> bool:
    """Whether an equation, with the unknown put in, is true or what is left of the problem, or is beyond comparison.

    left: a quadratic, or a number where the problem contradicts itself: of that any other number is a multiple.
    """
    if not found.terms or not before.letters:
        return True
    if not left.letters:
        return False
    if found.letters and max(found.in_powers_of(found.letters[0])) > 2:
        return True
    return _proportional(found, left)


def _proportional(first: Polynomial, second: Polynomial) -> bool:
    if [monomial for monomial, _ in first.terms] != [monomial for monomial, _ in second.terms]:
        return False
    return polynomials.scale(first, second.terms[0][1]) == polynomials.scale(second, first.terms[0][1])
