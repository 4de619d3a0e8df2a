"""One letter made the subject of a formula: what an equation says of it, told in the other letters.

An equation that is linear in the subject is A*s + B = 0 with A, B in the other letters and A not 0 everywhere; it says
that s is -B/A wherever A has a value other than 0. Two equations say the same where these are the same quotient.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from itembank.expressions import polynomials, spelling
from itembank.expressions.display import Compared, Letter, Maths
from itembank.expressions.polynomials import Polynomial
from itembank.expressions.quotients import Quotient
from itembank.items import Part, SolutionLine
from itembank.proof import meaning
from itembank.proof.identity import Identity
from itembank.proof.meaning import Meaning
from itembank.proof.solver import CannotDecide, System
from itembank.proof.subject_wording import polynomial_told, quotient_told
from itembank.verdicts import Proved, Refuted, Verdict

__all__ = ["SHAPE", "formula_told", "of_formula", "prove_key", "prove_line"]

SHAPE = "subject"

_LATELY = 64
_FOLLOWS = Proved("solved for the subject, it says the same as the problem, whatever the other letters are")
_ASIDE = Proved("with the key put in, both sides are the same, whatever the other letters are")


class _Linear(NamedTuple):
    """factor * subject + rest."""

    factor: Polynomial
    rest: Polynomial

    def at(self, value: Quotient) -> Polynomial:
        """What is above the line when a quotient is put in for the subject."""
        left = polynomials.multiply(self.factor, value.above)
        return polynomials.add(left, polynomials.multiply(self.rest, value.below))


def of_formula(maths: Maths, subject: str) -> Identity:
    """What an equation says of the subject, unique. Raises CannotDecide, DomainError where it says no such thing."""
    found = _solved(maths, subject)
    return ("formula", found.above, found.below)


def formula_told(subject: str, wanted: Identity) -> str:
    """The same in words."""
    match wanted:
        case ("formula", Polynomial() as above, Polynomial() as below):
            return f"{subject} = {quotient_told(above, below)}"
        case _:
            return str(wanted)


def prove_key(part: Part, wanted: Identity) -> Verdict:
    """Whether the key, put into the problem, makes both sides the same. wanted: the problem solved, for the wording.

    Raises CannotDecide, DomainError.
    """
    (subject,) = part.problem.unknowns
    shown = spelling.terminal(part.key)
    value = _told_alone(part.key, subject)
    if value is None:
        return Refuted(f"{shown} does not say what {subject} is in the other letters alone")
    system = _system(part.problem.statement)
    lines = [_linear(each, subject) for each in system.zero]
    problem = spelling.terminal(part.problem.statement)
    if any(line.at(value).terms for line in lines):
        return Refuted(f"from {problem} follows {formula_told(subject, wanted)}, here stands {shown}")
    if not all(_put_in(each, subject, value).terms for each in system.not_zero):
        return Refuted(f"with {shown} put in, something in {problem} is divided by 0")
    factor = polynomial_told(lines[0].factor)
    return Proved(
        f"put into the problem it makes both sides the same, whatever the other letters are; the problem is linear in "
        f"{subject}, with the factor {factor}, so where that is not 0 nothing else does"
    )


def prove_line(part: Part, line: SolutionLine, maths: Maths, wanted: Identity) -> Verdict:
    """Whether a line of the worked solution says the same as the problem; side working, whether the key makes it true.

    Raises CannotDecide, DomainError.
    """
    (subject,) = part.problem.unknowns
    if line.kind == "main":
        found = of_formula(maths, subject)
        if found == wanted:
            return _FOLLOWS
        shown, problem = spelling.terminal(maths), spelling.terminal(part.problem.statement)
        told = f"from {shown} follows {formula_told(subject, found)}"
        return Refuted(f"{told}, from {problem} follows {formula_told(subject, wanted)}")
    if line.kind != "aside":
        raise CannotDecide("the lines of a formula are equations in its letters, and none is given up")
    value = _solved(part.problem.statement, subject)
    if any(_put_in(each, subject, value).terms for each in _system(maths).zero):
        return Refuted(f"{spelling.terminal(maths)} is not true of {formula_told(subject, wanted)}")
    return _ASIDE


@lru_cache(maxsize=_LATELY)
def _solved(maths: Maths, subject: str) -> Quotient:
    system = _system(maths)
    lines = [_linear(each, subject) for each in system.zero if each.terms]
    values = {Quotient(polynomials.negate(line.rest), line.factor).reduced() for line in lines}
    if len(values) != 1:
        raise CannotDecide(f"it does not say one thing of {subject}")
    (value,) = values
    if not all(_put_in(each, subject, value).terms for each in system.not_zero):
        raise CannotDecide(f"what it says of {subject} would divide by 0")
    return value


def _system(maths: Maths) -> System:
    found = meaning.systems(maths)
    if len(found) != 1:
        raise CannotDecide("a formula is one equation, without `or` and ±")
    if found[0].hidden:
        raise CannotDecide("a letter stands under a root or in an exponent")
    return found[0]


def _linear(polynomial: Polynomial, subject: str) -> _Linear:
    powers = polynomial.in_powers_of(subject)
    highest = max(powers, default=0)
    if highest == 0:
        raise CannotDecide(f"multiplied out, it says nothing of {subject}")
    if highest > 1:
        raise CannotDecide(f"multiplied out, it has {subject} to the power {highest}")
    return _Linear(powers[1], powers.get(0, polynomials.ZERO))


def _told_alone(maths: Maths, subject: str) -> Quotient | None:
    """What stands on the right of `subject = ...`; None where something else stands there."""
    match maths.shape.display:
        case Compared((Letter(name), right), ("=",)) if name == subject:
            if subject in meaning.letters(right):
                return None
            return Meaning(maths.numbers).quotient(right)
        case _:
            return None


def _put_in(polynomial: Polynomial, subject: str, value: Quotient) -> Polynomial:
    """What is above the line when a quotient is put in for the subject, in a polynomial of any degree in it."""
    powers = polynomial.in_powers_of(subject)
    highest = max(powers, default=0)
    total = polynomials.ZERO
    for exponent, part in powers.items():
        above = polynomials.power(value.above, exponent)
        below = polynomials.power(value.below, highest - exponent)
        total = polynomials.add(total, polynomials.multiply(part, polynomials.multiply(above, below)))
    return total
