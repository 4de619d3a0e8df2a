"""A part of an item with its pieces read back: what the second road knows of it."""

from __future__ import annotations

from functools import cached_property
from typing import TypeAlias

from itembank.expressions import spelling
from itembank.expressions.display import Maths
from itembank.items import ChoiceResponse, ChoicesResponse, MatchResponse, OrderResponse, Part
from itembank.proof.subject import SHAPE
from itembank.proof.symbolic_hidden import generators
from itembank.proof.symbolic_numbers import Rooted, rational
from itembank.proof.symbolic_positive import PositiveFormula, solved_where_positive
from itembank.proof.symbolic_reading import Fraction, Space, space
from itembank.proof.symbolic_regions import Stretches, is_of_regions, region
from itembank.proof.symbolic_sets import Points, solutions
from itembank.proof.symbolic_subject import solved
from itembank.proof.symbolic_text import Piece, piece

__all__ = ["Answer", "Asked", "same", "single_value"]

Answer: TypeAlias = Points | Rooted | Fraction | Stretches | PositiveFormula
"""The solutions of a statement, in stretches where it is an inequality; the value of an expression to be rewritten,
and what the subject of a formula is."""


class Asked:
    """A part's problem, read back in the ring of all letters that the part shows.

    Raises CannotTell where a piece cannot be read back.
    """

    def __init__(self, part: Part) -> None:
        self.part = part
        self.rewrite = part.problem.shape == "rewrite"
        self.subject = part.problem.unknowns[0] if part.problem.shape == SHAPE else ""
        self.unknowns = part.problem.unknowns
        self._answers: dict[str, Answer] = {}
        self.problem = self.read(part.problem.statement)
        self.space = self._space()

    @staticmethod
    def read(maths: Maths) -> Piece:
        """A displayed piece read back from its plain text. Raises CannotTell."""
        return piece(spelling.plain(maths))

    def _space(self) -> Space:
        part, problem = self.part, self.part.problem
        shown = [problem.statement, part.key, *(slip.answer for slip in part.slips)]
        shown += [line.maths for line in part.solution if line.maths is not None]
        if isinstance(part.response, ChoiceResponse | ChoicesResponse):
            shown += [o.content for o in part.response.options if isinstance(o.content, Maths)]
        if isinstance(part.response, OrderResponse):
            shown += [thing.maths for thing in part.response.things]
        if isinstance(part.response, MatchResponse):
            shown += [row.statement for row in part.response.rows]
            shown += [t.content for t in part.response.targets if isinstance(t.content, Maths)]
        letters = {*problem.unknowns, *problem.for_every, *filter(None, (problem.main_letter,))}
        for maths in shown:
            read = self.read(maths)
            letters |= read.names | generators(read.node, read.numerals)
        return space(tuple(sorted(letters)), problem.main_letter)

    def answer(self, read: Piece) -> Answer:
        """What an answer to the problem says. Raises CannotTell."""
        found = self._answers.get(read.text)
        if found is None:
            if self.subject and self.part.problem.domain is not None:
                found = solved_where_positive(read, self.subject, self.part.problem.for_every)
            elif self.subject:
                found = solved(self.space, read, self.subject)
            elif self.rewrite:
                found = self.space.expression(read)
            elif is_of_regions(read) and len(self.unknowns) == 1:
                found = region(self.space, [read], self.unknowns[0])
            else:
                found = solutions(self.space, read, self.unknowns)
            self._answers[read.text] = found
        return found

    @cached_property
    def every(self) -> Points:
        """All solutions of the problem's statement, those outside the domain too. Raises CannotTell."""
        return solutions(self.space, self.problem, self.unknowns, self.part.problem.for_every)

    @cached_property
    def region(self) -> Stretches | Points:
        """All solutions of an inequality in its domain. Raises CannotTell."""
        domain = self.part.problem.domain
        statements = [self.problem] if domain is None else [self.problem, self.read(domain)]
        return region(self.space, statements, self.unknowns[0])

    @property
    def is_inequality(self) -> bool:
        """Whether the problem is an inequality in one unknown, or has a modulus."""
        return (
            not self.rewrite and not self.subject and len(self.unknowns) == 1 and is_of_regions(self.problem)
        )

    def inside(self, points: Points) -> Points:
        """The points that lie in the problem's domain. Raises CannotTell."""
        domain = self.part.problem.domain
        if domain is None:
            return points
        read = self.read(domain)
        return frozenset(
            point for point in points if self.space.holds(read, dict(zip(self.unknowns, point, strict=True)))
        )


def same(first: Answer, second: Answer) -> bool:
    """Whether two answers to one problem say the same."""
    if isinstance(first, Rooted) and isinstance(second, Rooted):
        return not first - second
    if isinstance(first, Rooted | Fraction) and isinstance(second, Rooted | Fraction):
        (a, b), (c, d) = _fraction(first), _fraction(second)
        return not a * d - c * b
    return first == second


def _fraction(answer: Rooted | Fraction) -> Fraction:
    return Fraction(answer, rational(1)) if isinstance(answer, Rooted) else answer


def single_value(answer: Answer) -> Rooted | None:
    """The value where there is exactly one, of one unknown, and it is rational."""
    if isinstance(answer, Rooted | Stretches | PositiveFormula) or len(answer) != 1:
        return None
    (point,) = answer
    return point[0] if len(point) == 1 and point[0].is_rational() else None
