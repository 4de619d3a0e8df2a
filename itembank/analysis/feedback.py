"""What each pupil is told after the test: where marks were lost and why, what is learnt and what to practise."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from itembank.analysis.keys import Offered, Question
from itembank.analysis.learnt import Learning, Standing, same_name
from itembank.analysis.responses import Answer, Results

__all__ = ["Lost", "Told", "feedback"]

_LAST: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class Lost:
    """A question that a pupil did not earn all marks of.

    test: its title, "" where the pupil sat no other. number: on the pupil's own paper, "" where there is none.
    sentences: what the slips made say to the pupil, or of a worked solution with a slip what that one says. right: what
    is right, () where a person marks it. line: the number of the line with the slip, "" of other questions.
    """

    test: str
    number: str
    title: str
    got: Fraction
    most: int
    sentences: tuple[str, ...]
    right: tuple[Offered, ...]
    line: str = ""


@dataclass(frozen=True, slots=True)
class Told:
    """What one pupil is told. methods: the title of each, how the pupil stands, the number of a practice sheet or 0.

    tests: titles of what the pupil sat. got, most: marks in all; lost: in the order of the paper.
    """

    pupil: str
    tests: tuple[str, ...]
    got: Fraction
    most: int
    methods: tuple[tuple[str, Standing, int], ...]
    lost: tuple[Lost, ...]


def feedback(
    sittings: Sequence[Results], titles: Sequence[str], learning: Learning, sheets: Collection[int] = ()
) -> tuple[Told, ...]:
    """For each pupil in the order of the results.

    titles: what each sitting was of. sheets: the methods, by their numbers from 1, which there is a sheet to practise
    of, under that number.
    """
    lost: dict[str, list[tuple[int, Lost]]] = {}
    sat: dict[str, dict[str, None]] = {}
    marks: dict[str, tuple[Fraction, int]] = {}
    for order, (results, title) in enumerate(zip(sittings, titles, strict=True)):
        for sitting in results.sittings:
            name = same_name(sitting.pupil)
            sat.setdefault(name, {})[title] = None
            got, most = marks.get(name, (Fraction(0), 0))
            marks[name] = got + sitting.total, most + sitting.most
            found = lost.setdefault(name, [])
            for place, answer in sitting.answers.items():
                question = results.questions[place]
                found += ((order, each) for each in _lost(question, answer, sitting.version, title))
    to_practise = [frozenset(learning.to_practise(place)) for place in range(len(learning.methods))]
    told = []
    for pupil, row in zip(learning.pupils, learning.standings, strict=True):
        methods = tuple(
            (method.title, standing, place + 1 if place + 1 in sheets and pupil in to_practise[place] else 0)
            for place, (method, standing) in enumerate(zip(learning.methods, row, strict=True))
            if standing.questions
        )
        name = same_name(pupil)
        in_order = [each for _, each in sorted(lost[name], key=lambda each: (each[0], _place(each[1])))]
        if len(sat[name]) == 1:
            in_order = [replace(each, test="") for each in in_order]
        told.append(Told(pupil, tuple(sat[name]), *marks[name], methods, tuple(in_order)))
    return tuple(told)


def _lost(question: Question, answer: Answer, version: str, test: str) -> Iterator[Lost]:
    if answer.mark is None or answer.mark >= question.maximum:
        return
    told = {each.slip: each.pupil for each in question.offered if each.slip}
    sentences = dict.fromkeys(told.get(slip, "") for slip in answer.slips)
    right = tuple(each for each in question.offered if each.is_right)
    if question.kind == "wrong-line":
        sentences = dict.fromkeys(each.pupil for each in right)
    yield Lost(
        test, _number(question.printed, version), question.title, answer.mark, question.maximum,
        tuple(sentence for sentence in sentences if sentence),
        right, right[0].name if right and question.kind == "wrong-line" else "",
    )  # fmt: skip


def _place(lost: Lost) -> tuple[int, str]:
    """Where a question stands on paper; what has no number stays where it was, at the end."""
    found = re.match("[0-9]+", lost.number)
    return (int(found[0]) if found else _LAST, lost.number)


def _number(printed: str, version: str) -> str:
    """Of `A 3(b), B 5(b)` what belongs to a version; "" where the version is not known.

    >>> _number("3(b)", ""), _number("A 3(b), B 5(b)", "B"), _number("A 3(b), B 5(b)", "")
    ('3(b)', '5(b)', '')
    """
    if " " not in printed:
        return printed
    numbers = dict(place.split(" ", 1) for place in printed.split(", "))
    return numbers.get(version, "")
