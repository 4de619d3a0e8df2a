"""The rules of marking, run on answers: the right one, the wrong options, nothing, and answers nearly right."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import combinations_with_replacement
from typing import Final

from itembank.audit.bracket_check import bracket_probes, has_brackets
from itembank.audit.choices_check import CHOICES_KINDS
from itembank.audit.entry_check import groups
from itembank.audit.facts import Facts, Response
from itembank.audit.findings import Fault
from itembank.audit.follow_check import FollowProbe, follow_probes
from itembank.audit.interval_check import interval_probes, is_interval
from itembank.audit.numbers import Rational, as_whole
from itembank.audit.one_of_check import boxes_only, word_boxes, word_probes
from itembank.audit.part_view import PartView
from itembank.audit.point_probes import point_probes
from itembank.audit.points_check import is_points
from itembank.audit.probes import UNSIMPLIFIED_MARK, Probe, box_probes, first_box, tick_probe
from itembank.audit.recognised_entries import check_recognised, shows
from itembank.audit.response_processing import Marks, Responses, Rules, compile_rules
from itembank.audit.rule_expressions import Value
from itembank.audit.structure import decimal, integer
from itembank.audit.task_marking import check_task
from itembank.audit.typed_numbers import plain_number, spelling_probes
from itembank.audit.written_check import hand_worth

__all__ = ["RIGHT", "UNSIMPLIFIED", "check_marking"]

RIGHT: Final = "F0"
UNSIMPLIFIED: Final = "FU"
"""The feedback for what is right, and for an equal value not in simplest form; a labelled part adds its label."""
FOLLOWS: Final = "FF"
"""The feedback for what follows from a pupil's own earlier answers."""
FOLLOWING_LINE: Final = "FL"
"""The feedback for a line that follows from the one above it."""


@dataclass(frozen=True, slots=True)
class _Marking:
    """An item's rules with its right answers: part label -> response -> value."""

    facts: Facts
    rules: Rules
    total: Rational
    right: Mapping[str, Mapping[str, Value]]
    texts: frozenset[str]
    """The responses that are typed as texts."""
    _found: dict[tuple[tuple[str, Value], ...], Marks] = field(default_factory=dict)
    """What answers came to: many a question is asked of the same one."""
    _texts_of: dict[int, tuple[Value, Value]] = field(default_factory=dict)
    """Numbers, by where they are held, and the texts they are typed as."""

    def everything(self) -> dict[str, Value]:
        """The right answers of all parts."""
        return {name: value for each in self.right.values() for name, value in each.items()}

    def outcomes(self, responses: Responses) -> Marks:
        """What an answer earns, and the feedback it shows; numbers for boxes that take texts are spelled plainly."""
        if self.rules.straight is not None:
            return self.rules.marks(self._spelled(responses))
        key = tuple(responses.items())
        found = self._found.get(key)
        if found is None:
            found = self._found[key] = self.rules.marks(self._spelled(responses))
        return found

    def _spelled(self, responses: Responses) -> Responses:
        if self.texts.isdisjoint(responses):
            return responses
        return {
            name: self._typed(value) if name in self.texts and value.base != "string" else value
            for name, value in responses.items()
        }

    def _typed(self, value: Value) -> Value:
        if value.base not in {"integer", "float"}:
            return value
        known = self._texts_of.get(id(value))
        if known is None:
            typed = Value("string", (plain_number(value.items[0]),))
            known = self._texts_of[id(value)] = (
                value,
                typed,
            )  # it is held, so that no other can have its place
        return known[1]

    def score(self, responses: Responses) -> int | Fraction:
        """What an answer earns."""
        return self.outcomes(responses)[0]

    def feedback(self, responses: Responses) -> tuple[str, ...]:
        """The feedback an answer shows."""
        return self.outcomes(responses)[1]


