"""Things to be put into order: the order is the only one there is.

Numbers: each is strictly beyond the one before. Lines of working: of all orders that begin at the problem, only one
goes step by step (`steps.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import cache
from itertools import pairwise

from itembank.errors import DomainError
from itembank.expressions import numbers, spelling
from itembank.items import OrderResponse, Part
from itembank.proof import meaning
from itembank.proof.findings import Finding
from itembank.proof.solver import CannotDecide
from itembank.proof.steps import is_step, read_line
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

_SORTED = Proved("each is strictly beyond the one before it")
_UNIQUE = Proved("from the problem on, only this order goes one step at a time")


def prove_order(part: Part, response: OrderResponse) -> Iterator[Finding]:
    """The claims of a response that asks for an order."""
    yield _marks(response)
    places = sorted(thing.place for thing in response.things)
    looks = [spelling.plain(thing.maths) for thing in response.things]
    apart: Verdict = Proved("each has a place of its own and looks of its own")
    twice = next((thing for thing in response.things if looks.count(spelling.plain(thing.maths)) > 1), None)
    if twice is not None:
        apart = Refuted(f"{spelling.terminal(twice.maths)} stands there twice")
    elif places != list(range(len(response.things))):
        apart = Refuted("two have the same place")
    yield Finding("order", "no two things are the same", apart, "response")
    try:
        verdict = _steps(part, response) if response.by == "lines" else _sizes(response)
    except (CannotDecide, DomainError) as stuck:
        verdict = Undecided(str(stuck))
    yield Finding("order", "there is one right order, and it is this", verdict, "response")


def _marks(response: OrderResponse) -> Finding:
    claim = "the places earn the total"
    if response.marks < 1 or response.share not in {0, Fraction(response.marks, len(response.things))}:
        fault = Refuted(f"{len(response.things)} places at {response.share} marks are not {response.marks}")
        return Finding("marks", claim, fault, "response")
    return Finding("marks", claim, Proved("the shares of the places come to the total"), "response")


def _sizes(response: OrderResponse) -> Verdict:
    sizes = [meaning.value(thing.maths).constant() for thing in response.in_order]
    wanted = -1 if response.by == "ascending" else 1
    for (first, one), (second, other) in pairwise(zip(response.in_order, sizes, strict=True)):
        if numbers.compare(one, other) != wanted:
            pair = f"{spelling.terminal(first.maths)} and {spelling.terminal(second.maths)}"
            return Refuted(f"{pair} stand in the wrong order")
    return _SORTED


def _steps(part: Part, response: OrderResponse) -> Verdict:
    shown = [line.maths for line in part.solution if line.maths is not None]
    right = [thing.maths for thing in response.in_order]
    if list(map(spelling.plain, shown)) != list(map(spelling.plain, right)):
        return Refuted("the lines are not those of the worked solution")
    lines = [read_line(maths, part.problem.main_letter) for maths in (part.problem.statement, *right)]

    @cache
    def follows(before: int, after: int) -> bool:
        return is_step(lines[before], lines[after])

    for index, maths in enumerate(right, start=1):
        if not follows(index - 1, index):
            above = spelling.terminal(right[index - 2] if index > 1 else part.problem.statement)
            return Undecided(f"{spelling.terminal(maths)} is not one step from {above}")
    other = _other_order(len(lines), follows)
    if other is None:
        return _UNIQUE
    told = ", then ".join(spelling.terminal(right[index - 1]) for index in other)
    return Refuted(f"these lines may also follow each other: {told}")


def _other_order(count: int, follows: Callable[[int, int], bool]) -> list[int] | None:
    """An order of `count` lines from the first on, step by step, that is not the given one; None for none."""
    given = list(range(count))

    def search(path: list[int]) -> list[int] | None:
        if len(path) == count:
            return path[1:] if path != given else None
        for after in given:
            if after not in path and follows(path[-1], after):
                found = search([*path, after])
                if found is not None:
                    return found
        return None

    return search([0])
