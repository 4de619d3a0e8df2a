"""What can be counted in displayed mathematics: once for each shape, whatever the numbers in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from itembank.expressions.display import (
    Bracket,
    Compared,
    Decimal,
    Display,
    Factors,
    Filling,
    Joined,
    Letter,
    Nothing,
    Numeral,
    Over,
    Raised,
    Root,
    Shape,
    Terms,
    parts,
)

if TYPE_CHECKING:
    from itembank.difficulty.weights import Weights

__all__ = ["Looks", "looks", "sizes"]

_VARYING_POWER = 2
_ORDERED = {"<", "<=", ">", ">="}


class Looks(NamedTuple):
    """What a shape shows.

    letters: each once; power: the highest exponent of something with a letter, 1 without; leading: whether a number
    stands before such a power; surd_simplified: whether one stands before a root; decimal: whether a fixed number is
    one; numbers: its fixed whole numbers.
    """

    minus_signs: int
    fraction: bool
    roots: int
    surd_simplified: bool
    several_values: bool
    nothing: bool
    letters: frozenset[str]
    power: int
    leading: bool
    brackets: int
    inequality: bool
    decimal: bool
    numbers: tuple[int, ...]


@lru_cache(maxsize=8192)
def looks(shape: Shape) -> Looks:
    """What a shape shows."""
    nodes = list(_walk(shape.display))
    powers = [_exponent(node) for node in nodes if isinstance(node, Raised) and _has_letter(node.base)]
    products = [node.factors for node in nodes if isinstance(node, Factors)]
    return Looks(
        minus_signs=sum(sign == "-" for node in nodes if isinstance(node, Terms) for sign, _ in node.terms),
        fraction=any(isinstance(node, Over) for node in nodes),
        roots=sum(isinstance(node, Root) for node in nodes),
        surd_simplified=any(
            _is_number(before) and _is_root(after)
            for factors in products
            for before, after in pairwise(factors)
        ),
        several_values=any(
            (isinstance(node, Joined) and node.word == "or")
            or (isinstance(node, Terms) and any(sign == "±" for sign, _ in node.terms))
            for node in nodes
        ),
        nothing=any(isinstance(node, Nothing) for node in nodes),
        letters=frozenset(node.name for node in nodes if isinstance(node, Letter)),
        power=max(powers, default=1),
        leading=any(
            _is_number(factors[0]) and any(isinstance(f, Raised) and _has_letter(f) for f in factors[1:])
            for factors in products
        ),
        brackets=sum(isinstance(node, Bracket) for node in nodes),
        inequality=any(isinstance(node, Compared) and _ORDERED & set(node.signs) for node in nodes),
        decimal=any(isinstance(node, Numeral) and "." in node.text for node in nodes),
        numbers=tuple(int(n.text) for n in nodes if isinstance(n, Numeral) and n.text.isdecimal()),
    )


def sizes(numbers: Sequence[Filling], weights: Weights) -> tuple[int, bool]:
    """The sizes of some numbers, added up, and whether there is a decimal among them.

    A decimal is as large as its digits, which are what is worked with: 0.75 as 75.
    """
    total, decimal = 0, False
    for number in numbers:
        if isinstance(number, Decimal):
            decimal = True
            total += weights.size(int(str(number).replace(".", "")))
        else:
            total += weights.size(number)
    return total, decimal


def _walk(node: Display) -> Iterator[Display]:
    yield node
    for part in parts(node):
        yield from _walk(part)


def _has_letter(node: Display) -> bool:
    return any(isinstance(each, Letter) for each in _walk(node))


def _exponent(node: Raised) -> int:
    exponent = node.exponent
    return (
        int(exponent.text) if isinstance(exponent, Numeral) and exponent.text.isdecimal() else _VARYING_POWER
    )


def _is_number(node: Display) -> bool:
    return isinstance(node, Numeral) or (
        isinstance(node, Over) and _is_number(node.numerator) and _is_number(node.denominator)
    )


def _is_root(node: Display) -> bool:
    return isinstance(node, Root) and not _has_letter(node)
