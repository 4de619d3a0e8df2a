"""Points nearly right, put into boxes to see what they earn: mixed, turned round, given twice, half, left out.

What each answer should earn is worked out here from the keyed points alone, and must be earned exactly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import islice, permutations
from typing import TypeAlias

from itembank.audit import numbers
from itembank.audit.numbers import Number, Rational
from itembank.audit.part_view import PartView
from itembank.audit.points_check import PointGroup, point_groups
from itembank.audit.probes import UNSIMPLIFIED_MARK, Group, Probe, first_box, put, unsimplified
from itembank.audit.rule_expressions import Scalar, Value

__all__ = ["point_probes"]

Answers: TypeAlias = Mapping[str, Value]
Items: TypeAlias = Mapping[str, Scalar]
Entry: TypeAlias = tuple[Items, Items]
"""What stands in the boxes of a point, by role; () where boxes stay empty."""

_EMPTY: Entry = ({}, {})
_WRONG = "wrong-entry-earns"


class _Judge:
    """Says what entries should earn. keyed: the points, each as it is keyed."""

    def __init__(self, keyed: Sequence[Entry], slots: int, worth: Rational, share: Rational) -> None:
        self.keyed = list(keyed)
        self.slots = slots
        self.worth = worth
        self.share = share

    def due(self, entries: Sequence[tuple[Entry, int]]) -> Rational:
        """What entries earn; each with the number of the keyed point it equals, -1 for none."""
        filled = [(entry, number) for entry, number in entries if entry != _EMPTY]
        wrong = any(number < 0 for _, number in filled)
        every = {number for _, number in filled if number >= 0} == set(range(len(self.keyed)))
        exact = {number for entry, number in filled if number >= 0 and entry == self.keyed[number]}
        if self.share:
            if wrong and self.slots > len(self.keyed):
                return Fraction(0)
            less = {number for _, number in filled if number >= 0} - exact
            return len(exact) * self.share + len(less) * max(self.share - 1, Fraction(0))
        if wrong or not every:
            return Fraction(0)
        return self.worth if len(exact) == len(self.keyed) else self.worth - min(Fraction(1), self.worth)

    def is_equal(self, entries: Sequence[tuple[Entry, int]]) -> bool:
        """Whether all points are there and nothing else, some not in simplest form."""
        numbers = {number for entry, number in entries if entry != _EMPTY}
        exact = {number for entry, number in entries if number >= 0 and entry == self.keyed[number]}
        return numbers == set(range(len(self.keyed))) and len(exact) < len(self.keyed)


def point_probes(
    view: PartView,
    earns: Callable[[Answers], int | Fraction],
    right: Answers,
    total: Rational,
    worth: Rational,
) -> Iterator[Probe]:
    """Probes of keyed points.

    earns: what an answer earns; right: the right answers of all parts, which earn `total`; worth: the part's.
    """
    slots = point_groups(view)
    keyed = [entry for point in slots if (entry := _held(point, right)) != _EMPTY]
    if not keyed:
        return
    names = {box.response for point in slots for group in point for box in group.values()}
    others = {name: value for name, value in right.items() if name not in names}
    place = first_box(slots[0][0])
    share: Rational = 0
    if len(keyed) > 1:  # of a single point the share is everything
        share = earns(_filled(slots, others, [keyed[0]])) - (total - worth)
    if share not in {0, Fraction(worth, len(keyed))}:
        message = f"one of {len(keyed)} points earns {share} of {worth}"
        yield Probe(right, Fraction(-1), True, _WRONG, message, place)
        return
    judge = _Judge(keyed, len(slots), worth, share)
    for entries, message in _trials(keyed, len(slots)):
        due = judge.due(entries)
        code = UNSIMPLIFIED_MARK if judge.is_equal(entries) else _WRONG
        if due == worth:
            code, message = "order-matters", "the same points in another order earn less"
        answers = _filled(slots, others, [entry for entry, _ in entries])
        yield Probe(answers, total - worth + due, True, code, message, place)


def _held(point: PointGroup, answers: Answers) -> Entry:
    first, second = (
        {role: answers[box.response].items[0] for role, box in group.items() if box.response in answers}
        for group in point
    )
    return first, second


def _filled(slots: Sequence[PointGroup], others: Answers, entries: Sequence[Entry]) -> dict[str, Value]:
    """The boxes filled with entries in order, a box for which an entry has nothing left empty."""
    answers = dict(others)
    for point, entry in zip(slots, entries, strict=False):
        for group, items in zip(point, entry, strict=True):
            here: Group = {role: box for role, box in group.items() if role in items}
            answers = put(here, answers, items) if here else answers
    return answers


def _trials(keyed: Sequence[Entry], slots: int) -> Iterator[tuple[list[tuple[Entry, int]], str]]:
    """Entries to be tried, each with what is wrong where it does not earn what it should."""
    values = [_value(entry) for entry in keyed]

    def numbered(*entries: Entry) -> list[tuple[Entry, int]]:
        found = [_value(entry) for entry in entries]
        return [(e, values.index(v) if v in values else -1) for e, v in zip(entries, found, strict=True)]

    full = [*keyed, *[_EMPTY] * (slots - len(keyed))]
    first, *rest = full
    for order in islice(permutations(full), 24):
        yield numbered(*order), "the same points in another order earn less"
    mixed = [(one[0], two[1]) for one in keyed for two in keyed if one is not two]
    turned = [(y, x) for x, y in keyed if x.keys() == y.keys()]
    for wrong in [*mixed, *turned, *_twisted(first)]:
        yield numbered(wrong, *rest), "a wrong point beside right ones does not earn what it should"
        if slots > len(keyed):
            more = [*keyed, wrong, *full[len(keyed) + 1 :]]
            yield numbered(*more), "a wrong point more does not earn what it should"
    if mixed:
        yield numbered(*mixed[:slots]), "coordinates of different points earn marks together"
        yield numbered(*[first] * slots), "one point given twice does not earn what it should"
        yield numbered(first, *[_EMPTY] * (slots - 1)), "one of the points alone does not earn what it should"
    halves: tuple[Entry, Entry] = ((first[0], {}), ({}, first[1]))
    for half in halves:
        yield numbered(half, *rest), "half a point does not earn what it should"
        if slots > len(keyed):
            for more in ([*keyed, half], [half, *keyed]):
                yield numbered(*more), "half a point more does not earn what it should"
    message = "an equal value that is not in simplest form does not earn one mark less"
    for other in _unsimplified(first):
        yield numbered(other, *rest), message
        yield numbered(*([_both(entry) for entry in keyed]), *full[len(keyed) :]), message
    for place in (0, 1):
        below = next((role for role in ("denominator", "s") if role in first[place]), "")
        if below:
            nought = {role: 1 if role == "r" else 0 for role in first[place]}
            zero = (nought, first[1]) if not place else (first[0], nought)
            yield numbered(zero, *rest), "a denominator of 0 earns marks"


def _value(entry: Entry) -> tuple[Number, Number] | None:
    """The point an entry stands for; None for half a point and for what is no number."""
    found: list[Number] = []
    for items in entry:
        whole = {role: item for role, item in items.items() if isinstance(item, int)}
        if not whole or 0 in (whole.get("denominator"), whole.get("s")):
            return None
        if "value" in whole:
            found.append(whole["value"])
        elif "numerator" in whole:
            found.append(numbers.divide(whole["numerator"], whole["denominator"]))
        else:
            root = numbers.square_root(whole["r"]) * whole.get("q", 1)
            found.append(numbers.divide(whole.get("p", 0) + root, whole.get("s", 1)))
    return found[0], found[1]


def _twisted(entry: Entry) -> Iterator[Entry]:
    """Points near a point: a coordinate one more or of the other sign."""
    first, second = entry
    for x in _near(first):
        yield x, second
    for y in _near(second):
        yield first, y


def _near(items: Items) -> Iterator[Items]:
    role = next(each for each in ("value", "numerator", "p", "q") if each in items)
    item = items[role]
    if isinstance(item, int):
        yield {**items, role: item + 1}
        yield {**items, role: -item}


def _unsimplified(entry: Entry) -> Iterator[Entry]:
    """The point with one coordinate in another form, as far as there is one."""
    first, second = entry
    if other := _otherwise(first):
        yield other, second
    if other := _otherwise(second):
        yield first, other


def _both(entry: Entry) -> Entry:
    first, second = entry
    return _otherwise(first) or first, _otherwise(second) or second


def _otherwise(items: Items) -> Items:
    whole = {role: item for role, item in items.items() if isinstance(item, int)}
    return (
        unsimplified(whole, "denominator" if "denominator" in whole else "s") if "value" not in whole else {}
    )
