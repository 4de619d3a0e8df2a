"""Texts of an item as elements, the same in every language of elements: paragraphs, lists, tables, and what is in them.

A writer says how an element is written and how a cell is set to a side; a text's shape becomes markup with marks where
its fillings go.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from itembank.content import (
    Block,
    Emphasis,
    Hole,
    Inline,
    LineBreak,
    Listing,
    Paragraph,
    Table,
    Text,
    TextShape,
)  # fmt: skip
from itembank.expressions.display import hole_mark
from itembank.writers.base import xml_text

__all__ = ["Element", "TextMarkup"]


Element: TypeAlias = Callable[..., str]
"""Writes an element: its name, its children as markup, attributes as plain text (a trailing `_` of a name goes)."""


@dataclass(frozen=True, slots=True)
class TextMarkup:
    """How a writer writes texts. sides: left, right, center -> the attributes of a cell set to that side."""

    element: Element
    sides: Mapping[str, Mapping[str, str]]

    def blocks(self, shape: TextShape) -> str:
        """A text as block elements."""
        return "".join(map(self._block, shape.blocks))

    def inline(self, shape: TextShape) -> str:
        """A text without the `p` around it where it is one paragraph only, else as `blocks`."""
        return self._bare(shape.blocks)

    def _bare(self, blocks: tuple[Block, ...]) -> str:
        match blocks:
            case (Paragraph(inlines),):
                return self._run(inlines)
            case _:
                return "".join(map(self._block, blocks))

    def _block(self, block: Block) -> str:
        match block:
            case Paragraph(inlines):
                return self.element("p", self._run(inlines))
            case Listing(items, None):
                return self.element("ul", *map(self._entry, items))
            case Listing(items, start):
                numbered = {} if start == 1 else {"start": str(start)}
                return self.element("ol", *map(self._entry, items), **numbered)
            case Table(header, rows, alignments):
                head = self.element("thead", self._cells("th", header, alignments, scope="col"))
                body = (self._cells("td", row, alignments) for row in rows)
                return self.element("table", head, self.element("tbody", *body))

    def _entry(self, item: tuple[Block, ...]) -> str:
        """A list's entry; one that is a single paragraph needs no `p`."""
        return self.element("li", self._bare(item))

    def _cells(
        self, name: str, row: tuple[tuple[Inline, ...], ...], alignments: tuple[str, ...], **attributes: str
    ) -> str:
        cells = (
            self.element(name, self._run(cell), **attributes, **self.sides.get(alignment, {}))
            for cell, alignment in zip(row, alignments, strict=True)
        )
        return self.element("tr", *cells)

    def _run(self, inlines: tuple[Inline, ...]) -> str:
        return "".join(map(self._inline, inlines))

    def _inline(self, node: Inline) -> str:
        match node:
            case Text(text):
                return xml_text(text)
            case Emphasis(inlines, strong):
                return self.element("strong" if strong else "em", self._run(inlines))
            case Hole(index):
                return hole_mark(index)
            case LineBreak():
                return self.element("br")
