"""Answers that are drawn on squared paper, told from an item alone: packages need to know, and draw nothing."""

from __future__ import annotations

from typing import Final

from itembank.items import Part

__all__ = ["NO_DRAWING", "has_squares"]

NO_DRAWING: Final = "a drawing is asked for, and there is a box for typed text only: have it drawn on paper"
"""What a platform cannot do with an answer in writing that has squared paper or axes."""


def has_squares(part: Part) -> bool:
    """Whether squared paper is drawn for a part."""
    return part.space in {"grid", "axes"}
