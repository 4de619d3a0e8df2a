"""A finished document of QTI 3.0 as one of QTI 2.1 or 2.2: names, required attributes, wrappers.

It reads what our own writer wrote (escaped once, attributes in double quotes, no comments), tag by tag; a tag seen
before is remembered, and mathematics passes as it is. An element or an attribute that is not in the tables raises
DomainError: nothing is left out without a word.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache, lru_cache, partial
from html import unescape
from typing import Final, NamedTuple

from itembank.errors import DomainError
from itembank.writers.dialects import QTI_3_0, Dialect
from itembank.writers.qti2.names import ELEMENTS, Element, camel
from itembank.writers.qti2.tokens import class_word

__all__ = ["Translated", "translate"]

ALIGNMENT: Final = "how the columns of a table are aligned is left to the platform"
LABELS: Final = "whether options are lettered is left to the platform"
SPOKEN: Final = "what a screen reader says of a box or of a list of options is not carried"
DIRECTION: Final = "which way a language is written is left to the platform"
PEOPLE: Final = "that people mark an answer is not declared, its rubric says so"
CATALOG: Final = "spoken text is carried by the formulas' alternative text only"
MATHS_IN_LIST: Final = "formulas in a list to choose from are shown as plain text"

_REMEMBERED: Final = 8192
_TAG: Final = re.compile(r"<math\b.*?</math>|<[^>]*>", re.DOTALL)
_PARTS: Final = re.compile(r"<(/?)([^\s/>]+)([^>]*?)(/?)>")
_ATTRIBUTE: Final = re.compile(r'\s+([^\s=]+)="([^"]*)"')
_CATALOGS: Final = re.compile(r"<qti-catalog-info\b.*?</qti-catalog-info>", re.DOTALL)
_PROMPT: Final = re.compile(r"(<qti-prompt\b[^>]*>)(.*?)(</qti-prompt>)", re.DOTALL)
_LISTED: Final = re.compile(r"(<qti-inline-choice\b[^>]*>)(.*?)(</qti-inline-choice>)", re.DOTALL)
_MATH: Final = re.compile(r'<math\b[^>]*?\balttext="([^"]*)"[^>]*>.*?</math>', re.DOTALL)
_PARAGRAPH: Final = re.compile(r"<p(?:\s[^>]*)?>(.*?)</p>", re.DOTALL)


class Translated(NamedTuple):
    """A document, and what it lost, in a sentence each."""

    document: str
    lost: tuple[str, ...]


def translate(document: str, dialect: Dialect) -> Translated:
    """A document of 3.0 that this house wrote, in a dialect of 2.x.

    Raises DomainError for an element or an attribute that the tables do not know.

    >>> from itembank.writers.dialects import QTI_2_2
    >>> translate('<qti-and><qti-is-null><qti-variable identifier="X"/></qti-is-null></qti-and>', QTI_2_2).document
    '<and><isNull><variable identifier="X"/></isNull></and>'
    """
    lost: dict[str, None] = {}
    translated_tag = _tags(dialect)
    if "<qti-catalog-info" in document:
        document = _CATALOGS.sub("", document)
        lost[CATALOG] = None
    if "<qti-prompt" in document:
        document = _PROMPT.sub(_inline_prompt, document)
    if not dialect.maths_in_lists and "<qti-inline-choice " in document:
        document = _LISTED.sub(lambda found: _without_maths(found, lost), document)

    def tag(found: re.Match[str]) -> str:
        text = found[0]
        if text.startswith(("<math", "<?")):
            return text
        translated = translated_tag(text)
        if translated.lost:
            lost.update(dict.fromkeys(translated.lost))
        return translated.document

    return Translated(_TAG.sub(tag, document), tuple(lost))


def _inline_prompt(found: re.Match[str]) -> str:
    """A prompt without paragraphs: in 2.x it holds a line of text."""
    opening, inside, closing = found.groups()
    if "<p" not in inside:
        return found[0]
    lines = _PARAGRAPH.findall(inside)
    if _PARAGRAPH.sub("", inside).strip():
        raise DomainError("a prompt holds more than paragraphs, which QTI 2.x cannot carry")
    return opening + "<br/>".join(lines) + closing


def _without_maths(found: re.Match[str], lost: dict[str, None]) -> str:
    opening, inside, closing = found.groups()
    if "<math" not in inside:
        return found[0]
    lost[MATHS_IN_LIST] = None
    return opening + _MATH.sub(r"\1", inside) + closing


@cache
def _tags(dialect: Dialect) -> Callable[[str], Translated]:
    """What becomes of a tag in a dialect, remembered."""
    return lru_cache(maxsize=_REMEMBERED)(partial(_tag, dialect=dialect))


def _tag(text: str, dialect: Dialect) -> Translated:
    parts = _PARTS.fullmatch(text)
    if parts is None:
        raise DomainError(f"{text!r} is no tag")
    closing, name, written, empty = parts.groups()
    element = ELEMENTS.get(name)
    if element is None:
        raise DomainError(f"the element {name} has no name in QTI 2.x")
    if not element.name:
        return Translated("", ())
    if closing:
        return Translated(f"</{element.name}>", ())
    lost: dict[str, None] = {}
    attributes = _attributes(name, element, _ATTRIBUTE.findall(written), dialect, lost)
    told = "".join(f' {key}="{value}"' for key, value in attributes.items())
    return Translated(f"<{element.name}{told}{empty}>", tuple(lost))


def _attributes(
    name: str, element: Element, written: list[tuple[str, str]], dialect: Dialect, lost: dict[str, None]
) -> dict[str, str]:
    kept: dict[str, str] = {}
    words: list[str] = []
    for key, value in written:
        if key == "xmlns" and value == QTI_3_0.items:
            kept[key] = dialect.items
        elif key == "xsi:schemaLocation":
            kept[key] = dialect.item_schema
        elif key.startswith("xmlns:"):
            kept[key] = value
        elif key == "data-catalog-idref":
            continue  # what it points to is left out, and told
        elif key in element.lost:
            lost[element.lost[key]] = None
        elif key == "external-scored" and name == "qti-outcome-declaration":
            if dialect.has_external_scoring:
                kept[camel(key)] = value
            else:
                lost[PEOPLE] = None
        elif key == "dir":
            if dialect.has_direction:
                kept[key] = value
            else:
                lost[DIRECTION] = None
        elif key == "use":
            words.append(class_word(key, unescape(value)))
        elif key in element.attributes:
            kept[camel(key)] = value
        elif not element.is_body:
            raise DomainError(f"the attribute {key} of {name} has no place in QTI 2.x")
        elif key == "class":
            words = [*_looks(value, lost), *words]
        elif key.startswith("data-"):
            words.append(class_word(key, unescape(value)))
        elif key.startswith("aria-"):
            if dialect.has_aria:
                kept[key] = value
            else:
                lost[SPOKEN] = None
        elif key in {"id", "xml:lang", "label"}:
            kept[key] = value
        else:
            raise DomainError(f"the attribute {key} of {name} has no place in QTI 2.x")
    if words:
        kept["class"] = " ".join(words)
    for key, value in element.always.items():
        kept.setdefault(key, value)
    return kept


def _looks(value: str, lost: dict[str, None]) -> list[str]:
    """The words of a class without those of 3.0's own vocabulary for looks."""
    kept = []
    for word in value.split():
        if word.startswith("qti-align-"):
            lost[ALIGNMENT] = None
        elif word.startswith("qti-labels-"):
            lost[LABELS] = None
        elif not word.startswith("qti-"):
            kept.append(word)
    return kept
