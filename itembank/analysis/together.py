"""Marks of two items in the hands of the same pupils, for every pair of many items.

What pairs have in common is counted by bits: a number with a bit for each pupil says who took an item, and one for each
binary digit of its marks who has that digit. So sums over the pupils whom two items share are a few counts of bits, and
of items that hardly anybody had both nothing is looked at.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

from itembank.analysis.exact import CannotTell, Root, correlation_of_sums

__all__ = ["Marks", "bits_of", "correlated", "pairs"]


@dataclass(frozen=True, slots=True)
class Marks:
    """An item's marks. taken: who took it, a bit for each pupil; digits: who has a 1 in each binary digit of the marks,
    told in the largest unit in which all are whole."""

    taken: int
    digits: tuple[int, ...]

    @classmethod
    def of(cls, marks: Mapping[int, Fraction]) -> Marks:
        """marks: pupil's number -> mark, which is not below 0."""
        unit = lcm(*{mark.denominator for mark in marks.values()})
        whole = {number: mark.numerator * (unit // mark.denominator) for number, mark in marks.items()}
        length = max(whole.values(), default=0).bit_length()
        digits = (
            bits_of([number for number, mark in whole.items() if mark >> at & 1]) for at in range(length)
        )
        return cls(bits_of(whole), tuple(digits))

    def sums(self, pupils: int) -> tuple[int, int]:
        """The sum of marks, and that of their squares, of some pupils."""
        return (
            sum((digit & pupils).bit_count() << at for at, digit in enumerate(self.digits)),
            _product(self.digits, self.digits, pupils),
        )


def bits_of(numbers: Collection[int]) -> int:
    """A number with these bits; quicker than adding one after the other.

    >>> bin(bits_of([0, 3]))
    '0b1001'
    """
    bits = bytearray(max(numbers, default=0) // 8 + 1)
    for number in numbers:
        bits[number >> 3] |= 1 << (number & 7)
    return int.from_bytes(bits, "little")


def _product(first: Sequence[int], second: Sequence[int], pupils: int) -> int:
    return sum(
        (one & other & pupils).bit_count() << at + by
        for at, one in enumerate(first)
        for by, other in enumerate(second)
    )


def pairs(items: Sequence[Marks], fewest: int) -> Iterator[tuple[int, int]]:
    """The places of every two items that so many pupils or more took both."""
    taken = [each.taken for each in items]
    large = [place for place, each in enumerate(taken) if each.bit_count() >= fewest]
    for at, first in enumerate(large):
        one = taken[first]
        for second in large[at + 1 :]:
            if (one & taken[second]).bit_count() >= fewest:
                yield first, second


def correlated(first: Marks, second: Marks) -> Root | CannotTell:
    """The correlation of marks over the pupils who took both, as `exact.correlation` has it.

    >>> marks = {number: Fraction(mark) for number, mark in enumerate((1, 2, 3))}
    >>> correlated(Marks.of(marks), Marks.of(marks | {2: Fraction(2)}))
    Root(square=Fraction(3, 4), is_negative=False)
    """
    both = first.taken & second.taken
    (x, xx), (y, yy) = first.sums(both), second.sums(both)
    return correlation_of_sums(
        both.bit_count(), (x, y), (xx, yy), _product(first.digits, second.digits, both)
    )
