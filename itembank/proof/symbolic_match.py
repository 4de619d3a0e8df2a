"""Rows and their targets on the second road: every row solved by sympy, every target compared with it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from itembank.expressions import spelling
from itembank.expressions.display import Maths
from itembank.items import Item, MatchResponse, MatchRow
from itembank.proof.findings import Finding
from itembank.proof.symbolic_claims import claim_holds
from itembank.proof.symbolic_numbers import CannotTell
from itembank.proof.symbolic_part import Answer, Asked, same, single_value
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["prove_match"]

_ONE = Proved("read back, it answers the row, and no other target does (sympy)")


def prove_match(asked: Asked, response: MatchResponse, item: Item) -> Iterator[Finding]:
    """Each row has exactly one target; that no two targets are the same follows from it, slips apart."""
    for row in response.rows:
        try:
            verdict = _row(asked, response, row, item)
        except CannotTell as stuck:
            verdict = Undecided(f"{spelling.terminal(row.statement)}: {stuck}")
        yield Finding("match", f"row {row.identifier[1:]} has exactly one target", verdict, "response")


def _row(asked: Asked, response: MatchResponse, row: MatchRow, item: Item) -> Verdict:
    part = asked.part
    own = Asked(replace(part, problem=replace(part.problem, statement=row.statement)))
    wanted: Answer = own.space.value(own.problem) if own.rewrite else own.inside(own.every)
    fitting = (index for index in range(len(response.targets)) if _fits(own, response, index, wanted, item))
    right = [response.targets[index].identifier for index in fitting]
    if right == [row.target]:
        return _ONE
    return Refuted(f"{spelling.terminal(row.statement)} belongs to {' and '.join(right) or 'no target'}")


def _fits(own: Asked, response: MatchResponse, index: int, wanted: Answer, item: Item) -> bool:
    content = response.targets[index].content
    if isinstance(content, Maths):
        return same(own.answer(own.read(content)), wanted)
    value = single_value(wanted)
    if value is None:
        raise CannotTell("words tell one rational value")
    return claim_holds(response.conditions[index], item, own, {own.unknowns[0]: value})
