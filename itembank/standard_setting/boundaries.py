"""A boundary beside the one below it: whether merit, say, asks for more than a pass, of whom and where."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from itembank.analysis.keys import Question

__all__ = ["Beside", "Boundary", "JudgeTurned", "QuestionTurned", "Step", "beside"]


@dataclass(frozen=True, slots=True)
class Boundary:
    """What judgements say of one boundary. marks: method -> the mark, and how many pupils reach it, None without
    results. judges: those with a mark of their own; expected: of each question the mean rating, None for none.
    """

    marks: Mapping[str, tuple[int, int | None]]
    judges: Mapping[str, Fraction]
    expected: Sequence[tuple[Question, Fraction | None]]


@dataclass(frozen=True, slots=True)
class Step:
    """The two marks of a method. between: pupils who reach the lower one alone, None where that is not known or the
    marks are the wrong way round."""

    method: str
    lower: int
    mark: int
    between: int | None


@dataclass(frozen=True, slots=True)
class JudgeTurned:
    """A judge who asks for no more at the boundary than at the lower one."""

    judge: str
    lower: Fraction
    cut: Fraction


@dataclass(frozen=True, slots=True)
class QuestionTurned:
    """A question of which judges expect less at the boundary than at the lower one."""

    question: Question
    lower: Fraction
    expected: Fraction


@dataclass(frozen=True, slots=True)
class Beside:
    """steps: of each method that tells both marks. judges, questions: what is the wrong way round."""

    steps: tuple[Step, ...]
    judges: tuple[JudgeTurned, ...]
    questions: tuple[QuestionTurned, ...]

    @property
    def turned(self) -> tuple[Step, ...]:
        """Those whose mark is not above the lower one."""
        return tuple(step for step in self.steps if step.mark <= step.lower)


def beside(lower: Boundary, upper: Boundary) -> Beside:
    """The upper boundary beside the lower one.

    Whoever stands at the higher boundary should earn more in all, and no less at any question. That marks for grades
    have to lie in their order: common practice, no source.
    """
    steps = []
    for method, (mark, reaching) in upper.marks.items():
        if method in lower.marks:
            below, at_least = lower.marks[method]
            known = reaching is not None and at_least is not None and mark >= below
            between = at_least - reaching if known and at_least is not None and reaching is not None else None
            steps.append(Step(method, below, mark, between))
    judges = (
        JudgeTurned(judge, lower.judges[judge], cut)
        for judge, cut in upper.judges.items()
        if judge in lower.judges and cut <= lower.judges[judge]
    )
    known_below = {question.column: mean for question, mean in lower.expected}
    questions = []
    for question, mean in upper.expected:
        before = known_below.get(question.column)
        if mean is not None and before is not None and mean < before:
            questions.append(QuestionTurned(question, before, mean))
    questions.sort(key=lambda each: (each.expected - each.lower) / each.question.maximum)
    return Beside(tuple(steps), tuple(judges), tuple(questions))
