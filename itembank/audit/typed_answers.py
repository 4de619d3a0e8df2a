"""What is typed into one line, read back: the numbers in it, in order, or that there is no real solution."""

from __future__ import annotations

import re

from itembank.audit.tongues import ENGLISH, Tongue

__all__ = ["Typed", "read_typed"]

Typed = tuple[str, ...]
"""Numbers as text: `-3`, `3/4`, `-0.50`; () for no real solution."""

_NUMBER = re.compile(r"[+-]?(?:[0-9]{1,30}(?:[.,][0-9]{0,18})?|[0-9]{1,30}/[0-9]{1,30})")
_LIST_MARKS = (";", ", ", " ", ",")


def read_typed(text: str, gaps: int, words: Tongue = ENGLISH) -> Typed | None:
    """The numbers of a typed answer; None for what says nothing plainly.

    gaps: how many numbers are asked for. A comma is a decimal comma where one number is asked for, and where numbers
    are set apart by semicolons or blanks. words: in which "no real solution" is said.

    >>> read_typed("- 3 / 4", 1), read_typed("-1,5; 2", 2), read_typed("3,4", 2), read_typed("3,4", 1)
    (('-3/4',), ('-1.5', '2'), ('3', '4'), ('3.4',))
    >>> read_typed("None", 2), read_typed("−8, 2; 2", 3)
    ((), None)
    """
    plain = re.sub(r"\s+", " ", text.strip()).replace("−", "-")
    if plain.casefold() in words.typed_nothing:
        return ()
    plain = re.sub(r" ?/ ?", "/", plain)
    plain = re.sub(r"^([+-]) ", r"\1", plain)
    for mark in _LIST_MARKS if gaps > 1 else ():
        if mark in plain:
            pieces = [each.strip() for each in plain.split(mark)]
            return _numbers(pieces, may_have_comma=mark in {";", " "})
    return _numbers([plain], may_have_comma=gaps == 1)


def _numbers(pieces: list[str], may_have_comma: bool) -> Typed | None:
    for each in pieces:
        if not _NUMBER.fullmatch(each) or ("," in each and not may_have_comma):
            return None
    return tuple(each.replace(",", ".").removeprefix("+") for each in pieces)
