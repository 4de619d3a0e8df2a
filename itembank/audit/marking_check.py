"""The rules of marking, run on answers: the right one, the wrong options, nothing, and answers nearly right."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Final

from itembank.audit.entry_check import groups
from itembank.audit.facts import Box, Facts
from itembank.audit.findings import Fault
from itembank.audit.part_view import PartView
from itembank.audit.response_processing import Responses, Rules, Value, compile_rules
from itembank.audit.structure import decimal, integer

__all__ = ["UNSIMPLIFIED", "check_marking"]

UNSIMPLIFIED: Final = "FU"
"""The feedback for an equal value that is not in simplest form; a later part adds its label."""


@dataclass(frozen=True, slots=True)
class _Marking:
    """An item's rules with its right answers: part label -> response -> value."""

    facts: Facts
    rules: Rules
    total: Fraction
    right: Mapping[str, Mapping[str, Value]]

    def everything(self) -> dict[str, Value]:
        """The right answers of all parts."""
        return {name: value for each in self.right.values() for name, value in each.items()}

    def score(self, responses: Responses) -> Fraction:
        """What an answer earns."""
        return _score(self.rules.run(responses))

    def feedback(self, responses: Responses) -> tuple[str, ...]:
        """The feedback an answer shows."""
        shown = self.rules.run(responses).get("FEEDBACK")
        return tuple(str(item) for item in shown.items) if shown else ()


def check_marking(facts: Facts, views: list[PartView]) -> Iterator[Fault]:
    """Everything wrong with the way the item is marked. Raises Fault for rules that are not known."""
    score = facts.outcome("SCORE")
    total = decimal(score.normal_maximum) if score else None
    if total is None:
        return
    marking = _Marking(
        facts, compile_rules(facts), total, {view.part.label: _right(facts, view) for view in views}
    )
    if marking.score({}) != 0:
        yield Fault("empty-earns", "an empty answer earns marks")
    if marking.score(marking.everything()) != total:
        yield Fault("key-misses-maximum", "the right answer does not earn the maximum")
        return
    worths = {view.part.label: marking.score(marking.right[view.part.label]) for view in views}
    if sum(worths.values()) != total or min(worths.values(), default=0) <= 0:
        yield Fault("parts-do-not-sum", "the parts' marks do not make up the maximum")
    for view in views:
        checks = _choice(marking, view) if view.choice else _entry(marking, view)
        yield from checks
        if view.part.kind == "entry":
            yield from _scheme(view, worths[view.part.label])


def _right(facts: Facts, view: PartView) -> dict[str, Value]:
    names = [box.response for box in view.boxes]
    names += [each.response for each in (view.choice, view.tick) if each]
    found: dict[str, Value] = {}
    for name in names:
        declared = facts.response(name)
        if declared and declared.correct:
            value = _typed(declared.base_type, declared.correct[0])
            if value is not None:
                found[name] = value
    return found


def _typed(base: str, text: str) -> Value | None:
    value = integer(text) if base == "integer" else decimal(text) if base == "float" else text
    return None if value is None else Value(base, (value,))


def _score(outcomes: Mapping[str, Value | None]) -> Fraction:
    score = outcomes.get("SCORE")
    number = score.items[0] if score else 0
    if not isinstance(number, int | Fraction):
        raise Fault("wrong-rule", "SCORE becomes something that is no number")
    return Fraction(number)


def _scheme(view: PartView, worth: Fraction) -> Iterator[Fault]:
    marks = sum(mark.worth for line in view.part.lines for mark in line.marks)
    if marks and marks != worth:  # a solution whose lines bear no marks promises nothing
        message = f"the marks on the lines come to {marks}, the answer earns {worth}"
        yield Fault("marks-do-not-sum", message, place=view.place)


def _choice(marking: _Marking, view: PartView) -> Iterator[Fault]:
    assert view.choice is not None
    name = view.choice.response
    told = {value.identifier: value.feedback for value in view.part.values}
    right = marking.right[view.part.label].get(name)
    for choice in view.choice.choices:
        chosen = {name: Value("identifier", (choice.identifier,))}
        place = f"{view.place} option {choice.identifier}".strip()
        expected = told.get(choice.identifier, "")
        if expected and expected not in marking.feedback(chosen):
            yield Fault("wrong-feedback", f"choosing it does not show the feedback {expected}", place=place)
        if chosen[name] != right and marking.score(chosen) != 0:
            yield Fault("wrong-option-earns", "a wrong option earns marks", place=place)
        if chosen[name] != right and marking.score({**marking.everything(), **chosen}) >= marking.total:
            yield Fault("wrong-option-earns", "the maximum is earned with a wrong option", place=place)
    known = {feedback.identifier for feedback in marking.facts.feedbacks}
    for identifier, feedback in told.items():
        if feedback and feedback not in known:
            place = f"{view.place} option {identifier}".strip()
            yield Fault("wrong-feedback", f"the feedback {feedback} is not in the item", place=place)


def _entry(marking: _Marking, view: PartView) -> Iterator[Fault]:
    shown = {UNSIMPLIFIED, f"{UNSIMPLIFIED}_{view.part.label}"}
    for probe in _probes(marking, view):
        score = marking.score(probe.responses)
        if score > probe.most or (probe.exactly and score != probe.most) or score < 0:
            message = f"{probe.message} (it earns {score} of {marking.total})"
            yield Fault(probe.code, message, place=probe.place)
        elif probe.code == "unsimplified-mark" and not shown & set(marking.feedback(probe.responses)):
            message = "an equal value that is not in simplest form is not told so"
            yield Fault("wrong-feedback", message, place=probe.place)


