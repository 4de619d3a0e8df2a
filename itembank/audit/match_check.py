"""Rows and their targets: each row, solved afresh, has exactly one target, and it is the keyed one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from itembank.audit import formula
from itembank.audit.facts import Facts, Task
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.formula import Node
from itembank.audit.mathematics import Claim, Statement
from itembank.audit.part_view import PartView

__all__ = ["MATCH_KINDS", "check_match"]

MATCH_KINDS: Final = frozenset({"match", "match-words"})


def check_match(view: PartView, facts: Facts) -> Iterator[Fault]:
    """Everything wrong with the rows and targets of a part."""
    task = view.task
    if task is None or task.kind != "match" or view.choice or view.boxes or view.tick:
        yield Fault(
            "unclear-interaction", "a part of this kind has one match and nothing else", place=view.place
        )
        return
    declared = facts.response(task.response)
    pairs = [tuple(value.split()) for value in declared.correct] if declared else []
    rows = [row.identifier for row in task.choices]
    if sorted(pair[0] for pair in pairs) != sorted(rows):
        yield Fault("no-key", "not every row has one right target", place=task.response)
        return
    targets = [pair[1] for pair in pairs]
    often = dict(zip([c.identifier for c in (*task.choices, *task.targets)], task.often, strict=False))
    for target in set(targets):
        if often.get(target) not in {"0", *(str(n) for n in range(targets.count(target), len(rows) + 1))}:
            yield Fault(
                "misfit-response",
                f"{target} cannot be used as often as it is right",
                place=view.place,
            )
    if any(often.get(row) != "1" for row in rows) or task.most not in {"0", str(len(rows))}:
        yield Fault("misfit-response", "a row can be matched more or less than once", place=task.response)
    key = {str(pair[0]): str(pair[1]) for pair in pairs}
    yield from _told(view, task, key)
    if view.part.kind == "match-words":
        yield from _words(view, task, key)
    else:
        yield from _formulas(view, task, key)


def _told(view: PartView, task: Task, key: dict[str, str]) -> Iterator[Fault]:
    """Whether the staff block tells of the same rows, pairs and targets of slips."""
    told = {value.identifier: value.maths for value in view.part.values}
    for row in task.choices:
        name = f"{row.identifier}-{key[row.identifier]}"
        if row.maths is None or told.pop(name, None) != row.maths:
            yield Fault(
                "option-differs", f"staff are told otherwise of the row {row.identifier}", place=view.place
            )
    for target in task.targets:
        if target.identifier in told and told.pop(target.identifier) != target.maths:
            message = f"staff are told otherwise of the target {target.identifier}"
            yield Fault("option-differs", message, place=view.place)
    for name in told:
        yield Fault(
            "option-differs", f"the staff block tells of {name!r}, which is not there", place=view.place
        )


def _formulas(view: PartView, task: Task, key: dict[str, str]) -> Iterator[Fault]:
    for row in task.choices:
        if row.maths is None:
            continue
        right = []
        for target in task.targets:
            if target.maths is None:
                yield Fault(
                    "unclear-option", f"the target {target.identifier} is not one formula", place=view.place
                )
                continue
            try:
                right += [target.identifier] if _same(view, row.maths, target.maths) else []
            except CannotTell as stuck:
                message = (
                    f"whether {target.identifier} belongs to {row.identifier} cannot be decided: {stuck}"
                )
                yield Fault("cannot-tell", message, place=view.place)
        if right != [key[row.identifier]]:
            found = " and ".join(right) or "no target"
            message = f"to the row {row.identifier} belongs {found}, not {key[row.identifier]} alone"
            yield Fault("wrong-pair-keyed", message, place=view.place)


def _same(view: PartView, row: Node, target: Node) -> bool:
    if view.part.shape == "rewrite":
        if formula.is_statement(row) or formula.is_statement(target):
            return False
        return view.mathematics.same_value(row, target, view.part.scope)
    asked = [Claim(row, view.part.for_every, view.part.scope)]
    if view.part.domain is not None:
        asked.append(Claim(view.part.domain, (), view.part.scope))
    problem = Statement(tuple(asked), view.part.unknowns)
    return view.mathematics.same_solutions(problem, view.statement(target))


def _words(view: PartView, task: Task, key: dict[str, str]) -> Iterator[Fault]:
    """Texts unlike each other; rows of one value belong to one target."""
    texts = [target.words.casefold() for target in task.targets]
    if len(set(texts)) < len(texts) or not all(texts):
        yield Fault("equal-options", "two targets have the same words, or one has none", place=view.place)
    rows = [(row.identifier, row.maths) for row in task.choices if row.maths is not None]
    for index, (name, maths) in enumerate(rows):
        for other, again in rows[index + 1 :]:
            if key[name] != key[other] and _same(view, maths, again):
                message = f"the rows {name} and {other} have one value and two targets"
                yield Fault("wrong-pair-keyed", message, place=view.place)
