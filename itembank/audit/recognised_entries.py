"""Wrong answers in boxes that the staff block tells of: each shows its feedback, however its values stand, and earns
no more than what is right in it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import permutations
from typing import Final, Protocol, TypeAlias

from itembank.audit.box_values import entered
from itembank.audit.bracket_check import entered_brackets, has_brackets
from itembank.audit.entry_check import groups, keyed_text
from itembank.audit.facts import Box, Facts
from itembank.audit.facts import Value as StaffValue
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.interval_check import entered_interval, is_interval
from itembank.audit.numbers import Rational
from itembank.audit.one_of_check import boxes_only, entered_words
from itembank.audit.part_view import PartView
from itembank.audit.points_check import entered_points, is_points
from itembank.audit.real_sets import RealSet
from itembank.audit.response_processing import Marks, Responses
from itembank.audit.rule_expressions import Value

__all__ = ["Marking", "check_recognised", "shows"]

_MOST_SLOTS: Final = 4
"""Of more values in boxes not every order is tried."""
_Slots: TypeAlias = Sequence[Sequence[Box]]


class Marking(Protocol):
    """An item's rules that can be asked."""

    @property
    def facts(self) -> Facts:
        """What the item's file says."""

    def outcomes(self, responses: Responses) -> Marks:
        """What an answer earns, and the feedback it shows."""


def shows(feedback: str, shown: Sequence[str], facts: Facts, place: str) -> Iterator[Fault]:
    """Whether the feedback that is promised for an answer is among what it shows, and in the item."""
    if not feedback:
        return
    if feedback not in shown:
        yield Fault("wrong-feedback", f"the answer does not show the feedback {feedback}", place=place)
    if all(each.identifier != feedback for each in facts.feedbacks):
        yield Fault("wrong-feedback", f"the feedback {feedback} is not in the item", place=place)


def check_recognised(
    marking: Marking, view: PartView, right: Responses, others: Responses, base: Rational
) -> Iterator[Fault]:
    """Whether each wrong answer the staff block tells of shows its feedback, and what it earns.

    right: the right answers of all parts; others: those of all parts but this, which earn `base`.
    """
    wrong = [value for value in view.part.values if value.feedback and value.maths is not None]
    if not wrong:
        return
    slots, of_points = _slots(view), is_points(view)
    for value in wrong:
        place = f"{view.place} feedback {value.feedback}".strip()
        if value.words:
            answers: dict[str, Value] | None = entered_words(view, value.words)
        else:
            try:
                answers = _entered(view, marking.facts, value)
            except CannotTell as stuck:
                yield Fault(
                    "cannot-tell", f"what the wrong answer is cannot be decided: {stuck}", place=place
                )
                continue
        if answers is None:
            yield Fault("wrong-feedback", "the wrong answer does not go into the boxes", place=place)
            continue
        for number, given in enumerate(_orders(slots, answers)):
            score, shown = marking.outcomes({**others, **given})
            yield from shows(value.feedback, shown, marking.facts, place)
            if score > base and score > marking.outcomes(_right_of_it(slots, given, right, others))[0]:
                message = f"a wrong answer earns {score - base} more than what is right in it"
                yield Fault("wrong-entry-earns", message, place=place)
            if number and not of_points:
                continue  # of a point each order has a condition for each coordinate
            halves = _halves(slots, given)
            if any(value.feedback in marking.outcomes({**others, **half})[1] for half in halves):
                message = f"the feedback {value.feedback} is shown for one value of several"
                yield Fault("feedback-of-a-part", message, place=place)


def _entered(view: PartView, facts: Facts, value: StaffValue) -> dict[str, Value] | None:
    """The boxes filled with a wrong answer, None where it does not go into them. Raises CannotTell."""
    assert value.maths is not None
    if has_brackets(view):
        return entered_brackets(boxes_only(view), value.maths)
    if is_interval(view):
        found = view.mathematics.solutions(view.statement(value.maths))
        return entered_interval(boxes_only(view), found) if isinstance(found, RealSet) else None
    values = view.values(value.maths)
    if is_points(view):
        return entered_points(view, values)
    decimals = [box for box in view.boxes if box.form == "decimal"]
    places = {box.response: len(keyed_text(facts, box).partition(".")[2]) for box in decimals}
    return entered(view, values, places=places)


def _slots(view: PartView) -> list[_Slots]:
    """The boxes of values that may stand in any order: for each unknown, or for points together, those of each."""
    found: dict[str, dict[int, list[Box]]] = {}
    together = is_points(view)
    for (unknown, slot), group in groups(view.boxes).items():
        found.setdefault("" if together else unknown, {}).setdefault(slot, []).extend(group.values())
    return [list(slots.values()) for slots in found.values()]


def _orders(slots: Sequence[_Slots], answers: dict[str, Value]) -> Iterator[dict[str, Value]]:
    """An answer with the values of one unknown at a time in every order of their boxes."""
    yield answers
    for each in slots:
        if 1 < len(each) <= _MOST_SLOTS:
            held = [[answers.get(box.response) for box in slot] for slot in each]
            seen = [held]
            for order in map(list, permutations(held)):
                if order not in seen:
                    seen.append(order)
                    yield _put(each, order, answers)


def _halves(slots: Sequence[_Slots], answers: dict[str, Value]) -> Iterator[dict[str, Value]]:
    """An answer of several values without one of them, of points also without one coordinate."""
    for each in slots:
        filled = [slot for slot in each if all(box.response in answers for box in slot)]
        pieces = [[box for box in slot if box.unknown == name] for slot in filled for name in _unknowns(slot)]
        for piece in pieces if len(pieces) > 1 else ():
            gone = {box.response for box in piece}
            yield {name: value for name, value in answers.items() if name not in gone}


def _unknowns(slot: Sequence[Box]) -> list[str]:
    return list(dict.fromkeys(box.unknown for box in slot))


def _put(
    slots: _Slots, held: Sequence[Sequence[Value | None]], answers: dict[str, Value]
) -> dict[str, Value]:
    """An answer with these values in the boxes of one unknown."""
    other = dict(answers)
    for slot, values in zip(slots, held, strict=True):
        for box, value in zip(slot, values, strict=True):
            if value is None:
                other.pop(box.response, None)
            else:
                other[box.response] = value
    return other


def _right_of_it(
    slots: Sequence[_Slots], given: Responses, right: Responses, others: Responses
) -> dict[str, Value]:
    """Of an answer what is right, the boxes of every wrong value left empty."""
    kept = dict(others)
    for each in slots:
        for slot in each:
            if any(_is_right(slot, given, keyed, right) for keyed in each):
                kept |= {box.response: given[box.response] for box in slot if box.response in given}
    return kept


def _is_right(slot: Sequence[Box], given: Responses, keyed: Sequence[Box], right: Responses) -> bool:
    """Whether what stands in the boxes of a value is what is keyed in these, as near as it has to be."""
    for box, there in zip(slot, keyed, strict=True):
        entered_here, wanted = given.get(box.response), right.get(there.response)
        if entered_here == wanted:
            continue
        if entered_here is None or wanted is None or not box.tolerance:
            return False
        (here,), (due,) = entered_here.items, wanted.items
        if not isinstance(here, int | Fraction) or not isinstance(due, int | Fraction):
            return False
        if abs(Fraction(here) - due) > box.tolerance:
            return False
    return True
