"""Texts of an item as HTML, with mathematics as MathML in it; made once for each shape and then filled."""

from __future__ import annotations

from functools import cache
from typing import Any, Final

from itembank.content import Content, Filling, TextShape
from itembank.expressions.display import Maths, Pattern
from itembank.expressions.mathml import mathml
from itembank.writers.common_cartridge.markup import html, words
from itembank.writers.phrases import Phrases
from itembank.writers.text_markup import TextMarkup

__all__ = ["blocks", "fill", "inline", "maths", "shown"]


def maths(displayed: Maths, said: Phrases) -> str:
    """Displayed mathematics as a `math` element with its meaning."""
    return mathml(displayed, said.conventions)


def shown(content: Maths | Content, said: Phrases) -> str:
    """An option: mathematics, or a text in the line."""
    return maths(content, said) if isinstance(content, Maths) else inline(content, said)


def blocks(content: Content, said: Phrases) -> str:
    """A text as block elements: paragraphs, lists, tables."""
    return _filled(_block_pattern(content.shape), content, said)


def inline(content: Content, said: Phrases) -> str:
    """A text without the `p` around it where it is one paragraph only, else as `blocks`."""
    return _filled(_inline_pattern(content.shape), content, said)


def fill(pattern: Pattern, pieces: tuple[str, ...]) -> str:
    """A pattern with markup in its holes."""
    filled: Any = pieces
    return pattern.fill(filled)


def _filled(pattern: Pattern, content: Content, said: Phrases) -> str:
    return fill(
        pattern, tuple([_filling(each, said) for each in content.fillings]) if content.fillings else ()
    )


def _filling(filling: Filling, said: Phrases) -> str:
    return maths(filling, said) if isinstance(filling, Maths) else words(filling)


_TEXTS: Final = TextMarkup(
    html, {side: {"style": f"text-align: {side}"} for side in ("left", "right", "center")}
)


@cache
def _block_pattern(shape: TextShape) -> Pattern:
    return Pattern(_TEXTS.blocks(shape))


@cache
def _inline_pattern(shape: TextShape) -> Pattern:
    return Pattern(_TEXTS.inline(shape))
