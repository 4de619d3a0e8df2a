"""Working with one slip in it: exactly one line does not follow from those before.

The lines before it say the same as the problem; it does not; the lines after it say the same as it does.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from itembank.errors import DomainError
from itembank.expressions import spelling
from itembank.expressions.display import Maths
from itembank.items import Part, SolutionLine, WrongLineResponse
from itembank.proof.answers import elsewhere, problem_identity
from itembank.proof.findings import Finding
from itembank.proof.identity import EMPTY, Identity
from itembank.proof.meaning import letters
from itembank.proof.solution import prove_lines
from itembank.proof.solver import CannotDecide
from itembank.proof.subject import kept_domain
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

_BEFORE = "the lines before the wrong one follow from the problem"
_WRONG = "the line with the slip does not follow"
_AFTER = "each line after the wrong one follows from it"
_DIFFERS = Proved("it has other solutions than the lines before it")
_FOLLOW = Proved("each says the same as the one before")


def prove_wrong_line(part: Part, response: WrongLineResponse, wanted: Identity) -> Iterator[Finding]:
    """The claims of a response that asks for the line that does not follow. wanted: what the problem comes to."""
    wrong, lines = response.wrong, response.lines
    if not 0 <= wrong < len(lines):
        yield Finding("wrong-line", _WRONG, Refuted("it is none of the lines"), "response")
        return
    before = [line.maths for line in lines[:wrong]]
    yield Finding("wrong-line", _BEFORE, _all_follow(part, before, wanted), "response")
    yield Finding("slip", _WRONG, _differs(part, response, wanted), "slip", 0)
    after = [line.maths for line in lines[wrong + 1 :]]
    yield Finding("wrong-line", _AFTER, _follow_from(part, lines[wrong].maths, after), "slip", 0)
    yield Finding("wrong-line", "no two lines look alike", _apart([line.maths for line in lines]), "slip", 0)


def _all_follow(part: Part, lines: list[Maths], wanted: Identity) -> Verdict:
    for maths in lines:
        if lost := lost_unknowns(part, maths):
            return Refuted(
                f"{spelling.terminal(maths)} says nothing of {lost[0]}, so no line can follow from it"
            )
    shown = replace(part, solution=tuple(SolutionLine("main", None, maths) for maths in lines))
    for finding in prove_lines(shown, wanted):
        if isinstance(finding.verdict, Refuted):
            return Refuted(f"line {finding.place + 1}: {finding.verdict.counterexample}")
        if isinstance(finding.verdict, Undecided):
            return finding.verdict
    return _FOLLOW


def lost_unknowns(part: Part, maths: Maths) -> tuple[str, ...]:
    """The unknowns that a line does not name; what pupils look through says something of each."""
    if part.problem.shape == "rewrite":
        return ()
    named = letters(maths.shape.display)
    return tuple(name for name in part.problem.unknowns if name not in named)


def _as_problem(part: Part, line: Maths) -> Part:
    """The part with a line in place of its problem: what comes after the line is measured by it."""
    return replace(part, problem=replace(part.problem, statement=line, domain=kept_domain(part)))


def _differs(part: Part, response: WrongLineResponse, wanted: Identity) -> Verdict:
    """Whether the wrong line is the slip's, and says something else than the problem, and something at all."""
    line = response.lines[response.wrong].maths
    if response.slip.answer != line:
        return Refuted(elsewhere(response.slip, spelling.terminal(line)))
    try:
        found = problem_identity(_as_problem(part, line))
    except (CannotDecide, DomainError) as stuck:
        return Undecided(f"{spelling.terminal(line)}: {stuck}")
    if part.problem.domain is not None and kept_domain(part) is None:
        return Undecided("a wrong line within a domain is not decided")
    if found == wanted:
        return Refuted(f"{spelling.terminal(line)} has exactly the problem's solutions")
    return Undecided(f"{spelling.terminal(line)} has no real solution") if found == EMPTY else _DIFFERS


def _follow_from(part: Part, line: Maths, lines: list[Maths]) -> Verdict:
    asked = _as_problem(part, line)
    try:
        return _all_follow(asked, lines, problem_identity(asked))
    except (CannotDecide, DomainError) as stuck:
        return Undecided(f"{spelling.terminal(line)}: {stuck}")


def _apart(lines: list[Maths]) -> Verdict:
    texts = [spelling.plain(line) for line in lines]
    for text in texts:
        if texts.count(text) > 1:
            return Refuted(f"{text} stands there twice")
    return Proved("each is written in its own way")
