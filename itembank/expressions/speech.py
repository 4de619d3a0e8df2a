"""The spoken English reading of laid-out mathematics: words, letters and digits for a voice that reads aloud.

What is heard has one meaning. Whatever paper encloses in sight has a spoken end (`end fraction`, `end root`, `end
power`, `close bracket`), a sign before a term is `negative` and between terms `minus`, capitals are named, and decimal
places are read digit by digit. Displayed trees that differ are spoken differently; a reader in the tests takes the
words apart again. There is no punctuation to rely on but one comma, a pause before an `or` between longer statements.

Source: L. A. Chang, Handbook for Spoken Mathematics, Lawrence Livermore Laboratory 1983 (from memory: spoken ends of
fractions and roots, `sub`, `to the power`); the wording of relations and functions is common practice, no source.
"""

from __future__ import annotations

from functools import cache
from typing import Any, Final

from itembank.expressions import display
from itembank.expressions.display import Decimal, Display, Filling, Maths, Pattern, Shape, hole_mark
from itembank.expressions.vocabulary import GREEK

__all__ = ["fillings", "is_said_as_written", "marked", "speech"]

_LEADING: Final = {"+": "", "-": "negative ", "±": "plus or minus "}
_BETWEEN: Final = {"+": "plus", "-": "minus", "±": "plus or minus"}
_RELATIONS: Final = {
    "=": "equals", "!=": "is not equal to", "<": "is less than", "<=": "is less than or equal to",
    ">": "is greater than", ">=": "is greater than or equal to", "≈": "is approximately equal to",
}  # fmt: skip
_ROOTS: Final = dict(
    zip(
        ("", *"3456789"),
        ("square", "cube", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth"),
        strict=True,
    )
)
_FUNCTIONS: Final = {
    "discriminant": "discriminant", "gcd": "greatest common divisor", "lcm": "least common multiple",
    "min": "minimum", "max": "maximum", "mod": "remainder", "round": "rounded value", "numerator": "numerator",
    "denominator": "denominator",
}  # fmt: skip
_OTHER_WORDS: Final = (
    "the fraction over end root index with power squared cubed open close bracket absolute value point comma "
    "times capital name sub which and or function real solution "
    # these for the ear alone
    "zero one two three four five six seven eight nine ten eleven twelve half quarter "
    "are bee sea see jay kay eye pea pee tea tee you why won too for ate"
)
_OWN_WORDS: Final = frozenset(
    " ".join(
        (
            *_LEADING.values(),
            *_BETWEEN.values(),
            *_RELATIONS.values(),
            *_ROOTS.values(),
            *_FUNCTIONS.values(),
            _OTHER_WORDS,
        )
    ).split()
)
"""Words of this reading: a name that is one of them is spelt out."""
_SHORTEST_WORD: Final = 3


def speech(maths: Maths) -> str:
    """What is heard, on one line.

    >>> from itembank.expressions.layout import lay_out
    >>> from itembank.expressions.parser import parse
    >>> speech(Maths(lay_out(parse("x^2 - 2.50*x + c >= 3/(-4)"), 0)))
    'x squared minus 2 point 5 0 x plus c is greater than or equal to negative fraction 3 over 4 end fraction'
    >>> speech(Maths(lay_out(parse("x = -4 ± 2*sqrt(13)"), 0)))
    'x equals negative 4 plus or minus 2 square root of 13 end root'
    """
    if is_said_as_written(maths):
        return _pattern(maths.shape, 0).fill(maths.numbers)
    return _pattern(maths.shape, maths.shape.holes).fill(fillings(maths.numbers))


@cache
def _pattern(shape: Shape, exponents_from: int) -> Pattern:
    return Pattern(marked(shape.display, 0, exponents_from))


def is_said_as_written(maths: Maths) -> bool:
    """Whether the numbers in the holes are said as their digits: no decimal places, none in an exponent.

    Then both marks of a hole may be the hole's own, and the numbers themselves fill them: nearly always, and fast.
    """
    return Decimal not in map(type, maths.numbers) and not _has_exponent_hole(maths.shape)


@cache
def _has_exponent_hole(shape: Shape) -> bool:
    return _exponent_hole_below(shape.display)


def _exponent_hole_below(node: Display) -> bool:
    match node:
        case display.Raised(_, display.Numeral(hole)) if hole >= 0:
            return True
        case _:
            return any(_exponent_hole_below(part) for part in display.parts(node))


def fillings(numbers: tuple[Filling, ...]) -> tuple[Filling, ...]:
    """What is said of each number where it stands in the line, then of each once more as an exponent.

    >>> fillings((2, 12))
    ('2', '12', 'squared', 'to the power 12 end power')
    """
    said = [_digits(str(number)) for number in numbers]
    words: Any = (*said, *(_raised(number) for number in said))
    return words  # type: ignore[no-any-return]


def marked(node: Display, line: int, exponent: int) -> str:
    """The words with hole marks: hole n has the mark line + n, where it is an exponent exponent + n."""
    return _Voice(line, exponent).read(node)


class _Voice:
    def __init__(self, line: int, exponent: int) -> None:
        self.line, self.exponent = line, exponent

    def read(self, node: Display) -> str:
        match node:
            case display.Numeral(hole, text):
                return _digits(text) if hole < 0 else hole_mark(self.line + hole)
            case display.Letter(name):
                return _letter(name)
            case display.Terms(((sign, first), *rest)):
                tail = "".join(f" {_BETWEEN[between]} {self.read(term)}" for between, term in rest)
                lead = self._bare(first) if sign == "-" else self.read(first)
                return f"{_LEADING[sign]}{lead}{tail}"
            case display.Factors((first, *rest), crosses):
                return self.read(first) + "".join(map(self._factor, crosses, rest))
            case display.Over(numerator, denominator):
                return f"the fraction {self.read(numerator)} over {self.read(denominator)} end fraction"
            case display.Raised(base, exponent):
                return f"{self.read(base)} {self._exponent(exponent)}"
            case display.Root(radicand, index):
                which = f"{_ROOTS[index]} root" if index in _ROOTS else f"root with index {_digits(index)}"
                return f"the {which} of {self.read(radicand)} end root"
            case display.Bracket(inner):
                return f"open bracket {self.read(inner)} close bracket"
            case display.Bars(inner):
                return f"the absolute value of {self.read(inner)} end absolute value"
            case display.Applied(name, arguments):
                held = " comma ".join(self.read(argument) for argument in arguments)
                return f"the {_function(name)} of open bracket {held} close bracket"
            case display.Pair(first, second):
                return f"the point {self.read(first)} comma {self.read(second)} end point"
            case display.Compared((first, *rest), signs):
                said = (self.read(first), *map(self._compared, range(len(rest)), signs, rest))
                return " ".join(said).strip()
            case display.Joined(word, parts):
                pause = "," if any(isinstance(part, display.Joined) for part in parts) else ""
                return f"{pause} {word} ".join(self.read(part) for part in parts)
            case display.Nothing():
                return "no real solution"
            case _:
                raise AssertionError(f"a display without words: {node!r}")

    def _factor(self, crossed: bool, factor: Display) -> str:
        return f" times {self.read(factor)}" if crossed else f" {self._bare(factor)}"

    def _bare(self, node: Display) -> str:
        """What follows a factor or a sign: `2 square root of 3`, where alone it were `the square root of 3`.

        A point keeps its article: after a number it would be heard as a decimal point.
        """
        return self.read(node) if isinstance(node, display.Pair) else self.read(node).removeprefix("the ")

    def _exponent(self, exponent: Display) -> str:
        match exponent:
            case display.Numeral(hole) if hole >= 0:
                return hole_mark(self.exponent + hole)
            case _:
                return _raised(self.read(exponent))

    def _compared(self, index: int, sign: str, operand: Display) -> str:
        return f"{'which ' if index else ''}{_RELATIONS[sign]} {self.read(operand)}"


def _raised(exponent: str) -> str:
    return {"2": "squared", "3": "cubed"}.get(exponent) or f"to the power {exponent} end power"


def _digits(text: str) -> str:
    """A numeral: 12 as it is, the places of a decimal digit by digit, a leading 0 of an index too."""
    whole, point, places = text.partition(".")
    if len(whole) > 1 and whole.startswith("0"):
        whole = " ".join(whole)
    return f"{whole} point {' '.join(places)}" if point else whole


def _function(name: str) -> str:
    return _FUNCTIONS.get(name) or f"function {name.replace('_', ' ')}"


def _letter(name: str) -> str:
    stem, _, digits = name.partition("_")
    if len(stem) == 1:
        said = _cased(stem)
    elif stem in GREEK or _is_word(stem):
        said = stem
    else:
        said = f"name {' '.join(map(_cased, stem))} end name"
    return f"{said} sub {_digits(digits)}" if digits else said


def _cased(letter: str) -> str:
    return f"capital {letter.lower()}" if letter.isupper() else letter


def _is_word(name: str) -> bool:
    """Whether a voice says a name as one word, and as no word of ours; any other is spelt."""
    sayable = len(name) >= _SHORTEST_WORD and name.islower() and not set("aeiouy").isdisjoint(name)
    return sayable and name not in _OWN_WORDS
