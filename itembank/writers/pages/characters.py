"""Plain characters as HTML: the one place of this writer where text is escaped.

A page shows letters of any script as they are. What HTML forbids, and what would hide or turn round the text
beside it, becomes U+FFFD, the sign for a replaced character.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

__all__ = ["REPLACED", "Source", "css_string", "escape"]

REPLACED: Final = "\ufffd"


class Source(str):
    """HTML: what has been escaped, or was written by this writer. Nothing else may reach a template."""

    __slots__ = ()

    def __html__(self) -> str:
        """What jinja2 asks of a text before it escapes it: this one is done."""
        return self


# Source of all but the last two ranges: HTML Living Standard, 13.2.3.5 (controls, surrogates, noncharacters); of
# those: Unicode Standard Annex 9, 2 (embeddings, overrides and isolates, which may reach past their own text).
_NONCHARACTERS: Final = "\ufdd0-\ufdef" + "".join(
    chr(plane | 0xFFFE) + chr(plane | 0xFFFF) for plane in range(0, 0x110000, 0x10000)
)
_FORBIDDEN: Final = re.compile(
    f"[\x00-\x08\x0b\x0e-\x1f\x7f-\x9f\ud800-\udfff{_NONCHARACTERS}\u202a-\u202e\u2066-\u2069]"
)
_MARKUP: Final = {ord("&"): "&amp;", ord("<"): "&lt;", ord(">"): "&gt;", ord('"'): "&#34;", ord("'"): "&#39;"}


@lru_cache(maxsize=4096)
def escape(text: str) -> Source:
    """The HTML that shows a text, in an element or in a quoted attribute.

    >>> escape("a < b & c\\x07")
    'a &lt; b &amp; c\ufffd'
    """
    return Source(_FORBIDDEN.sub(REPLACED, text).translate(_MARKUP))


def css_string(text: str) -> Source:
    r"""A text as a string of a style sheet: whatever is neither letter, digit nor space goes by its code.

    Source: CSS Syntax Module Level 3, 4.3.7 (escapes); a code of 0 or of half a pair is a replaced character.

    >>> css_string("a</style>") == r'"a\3c \2f style\3e "'
    True
    """
    shown = _FORBIDDEN.sub(REPLACED, text)
    return Source('"' + "".join(c if c.isalnum() or c == " " else f"\\{ord(c):x} " for c in shown) + '"')
