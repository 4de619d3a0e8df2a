"""Answers nearly right, put into boxes to see what they earn: a number off, a box empty, another order or form."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import combinations
from math import lcm
from typing import Final, NamedTuple, TypeAlias

from itembank.audit.entry_check import groups, is_pair
from itembank.audit.facts import Box
from itembank.audit.numbers import Rational
from itembank.audit.part_view import PartView
from itembank.audit.rule_expressions import Scalar, Value

__all__ = ["UNSIMPLIFIED_MARK", "Group", "Probe", "box_probes", "put", "tick_probe", "unsimplified"]

UNSIMPLIFIED_MARK: Final = "unsimplified-mark"
LARGEST_WHOLE: Final = 2**31 - 1
"""Of the standard's type `integer`, which is 32 bits wide (QTI 2.1 and 3.0, base types; from memory)."""
Group: TypeAlias = dict[str, Box]
Answers: TypeAlias = Mapping[str, Value]


class Probe(NamedTuple):
    """An answer with what it may earn: at most `most`, or exactly that; and what is wrong where it does not."""

    answers: Answers
    most: Rational
    exactly: bool
    code: str
    message: str
    place: str


def box_probes(
    view: PartView, right: Answers, total: Rational, worths: Mapping[str, Rational]
) -> Iterator[Probe]:
    """Probes of every value that is keyed.

    right: the right answers of all parts, which earn `total`; worths: for the first box of each value, what is lost
    when its boxes are left empty.
    """
    filled = [
        (slot, group)
        for slot, group in groups(view.boxes).items()
        if all(box.response in right for box in group.values())
    ]
    for (unknown, _), group in filled:
        worth = worths[first_box(group)]
        alone = sum(slot[0] == unknown for slot, _ in filled) == 1
        # of several values of one unknown some may earn part of the marks; a single wrong value earns nothing
        most = total - worth if alone else total - Fraction(1, 1000)
        yield from _wrong_probes(group, right, most, total)
        if alone or _form(group) == "fraction":
            yield from _form_probes(group, right, total, worth)
    yield from _order_probes(filled, right, total, worths)


def tick_probe(view: PartView, right: Answers, total: Rational, worth: Rational) -> Iterator[Probe]:
    """The tick together with boxes that are filled: nothing. worth: what the part is worth."""
    if view.tick is None or not view.tick.choices:
        return
    cardinality = "multiple" if view.tick.max_choices == "0" else "single"
    ticked = Value("identifier", (view.tick.choices[0].identifier,), cardinality)
    message = "the tick together with boxes that are filled earns marks"
    answers = {**right, view.tick.response: ticked}
    empty = [box for box in view.boxes if not box.choices] if view.tick.response in right else []
    for box in empty:  # each alone: a rule may look at some of the boxes only
        number = Value("float", (Fraction(1),)) if box.form == "decimal" else Value("integer", (1,))
        filled = {**answers, box.response: number}
        yield Probe(filled, total - worth, True, "wrong-tick-earns", message, view.tick.response)
    if not empty:
        yield Probe(answers, total - worth, True, "wrong-tick-earns", message, view.tick.response)


def first_box(group: Group) -> str:
    """The response by which a value is named."""
    return next(iter(group.values())).response


def put(group: Group, answers: Answers, items: Mapping[str, Scalar]) -> dict[str, Value]:
    """The answers with other contents in the boxes of a value, given by role."""
    base = "float" if _form(group) == "decimal" else "integer"
    return {**answers, **{box.response: Value(base, (items[role],)) for role, box in group.items()}}


def _form(group: Group) -> str:
    return next(iter(group.values())).form


def _items(group: Group, answers: Answers) -> dict[str, Scalar]:
    return {role: answers[box.response].items[0] for role, box in group.items()}


