"""Which way a language is written, by its tag."""

from __future__ import annotations

import re
from functools import cache
from typing import Final

__all__ = ["is_right_to_left"]

_SCRIPTS: Final = re.compile("adlm|arab|aran|armi|hebr|mand|nkoo|rohg|samr|syrc|thaa")
"""Scripts that run from right to left. Source: ISO 15924 (codes), The Unicode Standard (direction); from memory."""
_LANGUAGES: Final = re.compile(
    "ar|arc|arz|azb|bal|ckb|dv|fa|glk|he|iw|ks|lrc|mzn|nqo|pnb|prs|ps|sd|sdh|syr|ug|ur|yi"
)
"""Languages that are usually written in one of them. Source: Unicode CLDR, likely subtags (from memory)."""


@cache
def is_right_to_left(tag: str) -> bool:
    """Whether texts in a language run from right to left; a script in the tag (BCP 47) decides before the language.

    >>> [is_right_to_left(tag) for tag in ("ar", "he-IL", "az-Arab", "ur-Latn", "en")]
    [True, True, True, False, False]
    """
    language, *subtags = tag.lower().split("-")
    script = next((each for each in subtags if len(each) == 4 and each.isalpha()), "")
    return (_SCRIPTS.fullmatch(script) if script else _LANGUAGES.fullmatch(language)) is not None
