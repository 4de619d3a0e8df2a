"""Boxes to fill: their declarations, how they are laid out, and how what stands in them is marked.

Two entries of one template differ in numbers, seldom in looks. What depends on looks (an `EntryLooks`) is written
once as a plan with holes; an item's numbers (its facts) are put in.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import count
from typing import Final, NamedTuple

from itembank.expressions.display import Letter, Maths, Pattern, Shape, hole_mark
from itembank.items import Blank, BoxValue, EntryResponse
from itembank.writers.qti3 import phrases, rules
from itembank.writers.qti3.forms import Fact, Names, form_of
from itembank.writers.qti3.markup import maths, tag, words

__all__ = ["EntryLooks", "EntryPlan", "entry_facts", "entry_looks", "entry_plan"]

_EXPECTED_LENGTH: Final = "6"
"""The same for every box, so that no width tells how many digits the key has."""


class BlankLooks(NamedTuple):
    """What a blank's rules and boxes depend on, its numbers apart. whole: for each value, see `Form.is_whole`."""

    unknown: str
    form: str
    roles: tuple[str, ...]
    slots: int
    any_order: bool
    pair: bool
    worth: int
    whole: tuple[bool, ...]


class EntryLooks(NamedTuple):
    """What an entry's rules and boxes depend on, its numbers apart.

    label: of the part. recognised: for each recognised entry `whole` of each blank's values, and whether there is a
    sentence for the pupil. language: of the words this writer adds, "" where it is the item's own.
    """

    label: str
    blanks: tuple[BlankLooks, ...]
    tick: bool
    tick_is_right: bool
    marks: int
    recognised: tuple[tuple[tuple[tuple[bool, ...], ...], bool], ...]
    language: str


@dataclass(frozen=True, slots=True, eq=False)
class EntryPlan:
    """An entry with holes for its facts, `boxes` with one for the statement that is rewritten in them.

    has_alike: whether an equal entry that is not simplified earns marks.
    """

    declarations: Pattern
    boxes: Pattern
    processing: Pattern
    has_alike: bool


def entry_looks(label: str, response: EntryResponse, language: str) -> EntryLooks:
    """The looks of a response."""
    blanks = tuple(
        [
            BlankLooks(
                blank.unknown, blank.form, blank.boxes, blank.slots, blank.any_order, blank.pair, blank.worth,
                _whole(blank, blank.values),
            )
            for blank in response.blanks
        ]
    )  # fmt: skip
    recognised = tuple(
        [
            (tuple(map(_whole, response.blanks, entry.values)), entry.slip.pupil is not None)
            for entry in response.recognised
        ]
    )
    return EntryLooks(
        label, blanks, response.tick, response.tick_is_right, response.marks, recognised, language
    )


def _whole(blank: Blank, values: tuple[tuple[BoxValue, ...], ...]) -> tuple[bool, ...]:
    form = form_of(blank.form)
    return tuple([form.is_whole(blank, value) for value in values])


def entry_facts(response: EntryResponse) -> tuple[Fact, ...]:
    """The facts of a response: of each blank's values, then what each recognised entry holds."""
    facts: list[Fact] = []
    for blank in response.blanks:
        form = form_of(blank.form)
        for value in blank.values:
            facts += form.facts(blank, value)
    for entry in response.recognised:
        for blank, values in zip(response.blanks, entry.values, strict=True):
            form = form_of(blank.form)
            for value in values:
                facts += form.facts(blank, value)
    return tuple(facts)


@cache
def entry_plan(looks: EntryLooks) -> EntryPlan:
    """Declarations, boxes and rules for entries that look alike."""
    return _Planner(looks).plan()


