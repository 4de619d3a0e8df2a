"""Every formula of an item, read three times: as shown, as annotated and as spoken; the three must be one tree."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TypeAlias

from lxml import etree

from itembank.audit.content_reader import read_content
from itembank.audit.findings import Fault, Unread
from itembank.audit.formula import Node
from itembank.audit.mathml_reader import read_presentation
from itembank.audit.mathml_tokens import MATHML
from itembank.audit.speech_reader import read_speech
from itembank.audit.tongues import ENGLISH, LANGUAGE, Tongue, tongue
from itembank.audit.xml_reading import local_name

__all__ = ["MATH", "Formulas", "Known"]

MATH = f"{{{MATHML}}}math"
_SEMANTICS = f"{{{MATHML}}}semantics"
_ATTRIBUTES = frozenset({"display", "alttext", LANGUAGE})
_ANNOTATION = f"{{{MATHML}}}annotation-xml"
# signs that stand between boxes: x = ( [ ] ± [ ] √ [ ] ) / [ ]
_LAYOUT_PARTS = 8
_ENTRY = "{*}qti-text-entry-interaction"
_LAYOUT = frozenset({"mi", "mo", "mn", "mtext", "mrow", "mspace", "msub", "math"})

Known: TypeAlias = Mapping[etree._Element, Node | None]
"""Stand-ins for formulas in another notation, and what each says; None where it cannot be read."""


class Formulas:
    """Reads formulas once each and keeps what is wrong with them.

    known: what stand-ins for formulas in another notation say, None for one that could not be read. words: of the
    language of the document; a formula that says another one itself is read in that.
    """

    def __init__(self, known: Known | None = None, words: Tongue = ENGLISH) -> None:
        self._read: dict[etree._Element, Node | None] = dict(known or {})
        self.words = words
        self.faults: list[Fault] = []

    def all_below(self, element: etree._Element) -> Iterator[Node]:
        """Every formula below an element that can be read, in order."""
        for each in element.iter(MATH):
            node = self.node(each)
            if node is not None:
                yield node

    def node(self, math: etree._Element) -> Node | None:
        """What a `math` element says; None where something is wrong with it (told once, in `faults`).

        None also for bare signs that stand as layout in one block with a box: they are no formula.
        """
        if math not in self._read:
            try:
                self._read[math] = self._node(math)
            except Fault as wrong:
                self.faults.append(wrong)
                self._read[math] = None
        return self._read[math]

    def _node(self, math: etree._Element) -> Node | None:
        own = math.get(LANGUAGE)
        words = self.words if own is None else tongue(own)
        shown, meant = _readings(math, words)
        for each in (math, *math):
            if not _ATTRIBUTES.issuperset(each.keys()):
                message = f"the formula {_told(math)} has an attribute that is not known"
                self.faults.append(Unread(message))
        if shown is None:
            return None
        self.faults += _spoken_faults(math, shown, words)
        if shown != meant:
            message = f"what the formula {_told(math)} shows is not what its annotation says"
            self.faults.append(Fault("annotation-differs", message))
        # where the two differ the audit goes on with what a reader sees
        return shown


def _readings(math: etree._Element, words: Tongue) -> tuple[Node | None, Node | None]:
    """What is shown and what is meant; nothing for layout around boxes."""
    semantics = list(math)
    if len(semantics) != 1 or semantics[0].tag != _SEMANTICS:
        if _is_layout(math):
            return None, None
        raise Fault("formula-without-meaning", f"the formula {_told(math)} has no annotation of its meaning")
    parts = list(semantics[0])
    if len(parts) != 2 or parts[1].tag != _ANNOTATION or parts[1].get("encoding") != "MathML-Content":
        raise Fault("formula-without-meaning", f"the formula {_told(math)} has no annotation of its meaning")
    if len(parts[1]) != 1 or (math.text or "").strip() or (semantics[0].text or "").strip():
        raise Fault(
            "formula-without-meaning", f"the formula {_told(math)} is not one formula with one meaning"
        )
    try:
        return read_presentation(parts[0], words), read_content(parts[1][0])
    except Fault as wrong:
        raise Fault(wrong.code, f"the formula {_told(math)} cannot be read: {wrong.message}") from None


def _spoken_faults(math: etree._Element, shown: Node, words: Tongue) -> Iterator[Fault]:
    """Whether those who hear the formula are told what the others see."""
    spoken = math.get("alttext", "").strip()
    if not spoken:
        yield Fault("formula-without-alttext", "a formula has no text for those who cannot see it")
        return
    try:
        heard = read_speech(spoken, words)
    except Fault as wrong:
        yield Fault(
            "alttext-differs", f"what is spoken of the formula {_told(math)} has no meaning: {wrong.message}"
        )
        return
    if heard != shown:
        yield Fault("alttext-differs", f"what the formula {_told(math)} shows is not what is spoken of it")


def _is_layout(math: etree._Element) -> bool:
    """A few bare signs with a box in the same block."""
    parts = list(math.iter())
    if len(parts) > _LAYOUT_PARTS or any(local_name(each) not in _LAYOUT for each in parts):
        return False
    at = math.getparent()
    while at is not None and local_name(at) != "qti-item-body":
        if at.find(f".//{_ENTRY}") is not None:
            return True
        at = at.getparent()
    return False


def _told(math: etree._Element) -> str:
    return f"“{(math.get('alttext') or '').strip()[:80]}”"
