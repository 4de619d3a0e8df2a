"""An answer in writing: there is a scheme to mark it by, and what is known to be wrong is wrong."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.errors import DomainError
from itembank.expressions import spelling
from itembank.items import Part, WrittenResponse
from itembank.proof.answers import answer_identity
from itembank.proof.findings import Finding
from itembank.proof.identity import Identity
from itembank.proof.solver import CannotDecide
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

_WRONG = Proved("its exact value is another than the key's")


def prove_written(part: Part, response: WrittenResponse, wanted: Identity) -> Iterator[Finding]:
    """The claims of a response in writing. wanted: what the problem comes to."""
    worth = sum(mark.worth for line in part.solution for mark in line.marks)
    verdict: Verdict = Proved("the marks at the lines of the solution come to the total")
    if worth != response.marks:
        verdict = Refuted(f"lines {worth}, response {response.marks}")
    yield Finding("marks", "there are marks at the lines for the whole total", verdict, "response")
    for index, slip in enumerate(part.slips):
        try:
            same = answer_identity(part, slip.answer) == wanted
        except (CannotDecide, DomainError) as stuck:
            verdict = Undecided(f"{spelling.terminal(slip.answer)}: {stuck}")
        else:
            verdict = Refuted(f"{spelling.terminal(slip.answer)} is right") if same else _WRONG
        yield Finding("slip", "a known wrong answer is wrong", verdict, "slip", index)
