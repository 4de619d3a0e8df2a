"""Answers to try on a platform, each with what it should earn and what the pupil should then be told.

For the page of a sampler: somebody answers so, and compares. Nothing is marked here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeAlias

from itembank.content import Content, of_text
from itembank.items import (
    SIGNS,
    WORD_NAMES,
    Blank,
    BoxValue,
    ChoiceResponse,
    ChoicesResponse,
    EntryResponse,
    MatchResponse,
    Option,
    Ordered,
    OrderResponse,
    Part,
    WrittenResponse,
    WrongLineResponse,
    marks_text,
)
from itembank.writers.phrases import Phrases
from itembank.writers.points import right_points

__all__ = ["Trial", "trials"]

Sentences: TypeAlias = tuple[Content, ...]
Values: TypeAlias = tuple[tuple[BoxValue, ...], ...]


@dataclass(frozen=True, slots=True)
class Trial:
    """answer: what to do, plain words; marks: as a decimal; told: sentences for the pupil, () for none.

    in_boxes: for an entry the contents of its boxes in reading order, "" where one stays empty.
    """

    answer: str
    marks: str
    told: Sentences
    in_boxes: tuple[str, ...] = ()


def trials(part: Part, said: Phrases) -> Iterator[Trial]:
    """What to try on a part: the right answer, wrong ones with a known cause, and nothing at all."""
    match part.response:
        case ChoiceResponse() as response:
            yield from _choice(response, said)
        case ChoicesResponse() as response:
            yield from _choices(response, said)
        case WrongLineResponse() as response:
            yield from _wrong_line(response, said)
        case EntryResponse() as response:
            yield from _entry(response, said)
        case OrderResponse() as response:
            yield from _order(response, said)
        case MatchResponse() as response:
            yield from _match(response, said)
        case WrittenResponse():
            yield Trial(said("try-writing"), said("marked-by-person"), ())
            return
    yield Trial(said("try-nothing"), "0", ())


def _said(option: Option) -> Sentences:
    return (option.slip.pupil,) if option.slip is not None and option.slip.pupil is not None else ()


def _choice(response: ChoiceResponse, said: Phrases) -> Iterator[Trial]:
    for option in sorted(response.options, key=lambda each: not each.is_key):
        told = (of_text(said("right")),) if option.is_key else _said(option)
        answer = said("try-choose", letters=option.identifier)
        yield Trial(answer, str(response.marks if option.is_key else 0), told)


def _choices(response: ChoicesResponse, said: Phrases) -> Iterator[Trial]:
    right = [option for option in response.options if option.is_key]
    wrong = [option for option in response.options if not option.is_key]
    sets = [right, right[:1], [*right, *wrong[:1]], wrong[:1], list(response.options)]
    for chosen in (each for number, each in enumerate(sets) if each and each not in sets[:number]):
        is_right = chosen == right
        shares = sum(response.share if option.is_key else -response.share for option in chosen)
        marks = Fraction(response.marks) if is_right else max(Fraction(shares), Fraction(0))
        told = (
            (of_text(said("right")),)
            if is_right
            else tuple(s for o in chosen if not o.is_key for s in _said(o))
        )
        names = sorted(option.identifier for option in chosen)
        answer = said("try-choose", letters=_listed(names, said("and")))
        yield Trial(answer, marks_text(marks), told)


def _wrong_line(response: WrongLineResponse, said: Phrases) -> Iterator[Trial]:
    found = (of_text(said("right")), *((response.slip.pupil,) if response.slip.pupil is not None else ()))
    yield Trial(said("try-line", number=response.wrong + 1), str(response.marks), found)
    other = 2 if response.wrong == 0 else 1
    yield Trial(said("try-line", number=other), "0", (of_text(said("line-follows")),))


def _order(response: OrderResponse, said: Phrases) -> Iterator[Trial]:
    right = response.in_order
    yield Trial(_put(right, said), str(response.marks), (of_text(said("right")),))
    swapped = (right[1], right[0], *right[2:])
    yield Trial(_put(swapped, said), marks_text(response.share * (len(right) - 2)), ())


def _put(things: tuple[Ordered, ...], said: Phrases) -> str:
    return said("try-order", letters=", ".join(thing.identifier for thing in things))


def _match(response: MatchResponse, said: Phrases) -> Iterator[Trial]:
    pairs = [(row.identifier[1:], row.target) for row in response.rows]
    yield Trial(_matched(pairs, said), str(response.marks), (of_text(said("right")),))
    yield Trial(_matched(pairs[:1], said), marks_text(response.share), ())
    for target in [each for each in response.targets if each.slip is not None][:1]:
        told = (target.slip.pupil,) if target.slip is not None and target.slip.pupil is not None else ()
        changed = [(pairs[0][0], target.identifier), *pairs[1:]]
        yield Trial(_matched(changed, said), marks_text(response.share * (len(pairs) - 1)), told)


def _matched(pairs: list[tuple[str, str]], said: Phrases) -> str:
    told = ", ".join(said("try-pair", row=row, target=target) for row, target in pairs)
    return said("try-match", pairs=told)


def _entry(response: EntryResponse, said: Phrases) -> Iterator[Trial]:
    right = tuple(blank.values for blank in response.blanks)
    if response.tick_is_right:
        yield Trial(said("try-tick"), str(response.marks), (of_text(said("right")),))
    else:
        yield _typed(response, right, response.marks, (of_text(said("right")),), said)
        yield from _unsimplified(response, said)
        if response.share and len(right[0]) > 1:
            first = tuple(values[:1] for values in right)
            yield _typed(response, first, marks_text(response.share), (), said)
    for entry in response.recognised[:2]:
        told = (entry.slip.pupil,) if entry.slip.pupil is not None else ()
        held = zip(response.blanks, entry.values, strict=True)
        if response.points:
            earned_points = marks_text(response.share * right_points(response, entry.values))
            yield _typed(response, entry.values, earned_points, told, said)
            continue
        earned = sum(blank.worth for blank, values in held if values and values == blank.values)
        yield _typed(response, entry.values, earned, told, said)


def _typed(
    response: EntryResponse, values: tuple[Values, ...], marks: int | str, told: Sentences, said: Phrases
) -> Trial:
    boxes: list[str] = []
    columns = list(zip(response.blanks, values, strict=True))
    if response.points:
        for slot in range(response.blanks[0].slots):
            boxes += [shown for blank, of_blank in columns for shown in _slot(blank, of_blank, slot)]
        columns = []
    for blank, of_blank in columns:
        if blank.words:
            boxes.append(blank.words[WORD_NAMES.index(str(of_blank[0][0]))].text if of_blank else "")
            continue
        boxes += [shown for slot in range(blank.slots) for shown in _slot(blank, of_blank, slot)]
    shown = ", ".join(each or said("try-empty") for each in boxes)
    how = "try-enter" if len(boxes) > 1 else "try-enter-alone"
    return Trial(said(how, boxes=shown), str(marks), told, tuple(boxes))


def _listed(names: Sequence[str], and_: str) -> str:
    """Names in running text.

    >>> _listed(["A"], "and"), _listed(["A", "C", "D"], "and")
    ('A', 'A, C and D')
    """
    return f" {and_} ".join(filter(None, (", ".join(names[:-1]), names[-1])))


def _slot(blank: Blank, values: Values, slot: int) -> list[str]:
    """What stands in the boxes of one value, "" where one stays empty."""
    held = values[slot] if slot < len(values) else (None,) * len(blank.boxes)
    return ["" if each is None else _shown(each) for each in held]


def _shown(value: BoxValue) -> str:
    """What is seen in a box: a number with the true minus sign, an inequality sign, a word."""
    return SIGNS.get(value, value) if isinstance(value, str) else str(value).replace("-", "−")


def _unsimplified(response: EntryResponse, said: Phrases) -> Iterator[Trial]:
    """The only value, equal and not as asked for: a square left under the root, a fraction not cancelled."""
    if len(response.blanks) != 1 or len(response.blanks[0].values) != 1:
        return
    (blank,) = response.blanks
    other = _otherwise(blank, blank.values[0])
    if other:
        yield _typed(response, ((other,),), response.marks - 1, (of_text(said("unsimplified")),), said)


def _otherwise(blank: Blank, value: tuple[BoxValue, ...]) -> tuple[BoxValue, ...]:
    held = dict(zip(blank.boxes, value, strict=True))
    q, r = held.get("q"), held.get("r")
    if blank.form == "surd" and isinstance(q, int) and isinstance(r, int) and abs(q) > 1:
        held.update(q=q // abs(q), r=r * q * q)
        return tuple(held[role] for role in blank.boxes)
    if blank.form == "fraction":
        return tuple(2 * each for each in value if isinstance(each, int))
    return ()
