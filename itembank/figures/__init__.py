"""Pictures: what an item's figure is, and the one neutral drawing that every writer renders.

An item carries a *figure*: a small frozen description in exact numbers (which expression, which stage). `drawing`
turns it into marks at exact places; `svg` and `tikz` are the two renderings. This room knows mathematics as displayed
and exact numbers, and nothing of items, templates or formats of items.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TypeAlias, assert_never

from itembank.expressions.display import Maths
from itembank.expressions.spelling import terminal
from itembank.figures import area_model, extension, number_line, parabola, sign_table
from itembank.figures.area_model import AreaModel
from itembank.figures.drawing import Description, Drawing
from itembank.figures.extension import OtherFigure
from itembank.figures.number_line import NumberLine, Piece
from itembank.figures.parabola import Parabola
from itembank.figures.sign_table import Row, SignTable

__all__ = [
    "AreaModel", "Figure", "NumberLine", "OtherFigure", "Parabola", "Piece", "Row", "SignTable", "drawing", "in_words",
]  # fmt: skip

Figure: TypeAlias = AreaModel | Parabola | NumberLine | SignTable | OtherFigure


@lru_cache(maxsize=2048)
def drawing(figure: Figure) -> Drawing:
    """The picture of a figure: equal figures have equal pictures."""
    match figure:
        case AreaModel():
            return area_model.draw(figure)
        case Parabola():
            return parabola.draw(figure)
        case NumberLine():
            return number_line.draw(figure)
        case SignTable():
            return sign_table.draw(figure)
        case OtherFigure():
            return extension.draw(figure)
        case _:
            assert_never(figure)


def in_words(description: Description) -> str:
    """The description of a picture as one text.

    >>> from fractions import Fraction
    >>> in_words(drawing(AreaModel("x", Fraction(8), 2)).description)[:50]
    'Area model of x² + 8x, stage 2 of 3: a square of s'
    """
    return "".join(part if isinstance(part, str) else _spelled(part) for part in description)


def _spelled(maths: Maths) -> str:
    return terminal(maths)
