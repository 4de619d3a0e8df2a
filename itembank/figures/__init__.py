"""Pictures: what an item's figure is, and the one neutral drawing that every writer renders.

An item carries a *figure*: a small frozen description in exact numbers (which expression, which stage). `drawing`
turns it into marks at exact places; `svg` and `tikz` are the two renderings. This room knows mathematics as displayed
and exact numbers, and nothing of items, templates or formats of items.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import TypeAlias, assert_never

from itembank.expressions.conventions import USUAL, Conventions, conventions_of
from itembank.expressions.display import Maths
from itembank.expressions.spelling import terminal
from itembank.figures import area_model, extension, number_line, parabola, sign_table
from itembank.figures.area_model import AreaModel
from itembank.figures.drawing import Drawing
from itembank.figures.extension import OtherFigure
from itembank.figures.number_line import NumberLine, Piece
from itembank.figures.parabola import Parabola
from itembank.figures.sign_table import Row, SignTable
from itembank.figures.wording import ENGLISH
from itembank.words import Words

__all__ = [
    "AreaModel", "Figure", "NumberLine", "OtherFigure", "Parabola", "Piece", "Row", "SignTable", "drawing", "in_words",
    "language_of",
]  # fmt: skip

Figure: TypeAlias = AreaModel | Parabola | NumberLine | SignTable | OtherFigure


@lru_cache(maxsize=2048)
def drawing(figure: Figure, said: Words = ENGLISH) -> Drawing:
    """The picture of a figure, described in the words of a language: equal figures have equal pictures."""
    match figure:
        case AreaModel():
            found = area_model.draw(figure, said)
        case Parabola():
            found = parabola.draw(figure, said)
        case NumberLine():
            found = number_line.draw(figure, said)
        case SignTable():
            found = sign_table.draw(figure, said)
        case OtherFigure():
            found = extension.draw(figure)
        case _:
            assert_never(figure)
    return found if said is ENGLISH else replace(found, signs=conventions_of(said))


def language_of(figure: Figure, said: Words) -> str:
    """The language of a picture's words where `said` are wanted: an extension has words of its own."""
    return extension.language_of(figure) if isinstance(figure, OtherFigure) else said.language


def in_words(picture: Drawing) -> str:
    """The description of a picture as one text.

    >>> from fractions import Fraction
    >>> in_words(drawing(AreaModel("x", Fraction(8), 2)))[:50]
    'Area model of x² + 8x, stage 2 of 3: a square of s'
    """
    parts = (part if isinstance(part, str) else _spelled(part, picture.signs) for part in picture.description)
    return "".join(parts)


def _spelled(maths: Maths, signs: Conventions) -> str:
    """In the line, with the marks of a language: descriptions hold numbers, points and letters, and no lists."""
    told = terminal(maths)
    return told if signs is USUAL else told.replace(", ", f"{signs.pair} ").replace(".", signs.point)
