"""The content tree as LaTeX source: each shape is read once and filled by position."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Final, TypeAlias, assert_never

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
from itembank.expressions.display import Maths
from itembank.expressions.latex import latex
from itembank.figures import Figure
from itembank.figures.tikz import tikz
from itembank.words import Words
from itembank.writers.latex.characters import Source, escape
from itembank.writers.paper import is_formula, is_tall, one_paragraph

__all__ = ["blocks", "displayed", "in_line", "inline_maths", "maths_source", "picture"]

_Piece: TypeAlias = str | int
_COLUMNS = {"left": "l", "right": "r", "center": "c", "": "l"}
# Deeper lists are not set further in: the line would become too narrow to read.
_DEEPEST_INDENT = 4


# What a convention decides is left to macros of the document's head, where it can be changed in one place.
_CONVENTIONAL: Final = re.compile(
    r"(?<=[0-9])\.(?=[0-9])|\\times(?![a-zA-Z])|,\\, |\\ \\text\{or\}\\ |\\ \\text\{and\}\\ |\\text\{no real solution\}"
)
_AND: Final = r"\ \text{and}\ "
_BEFORE_Y: Final = frozenset("yYiI")
_MACROS: Final = {
    ".": r"\Point ", r"\times": r"\Times", r",\, ": r"\PairMark\, ", r"\ \text{or}\ ": r"\OrWord ",
    _AND: r"\AndWord ", r"\text{no real solution}": r"\NoSolution ",
}  # fmt: skip


def maths_source(maths: Maths) -> Source:
    r"""The source for math mode, with macros for what a convention decides.

    >>> from itembank.expressions.display import Decimal, Numeral, Shape
    >>> from fractions import Fraction
    >>> maths_source(Maths(Shape(Numeral(0), 1), (Decimal(Fraction(3, 2), 1),)))
    '1\\Point 5'
    """
    return Source(_CONVENTIONAL.sub(_macro, latex(maths)))


def _macro(found: re.Match[str]) -> str:
    is_before_y = found[0] == _AND and found.string[found.end() : found.end() + 1] in _BEFORE_Y
    return r"\AndBeforeY " if is_before_y else _MACROS[found[0]]


def inline_maths(maths: Maths) -> Source:
    """Mathematics in a line of text, which may break at its relations; large fractions at full size."""
    if is_tall(maths.shape):
        return displayed(maths)
    return Source(f"${maths_source(maths)}$")


def displayed(maths: Maths) -> Source:
    """Mathematics in a line of its own: fractions and roots at full size."""
    return Source(rf"$\displaystyle {maths_source(maths)}$")


def picture(figure: Figure, said: Words) -> Source:
    """A picture in the words of the paper, as high as a line of text may be."""
    return Source(tikz(figure, escape, said))


def blocks(content: Content) -> Source:
    """A whole text; each block ends its paragraph."""
    return Source(_filled(_block_pieces(content.shape), content.fillings))


def in_line(content: Content) -> Source:
    """A text of one paragraph as part of a line; of several blocks, each still ends its paragraph."""
    if one_paragraph(content):
        return Source(_filled(_line_pieces(content.shape), content.fillings))
    return blocks(content)


def _filled(pieces: tuple[_Piece, ...], fillings: tuple[Filling, ...]) -> str:
    return "".join(piece if isinstance(piece, str) else _filling(fillings[piece]) for piece in pieces)


def _filling(filling: Filling) -> str:
    return escape(filling) if isinstance(filling, str) else inline_maths(filling)


@lru_cache(maxsize=4096)
def _block_pieces(shape: TextShape) -> tuple[_Piece, ...]:
    return tuple(_blocks(shape.blocks, 0))


@lru_cache(maxsize=4096)
def _line_pieces(shape: TextShape) -> tuple[_Piece, ...]:
    (block,) = shape.blocks
    assert isinstance(block, Paragraph)
    return tuple(_inlines(block.inlines))


def _blocks(found: Iterable[Block], depth: int) -> Iterator[_Piece]:
    for block in found:
        match block:
            case Paragraph(inlines):
                shown = _inlines(inlines)
                if is_formula(inlines):
                    yield from (
                        "\\AroundFormula{\\everymath{\\displaystyle}",
                        *shown,
                        "}\\EndBlock\\AroundFormula\n",
                    )
                else:
                    yield from (*shown, "\\EndBlock\n")
            case Listing(items, start):
                yield from _listing(items, start, depth)
            case Table():
                yield from _table(block)
            case _:
                assert_never(block)


def _inlines(found: Iterable[Inline]) -> Iterator[_Piece]:
    for inline in found:
        match inline:
            case Text(text):
                yield escape(text)
            case Emphasis(inlines, strong):
                yield r"\textbf{" if strong else r"\emph{"
                yield from _inlines(inlines)
                yield "}"
            case Hole(index):
                yield index
            case LineBreak():
                yield "\\LineBreak{}"
            case _:
                assert_never(inline)


def _listing(items: tuple[tuple[Block, ...], ...], start: int | None, depth: int) -> Iterator[_Piece]:
    macro = "ListItem" if depth < _DEEPEST_INDENT else "DeepItem"
    for number, item in enumerate(items, start or 0):
        yield f"\\{macro}{{{'' if start is None else f'{number}.'}}}{{"
        yield from _item(item, depth + 1)
        yield "}\n"


def _item(found: tuple[Block, ...], depth: int) -> Iterator[_Piece]:
    # A formula that begins an item stays in the line of its bullet or number: a line of its own would leave that empty.
    if found and isinstance(found[0], Paragraph) and is_formula(found[0].inlines):
        yield from ("{\\everymath{\\displaystyle}", *_inlines(found[0].inlines), "\\EndBlock}\n")
        found = found[1:]
    yield from _blocks(found, depth)


def _table(table: Table) -> Iterator[_Piece]:
    width = max(len(row) for row in (table.header, *table.rows))
    if not width:
        return
    columns = "".join(_COLUMNS.get(alignment, "l") for alignment in table.alignments[:width]).ljust(
        width, "l"
    )
    yield f"\\Table{{{columns}}}{{{width}}}{{%\n"
    yield from _row(table.header, width, "HeadCell")
    yield "\\hline\n"
    for row in table.rows:
        yield from _row(row, width, "Cell")
    yield "}\n"


def _row(cells: tuple[tuple[Inline, ...], ...], width: int, macro: str) -> Iterator[_Piece]:
    for index in range(width):
        yield f"{'&' if index else ''}\\{macro}{{"
        yield from _inlines(cells[index] if index < len(cells) else ())
        yield "}"
    yield "\\tabularnewline\n"
