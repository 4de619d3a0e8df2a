"""Working with one slip on the second road: the wrong line is a problem of its own, the rest is measured by it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from itembank.expressions import spelling
from itembank.expressions.display import Maths
from itembank.items import Part, SolutionLine, WrongLineResponse
from itembank.proof.findings import Finding
from itembank.proof.subject import kept_domain
from itembank.proof.symbolic_lines import prove_lines
from itembank.proof.symbolic_numbers import CannotTell
from itembank.proof.symbolic_part import Answer, Asked, same
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["prove_wrong_line"]

_FOLLOW = Proved("read back, each says the same as the one before (sympy)")
_DIFFERS = Proved("read back, it has other solutions than the lines before it (sympy)")


def prove_wrong_line(asked: Asked, response: WrongLineResponse, wanted: Answer) -> Iterator[Finding]:
    """The claims of a response that asks for the line that does not follow."""
    part, wrong = asked.part, response.wrong
    if not 0 <= wrong < len(response.lines):
        fault = Refuted("it is none of the lines")
        yield Finding("wrong-line", "the line with the slip does not follow", fault, "response")
        return
    before = [line.maths for line in response.lines[:wrong]]
    claim = "the lines before the wrong one follow from the problem"
    yield Finding("wrong-line", claim, _follow(part, before), "response")
    line = response.lines[wrong].maths
    claim = "the line with the slip does not follow"
    verdict = _differs(part, line, wanted)
    if isinstance(verdict, Proved) and spelling.plain(response.slip.answer) != spelling.plain(line):
        verdict = Refuted(f"{spelling.terminal(line)} is not the line of {response.slip.name}")
    yield Finding("slip", claim, verdict, "slip", 0)
    after = [line.maths for line in response.lines[wrong + 1 :]]
    claim = "each line after the wrong one follows from it"
    yield Finding("wrong-line", claim, _follow(_as_problem(part, line), after), "slip", 0)


def _as_problem(part: Part, line: Maths) -> Part:
    return replace(part, problem=replace(part.problem, statement=line, domain=kept_domain(part)))


def _answer(asked: Asked) -> Answer:
    if asked.subject:
        return asked.answer(asked.problem)
    if asked.is_inequality:
        return asked.region
    return asked.space.value(asked.problem) if asked.rewrite else asked.every


def _follow(part: Part, lines: list[Maths]) -> Verdict:
    shown = replace(part, solution=tuple(SolutionLine("main", None, maths) for maths in lines))
    try:
        asked = Asked(shown)
        for maths in lines if not asked.rewrite else ():
            named = asked.read(maths).names
            if lost := [name for name in part.problem.unknowns if name not in named]:
                return Refuted(f"read back, {spelling.terminal(maths)} says nothing of {lost[0]} (sympy)")
        wanted = _answer(asked)
        is_set = not asked.rewrite and not asked.subject and not asked.is_inequality
        for finding in prove_lines(asked, asked.inside(asked.every) if is_set else wanted):
            if not isinstance(finding.verdict, Proved):
                return finding.verdict
    except CannotTell as stuck:
        return Undecided(str(stuck))
    return _FOLLOW


def _differs(part: Part, line: Maths, wanted: Answer) -> Verdict:
    try:
        found = _answer(Asked(_as_problem(part, line)))
    except CannotTell as stuck:
        return Undecided(str(stuck))
    if found == frozenset():
        return Undecided(f"{spelling.terminal(line)} has no real solution")
    return (
        Refuted(f"{spelling.terminal(line)} says the same as the problem")
        if same(found, wanted)
        else _DIFFERS
    )
