"""The spoken reading of laid-out mathematics: words, letters and digits for a voice that reads aloud.

What is heard has one meaning. Whatever paper encloses in sight has a spoken end (`end fraction`, `end root`, `end
power`, `close bracket`), capitals are named, and decimal places are read digit by digit. Displayed trees that differ
are spoken differently; a reader in the tests takes the words apart again. There is no punctuation to rely on but one
comma, a pause before an `or` between longer statements.

One mechanism reads (`voice.py`), with the words of a language (`english.py`, `spanish.py`, `german.py`); which one
speaks, and how decimal places are introduced, is a convention of the item's language.
"""

from __future__ import annotations

from functools import cache
from typing import Any, Final

from itembank.expressions import display
from itembank.expressions.conventions import USUAL, Conventions
from itembank.expressions.display import Decimal, Display, Filling, Maths, Pattern, Shape
from itembank.expressions.speech.english import ENGLISH
from itembank.expressions.speech.german import GERMAN
from itembank.expressions.speech.spanish import SPANISH
from itembank.expressions.speech.vocabulary import Vocabulary
from itembank.expressions.speech.voice import Voice

__all__ = ["VOICES", "fillings", "is_said_as_written", "marked", "speech"]

VOICES: Final[dict[str, Vocabulary]] = {"en": ENGLISH, "es": SPANISH, "de": GERMAN}
"""The languages that are spoken; each translation file must have its own."""


def speech(maths: Maths, conventions: Conventions = USUAL) -> str:
    """What is heard, on one line.

    >>> from itembank.expressions.conventions import conventions
    >>> from itembank.expressions.layout import lay_out
    >>> from itembank.expressions.parser import parse
    >>> speech(Maths(lay_out(parse("x^2 - 2.50*x + c >= 3/(-4)"), 0)))
    'x squared minus 2 point 5 0 x plus c is greater than or equal to negative fraction 3 over 4 end fraction'
    >>> speech(Maths(lay_out(parse("x = -4 ± 2*sqrt(13)"), 0)))
    'x equals negative 4 plus or minus 2 square root of 13 end root'
    >>> speech(Maths(lay_out(parse("x = -4 ± 2*sqrt(13)"), 0)), conventions("es"))
    'x es igual a menos 4 más o menos 2 raíz cuadrada de 13 fin raíz'
    """
    if is_said_as_written(maths):
        return _pattern(maths.shape, 0, conventions).fill(maths.numbers)
    return _pattern(maths.shape, maths.shape.holes, conventions).fill(fillings(maths.numbers, conventions))


@cache
def _pattern(shape: Shape, exponents_from: int, conventions: Conventions) -> Pattern:
    return Pattern(marked(shape.display, 0, exponents_from, conventions))


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


def fillings(numbers: tuple[Filling, ...], conventions: Conventions = USUAL) -> tuple[Filling, ...]:
    """What is said of each number where it stands in the line, then of each once more as an exponent.

    >>> fillings((2, 12))
    ('2', '12', 'squared', 'to the power 12 end power')
    """
    voice = _voice(0, 0, conventions)
    said = [voice.digits(str(number)) for number in numbers]
    words: Any = (*said, *(voice.raised(number) for number in said))
    return words  # type: ignore[no-any-return]


def marked(node: Display, line: int, exponent: int, conventions: Conventions = USUAL) -> str:
    """The words with hole marks: hole n has the mark line + n, where it is an exponent exponent + n."""
    return _voice(line, exponent, conventions).read(node)


def _voice(line: int, exponent: int, conventions: Conventions) -> Voice:
    return Voice(VOICES[conventions.voice], conventions.point, line, exponent)
