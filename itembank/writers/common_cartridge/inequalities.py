"""Intervals as typed inequalities: every usual spelling of a ray, or of two rays, with whole or fractional ends.

The profile compares texts only, so that the inequalities are typed as they are written, in one line. A root at an end
has no spelling that everyone types, and such an entry is left out.
Source of the spellings: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from typing import Final

from itembank.items import SIGNS, Blank, BoxValue
from itembank.writers.phrases import Phrases

__all__ = ["inequalities", "is_typed"]

_TURNED: Final = {"lt": "gt", "gt": "lt", "le": "ge", "ge": "le"}
_TYPED_SIGNS: Final = {"lt": ("<",), "gt": (">",), "le": ("<=", "≤"), "ge": (">=", "≥")}
_ENDS: Final = frozenset({"integer", "fraction"})


def is_typed(blank: Blank) -> bool:
    """Whether the inequalities of a blank can be typed: one letter, ends without roots."""
    return blank.form == "interval" and blank.ends in _ENDS and len(blank.unknown) == 1


def inequalities(
    unknown: str, rays: tuple[tuple[BoxValue, ...], ...], join: str, said: Phrases
) -> tuple[str, ...]:
    """Every accepted spelling of one ray, or of two with what joins them. rays: a sign's word and its end's numbers.

    >>> from itembank.writers.phrases import phrases
    >>> inequalities("x", (("lt", 3),), "", phrases("en"))
    ('x < 3', 'x<3', '3 > x', '3>x')
    """
    found: dict[str, None] = {}
    for statement in _statements(unknown, [(str(ray[0]), _end(ray[1:])) for ray in rays], join, said):
        for spelt in _spelt(statement):
            found[spelt] = None
    return tuple(found)


def _end(numbers: tuple[BoxValue, ...]) -> str:
    return "/".join(map(str, numbers[:1] if numbers[1:] == (1,) else numbers))


def _statements(
    unknown: str, rays: list[tuple[str, str]], join: str, said: Phrases
) -> Iterator[tuple[str, ...]]:
    """Statements as pieces, the words of signs among them."""
    ways = [((unknown, sign, end), (end, _TURNED[sign], unknown)) for sign, end in rays]
    if len(rays) == 1:
        yield from ways[0]
        return
    for first, second in ((0, 1), (1, 0)):
        for one, other in product(ways[first], ways[second]):
            yield (*one, f" {said(join)} ", *other)
    below = [ray for ray in rays if ray[0] in {"gt", "ge"}]
    above = [ray for ray in rays if ray[0] in {"lt", "le"}]
    if join == "and" and below and above:
        (low_sign, low), (high_sign, high) = below[0], above[0]
        yield low, _TURNED[low_sign], unknown, high_sign, high
        yield high, _TURNED[high_sign], unknown, low_sign, low


def _spelt(statement: tuple[str, ...]) -> Iterator[str]:
    """With and without blanks around signs, with either minus sign, with `<=` or `≤` throughout."""
    has_minus = any("-" in piece for piece in statement)
    has_equal = any(piece in {"le", "ge"} for piece in statement)
    for wide, style, minus in product((" ", ""), range(1 + has_equal), ("-", "−")[: 1 + has_minus]):
        pieces = []
        for piece in statement:
            if piece in SIGNS:
                signs = _TYPED_SIGNS[piece]
                pieces.append(f"{wide}{signs[min(style, len(signs) - 1)]}{wide}")
            else:
                pieces.append(piece.replace("-", minus))
        yield "".join(pieces)
