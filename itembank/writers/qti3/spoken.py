"""What a voice reads of a stem: a catalogue entry of the standard, the words as they are, formulas in words.

Platforms that speak mathematics badly, or not at all, find here what `alttext` says in its place in the sentence.
An item in a language that formulas are not spoken in has none: it would speak in two.
Source: QTI 3.0, catalogs; the support `spoken`.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from itembank.content import Content
from itembank.expressions.display import Maths, Pattern, hole_mark
from itembank.items import Part
from itembank.writers.phrases import Phrases
from itembank.writers.qti3.markup import spoken_blocks, tag

__all__ = ["catalog", "reference"]


def reference(part: Part) -> str:
    """The name of the entry of a part's stem, "" where its words are all there is to read."""
    return _name(part.label) if _has_maths(part.stem) else ""


@cache
def _name(label: str) -> str:
    return f"spoken_stem_{label}" if label else "spoken_stem"


def _has_maths(content: Content) -> bool:
    return Maths in map(type, content.fillings)


def catalog(parts: tuple[Part, ...], said: Phrases) -> str:
    """The entries of all stems with formulas, "" where there is none."""
    stems = [part for part in parts if _has_maths(part.stem)]
    if not stems:
        return ""
    heard: Any = tuple([spoken_blocks(part.stem, said) for part in stems])
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
