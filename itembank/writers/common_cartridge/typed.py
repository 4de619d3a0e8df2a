"""Boxes as one typed answer: which gaps there are, in which order, and what each accepted spelling earns.

The profile has one line to type in for an item, compares texts only and knows neither tolerance nor arithmetic. So the
boxes are shown as numbered gaps, the pupil types what belongs in them in this order, and every spelling that earns
marks or is a known wrong answer is listed. Equal values that are not simplified are listed as far as they are finitely
many: with the denominator as keyed. An entry that cannot be listed is told, never guessed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import permutations, product
from math import gcd
from typing import Final, NamedTuple

from itembank.expressions.display import Decimal
from itembank.items import Blank, BoxValue, EntryResponse, marks_text
from itembank.writers.common_cartridge.inequalities import inequalities, is_typed
from itembank.writers.common_cartridge.spellings import Token, has_decimal_comma, no_solution, spellings
from itembank.writers.phrases import Phrases, phrases
from itembank.writers.scheme import entered_score

__all__ = ["FORMS", "Cause", "Gap", "NotListed", "Typed", "gaps", "typed"]

FORMS: Final = frozenset({"integer", "fraction", "decimal", "surd", "brackets"})
MOST_SPELLINGS: Final = 300
MOST_RULES: Final = 390
_MOST_DECIMALS: Final = 40
_MOST_BRACKETS: Final = 24


class NotListed(Exception):
    """The entry cannot become one typed answer; its text is the reason, in plain words."""


class Gap(NamedTuple):
    """A numbered gap: what belongs in it. role: `value`, `fraction`, or of a surd `p q r s`; slot counts from 1;
    tolerance: of a decimal, "" for none; marks: what its value, or its point, earns alone, "" for nothing."""

    unknown: str
    form: str
    role: str
    slot: int
    tolerance: str = ""
    marks: str = ""


class Cause(NamedTuple):
    """Spellings of one meaning. marks: what they earn; feedback: what they show, "" for nothing."""

    spellings: tuple[str, ...]
    marks: int | Fraction
    feedback: str


@dataclass(frozen=True, slots=True)
class Typed:
    """Every spelling that counts, the right ones first. lost: what such an answer cannot do, in plain words."""

    causes: tuple[Cause, ...]
    lost: tuple[str, ...]


def gaps(response: EntryResponse) -> tuple[Gap, ...]:
    """The gaps in reading order, of points the coordinates of each side by side."""
    found: list[Gap] = []
    for blank in response.blanks:
        roles = ("fraction",) if blank.form == "fraction" else blank.boxes
        within = "" if blank.tolerance is None else str(blank.tolerance)
        alone = response.share if response.points else blank.worth if len(response.blanks) > 1 else 0
        marks = marks_text(Fraction(alone)) if alone else ""
        found += [
            Gap(blank.unknown, blank.form, role, slot, within, marks)
            for slot in range(1, blank.slots + 1)
            for role in roles
        ]
    return tuple(sorted(found, key=lambda gap: gap.slot) if response.points else found)


def typed(response: EntryResponse, language: str) -> Typed:
    """What a response comes to as one typed answer. Raises NotListed."""
    comma, said = has_decimal_comma(language), phrases(language)
    earned: dict[str, tuple[int | Fraction, str]] = {}
    if len(response.blanks) == 1 and is_typed(response.blanks[0]):
        return _typed_inequalities(response, response.blanks[0], said)
    if not {blank.form for blank in response.blanks} <= FORMS:
        raise NotListed("its boxes ask for something that cannot be typed in one line")
    if response.tick_is_right:
        earned.update(dict.fromkeys(no_solution(said), (response.marks, "F0")))
    elif _has_empty_boxes_between(response):
        raise NotListed("boxes that stay empty among several unknowns would not be told apart when typed")
    else:
        for tokens, marks in _answers(response):
            told = "F0" if marks == response.marks else "FU"
            for text in spellings(tokens, comma):
                if earned.setdefault(text, (marks, told))[0] < marks:
                    earned[text] = (marks, told)
            if len(earned) > MOST_SPELLINGS:
                raise NotListed("its right answers have too many spellings to be listed")
    lost = list(_lost(response))
    if any(_has_too_many(blank) for blank in response.blanks):
        lost.append("an equal product with a common factor left in a bracket earns nothing")
    for number, entry in enumerate(response.recognised, start=1):
        told = f"F{number}" if entry.slip.pupil is not None else ""
        texts = list(_wrong(response, entry.values, comma)) if told else []
        if len(earned) + len(texts) > MOST_RULES:
            lost.append("a known wrong entry with too many spellings is not recognised")
            continue
        alone = entered_score(response, entry.values) if _is_plain(response, entry.values) else 0
        for text in texts:
            earned.setdefault(text, (alone, told))
    return Typed(tuple(_gathered(earned)), tuple(dict.fromkeys(lost)))


def _is_plain(response: EntryResponse, values: Sequence[Sequence[tuple[BoxValue, ...]]]) -> bool:
    """Whether it is plain which number of a typed entry belongs to which unknown."""
    return bool(response.points) or all(
        len(entered) == len(blank.values) for entered, blank in zip(values, response.blanks, strict=True)
    )


def _typed_inequalities(response: EntryResponse, blank: Blank, said: Phrases) -> Typed:
    """An interval as typed inequalities."""
    spelt = inequalities(blank.unknown, blank.values, blank.join, said) if blank.values else ()
    right = no_solution(said) if response.tick_is_right else spelt
    earned: dict[str, tuple[int | Fraction, str]] = dict.fromkeys(right, (response.marks, "F0"))
    lost = ["inequalities are typed, which counts in the listed spellings only"]
    if blank.ends == "fraction":
        lost.append("an equal fraction that is not in lowest terms earns nothing")
    for number, entry in enumerate(response.recognised, start=1):
        if entry.slip.pupil is not None and entry.values[0]:
            texts = inequalities(blank.unknown, entry.values[0], entry.join, said)
            if len(earned) + len(texts) > MOST_RULES:
                lost.append("a known wrong entry with too many spellings is not recognised")
                continue
            for text in texts:
                earned.setdefault(text, (0, f"F{number}"))
    return Typed(tuple(_gathered(earned)), tuple(dict.fromkeys(lost)))


def _has_empty_boxes_between(response: EntryResponse) -> bool:
    """Whether boxes of one unknown stay empty before those of another; points stand side by side."""
    if response.points or len(response.blanks) == 1:
        return False
    return any(blank.slots != len(blank.values) for blank in response.blanks)


def _gathered(earned: dict[str, tuple[int | Fraction, str]]) -> Iterator[Cause]:
    grouped: dict[tuple[int | Fraction, str], list[str]] = {}
    for text, meaning in earned.items():
        grouped.setdefault(meaning, []).append(text)
    for (marks, told), texts in sorted(grouped.items(), key=lambda each: (-each[0][0], each[0][1])):
        yield Cause(tuple(texts), marks, told)


def _answers(response: EntryResponse) -> Iterator[tuple[tuple[Token, ...], int]]:
    """Every list of numbers that earns marks, with the marks: all blanks right, or equal and not simplified."""
    if response.points:
        yield from _point_answers(response, [blank.values for blank in response.blanks])
        return
    held = [_blank_answers(blank, blank.values, _may_leave_out(response, blank)) for blank in response.blanks]
    for row in product(*held):
        yield tuple(token for tokens, _ in row for token in tokens), sum(marks for _, marks in row)


def _wrong(
    response: EntryResponse, values: Sequence[Sequence[tuple[BoxValue, ...]]], comma: bool
) -> Iterator[str]:
    """The spellings of a wrong answer that is known."""
    if response.points:
        for tokens, marks in _point_answers(response, values):
            if marks == response.marks:
                yield from spellings(tokens, comma)
        return
    held = []
    for blank, of_blank in zip(response.blanks, values, strict=True):
        answers = _blank_answers(blank, of_blank, _may_leave_out(response, blank))
        held.append([tokens for tokens, marks in answers if marks == blank.worth])
    for row in product(*held):
        yield from spellings(tuple(token for tokens in row for token in tokens), comma)


def _point_answers(
    response: EntryResponse, columns: Sequence[Sequence[tuple[BoxValue, ...]]]
) -> Iterator[tuple[tuple[Token, ...], int]]:
    """Lists of numbers for points in any order, the coordinates of each together, with what they earn."""
    found: dict[tuple[Token, ...], int] = {}
    points = list(zip(*columns, strict=True))
    for arranged in _arranged(response.blanks[0], len(points)):
        held = [
            _ways(blank, value, False)
            for index in arranged
            for blank, value in zip(response.blanks, points[index], strict=True)
        ]
        for row in product(*held):
            tokens = tuple(token for way, _ in row for token in way)
            marks = response.marks if all(simplest for _, simplest in row) else max(response.marks - 1, 0)
            found[tokens] = max(found.get(tokens, 0), marks)
            if len(found) > MOST_SPELLINGS:
                raise NotListed("its right answers have too many spellings to be listed")
    yield from found.items()


def _may_leave_out(response: EntryResponse, blank: Blank) -> bool:
    """Whether a denominator of 1 may be left out: only at the very end is it plain which number is missing."""
    return blank is response.blanks[-1] and blank.slots == 1 and blank.boxes[-1:] == ("s",)


def _blank_answers(
    blank: Blank, values: Sequence[tuple[BoxValue, ...]], may_leave_out: bool
) -> list[tuple[tuple[Token, ...], int]]:
    """Lists of numbers for one blank, each once, with what they earn."""
    found: dict[tuple[Token, ...], int] = {}
    for arranged in _arranged(blank, len(values)):
        ways = [_ways(blank, values[index], may_leave_out) for index in arranged]
        for row in product(*ways):
            tokens = tuple(token for way, _ in row for token in way)
            marks = blank.worth if all(simplest for _, simplest in row) else blank.worth - 1
            found[tokens] = max(found.get(tokens, 0), marks)
            if len(found) > MOST_SPELLINGS:
                raise NotListed("its right answers have too many spellings to be listed")
    return list(found.items())


def _arranged(blank: Blank, count: int) -> Iterator[tuple[int, ...]]:
    """The orders in which values may stand; a value may be given twice where there are more slots than values."""
    if not count:
        return
    if not blank.any_order:
        yield tuple(range(count))
        return
    for length in range(count, blank.slots + 1):
        repeated = product(range(count), repeat=length) if length > count else permutations(range(count))
        yield from (order for order in repeated if len(set(order)) == count)


def _ways(
    blank: Blank, value: tuple[BoxValue, ...], may_leave_out: bool
) -> list[tuple[tuple[Token, ...], bool]]:
    """The numbers of one value, and whether they are as asked for."""
    match blank.form:
        case "decimal":
            return [((text,), True) for text in _decimals(blank, value[0])]
        case "integer":
            return [(((_whole(value[0]),),), True)]
        case "fraction":
            return [(((_whole(value[0]), _whole(value[1])),), True)]
        case "surd":
            return _surds(
                blank,
                {role: _whole(each) for role, each in zip(blank.boxes, value, strict=True)},
                may_leave_out,
            )
        case "brackets":
            ways = _brackets(dict(zip(blank.boxes, map(_whole, value), strict=True)))
            return [way for way in ways if way[1]] if len(ways) > _MOST_BRACKETS else ways
        case other:
            raise NotListed(f"the cartridge has no form of answer for {other}")


def _whole(value: BoxValue) -> int:
    if not isinstance(value, int):
        raise NotListed("a box of whole numbers holds something else")
    return value


def _decimals(blank: Blank, value: BoxValue) -> Iterator[str]:
    """The decimals with the places asked for, or fewer, that lie within the tolerance; the keyed one first."""
    if not isinstance(value, Decimal):
        raise NotListed("a box of decimals holds something else")
    yield str(value)
    if blank.tolerance is None:
        return
    scale = 10 ** max(blank.places, value.places)
    centre, within = value.value * scale, int(blank.tolerance.value * scale)
    if within > _MOST_DECIMALS // 2:
        raise NotListed("too many decimals lie within its tolerance to be listed")
    for step in range(-within, within + 1):
        if step:
            yield str(Decimal((centre + step) / scale, max(blank.places, value.places)))


def _has_too_many(blank: Blank) -> bool:
    """Whether products with a common factor left in a bracket are too many to be listed."""
    if blank.form != "brackets":
        return False
    held = dict(zip(blank.boxes, map(_whole, blank.values[0]), strict=True))
    return len(_brackets(held)) > _MOST_BRACKETS


def _brackets(held: dict[str, int]) -> list[tuple[tuple[Token, ...], bool]]:
    """Every product of whole numbers that is equal, the brackets in either order, those as asked for first.

    With a number before them a common factor may be left in a bracket, which is not as asked for.
    """
    first, second = (gcd(held["a"], held["b"]), gcd(held["c"], held["d"]))
    scale = held.get("k", 1) * first * second
    pairs = [
        (held["a"] // first, held["b"] // first), (held["c"] // second, held["d"] // second),
    ]  # fmt: skip
    divisors = [sign * n for n in range(1, abs(scale) + 1) if scale % n == 0 for sign in (1, -1)]
    ways: dict[tuple[Token, ...], bool] = {}
    for (one, other), m, n in product(permutations(pairs), divisors, divisors):
        if scale % (m * n) or ("k" not in held and m * n != scale):
            continue
        numbers = [m * one[0], m * one[1], n * other[0], n * other[1]]
        tokens = tuple((each,) for each in ([scale // (m * n), *numbers] if "k" in held else numbers))
        ways[tokens] = "k" not in held or abs(m) == abs(n) == 1
    return sorted(ways.items(), key=lambda way: not way[1])


def _surds(blank: Blank, held: dict[str, int], may_leave_out: bool) -> list[tuple[tuple[Token, ...], bool]]:
    """p, q, r, s as keyed, and with a square left under the root (or the other sign before it, of a pair)."""
    forms = [(held, True)]
    if "q" in held:
        q, r = held["q"], held["r"]
        for divisor in range(1, abs(q) + 1):
            if q % divisor == 0:
                below = r * (q // divisor) ** 2
                signs = (1, -1) if blank.pair else (1 if q > 0 else -1,)
                forms += [({**held, "q": s * divisor, "r": below}, False) for s in signs if s * divisor != q]
    ways: list[tuple[tuple[Token, ...], bool]] = [
        (tuple((form[role],) for role in blank.boxes), simplest) for form, simplest in forms
    ]
    if may_leave_out and held.get("s") == 1:
        ways += [(tokens[:-1], simplest) for tokens, simplest in ways]
    return ways


@cache
def _told(
    what: str, has_several: bool, forms: frozenset[str], has_scale: bool, follows: bool
) -> tuple[str, ...]:
    told = ["boxes become one typed answer, which counts in the listed spellings only"]
    if has_several:
        told.append(
            f"marks for single {what} are given in listed wrong answers only, all others count as a whole"
        )
    if "fraction" in forms:
        told.append("an equal fraction that is not in lowest terms earns nothing")
    if "surd" in forms and has_scale:
        told.append("an equal surd that is not simplified earns marks only with the denominator of the key")
    if "decimal" in forms:
        told.append("a decimal with more places than asked for earns nothing")
    if follows:
        told.append("follow-through marks are given for the right value only")
    return tuple(told)


def _lost(response: EntryResponse) -> tuple[str, ...]:
    return _told(
        "points" if response.points else "boxes",
        bool(response.share) if response.points else len(response.blanks) > 1,
        frozenset([blank.form for blank in response.blanks]),
        any("s" in blank.boxes for blank in response.blanks),
        any(mark.follow_through for blank in response.blanks for mark in blank.marks),
    )
