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
_FORMULA = "\ue000"
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
    pattern, maths = sought(element)
    heard = re.fullmatch(pattern, even("".join(map(str, card.itertext()))))
    if heard is None:
        yield Fault("spoken-differs", f"the words spoken for {name!r} are not those of the text")
        return
    for math, spoken in zip(maths, heard.groups(), strict=True):
        node = formulas.node(math)
        try:
            same = node is None or read_speech(spoken, formulas.words) == node
        except Fault:
            same = False
        if not same:
            yield Fault(
                "spoken-differs", f"“{spoken[:80]}” is spoken for {name!r} where another formula stands"
            )


def sought(element: etree._Element) -> tuple[str, list[etree._Element]]:
    """A pattern of what is to be spoken of a text, a group for each formula, and the formulas."""
    pieces = list(_pieces(element))
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


def _pieces(element: etree._Element) -> Iterator[str | etree._Element]:
    """Words and formulas in reading order."""
    if element.get("class") == "part-label" or local_name(element) in _LEFT_OUT:
        return
    if element.tag == MATH:
        yield element
        return
    yield (element.text or "").replace(_FORMULA, "")
    for child in element:
        yield from _pieces(child)
        yield (child.tail or "").replace(_FORMULA, "")
