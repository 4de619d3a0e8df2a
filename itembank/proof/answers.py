"""What a part's problem and the answers to it come to, and how that is told."""

from __future__ import annotations

from fractions import Fraction
from functools import cmp_to_key

from itembank.expressions import canonical, numbers, spelling
from itembank.expressions.display import Maths
from itembank.expressions.form_layout import node_of
from itembank.expressions.layout import lay_out
from itembank.expressions.numbers import Exact
from itembank.items import Part
from itembank.proof import identity, meaning, subject
from itembank.proof.identity import Identity
from itembank.proof.regions import Piece, intersection
from itembank.proof.regions import told as region_told
from itembank.proof.solver import Solution

__all__ = ["answer_identity", "option_letter", "problem_identity", "single_value", "told"]


def problem_identity(part: Part) -> Identity:
    """What the displayed problem asks for. Raises CannotDecide or DomainError."""
    problem = part.problem
    if problem.shape == "rewrite":
        return identity.of_value(problem.statement, problem.main_letter)
    if problem.shape == subject.SHAPE:
        return subject.of_formula(problem.statement, problem.unknowns[0])
    if problem.domain is None:
        return identity.of_solutions(
            problem.statement, problem.unknowns, problem.for_every, problem.main_letter
        )
    if meaning.looks(problem.statement.shape).is_of_regions:
        inside = meaning.region(problem.domain, problem.unknowns[0], problem.main_letter)
        every = meaning.region(problem.statement, problem.unknowns[0], problem.main_letter)
        return identity.of_region(intersection(every, inside))
    found = meaning.solutions(problem.statement, problem.unknowns, problem.for_every, problem.main_letter)
    kept = frozenset(
        s for s in found if meaning.satisfies(problem.domain, dict(zip(problem.unknowns, s, strict=True)))
    )
    return identity.of_set(kept, len(problem.unknowns))


def answer_identity(part: Part, maths: Maths) -> Identity:
    """The same for an answer to the problem: a statement about its unknowns, or an expression."""
    problem = part.problem
    if problem.shape == "rewrite":
        return identity.of_value(maths, problem.main_letter)
    if problem.shape == subject.SHAPE:
        return subject.of_formula(maths, problem.unknowns[0])
    return identity.of_solutions(maths, problem.unknowns, (), problem.main_letter)


def told(wanted: Identity) -> str:
    """An identity in words a teacher can check."""
    match wanted:
        case ():
            return "no real solution"
        case (0, int(d), int(n)):
            return f"the one solution {_fraction(-n, d)}"
        case (int(a), int(b), int(c)):
            return f"the roots of {a}t² + {b}t + {c}".replace("+ -", "− ").replace(" 1t", " t")
        case ("region", *pieces):
            return f"the solutions {region_told(each for each in pieces if isinstance(each, Piece))}"
        case ("number", (int(n), int(d)), 0, _):
            return f"the value {_fraction(n, d)}"
        case ("number", (int(n), int(d)), int(sign), (int(w), int(e))):
            return f"the value {_fraction(n, d)} {'+' if sign > 0 else '−'} √({_fraction(w, e)})"
        case frozenset() if all(len(point) == 2 for point in wanted):
            listed = sorted(wanted, key=cmp_to_key(_left_first))
            shown = [f"({', '.join(map(_number, point))})" for point in listed]
            return f"the {'points' if len(shown) > 1 else 'point'} {' and '.join(shown)}"
        case ((int(n), int(d)), (int(w), int(e))):
            return f"the point ({_fraction(n, d)}, {_fraction(w, e)})".replace("-", "−")
        case _:
            return f"the solutions {wanted}"


def _left_first(first: Solution, second: Solution) -> int:
    return next((order for a, b in zip(first, second, strict=True) if (order := numbers.compare(a, b))), 0)


def _number(number: Exact) -> str:
    shape = lay_out(node_of(canonical.exact(number)[0], 0)[0], len(canonical.exact(number)[1]))
    return spelling.terminal(Maths(shape, canonical.exact(number)[1]))


def _fraction(n: int, d: int) -> str:
    return f"{n}/{d}" if d != 1 else str(n)


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
