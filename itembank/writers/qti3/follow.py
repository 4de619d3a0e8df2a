"""Follow-through: what a pupil's own earlier answers lead to, worked out by the file itself.

The follow-through of a part is its key told in the unknowns of earlier parts (u = -p and v = q). It is spelled out as
arithmetic on the responses where those are whole numbers or fractions in boxes of their own; everything else is told
as a shortfall.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from math import isqrt
from typing import NamedTuple

from itembank.expressions.display import Compared, Display, Filling, Joined, Letter, Shape, Terms, parts
from itembank.items import Blank, EntryResponse, Part
from itembank.writers.qti3 import rules
from itembank.writers.qti3.arithmetic import NotSpelledOut, Ratio, Source, arithmetic
from itembank.writers.qti3.forms import LARGEST, Names, not_zero, within
from itembank.writers.qti3.slots import arranged, box_names

__all__ = [
    "FollowLooks", "FollowPlan", "follow_limit", "follow_looks", "follow_plan", "follow_shortfalls",
    "letters",
]  # fmt: skip

_ROOT_OF_LARGEST = isqrt(LARGEST)
_FEW = 100
"""Earlier answers this large are to be marked; where they are not, it is a shortfall."""
_FORMS = frozenset({"integer", "fraction"})


class FollowLooks(NamedTuple):
    """What the rules depend on, numbers apart. blanks: (unknown, form) of those whose marks follow through."""

    shape: Shape
    sources: tuple[Source, ...]
    blanks: tuple[tuple[str, str], ...]


def follow_looks(part: Part, earlier: Sequence[Part]) -> FollowLooks | None:
    """The looks of a part's follow-through; None where nothing follows through or it cannot be spelled out.

    earlier: the parts before it.
    """
    if part.follow is None or not isinstance(part.response, EntryResponse):
        return None
    looks = _every_looks(part, earlier)
    return looks if looks is not None and isinstance(_measured(looks), FollowPlan) else None


def _every_looks(part: Part, earlier: Sequence[Part]) -> FollowLooks | None:
    assert isinstance(part.response, EntryResponse)
    if part.follow is None:
        return None
    blanks = tuple((b.unknown, b.form) for b in part.response.blanks if b.follow_worth)
    return FollowLooks(part.follow.shape, _sources(part, tuple(earlier)), blanks) if blanks else None


def _sources(part: Part, earlier: tuple[Part, ...]) -> tuple[Source, ...]:
    """Where each letter of the follow-through is entered; the latest part that asks for it counts."""
    found: dict[str, Source | None] = {}
    for before in earlier:
        found.update(dict.fromkeys(before.problem.unknowns))
        if isinstance(before.response, EntryResponse):
            found.update(_of_response(before.label, before.response))
    own = set(part.problem.unknowns)
    return tuple(source for name, source in found.items() if source is not None and name not in own)


def _of_response(label: str, response: EntryResponse) -> Iterator[tuple[str, Source]]:
    names = box_names(label, [(blank.boxes, blank.slots) for blank in response.blanks])
    for blank, slots in zip(response.blanks, names, strict=True):
        if blank.slots == 1 and blank.form in _FORMS and blank.unknown:
            boxes = slots[0]
            above = boxes["value" if blank.form == "integer" else "numerator"]
            yield blank.unknown, Source(blank.unknown, above, boxes.get("denominator", ""))


@dataclass(frozen=True, slots=True)
class FollowPlan:
    """The follow-through as arithmetic. values: unknown -> its values; limit: the hole of how large answers may be."""

    values: Mapping[str, tuple[Ratio, ...]]
    limit: str

    def holds(self, unknown: str, form: str, slots: tuple[Names, ...], *, alike: bool) -> str:
        """The condition that a blank's boxes hold what follows; alike: perhaps not in lowest terms."""
        values = self.values[unknown]

        def test(slot: int, value: int) -> str:
            return _test(form, slots[slot], values[value], alike)

        boxes = dict.fromkeys(name for value in values for name in value.boxes)
        guards = [guard for name in boxes for guard in within(name, self.limit)]
        guards += [not_zero(each) for value in values for each in value.not_zero]
        return rules.all_of(*dict.fromkeys(guards), arranged(test, len(values), slots, spare=True))


