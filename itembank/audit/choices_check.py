"""Several right options: each keyed one is right, every other wrong, and staff are told of the same options."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from itembank.audit import formula
from itembank.audit.choice_check import at_option, same, strays
from itembank.audit.facts import Choice, ChoiceInteraction, Facts
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.formula import Node
from itembank.audit.part_view import PartView
from itembank.audit.real_sets import RealSet

__all__ = ["CHOICES_KINDS", "check_choices"]

CHOICES_KINDS: Final = frozenset({"choices-same", "choices-solutions", "choices-words"})
"""A right option says the same as the problem, is one of its solutions, or is a true statement in words."""


def check_choices(view: PartView, facts: Facts) -> Iterator[Fault]:
    """Everything wrong with the options of a part of which several may be right."""
    interaction = view.choice
    if interaction is None or view.boxes or view.tick or interaction.max_choices != "0":
        message = "a part of this kind has one interaction in which any number of options can be chosen"
        yield Fault("unclear-interaction", message, place=view.place)
        return
    declared = facts.response(interaction.response)
    keyed = set(declared.correct) if declared else set()
    if not keyed or len(keyed) >= len(interaction.choices):
        message = "some options are right and some are wrong, but that is not what is declared"
        yield Fault("no-key", message, place=interaction.response)
        return
    yield from strays(view, interaction)
    if view.part.kind == "choices-words":
        yield from _words(view, interaction, keyed)
    else:
        yield from _formulas(view, interaction, keyed)


def _formulas(view: PartView, interaction: ChoiceInteraction, keyed: set[str]) -> Iterator[Fault]:
    told = {value.identifier: value.maths for value in view.part.values}
    seen: list[Node] = []
    for choice in interaction.choices:
        place = at_option(view, choice.identifier)
        if choice.maths is None:
            yield Fault("unclear-option", "the option is not one formula", place=place)
            continue
        if told.get(choice.identifier) != choice.maths:
            message = "the option shows something else than the staff block says"
            yield Fault("option-differs", message, place=place)
        if choice.maths in seen:
            yield Fault("equal-options", "the option stands there twice", place=place)
        seen.append(choice.maths)
        yield from _right_or_wrong(view, choice, choice.maths, keyed)
    if view.part.kind == "choices-solutions":
        yield from _complete(
            view, [c.maths for c in interaction.choices if c.maths and c.identifier in keyed]
        )


def _right_or_wrong(view: PartView, choice: Choice, maths: Node, keyed: set[str]) -> Iterator[Fault]:
    place = at_option(view, choice.identifier)
    try:
        if view.part.kind == "choices-same":
            right = same(view, maths, view.part.key)
        else:
            found, wanted = _points(view, maths), _points(view, view.part.key)
            if len(found) != 1:
                yield Fault("unclear-option", "the option is not one value", place=place)
            right = found <= wanted
    except CannotTell as stuck:
        message = f"whether the option is right cannot be decided: {stuck}"
        yield Fault("cannot-tell", message, place=place)
        return
    if right and choice.identifier not in keyed:
        yield Fault("second-right-option", "the option is right but not keyed", place=place)
    if not right and choice.identifier in keyed:
        yield Fault("wrong-option-keyed", "the keyed option is wrong", place=place)


def _points(view: PartView, maths: Node) -> frozenset[tuple[object, ...]]:
    found = view.mathematics.solutions(view.statement(maths))
    if isinstance(found, RealSet):
        raise CannotTell("there are infinitely many values")
    return frozenset(found)


def _complete(view: PartView, keyed: list[Node]) -> Iterator[Fault]:
    try:
        shown = frozenset(point for maths in keyed for point in _points(view, maths))
        if shown != _points(view, view.part.key):
            yield Fault("solution-missing", "not every solution is among the options", place=view.place)
    except CannotTell as stuck:
        yield Fault(
            "cannot-tell", f"whether every solution is there cannot be decided: {stuck}", place=view.place
        )


def _words(view: PartView, interaction: ChoiceInteraction, keyed: set[str]) -> Iterator[Fault]:
    """Texts unlike each other; a wrong one that staff are told a value of has another value than the key."""
    texts: set[str] = set()
    for choice in interaction.choices:
        text = choice.words.casefold()
        place = at_option(view, choice.identifier)
        if not text:
            yield Fault("unclear-option", "the option is no text", place=place)
        elif text in texts:
            yield Fault("equal-options", "two options have the same words", place=place)
        texts.add(text)
    for value in view.part.values:
        if value.maths is None or formula.is_statement(value.maths) != formula.is_statement(view.part.key):
            continue
        is_same = same(view, value.maths, view.part.key)
        place = at_option(view, value.identifier)
        if is_same and value.identifier not in keyed:
            yield Fault("second-right-option", "the option's value is the key's", place=place)
        if not is_same and value.identifier in keyed:
            yield Fault("wrong-option-keyed", "the keyed option has another value than the key", place=place)
