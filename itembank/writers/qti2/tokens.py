"""Attributes that QTI 2.x has no place for, kept as words of an element's `class`, from which they can be read back.

2.x has no `data-` attributes in all its versions; a class is a list of words in all of them.

Each word is a name token of XML: the attribute's name, and for each word of its value a dot and the word. A character
that is no small or capital letter of ASCII, no digit, `-` or `_` is written as its number in hexadecimal digits
between colons.
"""

from __future__ import annotations

import re
from typing import Final

__all__ = ["class_word"]

_UNSAFE: Final = re.compile(r"[^A-Za-z0-9_-]")


def class_word(name: str, value: str) -> str:
    """An attribute as one word.

    >>> class_word("data-marks", "M1 A1"), class_word("data-part", ""), class_word("data-value", "-1/2")
    ('data-marks.M1.A1', 'data-part', 'data-value.-1:2f:2')
    """
    return ".".join((name, *(_UNSAFE.sub(_number, word) for word in value.split())))


def _number(found: re.Match[str]) -> str:
    return f":{ord(found[0]):x}:"
