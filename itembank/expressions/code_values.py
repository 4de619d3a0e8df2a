"""What generated whole-number code works on: pieces of code with the interval their value must lie in."""

from __future__ import annotations

from dataclasses import dataclass

from itembank.errors import ItembankError

LARGEST_ARRAY_VALUE = 2**62
"""In arrays every value stays below, so that 64 bits hold it and the sum of two such."""

LARGEST_CODE_BITS = 4_000


class NotCompilable(ItembankError):
    """The tree is outside what integer code covers (roots of different numbers, high powers): use `exact`."""


@dataclass(frozen=True, slots=True)
class Int:
    """Code for a whole number that lies in [low, high]."""

    text: str
    low: int
    high: int

    @property
    def is_fixed(self) -> bool:
        """Whether only one value is possible."""
        return self.low == self.high

    @property
    def reach(self) -> int:
        """The largest absolute value."""
        return max(abs(self.low), abs(self.high))

    @property
    def may_vanish(self) -> bool:
        """Whether 0 is possible."""
        return self.low <= 0 <= self.high


@dataclass(frozen=True, slots=True)
class Ratio:
    """numerator / denominator, denominator >= 1."""

    n: Int
    d: Int

    @property
    def is_fixed(self) -> bool:
        """Whether only one value is possible."""
        return self.n.is_fixed and self.d.is_fixed

    @property
    def is_whole(self) -> bool:
        """Whether the denominator is always 1."""
        return self.d.low == self.d.high == 1

    @property
    def is_zero(self) -> bool:
        """Whether the value is always 0."""
        return self.n.low == self.n.high == 0


@dataclass(frozen=True, slots=True)
class Radical:
    """rational + coefficient * sqrt(radicand), radicand >= 0; with `both`, the pair with either sign."""

    rational: Ratio
    coefficient: Ratio
    radicand: Ratio
    both: bool = False


def constant(value: int) -> Int:
    """Code for a fixed number.

    >>> constant(-3)
    Int(text='(-3)', low=-3, high=-3)
    """
    return Int(str(value) if value >= 0 else f"({value})", value, value)


ZERO, ONE = constant(0), constant(1)
NOUGHT, UNITY = Ratio(ZERO, ONE), Ratio(ONE, ONE)
