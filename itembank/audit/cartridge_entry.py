"""Typed answers: each listed spelling is read, compared with the key, and earns what such an answer should."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import permutations
from math import gcd

from itembank.audit import numbers
from itembank.audit.bracket_check import bracket_values, has_brackets
from itembank.audit.cartridge_marking import check_nothing, run
from itembank.audit.cartridge_reader import Gap, Question, with_right
from itembank.audit.entry_check import check_entry, groups, is_pair
from itembank.audit.facts import Box, Facts
from itembank.audit.findings import Fault
from itembank.audit.part_view import PartView
from itembank.audit.points_check import is_points, point_values
from itembank.audit.tongues import Tongue
from itembank.audit.typed_answers import Typed, read_typed

__all__ = ["check_typed"]

_FULL = Fraction(100)
_ROUNDED = Fraction(1, 100)
Boxes = Mapping[str, str]


@dataclass(slots=True)
class _Judge:
    """Says of typed numbers whether they are the key: as it is asked for, or in value.

    places: of the decimals of each unknown, after which zeros may be left out; a number typed with fewer is no rougher
    for it.
    """

    view: PartView
    facts: Facts
    gaps: tuple[Gap, ...]
    places: Mapping[str, int]
    known: dict[Typed, list[Fault]] = field(default_factory=dict)

    def faults(self, typed: Typed, boxes: Boxes) -> list[Fault]:
        """What keeps the boxes from being the key."""
        if typed not in self.known:
            right = {name: (text,) for name, text in boxes.items()}
            if self.view.tick and not typed:
                right[self.view.tick.response] = ("none",)
            compared = (
                point_values if is_points(self.view) else bracket_values if has_brackets(self.view) else None
            )
            self.known[typed] = list(check_entry(self.view, with_right(self.facts, right), compared))
        return self.known[typed]

    def is_right(self, typed: Typed) -> tuple[bool, bool]:
        """Whether numbers are the key as asked for, and whether in value. Raises Fault for what fits no gaps."""
        boxes = _filled(self.gaps, typed)
        if boxes is None:
            raise Fault("unclear-entry", f"the listed answer {', '.join(typed)!r} does not fit the gaps")
        boxes = {**boxes, **self._with_zeros(boxes)}
        exact = not self.faults(typed, boxes)
        if exact or not typed:
            return exact, exact
        plain = {**boxes}
        for group in groups(self.view.boxes).values():
            plain.update(_simplest(group, boxes))
        return False, not self.faults(("simplest", *typed), plain)

    def _with_zeros(self, boxes: Boxes) -> dict[str, str]:
        """The decimals among the boxes, each with as many places as the keyed ones."""
        decimals = {box.response for box in self.view.boxes if box.form == "decimal"} & boxes.keys()
        return {
            name: _at_places(boxes[name], self.places.get(gap.unknown, 0))
            for gap in self.gaps
            for name in decimals.intersection(gap.responses)
        }


def check_typed(question: Question, view: PartView, facts: Facts) -> Iterator[Fault]:
    """Everything wrong with a typed answer: what is listed, what it earns, what is missing from the list."""
    judge = _Judge(view, facts, question.gaps, _places(question))
    full: dict[Typed, None] = {}
    listed: list[tuple[str, Typed, tuple[bool, bool]]] = []
    for rule in question.conditions:
        for text in rule.equal:
            typed = read_typed(text, len(question.gaps), question.words)
            if typed is None:
                yield Fault("unclear-entry", f"the listed answer {text!r} cannot be read", place=view.place)
                continue
            listed.append((text, typed, judge.is_right(typed)))
    keyed = [typed for _, typed, (exact, _) in listed if exact]
    for text, typed, (exact, equal) in listed:
        near = exact or any(_is_near(question.gaps, typed, each) for each in dict.fromkeys(keyed))
        if near:
            full[typed] = None
        alone = Fraction(0) if equal else _earned_alone(question, view, typed, keyed)
        yield from _earned(question, view, text, near, equal, alone)
    if not full:
        yield from _nothing_right(question, judge)
        yield Fault("no-key", "no listed answer is the key", place=view.place)
    yield from _missing(question, view, list(full))
    yield from _probes(question, judge, keyed, list(full))
    yield from _shares(question, view, keyed)
    yield from check_nothing(question)
    marks = sum(mark.worth for line in view.part.lines for mark in line.marks)
    # beside words that a question of their own asks for, the lines bear the marks of both
    if marks and (marks < question.weight if question.apart else marks != question.weight):
        message = f"the marks on the lines come to {marks}, the answer earns {question.weight}"
        yield Fault("marks-do-not-sum", message, place=view.place)


def _is_near(gaps: tuple[Gap, ...], typed: Typed, keyed: Typed) -> bool:
    """Whether decimals lie within the tolerances that the gaps tell of, and all other numbers are those keyed."""
    if not any(gap.tolerance for gap in gaps) or len(typed) != len(keyed):
        return False
    return all(
        abs(Fraction(number) - Fraction(wanted)) <= gap.tolerance
        for gap, number, wanted in zip(gaps, typed, keyed, strict=False)
    )


def _places(question: Question) -> dict[str, int]:
    """The most decimal places that each unknown has in a listed answer that earns everything."""
    places: dict[str, int] = {}
    for text in (text for rule in question.conditions if rule.score == _FULL for text in rule.equal):
        typed = read_typed(text, len(question.gaps), question.words) or ()
        for gap, number in zip(question.gaps, typed, strict=False):
            places[gap.unknown] = max(places.get(gap.unknown, 0), len(number.partition(".")[2]))
    return places


def _at_places(number: str, places: int) -> str:
    """A number with zeros after its point, up to so many places.

    >>> _at_places("2", 2), _at_places("-1.5", 2), _at_places("1/2", 2)
    ('2.00', '-1.50', '1/2')
    """
    whole, _, after = number.partition(".")
    return number if "/" in number or len(after) >= places else f"{whole}.{after.ljust(places, '0')}"


def _earned(
    question: Question, view: PartView, text: str, exact: bool, equal: bool, alone: Fraction
) -> Iterator[Fault]:
    """Whether a listed answer earns and shows what it should; alone: the marks of what is right in a wrong one."""
    score, shown = run(question, frozenset({text}))
    place = f"{view.place} answer {text!r}".strip()
    if exact:
        if score != _FULL:
            yield Fault("key-misses-maximum", "a right answer does not earn everything", place=place)
        if shown != ("F0",):
            yield Fault("wrong-feedback", "a right answer is not told to be right", place=place)
    elif equal:
        if shown != ("FU",):
            yield Fault(
                "wrong-feedback", "an equal value that is not in simplest form is not told so", place=place
            )
        least = Fraction(100 * (question.weight - 1), max(question.weight, 1))
        if score >= _FULL or (len(view.part.unknowns) < 2 and abs(score - least) > _ROUNDED):
            message = "an equal value that is not in simplest form does not earn one mark less"
            yield Fault("unsimplified-mark", message, place=place)
    else:
        wanted = 100 * alone / max(question.weight, 1)
        if score > wanted + _ROUNDED:
            message = (
                "a wrong answer earns more marks than what is right in it"
                if wanted
                else "a wrong answer earns marks"
            )
            yield Fault("wrong-entry-earns", message, place=place)
        if score < wanted - _ROUNDED:
            yield Fault(
                "part-marks-lost", "what is right in a wrong answer does not earn its marks", place=place
            )
        if not shown or not set(shown).isdisjoint({"F0", "FU"}):
            yield Fault("wrong-feedback", "a wrong answer is not told what it is", place=place)


def _nothing_right(question: Question, judge: _Judge) -> Iterator[Fault]:
    """What is wrong with the first answer that is taken for right."""
    for rule in question.conditions:
        if rule.score == _FULL and rule.equal:
            typed = read_typed(rule.equal[0], len(question.gaps), question.words) or ()
            yield from judge.faults(typed, _filled(judge.gaps, typed) or {})
            return


def _missing(question: Question, view: PartView, full: list[Typed]) -> Iterator[Fault]:
    """Whether a right answer counts with either minus sign, any usual mark between numbers, and in any order."""
    for typed in full:
        for text in _spelt(typed, question.words):
            if run(question, frozenset({text}))[0] != _FULL:
                yield Fault("spelling-missing", f"the right answer {text!r} does not count", place=view.place)
        for other in _reordered(question.gaps, typed):
            if other not in full:
                message = "the same values in another order earn less"
                yield Fault("order-matters", message, place=view.place)


def _spelt(typed: Typed, words: Tongue) -> list[str]:
    if not typed:
        return list(words.typed_nothing)
    marks = ("; ",) if len(typed) > 1 and any("." in each for each in typed) else (", ", ",")
    texts = [mark.join(typed) for mark in marks]
    return list(dict.fromkeys([*texts, *(text.replace("-", "−") for text in texts)]))


def _reordered(gaps: tuple[Gap, ...], typed: Typed) -> Iterator[Typed]:
    """The numbers with the values of one unknown, or points, in every order, where all gaps are filled."""
    slots = sorted({gap.slot for gap in gaps})
    if [gap.slot for gap in gaps] != sorted(gap.slot for gap in gaps):
        return
    if len(slots) < 2 or len(typed) != len(gaps):
        return
    width = len(gaps) // len(slots)
    pieces = [typed[start : start + width] for start in range(0, len(typed), width)]
    for order in permutations(pieces):
        yield tuple(number for piece in order for number in piece)


def _shares(question: Question, view: PartView, keyed: list[Typed]) -> Iterator[Fault]:
    """Whether the marks told at the gaps come to those of the question."""
    each = {gap.unknown: gap.marks for gap in question.gaps}
    if not any(each.values()):
        return
    if is_points(view):
        told = max(each.values()) * max((len(set(_points(typed))) for typed in keyed), default=0)
    else:
        told = sum(each.values(), Fraction(0))
    if told != question.weight:
        message = f"the marks at the gaps come to {told}, the answer earns {question.weight}"
        yield Fault("marks-do-not-sum", message, place=view.place)


def _points(typed: Typed) -> list[Typed]:
    """Numbers by twos, in order."""
    return [typed[start : start + 2] for start in range(0, len(typed), 2)]


def _earned_alone(question: Question, view: PartView, typed: Typed, keyed: list[Typed]) -> Fraction:
    """What the unknowns or points that are right earn in a wrong answer; 0 where the gaps tell no marks."""
    if not any(gap.marks for gap in question.gaps):
        return Fraction(0)
    if is_points(view):
        entered, right = set(_points(typed)), {each for way in keyed for each in _points(way)}
        if len(right) < len({gap.slot for gap in question.gaps}) and not entered <= right:
            return Fraction(0)
        return question.gaps[0].marks * len(entered & right)
    alone = [Fraction(0)]
    for way in keyed:
        if len(way) != len(typed) or len(way) > len(question.gaps):
            continue
        marks = {gap.unknown: gap.marks for gap in question.gaps}
        for gap, number, wanted in zip(question.gaps, typed, way, strict=False):
            if Fraction(number) != Fraction(wanted):
                marks[gap.unknown] = Fraction(0)
        alone.append(sum(marks.values(), Fraction(0)))
    return max(alone)


def _probes(question: Question, judge: _Judge, keyed: list[Typed], full: list[Typed]) -> Iterator[Fault]:
    """One number wrong at a time: nothing is earned but what the others earn alone.

    A decimal is tried on the ends of its tolerance too, and one place past them.
    """
    for typed in full[:1]:
        for index, number in enumerate(typed):
            turned = [f"-{number}".replace("--", "")] if number.strip("-0.") else []
            for other in (_raised(number), *turned, *_ends(judge, keyed, index)):
                changed = (*typed[:index], other, *typed[index + 1 :])
                score, _ = run(question, frozenset({", ".join(changed)}))
                if any(_is_near(question.gaps, changed, each) for each in keyed):
                    if run(question, frozenset(_spelt(changed, question.words)[:1]))[0] != _FULL:
                        message = f"{other} lies within the tolerance and does not count"
                        yield Fault("end-earns-less", message, place=f"gap {index + 1}")
                    continue
                if score and not judge.is_right(changed)[1]:
                    alone = _earned_alone(question, judge.view, changed, keyed)
                    if score <= 100 * alone / max(question.weight, 1) + _ROUNDED:
                        continue
                    message = "a wrong number in the answer earns marks"
                    yield Fault("wrong-entry-earns", message, place=f"gap {index + 1}")


def _ends(judge: _Judge, keyed: list[Typed], index: int) -> Iterator[str]:
    """The last decimals within the tolerance of a gap, by the places it is told to, and the first beyond it."""
    gap = judge.gaps[min(index, len(judge.gaps) - 1)]
    if not gap.tolerance or not keyed or len(keyed[0]) != len(judge.gaps):
        return
    places = judge.places.get(gap.unknown, 0)
    unit = Fraction(1, 10**places)
    within = gap.tolerance // unit
    for steps in (within, within + 1):
        for sign in (-1, 1):
            yield _in_digits((Fraction(keyed[0][index]) + sign * steps * unit) / unit, places)


def _in_digits(units: Fraction, places: int) -> str:
    """Whole units of the last place as a decimal.

    >>> _in_digits(Fraction(-5), 2), _in_digits(Fraction(120), 1), _in_digits(Fraction(7), 0)
    ('-0.05', '12.0', '7')
    """
    digits = str(abs(int(units))).rjust(places + 1, "0")
    sign = "-" if units < 0 else ""
    return f"{sign}{digits[:-places]}.{digits[-places:]}" if places else f"{sign}{digits}"


def _raised(number: str) -> str:
    above, stroke, below = number.partition("/")
    whole, point, places = above.partition(".")
    return f"{int(whole) + 1}{point}{places}{stroke}{below}"


def _filled(gaps: tuple[Gap, ...], typed: Typed) -> dict[str, str] | None:
    """The boxes filled with numbers in order, a value given twice only once; None where they do not fit."""
    if not typed:
        return {}
    # what stands in one slot belongs together: a value, the coordinates of a point, or a value of each unknown
    width = len([gap for gap in gaps if gap.slot == gaps[0].slot])
    held = list(typed)
    if len(held) == len(gaps) - 1 and gaps[-1].roles == ("s",) and len(held) < 2 * width:
        held.append("1")
    if len(held) > len(gaps) or len(held) % width:
        return None
    pieces = [tuple(held[start : start + width]) for start in range(0, len(held), width)]
    numbers_typed = [number for piece in dict.fromkeys(pieces) for number in piece]
    boxes: dict[str, str] = {}
    for gap, number in zip(gaps, numbers_typed, strict=False):
        above, _, below = number.partition("/")
        if len(gap.roles) == 1:
            if below:
                return None
            boxes[gap.responses[0]] = _whole_digits(number) if gap.form == "integer" else number
        else:
            boxes.update(zip(gap.responses, (above, below or "1"), strict=True))
    return boxes


def _whole_digits(number: str) -> str:
    """A whole number without a point and noughts behind it; any other as it is.

    >>> _whole_digits("-2.0"), _whole_digits("20."), _whole_digits("2.5")
    ('-2', '20', '2.5')
    """
    whole, _, decimals = number.partition(".")
    return number if decimals.strip("0") else whole


def _simplest(group: Mapping[str, Box], boxes: Boxes) -> dict[str, str]:
    """The boxes of one value as they would be in simplest form; {} where there is nothing to be done."""
    held = {role: boxes[box.response] for role, box in group.items() if box.response in boxes}
    if len(held) < len(group) or not all(_is_whole(text) for text in held.values()):
        return {}
    whole = {role: int(text) for role, text in held.items()}
    form = next(iter(group.values())).form
    if form == "brackets":
        return {group[role].response: str(number) for role, number in _out_of_brackets(whole).items()}
    if form == "fraction" and whole["denominator"]:
        whole = _divided(whole, gcd(*whole.values()) * (1 if whole["denominator"] > 0 else -1))
    if form == "surd" and "q" in whole and whole["r"] > 0:
        root, free = numbers.square_part(whole["r"])
        whole.update(q=whole["q"] * root, r=free)
        if is_pair(group):
            whole["q"] = abs(whole["q"])
        if whole.get("s"):
            others = {role: number for role, number in whole.items() if role != "r"}
            divisor = gcd(*others.values()) * (1 if whole["s"] > 0 else -1)
            whole.update(_divided(others, divisor))
            if is_pair(group):
                whole["q"] = abs(whole["q"])
    return {group[role].response: str(number) for role, number in whole.items()}


def _out_of_brackets(whole: dict[str, int]) -> dict[str, int]:
    """Common factors of the brackets taken out before them, where there is room for a number."""
    taken = dict(whole)
    for first, second in ("ab", "cd") if "k" in whole else ():
        divisor = gcd(whole[first], whole[second])
        if divisor:
            taken.update({first: whole[first] // divisor, second: whole[second] // divisor})
            taken["k"] *= divisor
    return taken


def _divided(whole: dict[str, int], by: int) -> dict[str, int]:
    return {role: number // by for role, number in whole.items()} if by else whole


def _is_whole(text: str) -> bool:
    return text.removeprefix("-").isdecimal()
