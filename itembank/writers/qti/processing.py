"""Declarations and response processing: how a file marks itself, in standard rules and whole-number arithmetic.

Entries: the boxes in the asked form earn full marks; a surd or fraction of the same value in another form earns the
marks less one; recognised wrong entries earn nothing and name their feedback. An empty denominator counts as 1.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import count, permutations

from itembank.expressions.display import Pattern, hole_mark
from itembank.items import Blank, BoxValue, ChoiceResponse, EntryResponse, Part
from itembank.writers.qti import rules

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
    if isinstance(response, ChoiceResponse):
        slips = [option.slip for option in response.options]
    else:
        slips = [entry.slip for entry in response.recognised]
    return _feedback_names(part.label, tuple([slip is not None and slip.pupil is not None for slip in slips]))


@cache
def _feedback_names(label: str, told: tuple[bool, ...]) -> tuple[tuple[str, int], ...]:
    return tuple((f"F{label}{index + 1}", index) for index, tells in enumerate(told) if tells)


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
    if response.tick_is_right:
        return _tick_only(part.label, tuple(box.name for box in boxes(part, response)), response.marks)
    numbers: list[object] = []
    layout = []
    for blank in response.blanks:
        layout.append(_Layout.of(blank, blank.values))
        numbers.extend(_numbers(blank))
    recognised = []
    for index, feedback in named.items():
        values = response.recognised[index].values
        recognised.append(
            (feedback, tuple(_Layout.of(b, v) for b, v in zip(response.blanks, values, strict=True)))
        )
        for group_values in values:
            numbers.extend(value for group in group_values for value in group)
    pattern = _entry_pattern(part.label, tuple(layout), tuple(recognised), response.marks, response.tick)
    return pattern.fill(tuple(numbers))  # type: ignore[arg-type]


@cache
def _tick_only(label: str, names: tuple[str, ...], marks: int) -> str:
    tick = f"TICK_{label}" if label else "TICK"
    right = rules.every([rules.matches(tick, "none"), *(rules.is_null(name) for name in names)])
    return rules.condition([(right, rules.add_score(marks) + rules.add_feedback(RIGHT))])


@dataclass(frozen=True, slots=True)
class _Layout:
    """What the rules of a blank depend on besides its numbers. bare: for each value, is its denominator 1?"""

    form: str
    roles: tuple[str, ...]
    slots: int
    any_order: bool
    pair: bool
    worth: int
    tolerance: str
    bare: tuple[bool, ...]

    @classmethod
    def of(cls, blank: Blank, values: tuple[tuple[BoxValue, ...], ...]) -> _Layout:
        """The layout of a blank that is to hold these values."""
        at = blank.boxes.index("s") if "s" in blank.boxes else -1
        bare = tuple([at >= 0 and group[at] == 1 for group in values])
        tolerance = str(blank.tolerance) if blank.tolerance is not None else ""
        return cls(
            blank.form, blank.boxes, blank.slots, blank.any_order, blank.pair, blank.worth, tolerance, bare
        )


def _numbers(blank: Blank) -> list[object]:
    """The numbers the rules of a blank speak of: each value's boxes, then what other forms are told by."""
    numbers: list[object] = [value for group in blank.values for value in group]
    if blank.form == "surd" and len(blank.values) == 1:
        held = dict(zip(blank.boxes, blank.values[0], strict=True))
        p, q, r, s = (held.get(role, default) for role, default in (("p", 0), ("q", 1), ("r", 1), ("s", 1)))
        assert isinstance(q, int)
        assert isinstance(r, int)
        assert isinstance(s, int)
        numbers += [p, q, s, q * q * r, s * s]
    return numbers


@cache
def _entry_pattern(
    label: str,
    blanks: tuple[_Layout, ...],
    recognised: tuple[tuple[str, tuple[_Layout, ...]], ...],
    marks: int,
    tick: bool,
) -> Pattern:
    """The rules of an entry with a hole for each number."""
    placed = _boxes(label, tuple((blank.slots, blank.roles) for blank in blanks))
    holes = (hole_mark(n) for n in count())
    marked = []
    for index, blank in enumerate(blanks):
        own = [box for box in placed if box.blank == index]
        values = [tuple(next(holes) for _ in blank.roles) for _ in blank.bare]
        branches = [(_filled(blank, own, values), rules.add_score(blank.worth))]
        same = _same_value(blank, own, values, holes)
        if same:
            reward = rules.add_score(blank.worth - 1) if blank.worth > 1 else ""
            branches.append((same, reward + rules.add_feedback(OTHER_FORM)))
        marked.append(rules.condition(branches))
    full = rules.equal(rules.variable("SCORE"), rules.number(marks))
    told = [(full, rules.add_feedback(RIGHT))] if not label else []
    for feedback, layouts in recognised:
        conditions = []
        for index, blank in enumerate(layouts):
            values = [tuple(next(holes) for _ in blank.roles) for _ in blank.bare]
            conditions.append(_filled(blank, [box for box in placed if box.blank == index], values))
        told.append((rules.every(conditions), rules.add_feedback(feedback)))
    body = "".join(marked) + rules.condition(told)
    if tick:
        body = rules.condition([(rules.is_null(f"TICK_{label}" if label else "TICK"), body)])
    return Pattern(body)


