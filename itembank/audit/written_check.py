"""Answers in writing: no rule gives their marks, a person does, and there is a scheme to do it by."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from itembank.audit.facts import Facts, Outcome
from itembank.audit.findings import Fault
from itembank.audit.part_view import PartView
from itembank.audit.structure import decimal
from itembank.audit.xml_reading import local_name

__all__ = ["check_written", "hand_worth"]


def _outcome(view: PartView, facts: Facts) -> Outcome | None:
    return facts.outcome(f"SCORE_{view.part.label}" if view.part.label else "SCORE")


def hand_worth(view: PartView, facts: Facts) -> Fraction:
    """What the person who marks a part can give."""
    outcome = _outcome(view, facts)
    return (decimal(outcome.normal_maximum) or Fraction(0)) if outcome is not None else Fraction(0)


def check_written(view: PartView, facts: Facts) -> Iterator[Fault]:
    """Everything wrong with a part that a person marks."""
    if view.task is None or view.task.kind != "text" or view.choice or view.boxes or view.tick:
        message = "a part of this kind has one box for text and nothing else"
        yield Fault("unclear-interaction", message, place=view.place)
        return
    outcome = _outcome(view, facts)
    if facts.notes_for_scorers == 0:
        yield Fault("not-marked-by-hand", "no note tells scorers that they mark the part", place=view.place)
    if outcome is None or outcome.external != ("human" if facts.declares_people else ""):
        yield Fault("not-marked-by-hand", "the marks of the part are not left to a person", place=view.place)
        return
    declared = facts.response(view.task.response)
    if declared is not None and (declared.correct or declared.mapping is not None):
        yield Fault("key-shown", "an answer in writing has no right value to compare with", place=view.place)
    rules = [] if facts.processing is None else list(facts.processing.iter())
    setting = [each.get("identifier") for each in rules if local_name(each) == "qti-set-outcome-value"]
    if outcome.identifier in setting:
        yield Fault("wrong-rule", "a rule gives the marks that a person should give", place=view.place)
    marks = sum(mark.worth for line in view.part.lines for mark in line.marks)
    worth = hand_worth(view, facts)
    if marks != worth:
        message = f"the marks on the lines come to {marks}, the answer is worth {worth}"
        yield Fault("marks-do-not-sum", message, place=view.place)
