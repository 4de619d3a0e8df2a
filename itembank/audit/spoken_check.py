"""The catalogue of an item: every reference leads somewhere, and what is spoken of a text is what stands there.

Source: QTI 3.0, catalogs: `data-catalog-idref` names a `qti-catalog` by its `id`; the support `spoken`.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from lxml import etree

from itembank.audit.findings import Fault
from itembank.audit.formulas import MATH, Formulas
from itembank.audit.speech_reader import read_speech
from itembank.audit.xml_reading import local_name

__all__ = ["cards", "check_catalog", "even", "sought"]

_CATALOG = "{*}qti-catalog"
_SPOKEN = "{*}qti-card[@support='spoken']"
_FORMULA, _BORDER = "\ue000", "\ue001"
_MARKS = str.maketrans("", "", _FORMULA + _BORDER)
_BLOCKS = frozenset({"p", "li", "td", "th", "tr", "ul", "ol", "table", "div"})
# What a reader sees and the entry of a stem leaves out: a part's label, a picture with words of its own
_LEFT_OUT = frozenset({"img", "qti-choice-interaction", "qti-text-entry-interaction"})


def check_catalog(root: etree._Element, formulas: Formulas) -> Iterator[Fault]:
    """Everything wrong with the catalogue and what points to it."""
    catalogs = {each.get("id", ""): each for each in root.iter(_CATALOG)}
    for name, count in Counter(each.get("id", "") for each in root.iter(_CATALOG)).items():
        if count > 1 or not name:
            yield Fault("duplicate-identifier", f"the catalogue entry {name!r} stands {count} times")
    pointed = [element for element in root.iter() if element.get("data-catalog-idref") is not None]
    for element in pointed:
        name = element.get("data-catalog-idref", "")
        if name not in catalogs:
            yield Fault(
                "missing-catalog", f"a text points to the catalogue entry {name!r}, which is not there"
            )
            continue
        for card in catalogs[name].iterfind(_SPOKEN):
            yield from _compared(element, card, name, formulas)
    unused = catalogs.keys() - {element.get("data-catalog-idref") for element in pointed}
    for name in sorted(unused - {""}):
        yield Fault("unused-catalog", f"no text points to the catalogue entry {name!r}")


def _compared(
    element: etree._Element, card: etree._Element, name: str, formulas: Formulas
) -> Iterator[Fault]:
    """The words must be the same; what is spoken between them must be the formula that stands there."""
    shown, said = _blocks(element), _blocks(card)
    if len(shown) != len(said):
        yield Fault(
            "spoken-differs", f"{len(said)} paragraphs are spoken for {name!r}, and there are {len(shown)}"
        )
        return
    for pieces, spoken in zip(shown, said, strict=True):
        words = even("".join(map(str, spoken)))
        pattern, maths = _pattern(pieces)
        heard = re.fullmatch(pattern, words)
        if heard is None:
            yield Fault("spoken-differs", f"the words spoken for {name!r} are not those of the text")
            return
        wrong = [s for math, s in zip(maths, heard.groups(), strict=True) if not _says(s, math, formulas)]
        if wrong and not _says_all(words, _even_pieces(pieces), formulas):
            for each in wrong:
                yield Fault(
                    "spoken-differs", f"“{each[:80]}” is spoken for {name!r} where another formula stands"
                )


def _says(spoken: str, math: etree._Element, formulas: Formulas) -> bool:
    node = formulas.node(math)
    try:
        return node is None or read_speech(spoken, formulas.words) == node
    except Fault:
        return False


def _says_all(words: str, pieces: list[str | etree._Element], formulas: Formulas) -> bool:
    """Whether words are those of the pieces wherever one formula ends and the next begins.

    Formulas with nothing between them but a blank have no other border than what they say.
    """
    if not pieces:
        return not words
    first, *rest = pieces
    if isinstance(first, str):
        return words.startswith(first) and _says_all(words[len(first) :], rest, formulas)
    return any(
        _says(words[:end], first, formulas) and _says_all(words[end:], rest, formulas)
        for end in _word_ends(words)
    )


def _word_ends(words: str) -> Iterator[int]:
    return (at for at in range(1, len(words) + 1) if at == len(words) or not words[at].isalnum())


def sought(element: etree._Element) -> tuple[str, list[etree._Element]]:
    """A pattern of what is to be spoken of a text, a group for each formula, and the formulas."""
    return _pattern([piece for piece in _pieces(element) if piece != _BORDER])


def _pattern(pieces: list[str | etree._Element]) -> tuple[str, list[etree._Element]]:
    words = "".join(piece if isinstance(piece, str) else _FORMULA for piece in pieces)
    pattern = re.escape(even(words)).replace(re.escape(_FORMULA), "(.+?)")
    return pattern, [piece for piece in pieces if not isinstance(piece, str)]


def cards(root: etree._Element) -> Iterator[tuple[etree._Element, etree._Element]]:
    """Each text that points to an entry which is there, with each card of spoken words of the entry."""
    catalogs = {each.get("id", ""): each for each in root.iter(_CATALOG)}
    for element in root.iter():
        catalog = catalogs.get(element.get("data-catalog-idref") or "")
        if catalog is not None:
            for card in catalog.iterfind(_SPOKEN):
                yield element, card


def even(text: str) -> str:
    """The text with every stretch of white space as one blank, none at its ends."""
    return " ".join(text.split())


def _even_pieces(pieces: list[str | etree._Element]) -> list[str | etree._Element]:
    """The pieces with their words as `even` leaves them in one text."""
    maths = [piece for piece in pieces if not isinstance(piece, str)]
    words = even("".join(piece if isinstance(piece, str) else _FORMULA for piece in pieces)).split(_FORMULA)
    found: list[str | etree._Element] = [words[0]]
    for math, after in zip(maths, words[1:], strict=True):
        found += [math, after]
    return found


def _blocks(element: etree._Element) -> list[list[str | etree._Element]]:
    """Words and formulas of each paragraph, item of a list or cell of a table, without those that have none."""
    found: list[list[str | etree._Element]] = [[]]
    for piece in _pieces(element):
        if piece == _BORDER:
            found.append([])
        else:
            found[-1].append(piece)
    return [block for block in found if any(not isinstance(piece, str) or piece.strip() for piece in block)]


def _pieces(element: etree._Element) -> Iterator[str | etree._Element]:
    """Words and formulas in reading order, with a border before and after what is set apart."""
    if element.get("class") == "part-label" or local_name(element) in _LEFT_OUT:
        return
    if local_name(element) in _BLOCKS:
        yield _BORDER
    if element.tag == MATH:
        yield element
        return
    yield (element.text or "").translate(_MARKS)
    for child in element:
        yield from _pieces(child)
        yield (child.tail or "").translate(_MARKS)
    if local_name(element) in _BLOCKS:
        yield _BORDER