@dataclass(frozen=True, slots=True)
class _PlannedBlank:
    """A blank with its boxes' identifiers, one mapping for each slot, and holes, one mapping for each value."""

    looks: BlankLooks
    slots: tuple[Names, ...]
    values: tuple[Names, ...]

    def holds(self, values: Sequence[Names], whole: Sequence[bool], alike: bool) -> str:
        """The condition that the boxes hold these values; "" where `alike` says no more than exactly."""
        form = form_of(self.looks.form)

        def test(slot: int, value: int) -> str:
            if alike:
                return form.alike(self.slots[slot], values[value], self.looks.pair, whole[value])
            return form.exact(self.slots[slot], values[value], self.looks.pair, whole[value])

        if alike and not test(0, 0):
            return ""
        if not self.looks.any_order or len(self.slots) == 1:
            filled = [test(index, index) for index in range(len(values))]
            return rules.all_of(*filled, *(_empty(slot) for slot in self.slots[len(values) :]))
        # As sets: every value stands somewhere, and nothing else stands anywhere. A repeated root may be given twice.
        everywhere = [
            rules.any_of(*(test(slot, value) for slot in range(len(self.slots))))
            for value in range(len(values))
        ]
        if len(values) == len(self.slots) and self.looks.form != "decimal":
            return rules.all_of(*everywhere)
        spare = len(self.slots) > len(values)
        nowhere_else = [
            rules.any_of(
                *([_empty(boxes)] if spare else []), *(test(slot, value) for value in range(len(values)))
            )
            for slot, boxes in enumerate(self.slots)
        ]
        return rules.all_of(*everywhere, *nowhere_else)


def _empty(boxes: Names) -> str:
    return rules.all_of(*(rules.is_empty(identifier) for identifier in boxes.values()))


