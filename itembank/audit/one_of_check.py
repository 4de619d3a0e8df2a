"""Words chosen in a line: what is keyed is what the staff block says, and its conditions where they are shown."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction

from itembank.audit.facts import Box, Facts, Part, Word
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.formula import Node
from itembank.audit.numbers import Rational
from itembank.audit.part_view import PartView
from itembank.audit.probes import Probe
from itembank.audit.real_sets import RealSet
from itembank.audit.rule_expressions import Value

__all__ = ["boxes_only", "check_words", "conditions_hold", "entered_words", "word_boxes", "word_probes"]


def word_boxes(view: PartView) -> list[Box]:
    """The boxes of a part where words are chosen."""
    return [box for box in view.boxes if box.form == "one-of"]


def boxes_only(view: PartView) -> PartView:
    """The part without the boxes where words are chosen."""
    if not any(box.form == "one-of" for box in view.boxes):
        return view
    return replace(view, boxes=tuple(box for box in view.boxes if box.form != "one-of"))


def check_words(view: PartView, facts: Facts) -> Iterator[Fault]:
    """Everything wrong with the words of a part and what is keyed of them."""
    boxes = word_boxes(view)
    told = {word.response for word in view.part.words}
    if told - {box.response for box in boxes}:
        yield Fault(
            "option-differs", "the staff block tells of words that cannot be chosen", place=view.place
        )
    for box in boxes:
        yield from _box(view, facts, box)
    if len(boxes) == len(view.boxes):
        for value in view.part.values:
            yield from _led_to(view, boxes, value.words, value.maths)


def _box(view: PartView, facts: Facts, box: Box) -> Iterator[Fault]:
    place = box.response
    if box.role != "word" or box.unknown not in {"", *view.part.unknowns}:
        yield Fault("unclear-box", "it is not plain what the words are chosen for", place=place)
    if len(box.choices) < 2:
        yield Fault("too-few-options", "there are fewer than two choices of words", place=place)
    seen = [text.casefold() for text in box.texts]
    if not all(seen) or len(set(seen)) < len(seen):
        yield Fault("equal-options", "two choices have the same words, or one has none", place=place)
    words = _told(view.part, box)
    if [(word.identifier, word.text) for word in words] != list(zip(box.choices, box.texts, strict=True)):
        yield Fault("option-differs", "the words are not those the staff block tells of", place=place)
        return
    declared = facts.response(box.response)
    keyed = declared.correct if declared else ()
    right = [word.identifier for word in words if word.is_right]
    if len(keyed) != 1 or [*keyed] != right:
        yield Fault(
            "wrong-option-keyed", "the keyed words are not those the staff block calls right", place=place
        )
        return
    yield from conditions_hold(view, words, place)


def conditions_hold(view: PartView, words: list[Word], place: str) -> Iterator[Fault]:
    """Whether the condition of the right words holds for the key and no other does, as far as they are shown."""
    for word in words:
        if word.maths is None:
            continue
        try:
            holds = _holds(view, view.part.key, word.maths)
        except CannotTell as stuck:
            yield Fault("cannot-tell", f"when the words are right cannot be decided: {stuck}", place=place)
            continue
        if holds != word.is_right:
            message = f"the words {word.identifier} are {'right' if holds else 'wrong'} for the key"
            yield Fault("wrong-option-keyed", message, place=place)


def _told(part: Part, box: Box) -> list[Word]:
    return [word for word in part.words if word.response == box.response]


def _holds(view: PartView, answer: Node, condition: Node) -> bool:
    """Whether a condition holds for what an answer says of the unknowns."""
    if view.part.shape == "rewrite":
        return bool(view.mathematics.solutions(view.statement(condition, wanted=())))
    found = view.mathematics.solutions(view.statement(answer, condition))
    return found.points != () if isinstance(found, RealSet) else bool(found)


def _led_to(view: PartView, boxes: list[Box], names: str, maths: Node | None) -> Iterator[Fault]:
    """A wrong answer that is recognised makes the conditions of its words true, as far as they are shown."""
    chosen = names.split()
    if maths is None or len(chosen) != len(boxes):
        yield Fault("wrong-feedback", "it is not told to which words a wrong answer leads", place=view.place)
        return
    for box, name in zip(boxes, chosen, strict=True):
        for word in _told(view.part, box):
            if word.maths is None:
                continue
            try:
                holds = _holds(view, maths, word.maths)
            except CannotTell as stuck:
                yield Fault(
                    "cannot-tell", f"to which words a wrong answer leads: {stuck}", place=box.response
                )
                continue
            if holds != (word.identifier == name):
                message = "a wrong answer does not lead to the words that are recognised"
                yield Fault("wrong-feedback", message, place=box.response)


def entered_words(view: PartView, names: str) -> dict[str, Value]:
    """The words chosen, by response."""
    return {
        box.response: Value("identifier", (name,))
        for box, name in zip(word_boxes(view), names.split(), strict=False)
    }


def word_probes(
    view: PartView, right: Mapping[str, Value], total: Rational, worths: Mapping[str, Rational]
) -> Iterator[Probe]:
    """Every other choice of words, and none: each loses just what the words are worth. worths: by response."""
    for box in word_boxes(view):
        keyed, worth = right.get(box.response), worths[box.response]
        if worth <= 0:
            message = "the right words earn nothing"
            yield Probe(right, Fraction(-1), False, "key-misses-maximum", message, box.response)
        for name in box.choices:
            chosen = Value("identifier", (name,))
            if chosen != keyed:
                answers = {**right, box.response: chosen}
                message = f"the wrong words {name} do not lose what the right ones earn"
                yield Probe(answers, total - worth, True, "wrong-entry-earns", message, box.response)