def check_marking(facts: Facts, views: list[PartView], rules: Rules | None = None) -> Iterator[Fault]:
    """Everything wrong with the way the item is marked. Raises Fault for rules that are not known.

    rules: the item's own, where they were compiled before.
    """
    score = facts.outcome("SCORE")
    whole = decimal(score.normal_maximum) if score else None
    if whole is None:
        return
    by_hand = sum((hand_worth(view, facts) for view in views if view.part.kind == "written"), Fraction(0))
    if by_hand == whole:
        return  # `check_written` has looked at all there is
    total = as_whole(whole - by_hand)
    by_rule = [view for view in views if view.part.kind != "written"]
    marking = _Marking(
        facts, rules or compile_rules(facts), total, {view.part.label: _right(facts, view) for view in by_rule},
        frozenset(each.identifier for each in facts.responses if each.base_type == "string"),
    )  # fmt: skip
    earned, shown = marking.outcomes({})
    if earned != 0:
        yield Fault("empty-earns", "an empty answer earns marks")
    if shown:
        yield Fault("wrong-feedback", "an empty answer is told something")
    earned, shown = marking.outcomes(marking.everything())
    if earned != total:
        yield Fault("key-misses-maximum", "the right answer does not earn the maximum")
        return
    if not {name for view in by_rule for name in _told_of_right(view, facts)}.issuperset(shown):
        yield Fault("wrong-feedback", "the right answer is told something else than that it is right")
    worths = {view.part.label: marking.score(marking.right[view.part.label]) for view in by_rule}
    if sum(worths.values()) != total or min(worths.values(), default=0) <= 0:
        yield Fault("parts-do-not-sum", "the parts' marks do not make up the maximum")
    for view in by_rule:
        told = facts.outcome(f"SCORE_{view.part.label}") if view.part.label else None
        if told is not None and decimal(told.normal_maximum) != worths[view.part.label]:
            message = f"the normal maximum of {told.identifier} is not what the part's right answer earns"
            yield Fault("wrong-outcome", message, place=view.place)
    for view in by_rule:
        if view.part.kind in CHOICES_KINDS:
            yield from _choices(marking, view)
        elif view.task is not None:
            yield from check_task(marking, view, _named(RIGHT, view))
        else:
            yield from _choice(marking, view) if view.choice else _entry(marking, view)
        if view.part.follow is not None and view.boxes:
            yield from _follow_through(marking, view, views)
        if view.part.kind == "entry":
            yield from _scheme(view, worths[view.part.label])


def _right(facts: Facts, view: PartView) -> dict[str, Value]:
    names = [box.response for box in view.boxes]
    names += [each.response for each in (view.choice, view.tick, view.task) if each]
    found: dict[str, Value] = {}
    for name in names:
        declared = facts.response(name)
        if declared and declared.correct:
            value = _typed(declared)
            if value is not None:
                found[name] = value
    return found


def _typed(declared: Response) -> Value | None:
    base = declared.base_type
    if base == "string":
        return _spelled(declared)
    found = [
        integer(text) if base == "integer" else decimal(text) if base == "float" else text
        for text in declared.correct
    ]
    items = tuple(item for item in found if item is not None)
    return Value(base, items, declared.cardinality) if len(items) == len(found) else None


def _spelled(declared: Response) -> Value | None:
    """The number a text spells that is keyed."""
    whole, exact = integer(declared.correct[0]), decimal(declared.correct[0])
    if whole is not None:
        return Value("integer", (whole,))
    return None if exact is None else Value("float", (exact,))


def _scheme(view: PartView, worth: int | Fraction) -> Iterator[Fault]:
    marks = sum(mark.worth for line in view.part.lines for mark in line.marks)
    if marks and marks != worth:  # a solution whose lines bear no marks promises nothing
        message = f"the marks on the lines come to {marks}, the answer earns {worth}"
        yield Fault("marks-do-not-sum", message, place=view.place)


