"""Follow-through: the key told in earlier unknowns, and what a pupil's own earlier answers lead to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from itembank.audit.box_values import entered
from itembank.audit.entry_check import groups
from itembank.audit.facts import Box
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.formula import Node, Numeral, Quotient, Sum, replaced
from itembank.audit.mathematics import Claim, Statement
from itembank.audit.part_view import PartView
from itembank.audit.real_sets import RealSet
from itembank.audit.rule_expressions import Value

__all__ = ["FollowProbe", "check_follow", "follow_probes"]

_CHANGES: Final = ((1, -2), (-3, 1), (2, 5))
"""What is added to the first, second, third, ... number of the earlier answers, in turn."""
_FURTHER: Final = ((4, -6), (-6, 4), (5, 10), (-12, 12), (60, -60), (840, 2520), (2520, 840))
"""The same where none of these leads to something that can be entered, as where it is divided and has to come out."""
_TIMES: Final = ((2, 3), (3, 2), (5, 7))
"""What they are multiplied by where that leads nowhere either: what is divided by 49 comes out again."""


def check_follow(view: PartView) -> Iterator[Fault]:
    """Whether the follow-through is the key where the earlier answers are right."""
    if view.part.follow is None:
        return
    try:
        follow = replaced(view.part.follow, _earlier_keys(view))
        same = view.mathematics.same_solutions(view.statement(follow), view.statement(view.part.key))
    except CannotTell as stuck:
        yield Fault("cannot-tell", f"what follows through cannot be decided: {stuck}", place=view.place)
        return
    if not same:
        message = "the follow-through of the right earlier answers is not the key"
        yield Fault("wrong-follow-through", message, place=view.place)


def _earlier_keys(view: PartView) -> dict[str, Node]:
    """unknown -> its value as a formula, of the earlier parts whose key is a point of rational numbers."""
    assert view.part.follow is not None
    named = view.letters(view.part.follow) - set(view.part.unknowns)
    found: dict[str, Node] = {}
    for before in view.earlier:
        if named.isdisjoint(before.unknowns):
            continue
        keys = view.mathematics.solutions(Statement((Claim(before.key, (), before.scope),), before.unknowns))
        if isinstance(keys, RealSet) or len(keys) != 1:
            raise CannotTell("an earlier answer is not one value")
        for name, value in zip(before.unknowns, next(iter(keys)), strict=True):
            if isinstance(value, int | Fraction):
                found[name] = _node(Fraction(value))
    return {name: node for name, node in found.items() if name in named}


@dataclass(frozen=True, slots=True)
class FollowProbe:
    """Answers with earlier ones wrong, for one unknown of the part. marks: what the following value is to earn.

    before: with the part itself left empty; follows: with what follows in the unknown's boxes; keyed: with the part's
    key; near: with something else in the unknown's boxes; unsimplified: what follows, not in lowest terms, None where
    there are no fractions.
    """

    marks: int
    before: Mapping[str, Value]
    follows: Mapping[str, Value]
    keyed: Mapping[str, Value]
    near: tuple[Mapping[str, Value], ...]
    unsimplified: Mapping[str, Value] | None


def follow_probes(
    view: PartView, views: Sequence[PartView], right: Mapping[str, Mapping[str, Value]]
) -> Iterator[FollowProbe]:
    """Wrong earlier answers with what follows from them; none where the earlier boxes hold no plain numbers.

    right: the right answers, by part and response.
    """
    follow = view.part.follow
    assert follow is not None
    boxes = _earlier_boxes(view, views)
    if boxes is None:
        return
    mine = right[view.part.label]
    others = {name: value for each in right.values() for name, value in each.items() if name not in mine}
    if not all(box.response in others for group in boxes.values() for box in group.values()):
        return
    above = {box.response for box in view.boxes if box.role in {"value", "numerator"}}
    below = {
        group["numerator"].response: group["denominator"].response
        for group in groups(view.boxes).values()
        if group.keys() == {"numerator", "denominator"}
    }
    tried = False
    added = [(_changed(boxes, others, changes), changes in _FURTHER) for changes in (*_CHANGES, *_FURTHER)]
    taken_times = [(_changed(boxes, others, changes, times=True), True) for changes in _TIMES]
    for wrong, only_without_others in (*added, *taken_times):
        if tried and only_without_others:
            break
        values = _numbers(boxes, wrong)
        answers = None if values is None else _followed(view, follow, values)
        if answers is not None:
            for unknown, marks in view.part.follow_marks:
                names = {box.response for box in view.boxes if box.unknown == unknown}
                entry = {name: value for name, value in answers.items() if name in names}
                key = {name: value for name, value in mine.items() if name in names}
                if _texts(entry) != _texts(key):
                    tried = True
                    near = tuple({**wrong, **each} for each in _near(entry, key, above, below))
                    twice = _doubled(entry) if len(above & set(entry)) < len(entry) else None
                    yield FollowProbe(
                        marks,
                        wrong,
                        {**wrong, **entry},
                        {**wrong, **mine},
                        near,
                        twice and {**wrong, **twice},
                    )


def _doubled(entry: Mapping[str, Value]) -> dict[str, Value]:
    """Numerators and denominators twice as large."""
    doubled = {}
    for name, value in entry.items():
        (item,) = value.items
        doubled[name] = Value(value.base, (2 * item,)) if isinstance(item, int) else value
    return doubled


def _earlier_boxes(view: PartView, views: Sequence[PartView]) -> dict[str, dict[str, Box]] | None:
    """letter -> role -> box of the earlier unknowns that are named; None where one is not plain numbers."""
    assert view.part.follow is not None
    named = view.letters(view.part.follow) - set(view.part.unknowns)
    found: dict[str, dict[str, Box]] = {}
    for before in views:
        if before is view:
            break
        for (unknown, slot), group in groups(before.boxes).items():
            if unknown not in named:
                continue
            if slot > 1 or not {box.form for box in group.values()} <= {"integer", "fraction"}:
                return None
            found[unknown] = group
    return found if set(found) == named else None


def _changed(
    boxes: Mapping[str, Mapping[str, Box]],
    answers: Mapping[str, Value],
    changes: tuple[int, ...],
    *,
    times: bool = False,
) -> dict[str, Value]:
    """The answers with something added to the earlier ones, or with these taken some times."""
    wrong = dict(answers)
    for place, unknown in enumerate(sorted(boxes)):
        box = boxes[unknown].get("value") or boxes[unknown]["numerator"]
        (item,) = answers[box.response].items
        if isinstance(item, int):
            change = changes[place % len(changes)]
            wrong[box.response] = Value("integer", (item * change if times else item + change,))
    return wrong


def _numbers(
    boxes: Mapping[str, Mapping[str, Box]], answers: Mapping[str, Value]
) -> dict[str, Fraction] | None:
    found = {}
    for unknown, group in boxes.items():
        held = {role: answers[box.response].items[0] for role, box in group.items()}
        above, below = held.get("value", held.get("numerator")), held.get("denominator", 1)
        if not isinstance(above, int) or not isinstance(below, int) or not below:
            return None
        found[unknown] = Fraction(above, below)
    return found


def _followed(view: PartView, follow: Node, values: Mapping[str, Fraction]) -> dict[str, Value] | None:
    """What follows from wrong earlier values, in the boxes; None where nothing does or it does not go into them."""
    claim = Claim(
        replaced(follow, {name: _node(value) for name, value in values.items()}), (), view.part.scope
    )
    try:
        found = view.mathematics.solutions(Statement((claim,), view.part.unknowns))
    except CannotTell:
        return None
    return entered(view, found) if found and not isinstance(found, RealSet) else None


def _node(value: Fraction) -> Node:
    size: Node = Numeral(str(abs(value.numerator)))
    if value.denominator != 1:
        size = Quotient(size, Numeral(str(value.denominator)))
    return size if value >= 0 else Sum((("-", size),))


def _near(
    entry: Mapping[str, Value], key: Mapping[str, Value], above: set[str], below: Mapping[str, str]
) -> Iterator[Mapping[str, Value]]:
    """The entry with one box left empty, or one number one more; none of them the key's values.

    above: the boxes of whole numbers and numerators; below: numerator -> denominator.
    """
    for name, value in entry.items():
        others = {each: held for each, held in entry.items() if each != name}
        if others:
            yield others
        (item,) = value.items
        more = (
            {**entry, name: Value(value.base, (item + 1,))}
            if isinstance(item, int) and name in above
            else None
        )
        if more is not None and _worths(more, below) != _worths(key, below):
            yield more


def _worths(entry: Mapping[str, Value], below: Mapping[str, str]) -> list[str]:
    """The same with fractions in lowest terms: a key that is not is told so, and may earn a mark less."""
    whole = dict(entry)
    fractions = []
    for upper, lower in below.items():
        if upper in whole and lower in whole:
            (numerator,), (denominator,) = whole.pop(upper).items, whole.pop(lower).items
            if isinstance(numerator, int) and isinstance(denominator, int) and denominator:
                fractions.append(str(Fraction(numerator, denominator)))
            else:
                fractions.append(f"{numerator}/{denominator}")
    return [*_texts(whole), *sorted(fractions)]


def _texts(entry: Mapping[str, Value]) -> list[str]:
    """What is entered, whatever the boxes: the key's numbers in another order are the key too."""
    return sorted(str(value.items) for value in entry.values())
