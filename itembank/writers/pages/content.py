"""The content tree as HTML: each shape is read once and filled by position."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import pairwise
from typing import TypeAlias, assert_never

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
)
from itembank.expressions.conventions import USUAL, Conventions, conventions_of
from itembank.expressions.display import Maths
from itembank.expressions.mathml import mathml
from itembank.figures import Figure
from itembank.figures.svg import svg
from itembank.words import Words
from itembank.writers.formulas import MATHML, Notation, in_page
from itembank.writers.pages.characters import Source, escape
from itembank.writers.paper import is_formula, is_tall, one_paragraph

__all__ = ["blocks", "conventional", "in_line", "mathematics", "picture"]

_OPENING, _CLOSING = "<mo>(</mo>", "<mo>)</mo>"
_BRACKETS = re.compile(f"({re.escape(_OPENING)}|{re.escape(_CLOSING)})")
# A word beside boxes stands as a mark that no text can hold, until the page is whole.
_MARKED = re.compile(r"<!([a-z-]+)>")
_SIGNS = re.compile(r"\u00a0[\w/]+[.,;:?!)\]]*|[.,;:?!)\]]+")
"""What is kept with the mathematics before it: what never begins a line (Unicode Standard Annex 14, 6.1, rule LB13),
and a unit after a space that does not break."""
_Piece: TypeAlias = str | int
_ALIGNED = {"right": ' class="right"', "center": ' class="centre"'}


def mathematics(maths: Maths, conventions: Conventions = USUAL) -> Source:
    """Mathematics as a `math` element. An empty numeral, before a relation sign that begins a line, leaves no trace."""
    shown = mathml(maths, conventions, annotated=False).replace("<mn></mn>", "")
    if is_tall(maths.shape):
        shown = shown.replace("<math ", '<math displaystyle="true" ', 1)
    return Source(_bracketed(shown) if _OPENING in shown else shown)


def conventional(page: str, words: Words, notation: Notation = MATHML) -> str:
    """A whole page with the words beside its boxes in its language, and its mathematics written as asked."""
    signs = conventions_of(words)
    page = _MARKED.sub(lambda found: escape(signs.pair if found[1] == "pair" else words(found[1])), page)
    return in_page(page, notation)


def _bracketed(shown: str) -> str:
    """Brackets as high as what they hold: browsers stretch them to the whole row, a raised exponent included."""
    pieces = _BRACKETS.split(shown)
    open_at: list[int] = []
    for index, piece in enumerate(pieces):
        if piece == _OPENING:
            open_at.append(index)
        elif piece == _CLOSING and open_at:
            first = open_at.pop()
            if not any("<mfrac>" in inner for inner in pieces[first:index]):
                pieces[first], pieces[index] = '<mo stretchy="false">(</mo>', '<mo stretchy="false">)</mo>'
    return "".join(pieces)


def picture(figure: Figure, said: Words) -> Source:
    """A picture as an `svg` element of the page, described in its words."""
    return Source(svg(figure, said))


def blocks(content: Content, conventions: Conventions = USUAL) -> Source:
    """A whole text as block elements."""
    return Source(_filled(_block_pieces(content.shape), content.fillings, conventions))


def in_line(content: Content, conventions: Conventions = USUAL) -> Source:
    """A text of one paragraph without the paragraph around it; of several blocks, as block elements."""
    if one_paragraph(content):
        return Source(_filled(_line_pieces(content.shape), content.fillings, conventions))
    return blocks(content, conventions)


def _filled(pieces: tuple[_Piece, ...], fillings: tuple[Filling, ...], conventions: Conventions) -> str:
    return "".join(
        piece if isinstance(piece, str) else _filling(fillings[piece], conventions) for piece in pieces
    )


def _filling(filling: Filling, conventions: Conventions) -> str:
    return escape(filling) if isinstance(filling, str) else mathematics(filling, conventions)


@lru_cache(maxsize=4096)
def _block_pieces(shape: TextShape) -> tuple[_Piece, ...]:
    return tuple(_blocks(shape.blocks))


@lru_cache(maxsize=4096)
def _line_pieces(shape: TextShape) -> tuple[_Piece, ...]:
    (block,) = shape.blocks
    assert isinstance(block, Paragraph)
    return tuple(_inlines(block.inlines))


def _blocks(found: Iterable[Block]) -> Iterator[_Piece]:
    for block in found:
        match block:
            case Paragraph(inlines):
                yield '<p dir="auto" class="formula">' if is_formula(inlines) else '<p dir="auto">'
                yield from _inlines(inlines)
                yield "</p>\n"
            case Listing(items, start):
                yield "<ul>\n" if start is None else f'<ol start="{start}">\n'
                for item in items:
                    yield "<li>"
                    yield from _blocks(item)
                    yield "</li>\n"
                yield "</ul>\n" if start is None else "</ol>\n"
            case Table():
                yield from _table(block)
            case _:
                assert_never(block)


def _inlines(found: Iterable[Inline]) -> Iterator[_Piece]:
    """Pieces; a sign that belongs to the mathematics before it is kept with it, since browsers break lines there."""
    held = False
    for inline, following in pairwise((*found, LineBreak())):
        match inline:
            case Text(text):
                sign = _SIGNS.match(text) if held else None
                if sign:
                    yield f"{escape(sign[0])}</span>"
                    text = text[sign.end() :]
                held = False
                yield escape(text)
            case Emphasis(inner, strong):
                yield "<strong>" if strong else "<em>"
                yield from _inlines(inner)
                yield "</strong>" if strong else "</em>"
            case Hole(index):
                held = isinstance(following, Text) and _SIGNS.match(following.text) is not None
                if held:
                    yield '<span class="held">'
                yield index
            case LineBreak():
                yield "<br>"
            case _:
                assert_never(inline)


def _table(table: Table) -> Iterator[_Piece]:
    width = max(len(row) for row in (table.header, *table.rows))
    yield '<div class="wide"><table class="given">\n<thead>\n'
    yield from _row(table.header, table.alignments, width, "th", ' scope="col"')
    yield "</thead>\n<tbody>\n"
    for row in table.rows:
        yield from _row(row, table.alignments, width, "td", "")
    yield "</tbody>\n</table></div>\n"


def _row(
    cells: tuple[tuple[Inline, ...], ...], alignments: tuple[str, ...], width: int, element: str, scope: str
) -> Iterator[_Piece]:
    yield "<tr>"
    for index in range(width):
        alignment = alignments[index] if index < len(alignments) else ""
        yield f"<{element}{scope}{_ALIGNED.get(alignment, '')}>"
        yield from _inlines(cells[index] if index < len(cells) else ())
        yield f"</{element}>"
    yield "</tr>\n"
