"""The content tree that writers receive: paragraphs, lists, tables, maths; no format, no markup.

As with mathematics, the tree is a shape with holes: all items of a template share the shape of a text and differ
in what stands in its holes (mathematics, or words of a context), so a writer renders each shape once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple, TypeAlias

from itembank.expressions.display import Maths


@dataclass(frozen=True, slots=True)
class Text:
    """Running text; plain characters, escaped by each writer in its own way."""

    text: str


@dataclass(frozen=True, slots=True)
class Emphasis:
    """Stressed text; strong where `strong`."""

    inlines: tuple[Inline, ...]
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Hole:
    """Where filling number `index` stands: mathematics in the line, or words."""

    index: int


@dataclass(frozen=True, slots=True)
class LineBreak:
    """A forced new line within a paragraph."""


Inline: TypeAlias = Text | Emphasis | Hole | LineBreak


@dataclass(frozen=True, slots=True)
class Paragraph:
    """One paragraph."""

    inlines: tuple[Inline, ...]


@dataclass(frozen=True, slots=True)
class Listing:
    """A list; numbered from `start`, or with bullets where start is None."""

    items: tuple[tuple[Block, ...], ...]
    start: int | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """A table with one header row; `alignments` holds left, right, center or "" for each column."""

    header: tuple[tuple[Inline, ...], ...]
    rows: tuple[tuple[tuple[Inline, ...], ...], ...]
    alignments: tuple[str, ...]


Block: TypeAlias = Paragraph | Listing | Table
BLOCK_KINDS: tuple[type, ...] = (Paragraph, Listing, Table)
INLINE_KINDS: tuple[type, ...] = (Text, Emphasis, Hole, LineBreak)


@dataclass(frozen=True, slots=True, eq=False)
class TextShape:
    """Blocks with holes; equal only to itself, so that a rendering can be remembered by it."""

    blocks: tuple[Block, ...]
    holes: int


Filling: TypeAlias = Maths | str
"""What fills a hole: mathematics, or words (plain characters)."""


class Content(NamedTuple):
    """A text: its shape and what fills its holes."""

    shape: TextShape
    fillings: tuple[Filling, ...] = ()


def of_text(text: str) -> Content:
    """One paragraph of plain words."""
    return Content(TextShape((Paragraph((Text(text),)),), 0))


def said(content: Content) -> tuple[tuple[Block, ...], tuple[Filling, ...]]:
    """What a text says: a shape is equal only to itself, its blocks to any that say the same.

    >>> said(of_text("one repeated root")) == said(of_text("one repeated root"))
    True
    """
    return content.shape.blocks, content.fillings
