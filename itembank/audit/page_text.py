"""What a candidate sees of a stretch of the page, as bare characters without blanks."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from lxml import etree

from itembank.audit.formulas import MATH
from itembank.audit.xml_reading import local_name

__all__ = ["BLOCKS", "seen", "texts_before_boxes", "words_of"]

_ENTRY = "{*}qti-text-entry-interaction"
BLOCKS: Final = frozenset(
    {"p", "div", "li", "td", "th", "tr", "table", "ol", "ul", "dd", "qti-item-body", "qti-prompt"}
)


def seen(element: etree._Element) -> str:
    """The characters a candidate sees, without annotations."""
    return "".join(_shown_texts(element))


def _shown_texts(element: etree._Element) -> Iterator[str]:
    if local_name(element) == "annotation-xml":
        return
    if element.text:
        yield "".join(element.text.split())
    for child in element:
        yield from _shown_texts(child)
        if child.tail:
            yield "".join(child.tail.split())


def words_of(element: etree._Element) -> str:
    """The words of an element as they stand, without its formulas."""
    if element.tag == MATH:
        return ""
    return (element.text or "") + "".join(words_of(child) + (child.tail or "") for child in element)


def texts_before_boxes(body: etree._Element) -> dict[etree._Element, str]:
    """For each box the characters before it, back to the box before or the beginning of the block."""
    found: dict[etree._Element, str] = {}
    if body.find(f".//{_ENTRY}") is None:
        return found
    gathered: list[str] = []

    def visit(element: etree._Element) -> None:
        if local_name(element) == "qti-text-entry-interaction":
            found[element] = "".join(gathered)
            gathered.clear()
            return
        if local_name(element) == "qti-inline-choice-interaction":
            return
        if element.tag == MATH:
            gathered.append(seen(element))
            return
        block = local_name(element) in BLOCKS and element.get("data-box") is None
        if block:
            gathered.clear()
        gathered.append("".join((element.text or "").split()))
        for child in element:
            visit(child)
            gathered.append("".join((child.tail or "").split()))
        if block:
            gathered.clear()

    visit(body)
    return found