def _test(form: str, boxes: Names, value: Ratio, alike: bool) -> str:
    if form == "integer":
        entry = rules.variable(boxes["value"])
        if not value.below:
            return rules.equal(entry, value.above)
        near = within(boxes["value"], str(_ROOT_OF_LARGEST))
        return rules.all_of(*near, rules.equal(rules.product(entry, value.below), value.above))
    above, below = (rules.variable(boxes[role]) for role in ("numerator", "denominator"))
    limits = [limit for name in boxes.values() for limit in within(name, str(_ROOT_OF_LARGEST))]
    if alike:
        limits.append(not_zero(below))
    else:
        lowest = rules.equal(rules.common_divisor(above, below), rules.whole(1))
        limits += [rules.at_least(below, rules.whole(1)), lowest]
    left = rules.product(above, value.below) if value.below else above
    return rules.all_of(*limits, rules.equal(left, rules.product(below, value.above)))


def follow_plan(looks: FollowLooks, first_hole: int, limit: str) -> FollowPlan:
    """The plan of a follow-through whose numbers stand in the holes from `first_hole` on. Raises NotSpelledOut."""
    sources = {source.letter: source for source in looks.sources}
    values = {}
    wanted = {unknown for unknown, _ in looks.blanks}
    for unknown, displays in _told(looks.shape.display, [unknown for unknown, _ in looks.blanks]).items():
        if unknown in wanted:
            values[unknown] = tuple(
                arithmetic(display, sources, first_hole, sign) for display, sign in displays
            )
    for unknown, form in looks.blanks:
        if form not in _FORMS:
            raise NotSpelledOut(f"{unknown} is no whole number or fraction")
    return FollowPlan(values, limit)


def _told(display: Display, wanted: Sequence[str]) -> dict[str, list[tuple[Display, str]]]:
    """unknown -> what it equals, each with how ± is read; several for one unknown only."""
    if isinstance(display, Joined) and display.word == "or" and len(wanted) == 1:
        found = [value for each in display.parts for value in _told(each, wanted)[wanted[0]]]
        return {wanted[0]: found}
    told: dict[str, list[tuple[Display, str]]] = {}
    for each in display.parts if isinstance(display, Joined) and display.word == "and" else (display,):
        match each:
            case Compared((Letter(name), value), ("=",)):
                told[name] = [(value, sign) for sign in (("+", "-") if _has_either_sign(value) else ("",))]
            case _:
                raise NotSpelledOut("it does not say each unknown")
    if not set(wanted) <= set(told) or (len(wanted) > 1 and any(len(each) > 1 for each in told.values())):
        raise NotSpelledOut("it does not say each unknown")
    return told


@cache
def letters(display: Display) -> frozenset[str]:
    """The letters of displayed mathematics."""
    if isinstance(display, Letter):
        return frozenset({display.name})
    return frozenset(name for part in parts(display) for name in letters(part))


def _has_either_sign(display: Display) -> bool:
    if isinstance(display, Terms) and any(sign == "±" for sign, _ in display.terms):
        return True
    return any(map(_has_either_sign, parts(display)))


@cache
def _measured(looks: FollowLooks) -> FollowPlan | str:
    """The plan without its holes, to measure sizes by; the reason where it cannot be spelled out."""
    try:
        return follow_plan(looks, 0, "0")
    except NotSpelledOut as reason:
        return str(reason)


@lru_cache(maxsize=4096)
def follow_limit(looks: FollowLooks, numbers: tuple[Filling, ...]) -> int:
    """How large an earlier answer may be so that every number on the way stays within 32 bits."""
    plan = _measured(looks)
    if isinstance(plan, str):
        return 0
    values = [value for each in plan.values.values() for value in each]
    divided = any(value.below for value in values) or any(form == "fraction" for _, form in looks.blanks)
    most = _ROOT_OF_LARGEST if divided else LARGEST

    def fits(limit: int) -> bool:
        return all(
            value.most_above(limit, numbers) <= most and value.most_below(limit, numbers) <= most
            for value in values
        )

    low, high = 0, most + 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def follow_shortfalls(part: Part, earlier: Sequence[Part]) -> Iterator[str]:
    """What of a part's follow-through the file does not mark."""
    assert isinstance(part.response, EntryResponse)
    if not any(map(_follows, part.response.blanks)):
        return
    looks = _every_looks(part, earlier)
    if looks is None:
        yield "follow-through marks are given for the right value only: the key names no earlier answer"
        return
    assert part.follow is not None
    plan = _measured(looks)
    if isinstance(plan, str):
        yield f"follow-through marks are given for the right value only: {plan}"
        return
    limit = follow_limit(looks, part.follow.numbers)
    if limit < _FEW:
        yield f"follow-through is marked where the earlier answers are not larger than {limit}"


def _follows(blank: Blank) -> bool:
    return blank.follow_worth > 0