def _slots(blank: _Layout, own: Sequence[Box]) -> list[list[Box]]:
    return [[box for box in own if box.slot == slot] for slot in range(blank.slots)]


def _filled(blank: _Layout, own: Sequence[Box], values: Sequence[tuple[str, ...]]) -> str:
    """The condition that boxes hold these values, in any order where the blank allows it."""
    slots = _slots(blank, own)
    padded: list[int | None] = [*range(len(values)), *([None] * (len(slots) - len(values)))]
    orders = list(dict.fromkeys(permutations(padded))) if blank.any_order else [tuple(padded)]
    if blank.any_order and len(values) == 1 and len(slots) > 1:
        orders.append((0,) * len(slots))
    alternatives = []
    for order in orders:
        conditions = [
            _group(blank, slot, values[at], blank.bare[at])
            if at is not None
            else rules.every([rules.is_null(box.name) for box in slot])
            for slot, at in zip(slots, order, strict=True)
        ]
        alternatives.append(rules.every(conditions))
    return rules.some(alternatives)


def _group(blank: _Layout, slot: Sequence[Box], values: tuple[str, ...], bare: bool) -> str:
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
            test = rules.equal(entered, rules.whole(value))
        if box.role == "s" and bare:
            test = rules.some([rules.is_null(box.name), test])
        conditions.append(test)
    return rules.every(conditions)


def _same_value(
    blank: _Layout, own: Sequence[Box], values: Sequence[tuple[str, ...]], holes: Iterator[str]
) -> str:
    """The condition that boxes hold the right value in another form; "" where there is no other form."""
    slots = _slots(blank, own)
    if blank.form == "fraction" and len(values) == len(slots):
        orders = permutations(values) if blank.any_order else [tuple(values)]
        return rules.some(
            [
                rules.every([_same_fraction(slot, value) for slot, value in zip(slots, order, strict=True)])
                for order in orders
            ]
        )
    if blank.form == "surd" and len(values) == 1:
        return _same_surd(blank, slots[0], [next(holes) for _ in range(5)])
    return ""


def _same_fraction(slot: Sequence[Box], value: tuple[str, ...]) -> str:
    n, d = value
    up, down = (rules.variable(box.name) for box in slot)
    across = rules.equal(rules.product(up, rules.whole(d)), rules.product(down, rules.whole(n)))
    return rules.every([rules.negated(rules.equal(down, rules.whole(0))), across])


def _same_surd(blank: _Layout, slot: Sequence[Box], numbers: list[str]) -> str:
    """p/s and q²r/s² as they should be: the pair p ± q√r over s is told by these two alone."""
    wanted_p, wanted_q, wanted_s, wanted_square, below_square = (rules.whole(number) for number in numbers)
    names = {box.role: box.name for box in slot}
    p, q, r = ({role: rules.variable(name) for role, name in names.items()}.get(role, "") for role in "pqr")
    readings = []
    for s in ("", "entered") if "s" in names else ("",):
        below = rules.variable(names["s"]) if s else ""
        conditions = [rules.negated(rules.equal(below, rules.whole(0)))] if s else []
        if "s" in names and not s:
            conditions.append(rules.is_null(names["s"]))
        if p:
            right = rules.product(wanted_p, below) if s else wanted_p
            conditions.append(rules.equal(rules.product(p, wanted_s), right))
        left = rules.product(q, q, r, below_square)
        conditions.append(
            rules.equal(left, rules.product(wanted_square, below, below) if s else wanted_square)
        )
        if not blank.pair:
            sign = rules.product(q, wanted_q, *([below] if s else []))
            conditions.append(rules.above(sign, rules.whole(0)))
        conditions.append(rules.above(r, rules.whole(0)))
        readings.append(rules.every(conditions))
    return rules.some(readings)
