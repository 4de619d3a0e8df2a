"""Laid-out mathematics: what a reader sees, with holes for the numerals.

A `Shape` is a tree of display nodes whose numerals may be holes, filled by position from a tuple of numbers.
Many items share a shape and differ in numbers only, so every reading of a shape (LaTeX, MathML, plain text,
and the proof's own evaluation) is worked out once and filled by position. Brackets are nodes: `layout.py`
set them by one precedence table, and no reading may add or drop one that a reader would see.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate
from operator import itemgetter
from typing import Any, NamedTuple, TypeAlias

from itembank.errors import DomainError


@dataclass(frozen=True, slots=True)
class Numeral:
    """A number >= 0: hole number `hole`, or fixed digits `text` where hole is -1."""

    hole: int = -1
    text: str = ""


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter, a Greek letter by its name, or a word; digits after an underscore are an index: x_1."""

    name: str


@dataclass(frozen=True, slots=True)
class Terms:
    """A sum: (sign, term) with sign one of + - ±; a leading + is not shown."""

    terms: tuple[tuple[str, Display], ...]


@dataclass(frozen=True, slots=True)
class Factors:
    """A product: factors, and before each one but the first whether a × is shown."""

    factors: tuple[Display, ...]
    crosses: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Over:
    """numerator over denominator."""

    numerator: Display
    denominator: Display


@dataclass(frozen=True, slots=True)
class Raised:
    """base with an exponent."""

    base: Display
    exponent: Display


@dataclass(frozen=True, slots=True)
class Root:
    """The root of a radicand; `index` is digits, "" for a square root."""

    radicand: Display
    index: str = ""


@dataclass(frozen=True, slots=True)
class Bracket:
    """Round brackets."""

    inner: Display


@dataclass(frozen=True, slots=True)
class Bars:
    """An absolute value."""

    inner: Display


@dataclass(frozen=True, slots=True)
class Applied:
    """A named function of arguments, its name upright."""

    name: str
    arguments: tuple[Display, ...]


@dataclass(frozen=True, slots=True)
class Pair:
    """A point."""

    first: Display
    second: Display


@dataclass(frozen=True, slots=True)
class Compared:
    """operand sign operand ...; signs are = != < <= > >= ≈."""

    operands: tuple[Display, ...]
    signs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Joined:
    """Statements joined by a word, `and` or `or`.

    listed: they are the values of one letter, and stand behind one sign for who reads them: n = 2, 3, 4.
    """

    word: str
    parts: tuple[Display, ...]
    listed: bool = False


@dataclass(frozen=True, slots=True)
class Nothing:
    """No real solution: what a statement without solutions shows."""


