"""Plain characters for a word-processing document: whatever no XML document can hold is replaced, visibly."""

from __future__ import annotations

import re
from typing import Final

__all__ = ["REPLACED", "plain"]

REPLACED: Final = "\ufffd"
# Source: W3C, XML 1.0, fifth edition, production [2] Char; Unicode Standard Annex 9, 2 (embeddings, overrides and
# isolates, which may reach past their own text).
_ILLEGAL: Final = re.compile(
    "[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]|[\u202a-\u202e\u2066-\u2069]"
)
_SPACES: Final = re.compile("[\t\n\r\u2028\u2029]")


def plain(text: str) -> str:
    """A text as a run of a document: on one line, every character one that it may hold.

    >>> plain("a\\x07b\\tc")
    'a\ufffdb c'
    """
    return _SPACES.sub(" ", _ILLEGAL.sub(REPLACED, text))
