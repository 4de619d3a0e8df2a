"""The looks of an item code: so that a code of another build is told from a slip of the pen."""

from __future__ import annotations

from typing import Final

__all__ = ["ALPHABET", "LENGTH", "LETTERS", "check_character", "is_code"]

LETTERS: Final = "BCDFGHJKLMNPQRSTVWXZ"
ALPHABET: Final = LETTERS + "23456789"
LENGTH: Final = 8
"""Of a code without its check character."""

_PLACE: Final = {symbol: index for index, symbol in enumerate(ALPHABET)}
_DOUBLED: Final = {
    symbol: 2 * index // len(ALPHABET) + 2 * index % len(ALPHABET) for symbol, index in _PLACE.items()
}


def check_character(body: str) -> str:
    """The Luhn check character over our alphabet (Luhn mod N, from memory): finds any single wrong character."""
    total = sum([_DOUBLED[symbol] for symbol in body[::-2]]) + sum(
        [_PLACE[symbol] for symbol in body[-2::-2]]
    )
    return ALPHABET[-total % len(ALPHABET)]


def is_code(text: str) -> bool:
    """Whether a text is a well-formed code."""
    return (
        len(text) == LENGTH + 1
        and text[0] in LETTERS
        and all(symbol in ALPHABET for symbol in text)
        and check_character(text[:-1]) == text[-1]
    )
