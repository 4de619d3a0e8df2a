"""How answers are told to people: mathematics as a page shows it, and where they stood on paper."""

from __future__ import annotations

from functools import lru_cache

from itembank.analysis.keys import Offered
from itembank.errors import DomainError
from itembank.expressions import spelling
from itembank.expressions.display import Maths
from itembank.expressions.layout import lay_out
from itembank.expressions.parser import ExpressionError, parse

__all__ = ["answer_shown", "offered_shown", "text_shown"]

_NONE = "no real solution"


@lru_cache(maxsize=4096)
def text_shown(text: str) -> str:
    """A text of a build's staff files, where it is a formula in the language of templates as a page shows it.

    >>> text_shown("x = -2 ± 2*sqrt(5)"), text_shown("no real roots"), text_shown("none")
    ('x = −2 ± 2√5', 'no real roots', 'no real solution')
    """
    if text == "none":
        return _NONE
    try:
        return spelling.terminal(Maths(lay_out(parse(text), 0)))
    except (ExpressionError, DomainError):
        return text


def offered_shown(offered: Offered) -> str:
    """What an answer says, without its letter.

    >>> from itembank.analysis.keys import Piece
    >>> offered_shown(Offered("B A", "x^2; 2*x", pieces=(Piece("x^2"), Piece("2*x")), between="; "))
    'x²; 2x'
    """
    if not offered.pieces:
        return text_shown(offered.text)
    return offered.between.join(text_shown(piece.text) for piece in offered.pieces)


def answer_shown(offered: Offered) -> str:
    """An answer in a sentence: what it says, and its number and letter on paper where there is one.

    >>> answer_shown(Offered("B", "x^2", printed="A 3 D, B 5 A")), answer_shown(Offered("B", "x^2"))
    ('x² (on paper A 3 D, B 5 A)', 'B (x²)')
    """
    text = offered_shown(offered)
    return f"{text} (on paper {offered.printed})" if offered.printed else f"{offered.name} ({text})"
