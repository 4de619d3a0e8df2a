"""Options: one is right and it is the keyed one, no two are the same, and they are those the staff block tells of."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from itembank.audit import formula
from itembank.audit.facts import ChoiceInteraction, Facts, Value
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.formula import Node
from itembank.audit.part_view import PartView
from itembank.audit.subjects import SHAPE

__all__ = ["at_option", "check_choice", "same", "strays"]


def check_choice(view: PartView, facts: Facts) -> Iterator[Fault]:
    """Everything wrong with the options of a part."""
    interaction = view.choice
    if interaction is None or view.boxes or view.tick:
        yield Fault(
            "unclear-interaction", "a part of this kind has one choice and no boxes", place=view.place
        )
        return
    if len(interaction.choices) < 2:
        yield Fault("too-few-options", "there are fewer than two options", place=view.place)
    declared = facts.response(interaction.response)
    keyed = declared.correct if declared else ()
    if len(keyed) != 1:
        yield Fault("no-key", "the response does not name one right option", place=interaction.response)
        return
    if view.part.kind == "words":
        yield from _words(view, interaction, keyed[0])
    else:
        yield from _formulas(view, interaction, keyed[0])


def _formulas(view: PartView, interaction: ChoiceInteraction, keyed: str) -> Iterator[Fault]:
    told = {value.identifier: value for value in view.part.values}
    options: dict[str, Node] = {}
    for choice in interaction.choices:
        if choice.maths is None:
            yield Fault(
                "unclear-option", "the option is not one formula", place=at_option(view, choice.identifier)
            )
            continue
        options[choice.identifier] = choice.maths
        value = told.get(choice.identifier)
        if value is not None and value.maths != choice.maths:
            message = "the option shows something else than the staff block says"
            yield Fault("option-differs", message, place=at_option(view, choice.identifier))
    yield from strays(view, interaction)
    right = []
    for name, maths in options.items():
        try:
            right += [name] if same(view, maths, view.part.key) else []
        except CannotTell as stuck:
            yield Fault(
                "cannot-tell",
                f"whether the option is right cannot be decided: {stuck}",
                place=at_option(view, name),
            )
    if keyed not in right:
        yield Fault(
            "wrong-option-keyed", f"the keyed option {keyed} is not equal to the key", place=view.place
        )
    for name in right:
        if name != keyed:
            yield Fault("second-right-option", "the option is right as well", place=at_option(view, name))
    yield from _twins(view, options)


def _twins(view: PartView, options: dict[str, Node]) -> Iterator[Fault]:
    for (first, one), (second, other) in combinations(options.items(), 2):
        try:
            if same(view, one, other):
                message = f"the options {first} and {second} are equal in value"
                yield Fault("equal-options", message, place=view.place)
        except CannotTell as stuck:
            message = f"whether {first} and {second} are equal cannot be decided: {stuck}"
            yield Fault("cannot-tell", message, place=view.place)


def _words(view: PartView, interaction: ChoiceInteraction, keyed: str) -> Iterator[Fault]:
    texts: dict[str, str] = {}
    for choice in interaction.choices:
        text = choice.words.casefold()
        if not text or choice.maths is not None:
            message = "the option is no text, as the options of this part should be"
            yield Fault("unclear-option", message, place=at_option(view, choice.identifier))
        elif text in texts:
            message = f"the options {texts[text]} and {choice.identifier} have the same words"
            yield Fault("equal-options", message, place=view.place)
        texts[text] = choice.identifier
    yield from strays(view, interaction)
    for value in view.part.values:
        if value.maths is not None:
            yield from _word_value(view, value, value.maths, keyed)


def _word_value(view: PartView, value: Value, maths: Node, keyed: str) -> Iterator[Fault]:
    try:
        is_same = same(view, maths, view.part.key)
    except CannotTell as stuck:
        message = f"whether the option's value is right cannot be decided: {stuck}"
        yield Fault("cannot-tell", message, place=at_option(view, value.identifier))
        return
    if is_same and value.identifier != keyed:
        yield Fault(
            "second-right-option", "the option's value is the key's", place=at_option(view, value.identifier)
        )
    if not is_same and value.identifier == keyed:
        yield Fault("wrong-option-keyed", "the keyed option has another value than the key", place=view.place)


def strays(view: PartView, interaction: ChoiceInteraction) -> Iterator[Fault]:
    """Options that the staff block tells of and the pupil does not see."""
    known = {choice.identifier for choice in interaction.choices}
    for value in view.part.values:
        if value.identifier not in known:
            message = f"the staff block tells of an option {value.identifier!r} that is not there"
            yield Fault("option-differs", message, place=view.place)


def same(view: PartView, first: Node, second: Node) -> bool:
    """Whether two answers to a part's problem say the same. Raises CannotTell."""
    if first is second:
        return True
    try:
        return _same(view, first, second)
    except CannotTell:
        if first == second:  # seldom asked: two trees are long to walk
            return True
        raise


def _same(view: PartView, first: Node, second: Node) -> bool:
    if view.part.shape == "rewrite":
        if formula.is_statement(first) or formula.is_statement(second):
            return first == second
        return view.mathematics.same_value(first, second, view.part.scope)
    if view.part.shape == SHAPE:
        return view.mathematics.same_formula(
            first, second, view.subject, view.part.scope, positive=view.is_positive
        )
    return view.mathematics.same_solutions(view.statement(first), view.statement(second))


def at_option(view: PartView, name: str) -> str:
    """Where findings about an option say they are."""
    return f"{view.place} option {name}".strip()
