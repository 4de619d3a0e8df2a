"""Lines of working: exactly one does not follow from the line above it, and it is the keyed one.

Each line is compared with the one above it; the first with the problem. Where two lines have the same solutions, or
the same value, the lower one follows.
"""

from __future__ import annotations

from collections.abc import Iterator

from itembank.audit import formula
from itembank.audit.choice_check import strays
from itembank.audit.facts import ChoiceInteraction, Facts
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.formula import Node
from itembank.audit.mathematics import Claim, Statement
from itembank.audit.part_view import PartView
from itembank.audit.subjects import SHAPE

__all__ = ["check_wrong_line"]

FEWEST_LINES = 2


def check_wrong_line(view: PartView, facts: Facts) -> Iterator[Fault]:
    """Everything wrong with the lines of a part that asks for the line that does not follow."""
    interaction = view.choice
    if interaction is None or view.boxes or view.tick or interaction.max_choices != "1":
        message = "a part of this kind has one choice of a single line"
        yield Fault("unclear-interaction", message, place=view.place)
        return
    if len(interaction.choices) < FEWEST_LINES:
        yield Fault("too-few-options", "there are fewer than two lines", place=view.place)
    if interaction.shuffle != "false":
        yield Fault("misfit-response", "the lines may come in another order", place=interaction.response)
    declared = facts.response(interaction.response)
    keyed = declared.correct if declared else ()
    if len(keyed) != 1:
        yield Fault("no-key", "the response does not name one line", place=interaction.response)
        return
    yield from strays(view, interaction)
    yield from _lines(view, interaction, keyed[0])


def _lines(view: PartView, interaction: ChoiceInteraction, keyed: str) -> Iterator[Fault]:
    told = {value.identifier: value.maths for value in view.part.values}
    above, broken = view.part.problem, []
    for number, choice in enumerate(interaction.choices, start=1):
        place = f"{view.place} shown line {number}".strip()
        if choice.maths is None:
            yield Fault("unclear-option", "the line shows no formula of its own", place=place)
            return
        if told.get(choice.identifier) != choice.maths:
            yield Fault("option-differs", "the line is another one than the staff block says", place=place)
        try:
            if not _follows(view, above, choice.maths):
                broken.append(choice.identifier)
        except CannotTell as stuck:
            yield Fault("cannot-tell", f"whether the line follows cannot be decided: {stuck}", place=place)
        above = choice.maths
    if keyed not in broken:
        yield Fault("wrong-option-keyed", f"the line {keyed} follows from the one above it", place=view.place)
    for name in broken:
        if name != keyed:
            message = f"the line {name} does not follow either"
            yield Fault("second-right-option", message, place=view.place)


def _follows(view: PartView, above: Node, line: Node) -> bool:
    if above == line:
        return True
    if view.part.shape == "rewrite":
        if formula.is_statement(above) or formula.is_statement(line):
            raise CannotTell("a statement stands among expressions")
        return view.mathematics.same_value(above, line, view.part.scope)
    if view.part.shape == SHAPE:
        return view.mathematics.same_formula(
            above, line, view.subject, view.part.scope, positive=view.is_positive
        )
    return view.mathematics.same_solutions(_statement(view, above), _statement(view, line))


def _statement(view: PartView, node: Node) -> Statement:
    return Statement((Claim(node, view.part.for_every, view.part.scope),), view.part.unknowns)