def _choice(marking: _Marking, view: PartView) -> Iterator[Fault]:
    assert view.choice is not None
    name, facts = view.choice.response, marking.facts
    told = {value.identifier: value.feedback for value in view.part.values}
    right = marking.right[view.part.label].get(name)
    for choice in view.choice.choices:
        chosen = {name: Value("identifier", (choice.identifier,))}
        place = f"{view.place} option {choice.identifier}".strip()
        yield from shows(told.get(choice.identifier, ""), marking.feedback(chosen), facts, place)
        if chosen[name] == right:
            continue
        if marking.score(chosen) != 0:
            yield Fault("wrong-option-earns", "a wrong option earns marks", place=place)
        if marking.score({**marking.everything(), **chosen}) >= marking.total:
            yield Fault("wrong-option-earns", "the maximum is earned with a wrong option", place=place)
        if _named(RIGHT, view) in marking.feedback(chosen):
            yield Fault("wrong-feedback", "a wrong option is told to be right", place=place)


def _choices(marking: _Marking, view: PartView) -> Iterator[Fault]:
    """Every set of options is tried: only the keyed one earns all, and a wrong option never adds anything."""
    assert view.choice is not None
    name, right = view.choice.response, marking.everything()
    keyed = {str(item) for item in right[name].items} if name in right else set()
    told = {value.identifier: value.feedback for value in view.part.values}
    names = [choice.identifier for choice in view.choice.choices]
    scores: dict[frozenset[str], int | Fraction] = {}
    for chosen in _subsets(names, keyed):
        given = {**right, name: Value("identifier", tuple(sorted(chosen)), "multiple")}
        if not chosen:
            del given[name]
        scores[chosen], shown = marking.outcomes(given)
        place = f"{view.place} options {' '.join(sorted(chosen))}".strip()
        if (scores[chosen] == marking.total) != (chosen == keyed) or scores[chosen] > marking.total:
            message = f"the options earn {scores[chosen]} of {marking.total}"
            yield Fault("wrong-option-earns", message, place=place)
        if (_named(RIGHT, view) in shown) != (chosen == keyed):
            yield Fault("wrong-feedback", "what is right is not told, or what is wrong is", place=place)
    if len({scores[frozenset(keyed ^ {option})] for option in names}) > 1:
        message = "one wrong option more, or one right option less, does not cost the same wherever it is"
        yield Fault("uneven-options", message, place=view.place)
    nothing = scores[frozenset()]
    for chosen, score in scores.items():
        if score < nothing:
            yield Fault("wrong-option-earns", "an answer costs more than it can earn", place=view.place)
        for option in chosen - keyed:
            if score > scores.get(chosen - {option}, score):
                place = f"{view.place} option {option}".strip()
                yield Fault("wrong-option-earns", "a wrong option adds marks", place=place)
    for option in names:
        alone = Value("identifier", (option,), "multiple")
        place = f"{view.place} option {option}".strip()
        yield from shows(told.get(option, ""), marking.feedback({name: alone}), marking.facts, place)


MOST_SUBSETS: Final = 1024


def _subsets(names: list[str], keyed: set[str]) -> Iterator[frozenset[str]]:
    """Every set of options; of very many options those near the keyed set, and each one alone."""
    if 2 ** len(names) <= MOST_SUBSETS:
        for number in range(2 ** len(names)):
            yield frozenset(name for place, name in enumerate(names) if number >> place & 1)
        return
    near = [frozenset(keyed ^ set(pair)) for pair in combinations_with_replacement(names, 2)]
    alone = [frozenset({name}) for name in names]
    yield from dict.fromkeys(
        [frozenset(), frozenset(keyed), *alone, *(frozenset(keyed ^ {n}) for n in names), *near]
    )


def _told_of_right(view: PartView, facts: Facts) -> Iterator[str]:
    """What may be said of the right answer; where that is the line with a slip in it, also what the slip is."""
    yield _named(RIGHT, view)
    if view.part.kind == "wrong-line":
        yield from {each.identifier for each in facts.feedbacks} - {_named(FOLLOWING_LINE, view)}


def _named(feedback: str, view: PartView) -> str:
    return f"{feedback}_{view.part.label}" if view.part.label else feedback