class _Planner:
    """Numbers boxes in reading order and holes in the order of `entry_facts`."""

    def __init__(self, looks: EntryLooks) -> None:
        self.looks = looks
        self.suffix = f"_{looks.label}" if looks.label else ""
        self.score, self.tick = f"SCORE{self.suffix}", f"TICK{self.suffix}"
        self._holes = count()
        numbers = count(1)
        identifiers = (f"BOX{self.suffix}_{number}" for number in numbers)
        slots = [
            tuple({role: next(identifiers) for role in blank.roles} for _ in range(blank.slots))
            for blank in looks.blanks
        ]
        self.blanks = [
            _PlannedBlank(blank, boxes, self._values(blank, len(blank.whole)))
            for blank, boxes in zip(looks.blanks, slots, strict=True)
        ]
        self.recognised = [
            [self._values(blank, len(each)) for blank, each in zip(looks.blanks, whole, strict=True)]
            for whole, _ in looks.recognised
        ]

    def _values(self, blank: BlankLooks, held: int) -> tuple[Names, ...]:
        names = form_of(blank.form).names(blank.roles)
        return tuple({name: hole_mark(next(self._holes)) for name in names} for _ in range(held))

    def plan(self) -> EntryPlan:
        boxes = "".join(self._shown(blank) for blank in self.blanks)
        return EntryPlan(
            Pattern("".join(self._declarations())),
            Pattern(tag("div", boxes, class_="entry") + self._tick()),
            Pattern("".join(self._rules())),
            not self.looks.tick_is_right and any(self._alike(blank) for blank in self.blanks),
        )

    # declarations

    def _declarations(self) -> Iterator[str]:
        for blank in self.blanks:
            base = form_of(blank.looks.form).base
            for index, boxes in enumerate(blank.slots):
                keyed = blank.values[index] if index < len(blank.values) else {}
                for role, identifier in boxes.items():
                    yield _declaration(identifier, base, keyed.get(role, ""))
        if self.looks.tick:
            yield _declaration(self.tick, "identifier", "none" if self.looks.tick_is_right else "")

    # boxes

    def _shown(self, blank: _PlannedBlank) -> str:
        lead = f"{_letter(blank.looks.unknown) if blank.looks.unknown else hole_mark(0)} = "
        shown = []
        for number, boxes in enumerate(blank.slots, start=1):
            held = {role: self._box(blank, role, identifier, number) for role, identifier in boxes.items()}
            before = "" if number == 1 else f" {tag('span', phrases.OR, **self._tongue())} "
            shown.append(f"{before}{lead}{_laid_out(blank.looks, held)}")
        return tag("p", *shown, class_="boxes")

    def _box(self, blank: _PlannedBlank, role: str, identifier: str, slot: int) -> str:
        looks = blank.looks
        entry = tag(
            "qti-text-entry-interaction", response_identifier=identifier, expected_length=_EXPECTED_LENGTH,
            class_=f"qti-input-width-{_EXPECTED_LENGTH}",
            aria_label=phrases.box_label(looks.unknown, role, slot, looks.slots), **self._tongue(),
        )  # fmt: skip
        return tag(
            "span", entry,
            data_unknown=looks.unknown, data_form=looks.form, data_box=role, data_slot=str(slot),
        )  # fmt: skip

    def _tick(self) -> str:
        if not self.looks.tick:
            return ""
        choice = tag("qti-simple-choice", words(phrases.NO_SOLUTION), identifier="none")
        return tag(
            "qti-choice-interaction", choice, response_identifier=self.tick, class_="qti-labels-none",
            shuffle="false", max_choices="1", min_choices="0", **self._tongue(),
        )  # fmt: skip

    def _tongue(self) -> dict[str, str]:
        return {"xml__lang": self.looks.language} if self.looks.language else {}

    # rules

    def _rules(self) -> Iterator[str]:
        right, alike = f"F0{self.suffix}", f"FU{self.suffix}"
        if self.looks.tick_is_right:
            empty = [_empty(boxes) for blank in self.blanks for boxes in blank.slots]
            asked = rules.all_of(rules.is_right(self.tick), *empty)
            yield rules.condition([(asked, (rules.add(self.score, self.looks.marks), rules.show(right)))])
        else:
            for blank in self.blanks:
                told = rules.show(right) if len(self.blanks) == 1 else ""
                branches = [
                    (self._unticked(self._exact(blank)), (rules.add(self.score, blank.looks.worth), told))
                ]
                if unsimplified := self._alike(blank):
                    less = rules.add(self.score, blank.looks.worth - 1)
                    branches.append((self._unticked(unsimplified), (less, rules.show(alike))))
                yield rules.condition(branches)
            if len(self.blanks) > 1:
                full = rules.at_least(rules.variable(self.score), rules.real(self.looks.marks))
                yield rules.condition([(full, (rules.show(right),))])
        yield rules.condition(self._recognised())

    def _unticked(self, asked: str) -> str:
        return rules.all_of(rules.is_empty(self.tick), asked) if self.looks.tick else asked

    def _exact(self, blank: _PlannedBlank) -> str:
        return blank.holds(blank.values, blank.looks.whole, alike=False)

    def _alike(self, blank: _PlannedBlank) -> str:
        return blank.holds(blank.values, blank.looks.whole, alike=True) if blank.values else ""

    def _recognised(self) -> Iterator[tuple[str, tuple[str, ...]]]:
        for number, (values, (whole, told)) in enumerate(
            zip(self.recognised, self.looks.recognised, strict=True), start=1
        ):
            held = [
                blank.holds(of_blank, is_whole, alike=False)
                for blank, of_blank, is_whole in zip(self.blanks, values, whole, strict=True)
            ]
            yield rules.all_of(*held), (rules.show(f"F{number}{self.suffix}"),) if told else ()


def _declaration(identifier: str, base: str, right: str) -> str:
    keyed = tag("qti-correct-response", tag("qti-value", right)) if right else ""
    return tag("qti-response-declaration", keyed, identifier=identifier, cardinality="single", base_type=base)


@cache
def _letter(unknown: str) -> str:
    return maths(Maths(Shape(Letter(unknown), 0)))


def _laid_out(looks: BlankLooks, held: Names) -> str:
    """The boxes of one value in a line, with the signs between them."""
    if looks.form == "fraction":
        return f"{held['numerator']} / {held['denominator']}"
    if looks.form != "surd":
        return held["value"]
    root = f"{held['q']} √ {held['r']}"
    sign = "±" if looks.pair else "+"
    if "p" in held:
        root = f"{held['p']} {sign} {root}"
    elif looks.pair:
        root = f"± {root}"
    return f"( {root} ) / {held['s']}" if "s" in held else root
