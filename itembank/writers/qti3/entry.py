"""Boxes to fill: their declarations, how they are laid out, and how what stands in them is marked.

All of it is planned once for entries that look alike; see `looks.py`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import count
from typing import Final

from itembank.expressions.display import Letter, Maths, Pair, Pattern, Shape, hole_mark
from itembank.items import SIGNS, WORD_NAMES
from itembank.writers.phrases import Phrases
from itembank.writers.qti3 import rules
from itembank.writers.qti3.blanks import PlannedBlank
from itembank.writers.qti3.follow import FollowPlan, follow_plan
from itembank.writers.qti3.forms import Names, form_of
from itembank.writers.qti3.looks import BlankLooks, EntryLooks
from itembank.writers.qti3.markup import maths, tag, words
from itembank.writers.qti3.points import PlannedPoints, point_rules
from itembank.writers.qti3.slots import box_names, left_empty, point_names

__all__ = ["EntryPlan", "entry_plan"]

_SHOWN_SIGNS: Final = {"<": "<", "<=": "≤", ">": ">", ">=": "≥"}
_TICKED: Final = "none"
_WIDTHS: Final = {True: "6", False: "10"}
"""Of boxes as drawn, among others and alone: by the form, so that no width tells how many digits the key has."""


@dataclass(frozen=True, slots=True, eq=False)
class EntryPlan:
    """An entry with holes for its facts, `boxes` with one for the statement that is rewritten in them.

    has_alike: whether an equal entry that is not simplified earns marks; has_follow: whether marks follow through.
    """

    declarations: Pattern
    boxes: Pattern
    processing: Pattern
    has_alike: bool
    has_follow: bool


@cache
def entry_plan(looks: EntryLooks) -> EntryPlan:
    """Declarations, boxes and rules for entries that look alike."""
    return _Planner(looks).plan()


class _Planner:
    """Numbers boxes in reading order and holes in the order of `entry_facts`."""

    def __init__(self, looks: EntryLooks) -> None:
        self.looks, self.said = looks, looks.said
        self.suffix = f"_{looks.label}" if looks.label else ""
        self.score, self.tick = f"SCORE{self.suffix}", f"TICK{self.suffix}"
        self.followed, self.join = f"FF{self.suffix}", f"JOIN{self.suffix}"
        self._holes = count()
        names = point_names if looks.points else box_names
        slots = names(looks.label, [(blank.roles, blank.slots) for blank in looks.blanks])
        self.blanks = [
            PlannedBlank(blank, boxes, self._values(blank, len(blank.whole)))
            for blank, boxes in zip(looks.blanks, slots, strict=True)
        ]
        self.recognised = [
            [self._values(blank, len(each)) for blank, each in zip(looks.blanks, whole, strict=True)]
            for whole, _, _ in looks.recognised
        ]
        self.follow: FollowPlan | None = None
        if looks.follow is not None:
            limit = hole_mark(next(self._holes))
            self.follow = follow_plan(looks.follow, next(self._holes), limit)

    def _values(self, blank: BlankLooks, held: int) -> tuple[Names, ...]:
        names = form_of(blank.marking).names(blank.roles)
        return tuple({name: hole_mark(next(self._holes)) for name in names} for _ in range(held))

    def plan(self) -> EntryPlan:
        boxes = "".join(self._shown(blank) for blank in self.blanks)
        if self.looks.points:
            boxes = self._shown_points()
        return EntryPlan(
            Pattern("".join(self._declarations())),
            Pattern(tag("div", boxes, class_="entry") + self._tick()),
            Pattern("".join(self._rules())),
            not self.looks.tick_is_right and any(map(self._alike, self.blanks)),
            self.follow is not None,
        )

    # declarations

    def _declarations(self) -> Iterator[str]:
        if self.looks.points:
            for slot in range(self.blanks[0].looks.slots):
                for blank in self.blanks:
                    yield from self._declared(blank, slot)
        for blank in self.blanks if not self.looks.points else ():
            for slot in range(len(blank.slots)):
                yield from self._declared(blank, slot)
            if "sign" in blank.looks.roles:
                yield _declaration(self.join, "identifier", blank.looks.join)
        if self.looks.tick:
            yield _declaration(
                self.tick, "identifier", _TICKED if self.looks.tick_is_right else "", cardinality="multiple"
            )

    def _declared(self, blank: PlannedBlank, slot: int) -> Iterator[str]:
        """The boxes of one value."""
        base = form_of(blank.looks.marking).base
        keyed = blank.values[slot] if slot < len(blank.values) else {}
        for role, identifier in blank.slots[slot].items():
            yield _declaration(identifier, "identifier" if role == "sign" else base, keyed.get(role, ""))

    # boxes

    def _shown(self, blank: PlannedBlank) -> str:
        if blank.looks.words:
            return self._shown_words(blank)
        letter = _letter(blank.looks.unknown, self.said) if blank.looks.unknown else hole_mark(0)
        has_signs = "sign" in blank.looks.roles
        lead = f"{letter} " if has_signs else f"{letter} = "
        unit = tag("span", words(blank.looks.unit), class_="unit") if blank.looks.unit else ""
        left, right = (f"{unit} ", "") if blank.looks.unit_first else ("", f" {unit}" if unit else "")
        shown = []
        for number, boxes in enumerate(blank.slots, start=1):
            held = {role: self._box(blank, role, identifier, number) for role, identifier in boxes.items()}
            between = self._joined(blank) if has_signs else tag("span", self.said("or"), **self._tongue())
            before = "" if number == 1 else f" {between} "
            shown.append(f"{before}{lead}{left}{_laid_out(blank.looks, held, self.said)}{right}")
        return tag("p", *shown, class_="boxes")

    def _shown_points(self) -> str:
        """Points, each with its boxes in brackets."""
        first, second = self.blanks
        lead = _point(first.looks.unknown, second.looks.unknown, self.said)
        shown = []
        for number in range(1, first.looks.slots + 1):
            laid = [
                _laid_out(
                    blank.looks,
                    {r: self._box(blank, r, name, number) for r, name in blank.slots[number - 1].items()},
                    self.said,
                )
                for blank in self.blanks
            ]
            before = "" if number == 1 else f" {tag('span', self.said('or'), **self._tongue())} "
            shown.append(f"{before}{lead} = ( {laid[0]} {self.said.conventions.pair} {laid[1]} )")
        return tag("p", *shown, class_="boxes")

    def _shown_words(self, blank: PlannedBlank) -> str:
        """A choice of words in the line, after what stands before it."""
        before = f"{words(blank.looks.before)} " if blank.looks.before else ""
        options = list(zip(WORD_NAMES, map(words, blank.looks.words), strict=False))
        chosen = self._chosen(blank, "word", blank.slots[0]["word"], self._number(blank), options)
        return tag("p", before, chosen, class_="words")

    def _number(self, blank: PlannedBlank) -> int:
        """Which choice of words it is, from 1."""
        return [each for each in self.blanks if each.looks.words].index(blank) + 1

    def _joined(self, blank: PlannedBlank) -> str:
        """The choice of how two inequalities are joined."""
        return self._chosen(
            blank, "join", self.join, 1, [("and", words(self.said("and"))), ("or", words(self.said("or")))]
        )

    def _chosen(
        self, blank: PlannedBlank, role: str, identifier: str, slot: int, options: list[tuple[str, str]]
    ) -> str:
        looks = blank.looks
        choices = [tag("qti-inline-choice", shown, identifier=name) for name, shown in options]
        interaction = tag(
            "qti-inline-choice-interaction", *choices, response_identifier=identifier, shuffle="false",
            aria_label=self.said.box_label(looks.unknown, role, slot, looks.slots), **self._tongue(),
        )  # fmt: skip
        return tag(
            "span", interaction,
            data_unknown=looks.unknown, data_form=looks.form, data_box=role, data_slot=str(slot),
        )  # fmt: skip

    def _box(self, blank: PlannedBlank, role: str, identifier: str, slot: int) -> str:
        looks = blank.looks
        if role == "sign":
            signs = [(name, words(_SHOWN_SIGNS[sign])) for name, sign in SIGNS.items()]
            return self._chosen(blank, role, identifier, slot, signs)
        entry = tag(
            "qti-text-entry-interaction", response_identifier=identifier, expected_length=str(looks.room),
            class_=f"qti-input-width-{_WIDTHS[len(looks.roles) > 1]}",
            aria_label=self.said.box_label(looks.unknown, role, slot, looks.slots), **self._tongue(),
        )  # fmt: skip
        return tag(
            "span", entry,
            data_unknown=looks.unknown, data_form=looks.form, data_box=role, data_slot=str(slot),
            **({"data_tolerance": looks.tolerance} if looks.tolerance else {}),
        )  # fmt: skip

    def _tick(self) -> str:
        """One of several choices that may be made, for a single one is a radio button: it could not be taken back."""
        if not self.looks.tick:
            return ""
        choice = tag("qti-simple-choice", words(self.said("no-solution-sentence")), identifier=_TICKED)
        return tag(
            "qti-choice-interaction", choice, response_identifier=self.tick, class_="qti-labels-none",
            shuffle="false", max_choices="0", min_choices="0", **self._tongue(),
        )  # fmt: skip

    def _tongue(self) -> dict[str, str]:
        return {"xml__lang": self.said.foreign} if self.said.foreign else {}

    # rules

    def _rules(self) -> Iterator[str]:
        right, alike = f"F0{self.suffix}", f"FU{self.suffix}"
        if self.looks.tick_is_right:
            empty = [left_empty(boxes) for blank in self.blanks for boxes in blank.slots]
            asked = rules.all_of(rules.has_chosen(self.tick, _TICKED), *empty)
            yield rules.condition([(asked, (rules.add(self.score, self.looks.marks), rules.show(right)))])
        elif self.looks.points:
            yield from point_rules(
                PlannedPoints(*self.blanks), self.looks, self.score, self._unticked, (right, alike)
            )
        else:
            for blank in self.blanks:
                told = rules.show(right) if len(self.blanks) == 1 else ""
                branches = [
                    (self._unticked(self._exact(blank)), (rules.add(self.score, blank.looks.worth), told))
                ]
                if unsimplified := self._alike(blank):
                    less = rules.add(self.score, blank.looks.worth - 1)
                    branches.append((self._unticked(unsimplified), (less, rules.show(alike))))
                yield rules.condition([*branches, *self._followed(blank)])
            if len(self.blanks) > 1:
                yield rules.condition([(self._all_right(), (rules.show(right),))])
            follows = [blank for blank in self.blanks if blank.looks.follow_worth]
            if len(self.blanks) > 1 and follows:
                only = rules.any_of(*map(self._follows_only, follows))
                yield rules.condition([(only, (rules.show(self.followed),))])
            if follows:
                # what earns marks by following through is no slip of this part; where there are several blanks, one
                # that is right follows from right earlier answers too, and another may hold a slip beside it
                several = len(self.blanks) > 1
                followed = [
                    self._follows_only(b) if several else self._follows(b, alike=True) for b in follows
                ]
                yield rules.condition([(rules.any_of(*followed), ()), *self._recognised()])
                return
        yield rules.condition(self._recognised())

    def _all_right(self) -> str:
        """Every blank holds what is keyed; marks tell it unless some follow through."""
        if self.follow is None:
            return rules.at_least(rules.variable(self.score), rules.real(self.looks.marks))
        return self._unticked(rules.all_of(*(self._exact(blank) for blank in self.blanks)))

    def _followed(self, blank: PlannedBlank) -> Iterator[tuple[str, tuple[str, ...]]]:
        """Marks for what follows from the pupil's own earlier answers; one less where it is not simplified."""
        if not blank.looks.follow_worth:
            return
        for alike in (False, True) if blank.looks.form == "fraction" else (False,):
            earned = rules.add(self.score, blank.looks.follow_worth - alike)
            told = rules.show(self.followed) if len(self.blanks) == 1 else ""
            yield self._unticked(self._follows(blank, alike)), (earned, told)

    def _follows(self, blank: PlannedBlank, alike: bool) -> str:
        assert self.follow is not None
        return self.follow.holds(blank.looks.unknown, blank.looks.form, blank.slots, alike=alike)

    def _follows_only(self, blank: PlannedBlank) -> str:
        """The boxes of one of several blanks, each with one value, hold what follows and not what is keyed."""
        right = [asked for asked in (self._exact(blank), self._alike(blank)) if asked]
        follows = self._follows(blank, alike=True)
        return self._unticked(rules.all_of(rules.negated(rules.any_of(*right)), follows))

    def _unticked(self, asked: str) -> str:
        return rules.all_of(rules.is_empty(self.tick), asked) if self.looks.tick else asked

    def _exact(self, blank: PlannedBlank) -> str:
        return self._with_join(blank.holds(blank.values, blank.looks.whole, alike=False), blank.looks.join)

    def _alike(self, blank: PlannedBlank) -> str:
        if not blank.values:
            return ""
        return self._with_join(blank.holds(blank.values, blank.looks.whole, alike=True), blank.looks.join)

    def _with_join(self, asked: str, join: str) -> str:
        """A condition on two inequalities with what joins them."""
        if not asked or not join:
            return asked
        return rules.all_of(rules.choice_is(self.join, join), asked)

    def _recognised(self) -> Iterator[tuple[str, tuple[str, ...]]]:
        for number, (values, (whole, told, join)) in enumerate(
            zip(self.recognised, self.looks.recognised, strict=True), start=1
        ):
            if self.looks.points:
                asked = PlannedPoints(*self.blanks).hold(values, whole, alike=False)
                yield asked, (rules.show(f"F{number}{self.suffix}"),) if told else ()
                continue
            held = [
                blank.holds(of_blank, is_whole, alike=False)
                for blank, of_blank, is_whole in zip(self.blanks, values, whole, strict=True)
                if of_blank or not blank.looks.words
            ]
            asked = self._with_join(rules.all_of(*held), join)
            yield asked, (rules.show(f"F{number}{self.suffix}"),) if told else ()


def _declaration(identifier: str, base: str, right: str, cardinality: str = "single") -> str:
    keyed = tag("qti-correct-response", tag("qti-value", right)) if right else ""
    return tag(
        "qti-response-declaration", keyed, identifier=identifier, cardinality=cardinality, base_type=base
    )


@cache
def _point(first: str, second: str, said: Phrases) -> str:
    return maths(Maths(Shape(Pair(Letter(first), Letter(second)), 0)), said)


@cache
def _letter(unknown: str, said: Phrases) -> str:
    return maths(Maths(Shape(Letter(unknown), 0)), said)


def _laid_out(looks: BlankLooks, held: Names, said: Phrases) -> str:
    """The boxes of one value in a line, with the signs between them."""
    if looks.letter:
        letter = _letter(looks.letter, said)
        brackets = [f"( {held[first]} {letter} + {held[second]} )" for first, second in ("ab", "cd")]
        return " ".join([*([held["k"]] if "k" in held else []), *brackets])
    if "sign" in held:
        ends = looks._replace(form=looks.form.split()[1])
        return f"{held['sign']} {_laid_out(ends, {role: box for role, box in held.items() if role != 'sign'}, said)}"
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
