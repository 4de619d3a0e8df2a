"""The order in which a template's box is walked: a bijection of 0 .. size-1, keyed by template name and seed.

Written down here, so that it is the same on any machine and Python version: 5 rounds of multiply, add and
xor-shift on k bits (k = bits of size - 1, at least 2), their constants from BLAKE2b of the key; values >= size are
walked on. The version of a template is not part of the key: a new version leaves items where they were.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import lru_cache

ROUNDS = 5


@dataclass(frozen=True, slots=True)
class Permutation:
    """size >= 1; multipliers (odd) and addends, one for each round."""

    size: int
    bits: int
    multipliers: tuple[int, ...]
    addends: tuple[int, ...]

    def at(self, position: int) -> int:
        """The index in the box at a position, both in 0 .. size - 1.

        >>> order = keyed("monic-complete-square", 1, 10)
        >>> sorted(order.at(position) for position in range(10))
        [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]
        """
        mask, half = (1 << self.bits) - 1, (self.bits + 1) // 2
        (m1, m2, m3, m4, m5), (a1, a2, a3, a4, a5) = self.multipliers, self.addends
        value = position
        while True:  # five rounds written out: a loop takes twice the time, once for every position walked
            value = (value * m1 + a1) & mask
            value ^= value >> half
            value = (value * m2 + a2) & mask
            value ^= value >> half
            value = (value * m3 + a3) & mask
            value ^= value >> half
            value = (value * m4 + a4) & mask
            value ^= value >> half
            value = (value * m5 + a5) & mask
            value ^= value >> half
            if value < self.size:
                return value


@lru_cache(maxsize=256)
def keyed(template: str, seed: int, size: int) -> Permutation:
    """The permutation of a template's box for a seed."""
    bits = max((size - 1).bit_length(), 2)
    mask = (1 << bits) - 1
    width = bits // 8 + 1
    multipliers, addends = [], []
    for turn in range(ROUNDS):
        key = f"{template}\0{seed}\0{turn}".encode()
        stream = hashlib.shake_256(hashlib.blake2b(key).digest()).digest(2 * width)
        multipliers.append(int.from_bytes(stream[:width], "big") & mask | 1)
        addends.append(int.from_bytes(stream[width:], "big") & mask)
    return Permutation(size, bits, tuple(multipliers), tuple(addends))
