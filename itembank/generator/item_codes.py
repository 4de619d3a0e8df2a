"""Item codes: short, opaque, with a check character, unlike a number or a date.

A code is made from an item's address and a secret of the bank's staff, since an address in a pupil's file would
give the key away. No vowels (no words), no 0, 1, Y or E (no look-alikes, no number in a spreadsheet).
"""

from __future__ import annotations

import hashlib

from itembank.items import Address

LETTERS = "BCDFGHJKLMNPQRSTVWXZ"
ALPHABET = LETTERS + "23456789"
LENGTH = 8
OPEN_SECRET = b"itembank: an open secret, for banks that have none of their own"

_PAIRS = [first + second for second in ALPHABET for first in ALPHABET]
"""Two symbols at a time, the lower first; an odd one is left of the seven."""

_PLACE = {symbol: index for index, symbol in enumerate(ALPHABET)}
_DOUBLED = {
    symbol: 2 * index // len(ALPHABET) + 2 * index % len(ALPHABET) for symbol, index in _PLACE.items()
}


def item_code(address: Address, secret: bytes, attempt: int = 0) -> str:
    """The code of an address: a letter, seven letters or digits, a check character.

    attempt: raised where two items of one bank would share a code.

    >>> code = item_code(Address("surds", 1, 1, 7), OPEN_SECRET)
    >>> len(code), is_code(code)
    (9, True)
    """
    text = f"{address}\0{attempt}".encode()
    value = int.from_bytes(hashlib.blake2b(text, key=secret[:64], digest_size=8).digest(), "big")
    value, first = divmod(value, len(LETTERS))
    body = LETTERS[first]
    for _ in range((LENGTH - 1) // 2):
        value, symbols = divmod(value, len(_PAIRS))
        body += _PAIRS[symbols]
    body += ALPHABET[value % len(ALPHABET)]
    return body + check_character(body)


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