@dataclass(frozen=True, slots=True)
class _Probe:
    """An answer with what it may earn: at most `most`, or exactly that; and what is wrong where it does not."""

    responses: dict[str, Value]
    most: Fraction
    exactly: bool
    code: str
    message: str
    place: str


def _probes(marking: _Marking, view: PartView) -> Iterator[_Probe]:
    everything, total = marking.everything(), marking.total
    others = {name: v for name, v in everything.items() if name not in marking.right[view.part.label]}
    worth = total - marking.score(others)
    if view.tick:
        yield from _tick_probes(view, everything, total, worth)
    filled = [
        (slot, group)
        for slot, group in groups(view.boxes).items()
        if all(box.response in everything for box in group.values())
    ]
    less = total - Fraction(1, 1000)
    for (unknown, _), group in filled:
        boxes = {box.response for box in group.values()}
        blank = total - marking.score({name: v for name, v in everything.items() if name not in boxes})
        for box in group.values():
            off = {**everything, box.response: _moved(everything[box.response])}
            message = "a wrong number in the box earns the maximum"
            yield _Probe(off, less, False, "wrong-entry-earns", message, box.response)
            if box.role == "s" and everything[box.response].items == (1,):
                continue  # a denominator left empty is 1
            missing = {name: value for name, value in everything.items() if name != box.response}
            message = "an empty box earns the maximum"
            yield _Probe(missing, less, False, "wrong-entry-earns", message, box.response)
        alone = sum(slot[0] == unknown for slot, _ in filled) == 1
        if alone or next(iter(group.values())).form == "fraction":
            yield from _equal_probes(group, everything, total, blank)
    yield from _order_probes(filled, everything, total, less)


def _tick_probes(
    view: PartView, everything: dict[str, Value], total: Fraction, worth: Fraction
) -> Iterator[_Probe]:
    assert view.tick is not None
    tick = Value("identifier", (view.tick.choices[0].identifier,)) if view.tick.choices else None
    if tick is None:
        return
    message = "the tick together with boxes that are filled earns marks"
    filled = dict(everything)
    filled[view.tick.response] = tick
    if view.tick.response in everything:
        box = view.boxes[0]
        filled[box.response] = (
            Value("integer", (1,)) if box.form != "decimal" else Value("float", (Fraction(1),))
        )
    yield _Probe(filled, total - worth, True, "wrong-tick-earns", message, view.tick.response)


def _equal_probes(
    group: dict[str, Box], everything: dict[str, Value], total: Fraction, blank: Fraction
) -> Iterator[_Probe]:
    """The right value in a form that is not simplest, and a denominator of 0."""
    whole = {role: int(value) for role, value in _items(group, everything).items() if isinstance(value, int)}
    form = next(iter(group.values())).form
    place = next(iter(group.values())).response
    one_less = total - min(Fraction(1), blank)
    below = "denominator" if form == "fraction" else "s"
    if len(whole) < len(group) or form not in {"fraction", "surd"}:
        return
    unsimplified = None
    if below in whole:
        unsimplified = {role: value if role == "r" else 2 * value for role, value in whole.items()}
        broken = _put(group, everything, {**whole, below: 0})
        message = "a denominator of 0 earns marks"
        yield _Probe(broken, total - blank, True, "zero-denominator-earns", message, place)
    elif abs(whole.get("q", 1)) > 1:
        q = whole["q"]
        unsimplified = {**whole, "q": q // abs(q), "r": whole["r"] * q * q}
    if unsimplified:
        message = "an equal value that is not in simplest form does not earn one mark less"
        answer = _put(group, everything, unsimplified)
        yield _Probe(answer, one_less, True, "unsimplified-mark", message, place)


def _order_probes(
    filled: list[tuple[tuple[str, int], dict[str, Box]]],
    everything: dict[str, Value],
    total: Fraction,
    less: Fraction,
) -> Iterator[_Probe]:
    """Two values of one unknown: in the other order, and the same one twice."""
    for (slot, first), (other, second) in pairwise(filled):
        if slot[0] != other[0] or first.keys() != second.keys():
            continue
        place = next(iter(second.values())).response
        here, there = _items(first, everything), _items(second, everything)
        if here == there:
            continue
        swapped = _put(second, _put(first, everything, there), here)
        message = "the same values in another order earn less"
        yield _Probe(swapped, total, True, "order-matters", message, place)
        twice = _put(second, everything, here)
        message = "one value given twice earns the maximum"
        yield _Probe(twice, less, False, "wrong-entry-earns", message, place)


def _items(group: dict[str, Box], responses: Mapping[str, Value]) -> dict[str, str | bool | int | Fraction]:
    return {role: responses[box.response].items[0] for role, box in group.items()}


def _put(
    group: dict[str, Box], responses: Mapping[str, Value], items: Mapping[str, str | bool | int | Fraction]
) -> dict[str, Value]:
    put = {box.response: Value(responses[box.response].base, (items[role],)) for role, box in group.items()}
    return {**responses, **put}


def _moved(value: Value) -> Value:
    """The number one more."""
    item = value.items[0]
    return Value(value.base, (item + 1,)) if isinstance(item, int | Fraction) else value
