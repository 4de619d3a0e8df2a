"""The lowest room of this writer: the only place where a `<` is written, and where plain text becomes markup.

Everything above hands over plain text as attributes or through `words`, and markup as children. Only the mathematics
comes as markup from elsewhere, from the MathML reading. All of this runs while patterns are made, once for each
shape of an item; writing an item fills patterns and joins them.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any, Final, TypeAlias

from itembank.content import Content, Filling, TextShape
from itembank.expressions.display import Maths, Pattern, Shape, composed, hole_mark
from itembank.expressions.mathml import marked as marked_maths
from itembank.expressions.mathml import mathml, spoken_too
from itembank.expressions.speech import is_said_as_written, speech
from itembank.writers.base import xml_text
from itembank.writers.elements import Safe, tag
from itembank.writers.phrases import Phrases
from itembank.writers.text_markup import TextMarkup

__all__ = [
    "PICTURE", "Key", "Safe", "blocks", "gather", "inline", "maths", "spoken_blocks", "tag", "together", "words",
]  # fmt: skip

words: Final = xml_text
"""Plain text as markup."""

PICTURE: Final = "\x03"
"""Where a picture goes until the document is whole: a character that no document can hold, so no text has it."""

_TEXTS: Final = TextMarkup(
    tag, {side: {"class_": f"qti-align-{side}"} for side in ("left", "right", "center")}
)


def maths(displayed: Maths, said: Phrases) -> str:
    """Displayed mathematics as a `math` element with its meaning."""
    return mathml(displayed, said.conventions)


def blocks(content: Content, said: Phrases) -> str:
    """A text as block elements: paragraphs, lists, tables."""
    numbers: list[Any] = []
    return _whole(gather(content, numbers, said), said).fill(numbers)


def spoken_blocks(content: Content, said: Phrases) -> str:
    """A text as block elements, its formulas in spoken words."""
    words: Any = tuple([_spoken(each, said) for each in content.fillings])
    return _block_pattern(content.shape).fill(words)


Key: TypeAlias = Shape | TextShape | tuple[Any, ...] | None
"""What a piece of a text looks like, its numbers apart; see `gather`."""


def gather(piece: Maths | Content | str, numbers: list[Any], said: Phrases) -> Key:
    """Adds what fills a piece to `numbers`, and returns what it looks like: `marked` gives the text to fill.

    So a text with all its formulas is one pattern, filled at once. A piece that is markup already is its own filling.
    """
    if type(piece) is Maths:
        if is_said_as_written(piece):
            numbers += piece.numbers
            return piece.shape
        numbers += spoken_too(piece.numbers, said.conventions)
        return (piece.shape,)
    if type(piece) is Content:
        if not piece.fillings:
            return piece.shape
        return (piece.shape, *[gather(_plain(each), numbers, said) for each in piece.fillings])
    numbers.append(piece)
    return None


def _plain(filling: Filling) -> Maths | str:
    return filling if isinstance(filling, Maths) else xml_text(filling)


def marked(key: Key, said: Phrases) -> tuple[str, int]:
    """The markup of a piece that looks so, with hole marks, and how many holes it has."""
    match key:
        case None:
            return hole_mark(0), 1
        case Shape():
            return marked_maths(key, True, said.conventions)
        case TextShape():
            return _marked_blocks(key), 0
        case (Shape() as shape,):
            return marked_maths(shape, False, said.conventions)
        case (TextShape() as shape, *inner):
            return together(_marked_blocks(shape), inner, said)
        case _:
            raise AssertionError(key)


def together(outer: str, keys: Sequence[Key], said: Phrases) -> tuple[str, int]:
    """A marked text with pieces in its holes, and how many holes they have."""
    inner = [marked(key, said) for key in keys]
    return composed(outer, inner), sum(holes for _, holes in inner)


@cache
def _whole(key: Key, said: Phrases) -> Pattern:
    return Pattern(marked(key, said)[0])


def inline(content: Content, said: Phrases) -> str:
    """A text without the `p` around it where it is one paragraph only, else as `blocks`."""
    return _filled(_inline_pattern(content.shape), content, said)


def _filled(pattern: Pattern, content: Content, said: Phrases) -> str:
    filled: Any = tuple([_filling(each, said) for each in content.fillings]) if content.fillings else ()
    return pattern.fill(filled)


def _filling(filling: Filling, said: Phrases) -> str:
    return mathml(filling, said.conventions) if isinstance(filling, Maths) else xml_text(filling)


def _spoken(filling: Filling, said: Phrases) -> str:
    return xml_text(speech(filling, said.conventions) if isinstance(filling, Maths) else filling)


@cache
def _block_pattern(shape: TextShape) -> Pattern:
    return Pattern(_marked_blocks(shape))


def _marked_blocks(shape: TextShape) -> str:
    return _TEXTS.blocks(shape)


@cache
def _inline_pattern(shape: TextShape) -> Pattern:
    return Pattern(_TEXTS.inline(shape))
