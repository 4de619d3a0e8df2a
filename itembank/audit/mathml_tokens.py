"""A row of presentation MathML as a flat line of signs, words and operands, the way it is seen.

Rows within rows group nothing that a reader sees, so they are opened up. Whatever could hide, move or colour a
sign is refused.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from lxml import etree

from itembank.audit.findings import Unread
from itembank.audit.tongues import ENGLISH, LANGUAGE, Tongue
from itembank.audit.xml_reading import local_name, namespace

__all__ = [
    "APPLIED",
    "DEPTH",
    "INVISIBLE_TIMES",
    "MATHML",
    "RELATIONS",
    "SIGNS",
    "TIMES",
    "Token",
    "content_of",
    "parts_of",
    "row_tokens",
    "tokens",
]

MATHML: Final = "http://www.w3.org/1998/Math/MathML"
SIGNS: Final = {"+": "+", "−": "-", "±": "±"}
INVISIBLE_TIMES: Final = "\u2062"
TIMES: Final = frozenset({"×", "⋅", INVISIBLE_TIMES})
APPLIED: Final = "\u2061"
RELATIONS: Final = frozenset("=≠<≤>≥≈∈")
DEPTH: Final = 40
_OPERATORS = frozenset({*SIGNS, *TIMES, *RELATIONS, APPLIED, "(", ")", "|", ","})
_ATTRIBUTES = frozenset({"form", "width", "display", "alttext", "mathvariant", "stretchy", LANGUAGE})


@dataclass(frozen=True, slots=True)
class Token:
    """kind: `operand` (then `element` is what stands there), `operator` or `word`."""

    kind: str
    text: str = ""
    element: etree._Element | None = None


def tokens(element: etree._Element, depth: int, words: Tongue = ENGLISH) -> list[Token]:
    """The line of a MathML element. words: of its language. Raises Unread for what the audit does not know."""
    if namespace(element) != MATHML:
        raise Unread(f"the element {local_name(element)} is not MathML")
    if depth > DEPTH:
        raise Unread("the formula is nested too deeply")
    for attribute in element.attrib:
        if attribute not in _ATTRIBUTES:
            raise Unread(f"the attribute {attribute!r} on {local_name(element)} may change what is seen")
    name = local_name(element)
    if name in {"math", "mrow"}:
        return row_tokens(element, depth, words)
    if name == "mspace":
        return []
    if name == "mo":
        return [_operator(element, words)]
    if name == "mtext" and content_of(element) != words.nothing:
        return [_word(element, words)]
    return [Token("operand", element=element)]


def row_tokens(element: etree._Element, depth: int, words: Tongue = ENGLISH) -> list[Token]:
    """The line of an element's children, as in a row."""
    _no_loose_text(element)
    return [token for child in element for token in tokens(child, depth + 1, words)]


def parts_of(element: etree._Element, count: int) -> list[etree._Element]:
    """The children of an element that has so many. Raises Unread otherwise."""
    _no_loose_text(element)
    parts = list(element)
    if len(parts) != count:
        raise Unread(f"{local_name(element)} has {len(parts)} parts, not {count}")
    return parts


def content_of(element: etree._Element) -> str:
    """The characters of a token element, blanks evened out."""
    if len(element):
        raise Unread(f"{local_name(element)} holds elements")
    return " ".join((element.text or "").split())


def _operator(element: etree._Element, words: Tongue) -> Token:
    text = content_of(element)
    if text in {",", ";"}:
        text = "," if text == words.pair else f"{text} in {words.name}"
    if text not in _OPERATORS:
        raise Unread(f"the operator {text!r} is not known")
    return Token("operator", text)


def _word(element: etree._Element, words: Tongue) -> Token:
    text = content_of(element)
    if text not in words.joins:
        raise Unread(f"the words {text!r} are not known in a formula")
    return Token("word", words.joins[text])


def _no_loose_text(element: etree._Element) -> None:
    if (element.text or "").strip() or any((child.tail or "").strip() for child in element):
        raise Unread(f"{local_name(element)} holds loose text")
