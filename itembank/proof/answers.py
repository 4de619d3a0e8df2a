"""What a part's problem and the answers to it come to."""

from __future__ import annotations

from fractions import Fraction

from itembank.expressions import numbers, spelling
from itembank.expressions.display import Maths
from itembank.expressions.numbers import Exact
from itembank.items import Part, Slip
from itembank.proof import identity, meaning, subject
from itembank.proof.identity import Identity
from itembank.proof.regions import Region, intersection, whole_numbers

__all__ = ["answer_identity", "cut", "elsewhere", "option_letter", "problem_identity", "single_value"]


def problem_identity(part: Part) -> Identity:
    """What the displayed problem asks for. Raises CannotDecide or DomainError."""
    problem = part.problem
    if problem.shape == "rewrite":
        return identity.of_value(problem.statement, problem.main_letter)
    if problem.shape == subject.SHAPE:
        return subject.of_formula(problem.statement, problem.unknowns[0], positive=problem.domain is not None)
    if problem.domain is None:
        return identity.of_solutions(
            problem.statement, problem.unknowns, problem.for_every, problem.main_letter
        )
    if meaning.looks(problem.statement.shape).is_of_regions:
        every = meaning.region(problem.statement, problem.unknowns[0], problem.main_letter)
        return identity.of_region(cut(part, every))
    found = meaning.solutions(problem.statement, problem.unknowns, problem.for_every, problem.main_letter)
    kept = frozenset(
        s for s in found if meaning.satisfies(problem.domain, dict(zip(problem.unknowns, s, strict=True)))
    )
    return identity.of_set(kept, len(problem.unknowns))


def cut(part: Part, region: Region) -> Region:
    """What of a region lies in a part's domain. Raises CannotDecide."""
    problem = part.problem
    assert problem.domain is not None
    inside = intersection(region, meaning.stretches(problem.domain, problem.unknowns[0], problem.main_letter))
    return whole_numbers(inside) if meaning.of_whole_numbers(problem.domain) else inside


def answer_identity(part: Part, maths: Maths) -> Identity:
    """The same for an answer to the problem: a statement about its unknowns, or an expression."""
    problem = part.problem
    if problem.shape == "rewrite":
        return identity.of_value(maths, problem.main_letter)
    if problem.shape == subject.SHAPE:
        return subject.of_formula(maths, problem.unknowns[0], positive=problem.domain is not None)
    return identity.of_solutions(maths, problem.unknowns, (), problem.main_letter)


def elsewhere(slip: Slip, shown: str) -> str:
    """What is said where a wrong answer, told as it is shown, is not what its slip leads to."""
    return f"{slip.name} leads to {spelling.terminal(slip.answer)}, not to {shown}"


def option_letter(index: int) -> str:
    """A, B, C, ..."""
    return chr(ord("A") + index)


def single_value(found: Identity) -> Exact | None:
    """The value where there is exactly one and it is rational."""
    match found:
        case (0, int(d), int(n)):
            return numbers.whole(Fraction(-n, d))
        case _:
            return None
