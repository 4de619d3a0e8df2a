"""An item's text taken apart: the frame, which many items share, and what differs from item to item.

Taken out are the item's code, formulas, whole numbers and decimals that are keyed or compared with, digits in the
patterns of typed numbers, the spoken words of texts, the words in place of pictures, and the sentences for staff and
for pupils that go with wrong answers. Every kind of hole leaves a
mark of its own, which cannot stand in a document, so frame and holes together are the text, and two texts with one
frame differ in their holes only. That holds of the documents as trees too: a text with declarations, comments, CDATA or
further processing instructions is not taken apart, so `<` begins a tag wherever it stands, and each hole is one
element, the whole text of one element or the whole value of one attribute.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple

__all__ = ["CODE", "Cut", "Holes", "are_alike", "cut", "joined", "without_thousands"]

CODE: Final = "\x00"
MATHS: Final = "\x01"
NUMBER: Final = "\x02"
DECIMAL: Final = "\x03"
SPOKEN: Final = "\x04"
ALT: Final = "\x05"
SIZE: Final = "\x06"
SENTENCE: Final = "\x07"
THOUSANDS: Final = "\x08"
"""A number in a pattern that takes it with its thousands set apart by a blank, an apostrophe or a comma; _BLANKS: by
no comma."""
_BLANKS: Final = "\x0b"
_ALL: Final = (CODE, MATHS, NUMBER, DECIMAL, SPOKEN, ALT, SIZE, SENTENCE, THOUSANDS, _BLANKS)
_FORMULA: Final = MATHS.encode()
_IN_BYTES: Final = tuple(mark.encode() for mark in _ALL)
_MARKS: Final = re.compile("[\x00-\x08\x0b]")
_CODE: Final = re.compile(r"[A-Z][A-Z0-9]{4,30}\Z")
# what XML allows in a text without markup, references, line ends or "]]>"
_TEXT: Final = '[^<>&"\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]'
_NUMBER: Final = r"-?[0-9]{1,15}(?:\.[0-9]{1,15})?"
_APART: Final = {THOUSANDS: "[ \u00a0\u2009\u202f'’,]?", _BLANKS: "[ \u00a0\u2009\u202f'’]?"}
_GROUPS: Final = "|".join(f"(?:{re.escape(apart)}[0-9]{{3}}){{1,4}}" for apart in _APART.values())
_DIGITS: Final = (
    rf'pattern="[^"<>&]*0\*(?:(?:0|[1-9][0-9]{{0,2}}(?:{_GROUPS})|[1-9][0-9]{{0,14}})'
    r'(?=(?:\(\[[.,]{1,2}\]0(?:\*|\?0\?)\)\?)?\\s\*")'
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
_SENTENCES: Final = {
    True: (
        ('<div data-role="', ">", "</div>"),
        ("<qti-modal-feedback ", "><qti-content-body>", "</qti-content-body>"),
    ),
    False: (('<div class="data-role.', ">", "</div>"), ("<modalFeedback ", ">", "</modalFeedback>")),
}
"""How the elements of sentences begin, what ends their first tag, and what ends them: in a 3.0 document, in others."""
_OF_SENTENCES: Final = ("note", "told")
"""How the rest of the first tag begins; all else that is told by the same attribute stays in the frame."""
_ELEMENT: Final = 5
"""Characters of a sentence that say in which element it stood."""
_BEGINNING: Final = 200
_SHORT: Final = 2_000
"""Characters of texts that are remembered."""
_PLAIN_SENTENCE: Final = re.compile(f"(?:{_TEXT}++|{MATHS}|</?(?:p|strong|em)>)++\\Z")
_ATTRIBUTES: Final = re.compile(f"[^<>{MATHS}]*+\\Z")
_TAGS: Final = re.compile("(<[^<>]*>)")
_SIZES: Final = re.compile(r'"([0-9]+)')


@dataclass(frozen=True, slots=True)
class Cut:
    """frame: the text with marks for holes; maths: formulas without their first and last tag, in order, as bytes that
    nobody has looked into; the rest as it stands. A number is a NUMBER or a DECIMAL in the frame; sizes are those of
    pictures.

    sentences: with the name of the element around each; marks stand for their formulas, which are among `loose`.
    """

    frame: str
    maths: tuple[bytes, ...]
    numbers: tuple[str, ...]
    spoken: tuple[str, ...]
    alts: tuple[str, ...]
    sizes: tuple[str, ...]
    sentences: tuple[str, ...]
    loose: tuple[bytes, ...]


def cut(data: bytes, code: str) -> Cut | None:
    """A document taken apart, None for one that is not of the plain kind. code: what its identifier should be.

    Raises UnicodeDecodeError.
    """
    if _is_instructed(data) or any(mark in data for mark in _IN_BYTES) or not _CODE.match(code):
        return None
    sentences: list[str] = []
    loose: list[bytes] = []
    maths: list[bytes] = []
    rest = _without_maths(data, maths)
    if rest is None:
        return None
    left = rest.decode("utf-8")
    for tags in _SENTENCES["<qti-assessment-item " in left[:_BEGINNING]]:
        left = _without_sentences(left, tags, maths, sentences, loose)
    parts = _HOLES.split(left.replace(code, CODE))
    found = Holes([], [], [], [])
    for place in range(1, len(parts), 2):
        parts[place] = _holed(parts[place], found)
    numbers, spoken, alts, sizes = map(tuple, found)
    return Cut("".join(parts), tuple(maths), numbers, spoken, alts, sizes, tuple(sentences), tuple(loose))


def _is_instructed(data: bytes) -> bool:
    """Whether there is a declaration, a comment, CDATA or an instruction other than the first that says it is XML."""
    if b"!" in data and b"<!" in data:
        return True
    at = data.find(b"?", 2 if data.startswith(b"<?xml ") else 0)
    while at >= 0:  # a sign by itself is found much sooner than two together
        if data[at - 1 : at] == b"<":
            return True
        at = data.find(b"?", at + 1)
    return False


def _without_sentences(
    text: str, tags: tuple[str, str, str], maths: list[bytes], sentences: list[str], loose: list[bytes]
) -> str:
    """The text, its formulas marked, with a mark for each sentence; the formulas in these go to `loose`."""
    first, *others = text.split(tags[0])
    if not others:
        return text
    left = [first]
    kept: list[bytes] = []
    at, taken = first.count(MATHS), 0
    for each in others:
        remaining, sentence, inside, after = (_known if len(each) < _SHORT else _taken_out)(each, tags)
        left.append(remaining)
        if sentence:
            sentences.append(sentence)
            kept += maths[taken:at]
            taken = at + inside
            loose += maths[at:taken]
            at = taken
        at += after
    maths[:] = kept + maths[taken:]
    return "".join(left)


def _taken_out(text: str, tags: tuple[str, str, str]) -> tuple[str, str, int, int]:
    """What is left of a text that the beginning of a sentence's first tag precedes, and of that tag; the sentence, ""
    where there is none to be taken out; how many formulas are in it, and how many in the rest."""
    opening, ending, closing = tags
    attributes, end, after = text.partition(ending)
    sentence, close, rest = after.partition(closing)
    is_one = not opening.startswith("<div ") or attributes.startswith(_OF_SENTENCES)
    if (
        not end
        or not close
        or not is_one
        or not _ATTRIBUTES.match(attributes)
        or not _PLAIN_SENTENCE.match(sentence)
    ):
        return opening + text, "", 0, text.count(MATHS)
    left = "".join([opening, attributes, end, SENTENCE, close, rest])
    return left, opening[:_ELEMENT] + sentence, sentence.count(MATHS), rest.count(MATHS)


_known: Final = lru_cache(maxsize=4096)(_taken_out)
"""What comes of texts, most of which many items have in common once their formulas are out."""


def _without_maths(data: bytes, maths: list[bytes]) -> bytes | None:
    """What is left with a mark for each formula; bare signs between boxes stay. None for a text that is not whole."""
    first, *formulas = data.split(b"<math ")
    left = [first]
    for each in formulas:
        inner, end, after = each.partition(b"</math>")
        if not end:
            return None
        if b"<semantics>" in inner:
            maths.append(inner)
            left.append(_FORMULA)
        else:
            left += [b"<math ", inner, end]
        left.append(after)
    return b"".join(left)


def are_alike(found: Cut, one: int, other: int) -> bool:
    """Whether two sentences of an item, in whatever elements, are the same."""
    first, second = found.sentences[one], found.sentences[other]
    if first[_ELEMENT:] != second[_ELEMENT:]:
        return False
    return MATHS not in first or _formulas(found, one) == _formulas(found, other)


def _formulas(found: Cut, place: int) -> tuple[bytes, ...]:
    before = sum(each.count(MATHS) for each in found.sentences[:place])
    return found.loose[before : before + found.sentences[place].count(MATHS)]


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
    for mark, apart in _APART.items():
        if apart in number:
            found.numbers.append(number.replace(apart, ""))
            return f"{before}{sign}{mark}"
    found.numbers.append(number)
    return f"{before}{sign}{DECIMAL if '.' in number else NUMBER}"


def _picture(part: str) -> tuple[str, str, str]:
    """Up to the words in place of a picture, the words, and what follows up to the last quotation mark."""
    before, alt, after = part.rpartition(' alt="')
    words, mark, sizes = after.partition('"')
    return before + alt, words, mark + sizes


def joined(frame: str, code: str, maths: Iterable[str], holes: Holes, sentences: Iterable[str]) -> str:
    """The document of a frame with these in its holes; formulas as whole elements."""
    waiting = dict(zip((NUMBER, SPOKEN, ALT, SIZE), map(iter, holes), strict=True))
    waiting |= {MATHS: iter(maths), DECIMAL: waiting[NUMBER], SENTENCE: iter(sentences)}

    def own(mark: re.Match[str]) -> str:
        if mark[0] == CODE:
            return code
        if mark[0] in _APART:
            return f"{int(next(waiting[NUMBER])):,}".replace(",", _APART[mark[0]])
        return next(waiting[mark[0]])

    return _MARKS.sub(own, frame)


def without_thousands(pattern: str) -> str:
    """A pattern with nothing between the digits of its number, as it would be if thousands could not be set apart.

    >>> without_thousands("0*38[ \u00a0\u2009\u202f'’]?532")
    '0*38532'
    """
    for apart in _APART.values():
        pattern = pattern.replace(apart, "")
    return pattern
