"""What a mark scheme says of a part: which line earns which marks, what else is accepted, what a slip scores.

The marks of an answer alone are those a platform gives: an equal answer that is not simplified one mark less, a
blank that is right its own marks, everything else none.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import Final

from itembank.content import Content
from itembank.expressions.display import (
    Compared,
    Decimal,
    Display,
    Factors,
    Letter,
    Maths,
    Numeral,
    Over,
    Root,
    Shape,
    Terms,
)
from itembank.items import (
    Blank,
    BoxValue,
    ChoicesResponse,
    EntryResponse,
    Mark,
    MatchResponse,
    Part,
    Slip,
    WrittenResponse,
    marks_text,
)
from itembank.words import Words
from itembank.writers.paper import worked_rows
from itembank.writers.points import right_points

__all__ = [
    "Alternative", "SchemeRow", "SlipScore", "alternatives", "entered_score", "mark_words", "scheme_rows",
    "score_words", "slip_score", "slip_score_words",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class SchemeRow:
    """A line that earns marks: the reason given at it or just before, what is written, the marks."""

    say: Content | None
    left: Maths | None
    right: Maths | None
    aside: Maths | None
    marks: tuple[Mark, ...]


def scheme_rows(part: Part) -> Iterator[SchemeRow]:
    """The lines of the worked solution that earn marks, each with the last reason told before the next mark."""
    said: Content | None = None
    begun: Maths | None = None
    for row in worked_rows(part):
        said = row.say or said
        begun = row.left or begun
        if row.marks:
            left = row.left if row.left is not None or row.right is None else begun
            yield SchemeRow(said, left, row.right, row.aside, row.marks)
            said = None


def mark_words(mark: Mark, words: Words) -> str:
    """What a kind of mark is for."""
    kind = {"M": "method-mark", "A": "accuracy-mark", "B": "independent-mark"}.get(mark.kind)
    told = [words(kind)] if kind else []
    return ", ".join([*told, words("follow-through")] if mark.follow_through else told)


@dataclass(frozen=True, slots=True)
class Alternative:
    """Something else that is accepted: a sentence, an example of it or None, and what it scores."""

    sentence: str
    example: Maths | None
    scores: int


def alternatives(part: Part, words: Words) -> Iterator[Alternative]:
    """What is accepted beside the key of an entry; nothing where the pupil chooses."""
    response = part.response
    if not isinstance(response, EntryResponse):
        return
    if any(blank.any_order and len(blank.values) > 1 for blank in response.blanks):
        ends = any(blank.ends for blank in response.blanks)
        told = words("accept-points" if response.points else "accept-ends" if ends else "accept-order")
        yield Alternative(told, None, response.marks)
        if response.share:
            share = marks_text(response.share).replace(".", words.decimal_mark)
            told = words("accept-each-point", share=share, marks=response.marks)
            yield Alternative(told, None, int(response.share))
    for blank in response.blanks:
        if blank.tolerance is not None and blank.tolerance.value > 0:
            yield Alternative(
                words("accept-decimal", tolerance=_told(blank.tolerance, words)), None, response.marks
            )
        unsimplified = _unsimplified(blank)
        if unsimplified is not None and response.marks > 1 and not 0 < response.share < 1:
            sentence = (
                words("accept-surd", surd=words("surd")) if blank.form == "surd" else words("accept-fraction")
            )
            yield Alternative(sentence, unsimplified, response.marks - 1)


def _told(number: Decimal, words: Words) -> str:
    return str(number).replace(".", words.decimal_mark)


def _unsimplified(blank: Blank) -> Maths | None:
    """An equal value of a blank in a form that was not asked for; None where there is none to show."""
    if not blank.values:
        return None
    boxes = dict(zip(blank.boxes, blank.values[0], strict=True))
    if any(not isinstance(value, int) for value in boxes.values()):
        return None
    shown = (
        _fraction(boxes)
        if blank.form == "fraction"
        else _surd(boxes, blank.pair)
        if blank.form == "surd"
        else None
    )
    if shown is None:
        return None
    return Maths(Shape(Compared((Letter(blank.unknown), shown), ("=",)) if blank.unknown else shown, 0))


def _fraction(boxes: dict[str, BoxValue]) -> Display | None:
    numerator, denominator = boxes.get("numerator"), boxes.get("denominator")
    if not isinstance(numerator, int) or not isinstance(denominator, int) or denominator == 1:
        return None
    return _signed(numerator, Over(_numeral(2 * abs(numerator)), _numeral(2 * denominator)))


def _surd(boxes: dict[str, BoxValue], pair: bool) -> Display | None:
    """The smallest factor before the root taken under it, 4√60 for 8√15; a root without a factor has none."""
    p, q, r, s = (boxes.get(role) for role in "pqrs")
    if not isinstance(q, int) or not isinstance(r, int) or abs(q) < 2:
        return None
    taken = _smallest_factor(abs(q))
    root: Display = Root(_numeral(taken * taken * r))
    if taken < abs(q):
        root = Factors((_numeral(abs(q) // taken), root), (False,))
    sign = "±" if pair else "-" if q < 0 else "+"
    first = [("-" if p < 0 else "+", _numeral(abs(p)))] if isinstance(p, int) and p else []
    above: Display = Terms((*first, (sign, root)))
    if not first and sign == "+":
        above = root
    return Over(above, _numeral(s)) if isinstance(s, int) and s > 1 else above


def _smallest_factor(n: int) -> int:
    """The smallest factor above 1 of a number above 1."""
    return next((d for d in range(2, math.isqrt(n) + 1) if n % d == 0), n)


def _signed(n: int, shown: Display) -> Display:
    return Terms((("-", shown),)) if n < 0 else shown


@cache
def _numeral(n: int) -> Numeral:
    return Numeral(text=str(n))


@dataclass(frozen=True, slots=True)
class SlipScore:
    """What an answer that a slip led to scores: alone, and at most where the method is shown; in whole quarters."""

    alone: int | Fraction
    most: int | Fraction


def slip_score(part: Part, slip: Slip) -> SlipScore:
    """What a slip scores. A blank the slip leaves right earns its marks; method marks need the method shown.

    Of a match the other rows may still earn theirs, of several right options all but the share that a wrong one costs.
    """
    response = part.response
    if isinstance(response, MatchResponse):
        return SlipScore(0, response.share * (len(response.rows) - 1))
    if isinstance(response, ChoicesResponse):
        return SlipScore(0, response.marks - response.share if response.share else 0)
    if not isinstance(response, EntryResponse | WrittenResponse):
        return SlipScore(0, 0)
    alone: int | Fraction = 0
    if isinstance(response, EntryResponse):
        entered = next((entry.values for entry in response.recognised if entry.slip.name == slip.name), ())
        alone = entered_score(response, entered)
    method = sum(mark.worth for line in part.solution for mark in line.marks if mark.kind in {"M", "B"})
    return SlipScore(alone, max(alone, min(method, response.marks - 1)))


def entered_score(
    response: EntryResponse, entered: Sequence[Sequence[tuple[BoxValue, ...]]]
) -> int | Fraction:
    """What a known wrong entry scores: the marks of the blanks, or the shares of the points, that are right in it.

    entered: for each blank its values.
    """
    if response.points:
        return response.share * right_points(response, entered)
    if len(response.blanks) < 2:
        return 0
    return sum(
        blank.worth
        for blank, values in zip(response.blanks, entered, strict=False)
        if sorted(map(repr, blank.values)) == sorted(map(repr, values))
    )


def score_words(count: int, marks: int, words: Words) -> str:
    """What is said of an answer that scores `count` of `marks`."""
    return words("accept-scores-one" if count == 1 else "accept-scores-other", count=count, marks=marks)


_MORE: Final[Mapping[type, str]] = MappingProxyType(
    {MatchResponse: "slip-scores-row", ChoicesResponse: "slip-scores-option"}
)
"""How more than a slip's own score is earned where not by method."""


def slip_score_words(part: Part, slip: Slip, words: Words) -> str:
    """What is said of a slip's score."""
    score = slip_score(part, slip)
    key = "slip-scores"
    if score.most > score.alone:
        key = _MORE.get(type(part.response), "slip-scores-working")
    alone, most = (
        each if isinstance(each, int) else marks_text(each).replace(".", words.decimal_mark)
        for each in (score.alone, score.most)
    )
    return words(key, score=alone, most=most, marks=part.response.marks)
