"""Declarations and response processing: how a file marks itself, in standard rules and whole-number arithmetic.

Entries: the boxes in the asked form earn full marks; a surd or fraction of the same value in another form earns the
marks less one; recognised wrong entries earn nothing and name their feedback. An empty denominator counts as 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import permutations

from itembank.items import Blank, BoxValue, ChoiceResponse, EntryResponse, Part
from itembank.writers.qti3 import rules

RIGHT, OTHER_FORM = "F0", "FU"


@dataclass(frozen=True, slots=True)
class Box:
    """One box: its response variable, what it is for, and where it stands."""

    name: str
    role: str
    blank: int
    slot: int


def choice_name(part: Part) -> str:
    """The response variable of a choice."""
    return f"RESPONSE_{part.label}" if part.label else "RESPONSE"


def tick_name(part: Part) -> str:
    """The response variable of the tick."""
    return f"TICK_{part.label}" if part.label else "TICK"


def boxes(part: Part, response: EntryResponse) -> tuple[Box, ...]:
    """All boxes of an entry in reading order."""
    return _boxes(part.label, tuple((blank.slots, blank.boxes) for blank in response.blanks))


@cache
def _boxes(label: str, blanks: tuple[tuple[int, tuple[str, ...]], ...]) -> tuple[Box, ...]:
    stem = f"BOX_{label}_" if label else "BOX_"
    places = [
        (role, index, slot)
        for index, (slots, roles) in enumerate(blanks)
        for slot in range(slots)
        for role in roles
    ]
    return tuple(Box(f"{stem}{n}", role, index, slot) for n, (role, index, slot) in enumerate(places, 1))


def declarations(part: Part) -> str:
    """The response declarations of a part."""
    response = part.response
    if isinstance(response, ChoiceResponse):
        return _declared(choice_name(part), "identifier", response.key.identifier)
    found = []
    for box in boxes(part, response):
        blank = response.blanks[box.blank]
        values = blank.values
        value: BoxValue = None
        if box.slot < len(values):
            value = values[box.slot][blank.boxes.index(box.role)]
        base = "float" if blank.form == "decimal" else "integer"
        found.append(_declared(box.name, base, "" if value is None else str(value)))
    if response.tick:
        found.append(_declared(tick_name(part), "identifier", "none" if response.tick_is_right else ""))
    return "".join(found)


def _declared(name: str, base_type: str, value: str) -> str:
    head = f'<qti-response-declaration identifier="{name}" cardinality="single" base-type="{base_type}"'
    if not value:
        return head + "/>"
    correct = f"<qti-correct-response><qti-value>{value}</qti-value></qti-correct-response>"
    return f"{head}>{correct}</qti-response-declaration>"


def feedback_of(part: Part) -> tuple[tuple[str, int], ...]:
    """(identifier, index) of the feedback a part can give: options in order, or recognised entries in order."""
    response = part.response
    stem = f"F{part.label}" if part.label else "F"
    if isinstance(response, ChoiceResponse):
        slips = [(i, o.slip) for i, o in enumerate(response.options)]
    else:
        slips = [(i, entry.slip) for i, entry in enumerate(response.recognised)]
    return tuple((f"{stem}{i + 1}", i) for i, slip in slips if slip is not None and slip.pupil is not None)


def processing(part: Part) -> str:
    """The rules that mark a part."""
    response = part.response
    named = {index: name for name, index in feedback_of(part)}
    if isinstance(response, ChoiceResponse):
        letters = tuple(option.identifier for option in response.options)
        return _choice(
            choice_name(part), response.key.identifier, letters, tuple(sorted(named.items())), response.marks
        )
    return _entry(part, response, named)


@cache
def _choice(
    name: str, key: str, letters: tuple[str, ...], named: tuple[tuple[int, str], ...], marks: int
) -> str:
    branches = [(rules.is_correct(name), rules.add_score(marks) + rules.add_feedback(RIGHT))]
    branches += [
        (rules.matches(name, letters[index]), rules.add_feedback(feedback))
        for index, feedback in named
        if letters[index] != key
    ]
    return rules.condition(branches)


def _entry(part: Part, response: EntryResponse, named: dict[int, str]) -> str:
    placed = boxes(part, response)
    everything = [rules.is_null(box.name) for box in placed]
    if response.tick_is_right:
        right = rules.every([rules.matches(tick_name(part), "none"), *everything])
        return rules.condition([(right, rules.add_score(response.marks) + rules.add_feedback(RIGHT))])
    marked = []
    for index, blank in enumerate(response.blanks):
        own = [box for box in placed if box.blank == index]
        branches = [(_filled(blank, own, blank.values), rules.add_score(blank.worth))]
        same = _same_value(blank, own)
        if same:
            reward = rules.add_score(blank.worth - 1) if blank.worth > 1 else ""
            branches.append((same, reward + rules.add_feedback(OTHER_FORM)))
        marked.append(rules.condition(branches))
    full = rules.equal(rules.variable("SCORE"), rules.number(response.marks))
    told = [(full, rules.add_feedback(RIGHT))] if not part.label else []
    for index, feedback in named.items():
        entry = response.recognised[index]
        conditions = [
            _filled(blank, [box for box in placed if box.blank == i], values)
            for i, (blank, values) in enumerate(zip(response.blanks, entry.values, strict=True))
        ]
        told.append((rules.every(conditions), rules.add_feedback(feedback)))
    body = "".join(marked) + rules.condition(told)
    if not response.tick:
        return body
    return rules.condition([(rules.is_null(tick_name(part)), body)])


def _slots(blank: Blank, own: Sequence[Box]) -> list[list[Box]]:
    return [[box for box in own if box.slot == slot] for slot in range(blank.slots)]


def _filled(blank: Blank, own: Sequence[Box], values: tuple[tuple[BoxValue, ...], ...]) -> str:
    """The condition that boxes hold these values, in any order where the blank allows it."""
    slots = _slots(blank, own)
    padded: list[tuple[BoxValue, ...] | None] = [*values, *([None] * (len(slots) - len(values)))]
    orders = list(dict.fromkeys(permutations(padded))) if blank.any_order else [tuple(padded)]
    if blank.any_order and len(values) == 1 and len(slots) > 1:
        orders.append(tuple([values[0]] * len(slots)))
    alternatives = []
    for order in orders:
        conditions = [
            _group(blank, slot, value)
            if value is not None
            else rules.every([rules.is_null(b.name) for b in slot])
            for slot, value in zip(slots, order, strict=True)
        ]
        alternatives.append(rules.every(conditions))
    return rules.some(alternatives)


_EMPTY_MEANS = {"s": 1}


def _group(blank: Blank, slot: Sequence[Box], values: tuple[BoxValue, ...]) -> str:
    conditions = []
    for box, value in zip(slot, values, strict=True):
        entered = rules.variable(box.name)
        if blank.form == "decimal":
            wanted = rules.number(value)
            test = (
                rules.near(entered, wanted, blank.tolerance)
                if blank.tolerance
                else rules.equal(entered, wanted)
            )
        else:
            assert isinstance(value, int)
            test = rules.equal(entered, rules.whole(value))
        if _EMPTY_MEANS.get(box.role) == value and box.role in _EMPTY_MEANS:
            test = rules.some([rules.is_null(box.name), test])
        conditions.append(test)
    return rules.every(conditions)


def _same_value(blank: Blank, own: Sequence[Box]) -> str:
    """The condition that boxes hold the right value in another form; "" where there is no other form."""
    slots = _slots(blank, own)
    if blank.form == "fraction":
        orders = permutations(blank.values) if blank.any_order else [blank.values]
        alternatives = [
            rules.every([_same_fraction(slot, value) for slot, value in zip(slots, order, strict=False)])
            for order in orders
            if len(order) == len(slots)
        ]
        return rules.some(alternatives) if alternatives else ""
    if blank.form == "surd" and len(blank.values) == 1:
        return _same_surd(blank, slots[0], blank.values[0])
    return ""


def _same_fraction(slot: Sequence[Box], value: tuple[BoxValue, ...]) -> str:
    n, d = value
    assert isinstance(n, int)
    assert isinstance(d, int)
    up, down = (rules.variable(box.name) for box in slot)
    across = rules.equal(rules.product(up, rules.whole(d)), rules.product(down, rules.whole(n)))
    return rules.every([rules.negated(rules.equal(down, rules.whole(0))), across])


def _same_surd(blank: Blank, slot: Sequence[Box], value: tuple[BoxValue, ...]) -> str:
    """p/s and q²r/s² as they should be: the pair p ± q√r over s is told by these two alone."""
    wanted = {"p": 0, "q": 1, "r": 1, "s": 1}
    wanted.update({role: v for role, v in zip(blank.boxes, value, strict=True) if isinstance(v, int)})
    names = {box.role: box.name for box in slot}
    p, q, r = ({role: rules.variable(name) for role, name in names.items()}.get(role, "") for role in "pqr")
    square = rules.whole(wanted["q"] ** 2 * wanted["r"])
    readings = []
    for s in ("", "entered") if "s" in names else ("",):
        below = rules.variable(names["s"]) if s else ""
        conditions = [rules.negated(rules.equal(below, rules.whole(0)))] if s else []
        if "s" in names and not s:
            conditions.append(rules.is_null(names["s"]))
        if p:
            right = rules.product(rules.whole(wanted["p"]), below) if s else rules.whole(wanted["p"])
            same = rules.equal(rules.product(p, rules.whole(wanted["s"])), right)
            conditions.append(same)
        left = rules.product(q, q, r, rules.whole(wanted["s"] ** 2))
        conditions.append(rules.equal(left, rules.product(square, below, below) if s else square))
        if not blank.pair:
            sign = rules.product(q, rules.whole(wanted["q"]), *([below] if s else []))
            conditions.append(rules.above(sign, rules.whole(0)))
        conditions.append(rules.above(r, rules.whole(0)))
        readings.append(rules.every(conditions))
    return rules.some(readings)
