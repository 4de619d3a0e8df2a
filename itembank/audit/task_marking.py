"""The rules of marking for orders and matches, run on the right answer and on others near it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import combinations, permutations
from typing import Final, Protocol

from itembank.audit.facts import Facts, Task
from itembank.audit.findings import Fault
from itembank.audit.numbers import Rational
from itembank.audit.part_view import PartView
from itembank.audit.rule_expressions import Scalar, Value

__all__ = ["check_task"]

FEW: Final = 5
"""Things whose orders are all tried; of more, every exchange of two."""


class Marking(Protocol):
    """What is asked of an item's rules."""

    @property
    def facts(self) -> Facts:
        """The item."""

    @property
    def total(self) -> Rational:
        """What can be earned by rule."""

    def everything(self) -> dict[str, Value]:
        """The right answers of all parts."""

    def outcomes(self, responses: Mapping[str, Value]) -> tuple[int | Fraction, tuple[str, ...]]:
        """What an answer earns, and the feedback it shows."""


def check_task(marking: Marking, view: PartView, right_feedback: str) -> Iterator[Fault]:
    """Everything wrong with the way an order or a match is marked. right_feedback: shown for what is right."""
    task = view.task
    assert task is not None
    keyed = marking.everything().get(task.response)
    if keyed is None:
        return
    others = _orders(keyed) if task.kind == "order" else _pairings(keyed, task)
    score, shown = marking.outcomes(marking.everything())
    if right_feedback not in shown:
        yield Fault("wrong-feedback", "what is right is not told", place=view.place)
    for wrong in others:
        given = {**marking.everything(), task.response: wrong}
        score, shown = marking.outcomes(given)
        told = " ".join(str(item) for item in wrong.items)
        if score >= marking.total or score < 0:
            message = f"the answer {told} earns {score} of {marking.total}"
            yield Fault("wrong-answer-earns", message, place=view.place)
        if right_feedback in shown:
            yield Fault("wrong-feedback", f"the answer {told} is told to be right", place=view.place)
    if task.kind == "match":
        yield from _match_shares(marking, view, task, keyed)


def _orders(keyed: Value) -> Iterator[Value]:
    items = keyed.items
    if len(items) <= FEW:
        for other in permutations(items):
            if other != items:
                yield Value(keyed.base, other, keyed.cardinality)
    else:
        for first, second in combinations(range(len(items)), 2):
            changed = list(items)
            changed[first], changed[second] = changed[second], changed[first]
            yield Value(keyed.base, tuple(changed), keyed.cardinality)
    yield Value(keyed.base, items[:-1], keyed.cardinality)


def _pairings(keyed: Value, task: Task) -> Iterator[Value]:
    """One pair left out, or another in its place."""
    pairs = set(keyed.items)
    for pair in keyed.items:
        left: tuple[Scalar, ...] = tuple(other for other in keyed.items if other != pair)
        if left:
            yield Value(keyed.base, left, keyed.cardinality)
        row = str(pair).split()[0]
        for target in task.targets:
            other = f"{row} {target.identifier}"
            if other not in pairs:
                yield Value(keyed.base, (*left, other), keyed.cardinality)


def _match_shares(marking: Marking, view: PartView, task: Task, keyed: Value) -> Iterator[Fault]:
    """A wrong pair adds nothing, and shows the sentence that staff are told of."""
    given = {name: value for name, value in marking.everything().items() if name != task.response}
    nothing, _ = marking.outcomes(given)
    told = {value.identifier: value.feedback for value in view.part.values}
    declared = {each.identifier for each in marking.facts.feedbacks}
    for row in task.choices:
        for target in task.targets:
            pair = f"{row.identifier} {target.identifier}"
            if pair in keyed.items:
                continue
            alone = Value(keyed.base, (pair,), keyed.cardinality)
            score, shown = marking.outcomes({**given, task.response: alone})
            if score != nothing:
                yield Fault("wrong-answer-earns", f"the pair {pair} changes the marks", place=view.place)
            promised = told.get(target.identifier, "")
            if promised and (promised not in shown or promised not in declared):
                message = f"the pair {pair} does not show the feedback {promised}"
                yield Fault("wrong-feedback", message, place=view.place)
