"""Item codes: short, opaque, with a check character, unlike a number or a date.

A code is made from an item's address and a secret of the bank's staff, since an address in a pupil's file would
give the key away. No vowels (no words), no 0, 1, Y or E (no look-alikes, no number in a spreadsheet).
"""

from __future__ import annotations

import hashlib

from itembank.item_code_shape import ALPHABET, LENGTH, LETTERS, check_character, is_code
from itembank.items import Address

__all__ = ["ALPHABET", "LENGTH", "LETTERS", "OPEN_SECRET", "check_character", "is_code", "item_code"]

OPEN_SECRET = b"itembank: an open secret, for banks that have none of their own"

_PAIRS = [first + second for second in ALPHABET for first in ALPHABET]
"""Two symbols at a time, the lower first; an odd one is left of the seven."""


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
