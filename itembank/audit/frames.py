"""An item's text taken apart: the frame, which many items share, and what differs from item to item.

Taken out are the item's code, formulas, whole numbers and decimals that are keyed or compared with, digits in the
patterns of typed numbers, the spoken words of texts and the words in place of pictures. Every kind of hole leaves a
mark of its own, which cannot stand in a document, so frame and holes together are the text, and two texts with one
frame differ in their holes only. That holds of the documents as trees too: a text with declarations, comments, CDATA or
further processing instructions is not taken apart, so `<` begins a tag wherever it stands, and each hole is one
element, the whole text of one element or the whole value of one attribute.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, NamedTuple

__all__ = ["CODE", "Cut", "Holes", "cut", "joined"]

CODE: Final = "\x00"
MATHS: Final = "\x01"
NUMBER: Final = "\x02"
DECIMAL: Final = "\x03"
SPOKEN: Final = "\x04"
ALT: Final = "\x05"
SIZE: Final = "\x06"
_ALL: Final = (CODE, MATHS, NUMBER, DECIMAL, SPOKEN, ALT, SIZE)
_MARKS: Final = re.compile("[\x00-\x06]")
_CODE: Final = re.compile(r"[A-Z][A-Z0-9]{4,30}\Z")
# what XML allows in a text without markup, references, line ends or "]]>"
_TEXT: Final = "[^<>&\"\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]"
_NUMBER: Final = r"-?[0-9]{1,15}(?:\.[0-9]{1,15})?"
_DIGITS: Final = (
    r'pattern="[^"<>&]*0\*(?:(?:0|[1-9][0-9]{0,14})(?=\\s\*")'
    r'|(?:[1-9][0-9]{0,14})?\[\.\][0-9]{0,14}[1-9](?=0\*\\s\*"))'
)
_HOLES: Final = re.compile(
    r"(<(?:"
    "qti-(?:"
    f'base-value base-type="(?:integer|float)">{_NUMBER}(?=</)'
    f"|correct-response><qti-value>{_NUMBER}(?=</qti-value></)"
    f"|pattern-match {_DIGITS}"
    f'|card support="spoken"><qti-html-content>(?:<p>(?:{_TEXT}|</?(?:strong|em)>)+</p>)+(?=</qti-html-content>)'
    ")"
    f'|baseValue baseType="(?:integer|float)">{_NUMBER}(?=</)'
    f"|correctResponse><value>{_NUMBER}(?=</value></)"
    f"|patternMatch {_DIGITS}"
    f'|img [^<>"]*(?:"[^<>"]*"[^<>"]*)*? alt="{_TEXT}+(?:" width="[0-9]{{1,4}}" height="[0-9]{{1,4}})?(?=")'
    "))"
)
_TAGS: Final = re.compile("(<[^<>]*>)")
_SIZES: Final = re.compile(r'"([0-9]+)')


@dataclass(frozen=True, slots=True)
class Cut:
    """frame: the text with marks for holes; maths: formulas without their first and last tag, in order; the rest as it
    stands. A number is a NUMBER or a DECIMAL in the frame; sizes are those of pictures."""

    frame: str
    maths: tuple[str, ...]
    numbers: tuple[str, ...]
    spoken: tuple[str, ...]
    alts: tuple[str, ...]
    sizes: tuple[str, ...]


def cut(text: str, code: str) -> Cut | None:
    """A document taken apart, None for one that is not of the plain kind. code: what its identifier should be."""
    if text.count("<?") != text.startswith("<?xml ") or "<!" in text:
        return None
    if any(mark in text for mark in _ALL) or not _CODE.match(code):
        return None
    first, *formulas = text.split("<math ")
    left, maths = [first], []
    for each in formulas:
        inner, end, after = each.partition("</math>")
        if not end:
            return None
        if "<semantics>" in inner:
            maths.append(inner)
            left.append(MATHS)
        else:
            left += ["<math ", inner, end]  # signs that stand between boxes
        left.append(after)
    parts = _HOLES.split("".join(left).replace(code, CODE))
    found = Holes([], [], [], [])
    for place in range(1, len(parts), 2):
        parts[place] = _holed(parts[place], found)
    return Cut("".join(parts), tuple(maths), *map(tuple, found))


class Holes(NamedTuple):
    """What stands in the holes of a frame, kind by kind, formulas apart."""

    numbers: list[str]
    spoken: list[str]
    alts: list[str]
    sizes: list[str]


def _holed(part: str, found: Holes) -> str:
    if part[1] == "i":
        before, words, sizes = _picture(part)
        found.alts.append(words)
        found.sizes.extend(_SIZES.findall(sizes))
        return before + ALT + _SIZES.sub(f'"{SIZE}', sizes)
    if part[-1] == ">":
        pieces = _TAGS.split(part)
        found.spoken.extend(filter(None, pieces[::2]))
        return "".join([SPOKEN if place % 2 == 0 and piece else piece for place, piece in enumerate(pieces)])
    before, sign, number = part.rpartition("*" if part[-1] != ">" and " pattern=" in part else ">")
    found.numbers.append(number)
    return f"{before}{sign}{DECIMAL if '.' in number else NUMBER}"


def _picture(part: str) -> tuple[str, str, str]:
    """Up to the words in place of a picture, the words, and what follows up to the last quotation mark."""
    before, alt, after = part.rpartition(' alt="')
    words, mark, sizes = after.partition('"')
    return before + alt, words, mark + sizes


def joined(frame: str, code: str, maths: Iterable[str], holes: Holes) -> str:
    """The document of a frame with these in its holes; formulas as whole elements."""
    waiting = dict(zip((NUMBER, SPOKEN, ALT, SIZE), map(iter, holes), strict=True))
    waiting |= {MATHS: iter(maths), DECIMAL: waiting[NUMBER]}
    return _MARKS.sub(lambda mark: code if mark[0] == CODE else next(waiting[mark[0]]), frame)
