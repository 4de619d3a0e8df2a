"""Descriptions of pictures from the translation files: sentences with mathematics in their places."""

from __future__ import annotations

from collections.abc import Iterator
from string import Formatter
from typing import Final

from itembank.expressions.display import Maths
from itembank.figures.drawing import Description
from itembank.words import Words, words

__all__ = ["ENGLISH", "phrase"]

ENGLISH: Final = words("en")


def phrase(said: Words, key: str, /, **parts: Maths | str | Description) -> Iterator[str | Maths]:
    """The words of a key with mathematics, words or descriptions in its places.

    >>> list(phrase(ENGLISH, "parabola-at-root", first="2"))
    [', at ', '2']
    """
    for before, name, _, _ in Formatter().parse(said(key)):
        if before:
            yield before
        if name is not None:
            part = parts[name]
            if isinstance(part, str | Maths):
                yield part
            else:
                yield from part
