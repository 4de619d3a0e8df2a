"""Displayed mathematics as arithmetic on responses: quotients of whole numbers, each spelled out as expressions.

The standard's floats would round, so nothing is divided: a value is kept as numerator over denominator, and two values
are compared across. The standard's whole numbers end at 32 bits, so with each quotient goes how large its two parts
can become where no response is larger than a limit; see `forms.py` for why.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import reduce
from typing import NamedTuple, TypeAlias

from itembank.expressions.display import (
    Bracket,
    Display,
    Factors,
    Filling,
    Letter,
    Numeral,
    Over,
    Raised,
    Terms,
    hole_mark,
)
from itembank.writers.qti3 import rules

__all__ = ["NotSpelledOut", "Ratio", "Source", "arithmetic"]

_HIGHEST_POWER = 6

Size: TypeAlias = Callable[[int, tuple[Filling, ...]], int]
"""The largest absolute value for a limit of the responses and the numbers in the holes."""


class NotSpelledOut(Exception):
    """The mathematics is no arithmetic of whole numbers and fractions; the reason is its text."""


class Source(NamedTuple):
    """Where the value of a letter is entered: the boxes of numerator and denominator, "" for a whole number's."""

    letter: str
    above: str
    below: str = ""


@dataclass(frozen=True, slots=True)
class Ratio:
    """above over below, as markup; below is "" where it is 1.

    not_zero: what must not be 0 on the way; boxes: the responses that take part.
    """

    above: str
    below: str
    most_above: Size
    most_below: Size
    not_zero: tuple[str, ...] = ()
    boxes: tuple[str, ...] = ()


def arithmetic(display: Display, sources: Mapping[str, Source], first_hole: int, sign: str = "") -> Ratio:
    """A displayed expression worked out from responses.

    sources: letter -> its boxes; first_hole: the hole of the pattern in which the shape's hole 0 stands; sign: what ±
    is read as. Raises NotSpelledOut.
    """
    return _Reading(sources, first_hole, sign).ratio(display)


def _one(limit: int, numbers: tuple[Filling, ...]) -> int:
    return 1


def _limit(limit: int, numbers: tuple[Filling, ...]) -> int:
    return limit


@dataclass(frozen=True, slots=True)
class _Reading:
    sources: Mapping[str, Source]
    first_hole: int
    sign: str

    def ratio(self, node: Display) -> Ratio:
        """The node as a quotient."""
        match node:
            case Numeral(hole, text):
                return self._numeral(hole, text)
            case Letter(name):
                return self._letter(name)
            case Bracket(inner):
                return self.ratio(inner)
            case Terms(terms):
                return self._sum(terms)
            case Factors(factors):
                return reduce(_times, map(self.ratio, factors))
            case Over(numerator, denominator):
                return _divided(self.ratio(numerator), self.ratio(denominator))
            case Raised(base, Numeral(-1, text)) if text.isdecimal() and 1 <= int(text) <= _HIGHEST_POWER:
                return reduce(_times, [self.ratio(base)] * int(text))
            case _:
                raise NotSpelledOut("it is no sum, product or quotient of whole numbers and earlier answers")

    def _numeral(self, hole: int, text: str) -> Ratio:
        if hole < 0:
            if not text.isdecimal():
                raise NotSpelledOut("a decimal stands in it")
            value = int(text)
            return Ratio(rules.whole(text), "", lambda limit, numbers: value, _one)

        def most(limit: int, numbers: tuple[Filling, ...]) -> int:
            number = numbers[hole]
            if not isinstance(number, int):
                raise NotSpelledOut("a decimal stands in it")
            return number

        return Ratio(rules.whole(hole_mark(self.first_hole + hole)), "", most, _one)

    def _letter(self, name: str) -> Ratio:
        source = self.sources.get(name)
        if source is None:
            raise NotSpelledOut(f"{name} is not entered as one whole number or fraction")
        above = rules.variable(source.above)
        if not source.below:
            return Ratio(above, "", _limit, _one, (), (source.above,))
        below = rules.variable(source.below)
        return Ratio(above, below, _limit, _limit, (below,), (source.above, source.below))

    def _sum(self, terms: tuple[tuple[str, Display], ...]) -> Ratio:
        total: Ratio | None = None
        for sign, term in terms:
            read = self.sign if sign == "±" else sign
            if not read:
                raise NotSpelledOut("± stands in it")
            value = self.ratio(term)
            if total is None and read == "-":
                value = _negative(value)
            total = value if total is None else _plus(total, value, read)
        assert total is not None
        return total


def _negative(value: Ratio) -> Ratio:
    return Ratio(
        rules.product(rules.whole(-1), value.above),
        value.below,
        value.most_above,
        value.most_below,
        value.not_zero,
        value.boxes,
    )


def _plus(first: Ratio, second: Ratio, sign: str) -> Ratio:
    join = rules.total if sign == "+" else rules.difference
    if first.below == second.below:
        left, right, below, most_below = first.above, second.above, first.below, first.most_below
        most_left, most_right = first.most_above, second.most_above
    else:
        left, right = _scaled(first.above, second.below), _scaled(second.above, first.below)
        below = _scaled(first.below, second.below) if first.below else second.below
        most_left, most_right = (
            _both(first.most_above, second.most_below), _both(second.most_above, first.most_below),
        )  # fmt: skip
        most_below = _both(first.most_below, second.most_below)

    def most(limit: int, numbers: tuple[Filling, ...]) -> int:
        return most_left(limit, numbers) + most_right(limit, numbers)

    return Ratio(
        join(left, right),
        below,
        most,
        most_below,
        (*first.not_zero, *second.not_zero),
        (*first.boxes, *second.boxes),
    )


def _times(first: Ratio, second: Ratio) -> Ratio:
    below = _scaled(first.below, second.below) if first.below else second.below
    return Ratio(
        rules.product(first.above, second.above), below, _both(first.most_above, second.most_above),
        _both(first.most_below, second.most_below), (*first.not_zero, *second.not_zero), (*first.boxes, *second.boxes),
    )  # fmt: skip


def _divided(first: Ratio, second: Ratio) -> Ratio:
    above = _scaled(first.above, second.below)
    below = rules.product(first.below, second.above) if first.below else second.above
    return Ratio(
        above, below, _both(first.most_above, second.most_below), _both(first.most_below, second.most_above),
        (*first.not_zero, *second.not_zero, second.above), (*first.boxes, *second.boxes),
    )  # fmt: skip


def _scaled(value: str, by: str) -> str:
    return rules.product(value, by) if by else value


def _both(first: Size, second: Size) -> Size:
    return lambda limit, numbers: first(limit, numbers) * second(limit, numbers)
