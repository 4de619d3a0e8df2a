"""What a frame says, with its holes open, and the facts of one item made of it.

The frame's document is read once by the usual reader with stand-ins in its holes: letters of a private area for
formulas, words and codes, numerals that occur nowhere else for numbers. Where a stand-in turns up, there goes the
item's own. A stand-in that is found changed, or as a part of something that is not text, makes the frame useless.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import fields, is_dataclass
from typing import Any, Final, NamedTuple, TypeAlias

from lxml import etree

from itembank.audit.facts import Facts
from itembank.audit.formula import Letter
from itembank.audit.fragments import Piece

__all__ = [
    "ALT_LETTERS", "CODE_LETTER", "MATHS_LETTERS", "SENTENCE_LETTER", "SPOKEN_LETTERS",
    "Filling", "Untrusted", "filler", "holds_stand_ins", "number_stand_in", "stand_ins", "template",
]  # fmt: skip

CODE_LETTER: Final = "\ue000"
SENTENCE_LETTER: Final = "\ue001"
"""In the place of a sentence, of which nothing may depend."""
MATHS_LETTERS: Final = 0xE100
SPOKEN_LETTERS: Final = 0xE800
ALT_LETTERS: Final = 0xF000
MOST: Final = 0x600
"""Holes of one kind at most."""
_LETTERS: Final = re.compile("([\ue000-\uf8ff])")
_FIRST_NUMBER: Final = 710_000_000_000_000


class Untrusted(Exception):
    """The frame cannot be filled."""


class Filling(NamedTuple):
    """What goes into the holes of a frame."""

    code: str
    pieces: Sequence[Piece]
    numbers: Sequence[str]
    spoken: Sequence[str]
    alts: Sequence[str]


_Maker: TypeAlias = Callable[[Filling], Any]


def number_stand_in(place: int) -> str:
    """The numeral in the place of a number."""
    return str(_FIRST_NUMBER + place)


def stand_ins(count: int, first: int) -> list[str]:
    """The letters in the place of so many texts. Raises Untrusted for too many."""
    if count > MOST:
        raise Untrusted
    return [chr(first + place) for place in range(count)]


def holds_stand_ins(text: str) -> bool:
    """Whether a letter of the private area stands in a text."""
    return _LETTERS.search(text) is not None


def template(text: str) -> Callable[[Filling], str] | None:
    """A function that puts an item's own into a text, None for a text without stand-ins."""
    if not _LETTERS.search(text):
        return None
    parts = [_letter(each) if _LETTERS.fullmatch(each) else each for each in _LETTERS.split(text) if each]
    if len(parts) == 1 and not isinstance(parts[0], str):
        return parts[0]
    return lambda filling: "".join([each if isinstance(each, str) else each(filling) for each in parts])


def _letter(letter: str) -> Callable[[Filling], str]:
    at = ord(letter)
    if letter == CODE_LETTER:
        return lambda filling: filling.code
    if at >= ALT_LETTERS:
        return lambda filling: filling.alts[at - ALT_LETTERS]
    if at >= SPOKEN_LETTERS:
        return lambda filling: filling.spoken[at - SPOKEN_LETTERS]
    if at >= MATHS_LETTERS:
        return lambda filling: filling.pieces[at - MATHS_LETTERS].seen
    raise Untrusted


def filler(facts: Facts, numbers: int) -> Callable[[Filling], Facts]:
    """A function from an item's own to its facts. Raises Untrusted."""
    stand_ins = {number_stand_in(place): place for place in range(numbers)}
    made = _maker(facts, stand_ins)
    return made if made is not None else lambda filling: facts


def _maker(value: object, numbers: dict[str, int]) -> _Maker | None:
    """A function that makes the value, None where it is the same for every item."""
    if isinstance(value, str):
        return _text_maker(value, numbers)
    if isinstance(value, Letter) and _LETTERS.search(value.name):
        at = ord(value.name) - MATHS_LETTERS
        if len(value.name) > 1 or not 0 <= at < MOST:
            raise Untrusted
        return lambda filling: filling.pieces[at].node
    if isinstance(value, tuple):
        return _joined([_maker(each, numbers) for each in value], value, _as_tuple)
    if isinstance(value, etree._Element) or not is_dataclass(value):
        return None
    held = [getattr(value, each.name) for each in fields(value)]
    return _joined([_maker(each, numbers) for each in held], held, type(value))


def _text_maker(text: str, numbers: dict[str, int]) -> _Maker | None:
    place = numbers.get(text)
    if place is not None:
        return lambda filling: filling.numbers[place]
    if any(each in text for each in numbers):
        raise Untrusted
    return template(text)


def _as_tuple(*parts: object) -> tuple[object, ...]:
    return parts


def _joined(
    makers: list[_Maker | None], values: Sequence[object], make: Callable[..., object]
) -> _Maker | None:
    open_places = [(place, maker) for place, maker in enumerate(makers) if maker is not None]
    if not open_places:
        return None
    usual = list(values)
    if len(open_places) == 1:
        ((place, maker),) = open_places
        before, after = usual[:place], usual[place + 1 :]
        return lambda filling: make(*before, maker(filling), *after)

    def filled(filling: Filling) -> object:
        parts = usual.copy()
        for place, maker in open_places:
            parts[place] = maker(filling)
        return make(*parts)

    return filled
