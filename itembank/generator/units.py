"""On which side of its box a unit stands."""

from __future__ import annotations

import unicodedata
from functools import cache

from itembank.words import words

__all__ = ["stands_first"]


@cache
def stands_first(unit: str, language: str) -> bool:
    """Whether a unit is written before its number: the sign of a currency, where the language has it so.

    >>> stands_first("£", "en"), stands_first("US$", "en"), stands_first("€", "es"), stands_first("m", "en")
    (True, True, False, False)
    """
    return unicodedata.category(unit[-1:] or " ") == "Sc" and words(language)("currency-sign") == "before"
