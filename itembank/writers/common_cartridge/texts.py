"""Texts of an item as HTML, with mathematics as MathML in it; made once for each shape and then filled."""

from __future__ import annotations

from functools import cache
from typing import Any, Final

from itembank.content import (
    Block,
    Content,
    Emphasis,
    Filling,
    Hole,
    Inline,
    LineBreak,
    Listing,
    Paragraph,
    Table,
    Text,
    TextShape,
)  # fmt: skip
from itembank.expressions.display import Maths, Pattern, hole_mark
from itembank.expressions.mathml import mathml
from itembank.writers.common_cartridge.markup import html, words

__all__ = ["blocks", "fill", "inline", "maths", "shown"]

maths: Final = mathml
"""Displayed mathematics as a `math` element with its meaning."""


def shown(content: Maths | Content) -> str:
    """An option: mathematics, or a text in the line."""
    return mathml(content) if isinstance(content, Maths) else inline(content)


def blocks(content: Content) -> str:
    """A text as block elements: paragraphs, lists, tables."""
    return _filled(_block_pattern(content.shape), content)


def inline(content: Content) -> str:
    """A text without the `p` around it where it is one paragraph only, else as `blocks`."""
    return _filled(_inline_pattern(content.shape), content)


def fill(pattern: Pattern, pieces: tuple[str, ...]) -> str:
    """A pattern with markup in its holes."""
    filled: Any = pieces
    return pattern.fill(filled)


def _filled(pattern: Pattern, content: Content) -> str:
    return fill(pattern, tuple([_filling(each) for each in content.fillings]) if content.fillings else ())


def _filling(filling: Filling) -> str:
    return mathml(filling) if isinstance(filling, Maths) else words(filling)


@cache
def _block_pattern(shape: TextShape) -> Pattern:
    return Pattern("".join(_block(block) for block in shape.blocks))


@cache
def _inline_pattern(shape: TextShape) -> Pattern:
    match shape.blocks:
        case (Paragraph(inlines),):
            return Pattern(_run(inlines))
        case _:
            return _block_pattern(shape)


def _block(block: Block) -> str:
    match block:
        case Paragraph(inlines):
            return html("p", _run(inlines))
        case Listing(items, None):
            return html("ul", *(_entry(item) for item in items))
        case Listing(items, start):
            return html(
                "ol", *(_entry(item) for item in items), **({} if start == 1 else {"start": str(start)})
            )
        case Table(header, rows, alignments):
            head = html("thead", _cells("th", header, alignments, scope="col"))
            return html("table", head, html("tbody", *(_cells("td", row, alignments) for row in rows)))


def _entry(item: tuple[Block, ...]) -> str:
    match item:
        case (Paragraph(inlines),):
            return html("li", _run(inlines))
        case _:
            return html("li", *(_block(block) for block in item))


def _cells(
    name: str, row: tuple[tuple[Inline, ...], ...], alignments: tuple[str, ...], **attributes: str
) -> str:
    cells = []
    for cell, alignment in zip(row, alignments, strict=True):
        aligned = {"style": f"text-align: {alignment}"} if alignment else {}
        cells.append(html(name, _run(cell), **attributes, **aligned))
    return html("tr", *cells)


def _run(inlines: tuple[Inline, ...]) -> str:
    return "".join(_inline(each) for each in inlines)


def _inline(node: Inline) -> str:
    match node:
        case Text(text):
            return words(text)
        case Emphasis(inlines, strong):
            return html("strong" if strong else "em", _run(inlines))
        case Hole(index):
            return hole_mark(index)
        case LineBreak():
            return html("br")