def _entry(marking: _Marking, view: PartView) -> Iterator[Fault]:
    right, label = marking.everything(), view.part.label
    others = {name: value for name, value in right.items() if name not in marking.right[label]}
    base = marking.score(others)
    worth = marking.total - base
    if any(each.identifier == _named(RIGHT, view) for each in marking.facts.feedbacks):
        yield from shows(_named(RIGHT, view), marking.feedback(right), marking.facts, view.place)
    yield from check_recognised(marking, view, right, others, base)
    boxes = boxes_only(view)
    if boxes is not view:
        names = {box.response for box in boxes.boxes}
        worth = marking.total - marking.score({n: v for n, v in right.items() if n not in names})
    if is_interval(view):
        near = interval_probes(boxes, right, marking.total, worth)
    elif has_brackets(view):
        near = bracket_probes(boxes, right, marking.total, worth)
    elif is_points(view):
        near = point_probes(view, marking.score, right, marking.total, worth)
    else:
        near = _box_probes(marking, view, right)
    spelled = spelling_probes(view, marking.facts, right, marking.total)
    words = word_probes(view, right, marking.total, _word_worths(marking, view, right))
    for probe in (*tick_probe(view, right, marking.total, worth), *near, *spelled, *words):
        score, shown = marking.outcomes(probe.answers)
        if score > probe.most or (probe.exactly and score != probe.most) or score < 0:
            message = f"{probe.message} (it earns {score} of {marking.total})"
            yield Fault(probe.code, message, place=probe.place)
        elif probe.code == UNSIMPLIFIED_MARK and _named(UNSIMPLIFIED, view) not in shown:
            message = "an equal value that is not in simplest form is not told so"
            yield Fault("wrong-feedback", message, place=probe.place)
        elif probe.most < marking.total and _named(RIGHT, view) in shown:
            yield Fault("wrong-feedback", "an answer that loses marks is told to be right", place=probe.place)
        elif probe.code != UNSIMPLIFIED_MARK and _named(UNSIMPLIFIED, view) in shown:
            yield Fault("wrong-feedback", "a wrong answer is told to have the right value", place=probe.place)


def _word_worths(marking: _Marking, view: PartView, right: Responses) -> dict[str, Rational]:
    """What is lost where the words of a box are not chosen."""
    return {
        box.response: marking.total - marking.score({n: v for n, v in right.items() if n != box.response})
        for box in word_boxes(view)
    }


def _follow_through(marking: _Marking, view: PartView, views: list[PartView]) -> Iterator[Fault]:
    """Whether what follows from wrong earlier answers earns just what is promised, and nothing near it does."""
    probes = list(follow_probes(view, views, marking.right))
    if not probes and any(marks for _, marks in view.part.follow_marks):
        message = "no wrong earlier answer leads to one that could be tried"
        yield Fault("wrong-follow-through", message, place=view.place)
    for probe in probes:
        message = _misjudged(marking, view, probe)
        if message:
            yield Fault("wrong-follow-through", message, place=view.place)
            return
        shown = marking.feedback(probe.follows)
        told = _named(FOLLOWS, view) in shown
        if told != (probe.marks > 0) or _named(RIGHT, view) in shown:
            yield Fault("wrong-feedback", "what follows through is not told so", place=view.place)
            return


def _misjudged(marking: _Marking, view: PartView, probe: FollowProbe) -> str:
    """What is wrong with the marks of a probe, "" for nothing."""
    base = marking.score(probe.before)
    earned = marking.score(probe.follows) - base
    if earned != probe.marks:
        return f"what follows from a wrong earlier answer earns {earned}, not {probe.marks}"
    if marking.score(probe.keyed) - base != marking.score(marking.right[view.part.label]):
        return "the key does not earn its marks after a wrong answer"
    if probe.unsimplified is not None:
        earned = marking.score(probe.unsimplified) - base
        if earned != max(probe.marks - 1, 0):
            return f"what follows earns {earned} where it is not in lowest terms"
    if any(marking.score(near) > base for near in probe.near):
        return "what does not follow from a wrong earlier answer earns marks"
    return ""


def _box_probes(marking: _Marking, view: PartView, right: Responses) -> Iterator[Probe]:
    worths = {}
    for group in groups(view.boxes).values():
        boxes = {box.response for box in group.values()}
        empty = {name: value for name, value in right.items() if name not in boxes}
        worths[first_box(group)] = marking.total - marking.score(empty)
    return box_probes(view, right, marking.total, worths)