Display: TypeAlias = (
    Numeral | Letter | Terms | Factors | Over | Raised | Root | Bracket | Bars | Applied | Pair | Compared
    | Joined | Nothing
)  # fmt: skip
DISPLAY_KINDS: tuple[type, ...] = (
    Numeral, Letter, Terms, Factors, Over, Raised, Root, Bracket, Bars, Applied, Pair, Compared, Joined,
    Nothing,
)  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A display tree with holes; equal only to itself, so that readings can be remembered by it quickly.

    doubts: what looks odd though it is right; vanished: whether a term of a sum was 0 and left out.
    """

    display: Display
    holes: int
    doubts: tuple[str, ...] = ()
    vanished: bool = False


@dataclass(frozen=True, slots=True)
class Decimal:
    """A number shown with a decimal point and so many places; in a hole it is >= 0, in a box of any sign.

    Raises DomainError for a value that needs more places: nothing is rounded here.

    >>> str(Decimal(Fraction(3, 2), 2))
    '1.50'
    """

    value: Fraction
    places: int

    def __post_init__(self) -> None:
        if 10**self.places % self.value.denominator:
            raise DomainError(f"{self.value} does not end within {self.places} decimal places")

    def __str__(self) -> str:
        digits = str(abs(self.value.numerator) * 10**self.places // self.value.denominator)
        sign = "-" if self.value < 0 else ""
        if not self.places:
            return sign + digits
        digits = digits.rjust(self.places + 1, "0")
        return f"{sign}{digits[: -self.places]}.{digits[-self.places :]}"


def places_needed(denominator: int) -> int:
    """The fewest places behind the point of a fraction in lowest terms, -1 for one that does not end within 12.

    >>> places_needed(1), places_needed(8), places_needed(3)
    (0, 3, -1)
    """
    return next((places for places in range(13) if 10**places % denominator == 0), -1)


Filling: TypeAlias = int | Decimal


class Maths(NamedTuple):
    """One piece of displayed mathematics: a shape and the numbers in its holes (each >= 0)."""

    shape: Shape
    numbers: tuple[Filling, ...] = ()


def parts(display: Display) -> tuple[Display, ...]:
    """The direct parts of a display node, in reading order."""
    match display:
        case Numeral() | Letter() | Nothing():
            return ()
        case Terms(terms):
            return tuple(term for _, term in terms)
        case Factors(factors):
            return factors
        case Over(numerator, denominator):
            return (numerator, denominator)
        case Raised(base, exponent):
            return (base, exponent)
        case Root(radicand):
            return (radicand,)
        case Bracket(inner) | Bars(inner):
            return (inner,)
        case Applied(_, arguments):
            return arguments
        case Pair(first, second):
            return (first, second)
        case Compared(operands):
            return operands
        case Joined(_, statements):
            return statements


def in_a_list(joined: Joined) -> tuple[Display, tuple[Display, ...]]:
    """The first statement of a list of values, and the values behind it; joined: one that is `listed`."""
    first, *others = joined.parts
    return first, tuple(other.operands[1] for other in others if isinstance(other, Compared))


def as_list(shown: Display) -> Display:
    """The same, as a list where it says several values of one letter."""
    if isinstance(shown, Joined) and shown.word == "or":
        letters = {_letter_of(part) for part in shown.parts}
        if len(letters) == 1 and letters != {""}:
            return Joined("or", shown.parts, listed=True)
    return shown


def _letter_of(statement: Display) -> str:
    """The letter that a statement says a value of, "" where it says anything else."""
    match statement:
        case Compared((Letter(name), _), ("=",)):
            return name
        case _:
            return ""


def first_letter(shown: Display) -> str:
    """The letter that shown mathematics begins with, "" where it begins with anything else.

    >>> first_letter(Compared((Factors((Letter("y"), Letter("x")), (False,)), Numeral(0)), ("=",)))
    'y'
    """
    match shown:
        case Letter(name):
            return name
        case Terms(((sign, first), *_)):
            return first_letter(first) if sign == "+" else ""
        case Factors((first, *_)) | Compared((first, *_)) | Joined(_, (first, *_)) | Raised(first):
            return first_letter(first)
        case _:
            return ""


_MARK = re.compile("\x01([0-9]+)\x02")


def hole_mark(hole: int) -> str:
    """What a reading writes for a hole, until `Pattern` takes it up."""
    return f"\x01{hole}\x02"


class Pattern:
    """A text with holes, filled by position; holes may stand in any order, repeatedly, or not at all.

    >>> Pattern(f"x^{hole_mark(1)} - {hole_mark(0)}").fill((5, 2))
    'x^2 - 5'
    """

    __slots__ = ("_choose", "_pieces", "_text")

    def __init__(self, marked: str) -> None:
        pieces = _MARK.split(marked)
        order = [int(hole) for hole in pieces[1::2]]
        self._text = marked
        self._pieces = pieces
        self._choose: Callable[[Any], Any] | None = (
            itemgetter(*order) if len(order) > 1 else _alone(order[0]) if order else None
        )

    def fill(self, numbers: Sequence[Filling | str]) -> str:
        """The text with the numbers in its holes."""
        if self._choose is None:
            return self._text
        # each number becomes digits once, however many holes it fills, and joining is quicker than formatting
        pieces = self._pieces.copy()
        pieces[1::2] = self._choose([str(number) for number in numbers])
        return "".join(pieces)


def _alone(hole: int) -> Callable[[Any], Any]:
    return lambda numbers: (numbers[hole],)


def composed(outer: str, inner: Sequence[tuple[str, int]]) -> str:
    """A marked text with marked texts in its holes: piece i stands in hole i, its holes after those of earlier pieces.

    inner: each piece with the number of its holes.

    >>> both = composed(f"{hole_mark(1)} or {hole_mark(0)}", [(f"x = {hole_mark(0)}", 1), (f"y = {hole_mark(0)}", 1)])
    >>> Pattern(both).fill((2, 3))
    'y = 3 or x = 2'
    """
    starts = [0, *accumulate(holes for _, holes in inner)]

    def put(found: re.Match[str]) -> str:
        piece = int(found[1])
        return moved(inner[piece][0], starts[piece])

    return _MARK.sub(put, outer)


def moved(marked: str, by: int) -> str:
    """A marked text whose holes are so many further on.

    >>> Pattern(moved(f"x = {hole_mark(0)}", 1)).fill((2, 3))
    'x = 3'
    """
    return _MARK.sub(lambda hole: hole_mark(int(hole[1]) + by), marked) if by else marked
