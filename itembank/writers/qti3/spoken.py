"""What a voice reads of a stem: a catalogue entry of the standard, the words as they are, formulas in words.

Platforms that speak mathematics badly, or not at all, find here what `alttext` says in its place in the sentence.
Source: QTI 3.0, catalogs; the support `spoken`.
"""

from __future__ import annotations

from functools import cache
from typing import Any, Final

from itembank.content import Content
from itembank.expressions.display import Maths, Pattern, hole_mark
from itembank.items import Part
from itembank.words import base_language
from itembank.writers.phrases import Phrases
from itembank.writers.qti3.markup import spoken_blocks, tag

__all__ = ["LANGUAGE", "catalog", "is_spoken", "reference"]

LANGUAGE: Final = "en"
"""The language that formulas are spoken in."""


def is_spoken(said: Phrases) -> bool:
    """Whether stems have entries: in another language than that of the formulas one would speak in two."""
    return not said.foreign and base_language(said.words.language) == LANGUAGE


def reference(part: Part) -> str:
    """The name of the entry of a part's stem, "" where its words are all there is to read."""
    return _name(part.label) if _has_maths(part.stem) else ""


@cache
def _name(label: str) -> str:
    return f"spoken_stem_{label}" if label else "spoken_stem"


def _has_maths(content: Content) -> bool:
    return Maths in map(type, content.fillings)


def catalog(parts: tuple[Part, ...]) -> str:
    """The entries of all stems with formulas, "" where there is none."""
    stems = [part for part in parts if _has_maths(part.stem)]
    if not stems:
        return ""
    heard: Any = tuple([spoken_blocks(part.stem) for part in stems])
    return _pattern(tuple([part.label for part in stems])).fill(heard)


@cache
def _pattern(labels: tuple[str, ...]) -> Pattern:
    entries = (
        tag(
            "qti-catalog",
            tag("qti-card", tag("qti-html-content", hole_mark(hole)), support="spoken"),
            id=_name(label),
        )
        for hole, label in enumerate(labels)
    )
    return Pattern(tag("qti-catalog-info", *entries))
