"""Orders, rows to be matched and answers in writing, in a cartridge: their rules, and the mathematics as in QTI."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from itembank.audit.cartridge_letters import check_letters, keyed_order
from itembank.audit.cartridge_marking import check_options, keyed_options
from itembank.audit.cartridge_reader import Question, with_right
from itembank.audit.cartridge_words import check_told
from itembank.audit.dialects import QTI
from itembank.audit.facts import Facts, Value
from itembank.audit.findings import Fault
from itembank.audit.match_check import check_match
from itembank.audit.order_check import check_order
from itembank.audit.page_text import seen
from itembank.audit.part_view import PartView

__all__ = ["check_essay", "check_row", "check_typed_order"]


def check_typed_order(question: Question, view: PartView, facts: Facts) -> Iterator[Fault]:
    """Everything wrong with an order that is typed as letters."""
    if view.task is None:
        yield Fault("unclear-interaction", "no things bear letters", place=view.place)
        return
    yield from check_letters(question)
    yield from check_order(view, with_right(facts, {view.task.response: keyed_order(question)}))


def check_row(question: Question, view: PartView, facts: Facts) -> Iterator[Fault]:
    """Everything wrong with a row that is a choice among targets."""
    yield from check_options(question)
    keyed = keyed_options(question)
    if view.task is None or len(view.task.choices) != 1 or len(keyed) != 1:
        yield Fault("unclear-interaction", "there is no row, or not one target is right", place=view.place)
        return
    (row,), (target,) = view.task.choices, *keyed
    if not question.code.endswith(f"_{row.identifier.lower()}"):
        yield Fault(
            "wrong-identifier", f"{question.code!r} does not name the row {row.identifier}", place=view.place
        )
    yield from check_told(view, view.task.targets, keyed[0])
    told = Value(f"{row.identifier}-{target}", "", row.maths)
    shown = replace(view, part=replace(view.part, values=(told,)))
    yield from check_match(shown, with_right(facts, {view.task.response: (f"{row.identifier} {target}",)}))


def check_essay(question: Question, view: PartView) -> Iterator[Fault]:
    """Everything wrong with an answer that a person marks: no rule gives marks, and there is a scheme to do it by."""
    if view.task is None or view.task.kind != "text" or view.choice or view.boxes:
        message = "a part of this kind has one box for text and nothing else"
        yield Fault("unclear-interaction", message, place=view.place)
    if any(rule.score is not None or rule.equal for rule in question.conditions):
        yield Fault("wrong-rule", "a rule gives the marks that a person should give", place=view.place)
    notes = [each for each in question.tree.iter(f"{{{QTI}}}p") if each.get("data-role") == "scoring"]
    if not any(map(seen, notes)):
        yield Fault("not-marked-by-hand", "no note tells scorers that they mark the part", place=view.place)
    marks = sum(mark.worth for line in view.part.lines for mark in line.marks)
    if marks != question.weight:
        message = f"the marks on the lines come to {marks}, the answer is worth {question.weight}"
        yield Fault("marks-do-not-sum", message, place=view.place)