def _wrong_probes(group: Group, right: Answers, most: Rational, total: Rational) -> Iterator[Probe]:
    """One box wrong at a time: one more, the other sign, empty; a decimal just past its tolerance, and on its ends."""
    for role, box in group.items():
        item = right[box.response].items[0]
        if not isinstance(item, int | Fraction):
            continue
        if role == "denominator" and right[group["numerator"].response].items == (0,):
            continue  # 0 over anything is 0
        message = "a wrong number in the box earns marks"
        # nought over anything is nought: another denominator is not wrong, only not in lowest terms
        is_nought = role == "denominator" and _items(group, right).get("numerator") == 0
        others: list[Rational] = [] if is_nought else [item + 1]
        # q of a pair, and what is under a root, are no signed numbers
        if role in {"value", "numerator", "p"} or (role == "q" and not is_pair(group)):
            others += [-item] if item else []
        if box.form == "decimal":
            step = _last_place(item, box.tolerance) / 10
            past = box.tolerance + step
            # one more, or the other sign, may be near enough
            others = [other for other in others if abs(Fraction(other - item)) > box.tolerance]
            others += [item - past, item + past]
        for other in others:
            yield Probe(
                {**right, box.response: Value(right[box.response].base, (other,))},
                most, False, "wrong-entry-earns", message, box.response,
            )  # fmt: skip
        for end in (item - box.tolerance, item + box.tolerance) if box.tolerance else ():
            answers = {**right, box.response: Value(right[box.response].base, (end,))}
            told = "a decimal that lies just within the tolerance earns less"
            yield Probe(answers, total, True, "end-earns-less", told, box.response)
        if role == "s" and item == 1:
            continue  # a denominator left empty is 1
        missing = {name: value for name, value in right.items() if name != box.response}
        yield Probe(missing, most, False, "wrong-entry-earns", "an empty box earns marks", box.response)


def _last_place(*decimals: Rational) -> Fraction:
    """One at the last place that any of the decimals has.

    >>> _last_place(Fraction(5, 4), 2), _last_place(3)
    (Fraction(1, 100), Fraction(1, 1))
    """
    below = lcm(*(each.denominator for each in decimals))
    # of a number that never ends there is no last place: one digit for each of its denominator's is as good
    places = range(below.bit_length() + 1)
    return next((Fraction(1, 10**n) for n in places if 10**n % below == 0), Fraction(1, 10 ** places[-1]))


def _form_probes(group: Group, right: Answers, total: Rational, worth: Rational) -> Iterator[Probe]:
    """The right value in a form that is not simplest, and denominators of 0."""
    whole = {role: item for role, item in _items(group, right).items() if isinstance(item, int)}
    if _form(group) not in {"fraction", "surd"} or len(whole) < len(group):
        return
    place = first_box(group)
    below = "denominator" if _form(group) == "fraction" else "s"
    if below in whole:
        message = "a denominator of 0 earns marks"
        nothing = {role: 1 if role == "r" else 0 for role in whole}
        for broken in ({**whole, below: 0}, nothing):
            answers = put(group, right, broken)
            yield Probe(answers, total - worth, False, "zero-denominator-earns", message, place)
    otherwise = unsimplified(whole, below)
    if otherwise:
        message = "an equal value that is not in simplest form does not earn one mark less"
        answers = put(group, right, otherwise)
        yield Probe(answers, total - min(Fraction(1), worth), True, UNSIMPLIFIED_MARK, message, place)


def unsimplified(whole: Mapping[str, int], below: str) -> dict[str, int]:
    """The same value written otherwise, {} where there is no other way.

    {} too where no rule could compare the two: what it multiplies would be beyond the standard's whole numbers.
    """
    if below in whole:
        if _compared(whole, below) > LARGEST_WHOLE:
            return {}
        return {role: item if role == "r" else 2 * item for role, item in whole.items()}
    q = whole.get("q", 1)
    under = whole.get("r", 1) * q * q
    return {**whole, "q": q // abs(q), "r": under} if 1 < abs(q) and under <= LARGEST_WHOLE else {}


def _compared(whole: Mapping[str, int], below: str) -> int:
    """The largest product by which a value and the same one over twice the denominator are compared."""
    d = whole[below]
    if below == "denominator":
        return 2 * abs(whole.get("numerator", 0)) * d
    return max(4 * whole.get("q", 1) ** 2 * whole["r"] * d * d, 2 * abs(whole.get("p", 0)) * d)


def _order_probes(
    filled: list[tuple[tuple[str, int], Group]],
    right: Answers,
    total: Rational,
    worths: Mapping[str, Rational],
) -> Iterator[Probe]:
    """Two values of one unknown: in the other order, nearly right there too, and the same one twice."""
    for ((unknown, _), first), ((other, _), second) in combinations(filled, 2):
        here, there = _items(first, right), _items(second, right)
        if unknown != other or first.keys() != second.keys() or here == there:
            continue
        place = first_box(second)
        swapped = put(second, put(first, right, there), here)
        message = "the same values in another order earn less"
        yield Probe(swapped, total, True, "order-matters", message, place)
        most = total - Fraction(1, 1000)
        for group in (first, second):
            yield from _wrong_probes(group, swapped, most, total)
            if _form(group) == "fraction":
                yield from _form_probes(group, swapped, total, worths[first_box(group)])
        twice = put(second, right, here)
        yield Probe(twice, most, False, "wrong-entry-earns", "one value given twice earns all", place)
