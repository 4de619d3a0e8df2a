"""Orders and answers in writing on the second road: sizes by sympy, and lines that say the same as the problem.

That no other order of lines goes step by step is proved on the first road alone: it is about what is shown.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from itembank.expressions import spelling
from itembank.items import OrderResponse, SolutionLine, WrittenResponse
from itembank.proof.findings import Finding
from itembank.proof.symbolic_lines import prove_lines
from itembank.proof.symbolic_numbers import CannotTell
from itembank.proof.symbolic_part import Answer, Asked, same
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["prove_order", "prove_written"]

_SORTED = Proved("read back, each is strictly beyond the one before it (sympy)")
_FOLLOW = Proved("read back, each says the same as the problem (sympy)")
_WRONG = Proved("read back, its exact value is another than the key's (sympy)")


def prove_order(asked: Asked, response: OrderResponse) -> Iterator[Finding]:
    """The claim that can be read back: the sizes of numbers, the meaning of lines."""
    claim = "there is one right order, and it is this"
    try:
        if response.by == "lines":
            claim, verdict = "every line of the order says the same as the problem", _lines(asked, response)
        else:
            verdict = _sizes(asked, response)
    except CannotTell as stuck:
        verdict = Undecided(str(stuck))
    yield Finding("order", claim, verdict, "response")


def _sizes(asked: Asked, response: OrderResponse) -> Verdict:
    right = [thing.maths for thing in response.in_order]
    sizes = [asked.space.value(asked.read(maths)).number() for maths in right]
    wanted = 1 if response.by == "ascending" else -1
    for index, (first, second) in enumerate(pairwise(sizes)):
        if (second - first).sign() != wanted:
            pair = f"{spelling.terminal(right[index])} and {spelling.terminal(right[index + 1])}"
            return Refuted(f"{pair} stand in the wrong order")
    return _SORTED


def _lines(asked: Asked, response: OrderResponse) -> Verdict:
    lines = tuple(SolutionLine("main", None, thing.maths) for thing in response.in_order)
    again = Asked(replace(asked.part, solution=lines))
    for finding in prove_lines(again, again.inside(again.every)):
        if not isinstance(finding.verdict, Proved):
            return finding.verdict
    return _FOLLOW


def prove_written(asked: Asked, response: WrittenResponse, wanted: Answer) -> Iterator[Finding]:
    """Known wrong answers are wrong; marks are added up on the first road."""
    for index, slip in enumerate(asked.part.slips):
        try:
            right = same(asked.answer(asked.read(slip.answer)), wanted)
            verdict: Verdict = Refuted(f"{spelling.terminal(slip.answer)} is right") if right else _WRONG
        except CannotTell as stuck:
            verdict = Undecided(str(stuck))
        yield Finding("slip", "a known wrong answer is wrong", verdict, "slip", index)
