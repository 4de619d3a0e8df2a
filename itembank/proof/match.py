"""Rows and their targets: each row has exactly one target, and it is the keyed one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from itembank.content import Content, said
from itembank.errors import DomainError
from itembank.expressions import spelling
from itembank.expressions.display import Maths
from itembank.items import Item, MatchResponse, MatchRow, Part
from itembank.proof.answer_wording import told
from itembank.proof.answers import answer_identity, elsewhere, problem_identity, single_value
from itembank.proof.findings import Finding
from itembank.proof.guarantees import row_holds
from itembank.proof.identity import Identity
from itembank.proof.solver import CannotDecide
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

_ONE = Proved("it answers the row, and no other target does")
_APART = Proved("no two are equal in value or look alike")


def prove_match(part: Part, response: MatchResponse, item: Item) -> Iterator[Finding]:
    """The claims of a response that asks what belongs together."""
    yield _marks(response)
    if response.by_words:
        texts = [said(t.content) for t in response.targets if isinstance(t.content, Content)]
        apart: Verdict = (
            _APART if all(texts.count(text) == 1 for text in texts) else Refuted("two are the same")
        )
        yield Finding("match", "no two targets are the same", apart, "response")
        for row in response.rows:
            yield Finding("match", _claim(row), _by_words(part, response, row, item), "response")
        return
    found = [_target(part, target.content) for target in response.targets]
    yield Finding("match", "no two targets are the same", _all_apart(response, found), "response")
    for row in response.rows:
        yield Finding("match", _claim(row), _row(part, response, row, found), "response")


def _claim(row: MatchRow) -> str:
    return f"row {row.identifier[1:]} has exactly one target"


def _marks(response: MatchResponse) -> Finding:
    claim = "the rows earn the total"
    if response.marks < 1 or response.share not in {0, Fraction(response.marks, len(response.rows))}:
        fault = Refuted(f"{len(response.rows)} rows at {response.share} marks are not {response.marks}")
        return Finding("marks", claim, fault, "response")
    return Finding("marks", claim, Proved("the shares of the rows come to the total"), "response")


def _target(part: Part, content: Maths | Content) -> Identity | str:
    """What a target comes to, or why that cannot be told."""
    if not isinstance(content, Maths):
        return "it is words"
    try:
        return answer_identity(part, content)
    except (CannotDecide, DomainError) as stuck:
        return f"{spelling.terminal(content)}: {stuck}"


def _all_apart(response: MatchResponse, found: list[Identity | str]) -> Verdict:
    looks = [spelling.plain(t.content) for t in response.targets if isinstance(t.content, Maths)]
    for index, target in enumerate(response.targets):
        value = found[index]
        if isinstance(value, str):
            return Undecided(value)
        if found.count(value) > 1 or looks.count(looks[index]) > 1:
            return Refuted(f"target {target.identifier} stands there twice")
        slip, content = target.slip, target.content
        if slip is not None and isinstance(content, Maths) and slip.answer != content:
            return Refuted(elsewhere(slip, spelling.terminal(content)))
    return _APART


def _row(part: Part, response: MatchResponse, row: MatchRow, found: list[Identity | str]) -> Verdict:
    shown = spelling.terminal(row.statement)
    try:
        wanted = problem_identity(replace(part, problem=replace(part.problem, statement=row.statement)))
    except (CannotDecide, DomainError) as stuck:
        return Undecided(f"{shown}: {stuck}")
    right = [t.identifier for t, value in zip(response.targets, found, strict=True) if value == wanted]
    if right == [row.target]:
        return _ONE
    return Refuted(f"{shown} belongs to {' and '.join(right) or 'no target'}, not to {row.target}")


def _by_words(part: Part, response: MatchResponse, row: MatchRow, item: Item) -> Verdict:
    try:
        wanted = problem_identity(replace(part, problem=replace(part.problem, statement=row.statement)))
    except (CannotDecide, DomainError) as stuck:
        return Undecided(f"{spelling.terminal(row.statement)}: {stuck}")
    value = single_value(wanted)
    if value is None or len(part.problem.unknowns) != 1:
        return Refuted(f"it has {told(wanted)}, and words tell one rational value")
    answer = {part.problem.unknowns[0]: value}
    right = []
    for target, condition in zip(response.targets, response.conditions, strict=True):
        holds = row_holds(condition, item, part, answer)
        if holds is None:
            return Undecided(f"the condition of target {target.identifier} cannot be decided")
        right += [target.identifier] if holds else []
    if right == [row.target]:
        return _ONE
    return Refuted(f"{spelling.terminal(row.statement)} belongs to {' and '.join(right) or 'no target'}")
