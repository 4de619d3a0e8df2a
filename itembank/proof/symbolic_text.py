"""Plain texts parsed again: one parse for all texts that differ in their numerals only.

The grammar treats all numerals alike, so they are taken out of a text, the rest is parsed with ordinals in their
places, and whoever reads the tree puts them in again. Nothing here sees the displayed tree or the template.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache

from itembank.expressions import tree
from itembank.expressions.parser import MAXIMUM_DIGITS, MAXIMUM_LENGTH, ExpressionError, parse
from itembank.expressions.tree import Node
from itembank.proof.symbolic_numbers import CannotTell, Rooted, rational

__all__ = ["Numeral", "Piece", "piece"]

_NUMERAL = re.compile(r"(?<![A-Za-z0-9_.])[0-9]+(?:\.[0-9]+)?")


@dataclass(frozen=True, slots=True)
class Numeral:
    """A numeral of a text: its value, and how many digits follow its point."""

    value: Rooted
    places: int


@dataclass(frozen=True, slots=True)
class _Pattern:
    """A text without its numerals: the tree has their ordinals for them."""

    node: Node
    names: frozenset[str]
    is_statement: bool
    is_nothing: bool
    has_approximation: bool
    has_either_sign: bool


@dataclass(frozen=True, slots=True)
class Piece:
    """A text read back: what it looks like whatever its numerals, and the numerals in written order."""

    text: str
    pattern: _Pattern = field(repr=False)
    numerals: tuple[Numeral, ...]

    @property
    def node(self) -> Node:
        """The tree, with the ordinal of each numeral for its value."""
        return self.pattern.node

    @property
    def names(self) -> frozenset[str]:
        """The letters, without the word `none`."""
        return self.pattern.names


@lru_cache(maxsize=2_000)
def piece(text: str) -> Piece:
    """A plain text read back. Raises CannotTell where it cannot be parsed.

    >>> piece("x^2 - 16*x = -4").numerals[1].value == rational(16)
    True
    """
    between = tuple(_NUMERAL.split(text))
    written = _NUMERAL.findall(text)
    if len(text) > MAXIMUM_LENGTH or any(len(digits) > MAXIMUM_DIGITS for digits in written):
        raise CannotTell("a piece is too long to be read back")
    return Piece(text, _pattern(between), tuple(_numeral(digits) for digits in written))


def _numeral(text: str) -> Numeral:
    whole, _, decimals = text.partition(".")
    return Numeral(rational(int(whole + decimals), 10 ** len(decimals)), len(decimals))


@lru_cache(maxsize=2_000)
def _pattern(between: tuple[str, ...]) -> _Pattern:
    text = between[0] + "".join(f"{ordinal}{part}" for ordinal, part in enumerate(between[1:]))
    try:
        node = parse(text)
    except ExpressionError as refused:
        raise CannotTell(f"{text} does not parse: {refused}") from refused
    signs = {s for part in tree.walk(node) if isinstance(part, tree.Relation) for s in part.operators}
    is_nothing = node == tree.Name("none")
    return _Pattern(
        node,
        frozenset() if is_nothing else frozenset(tree.names(node)),
        tree.is_statement(node) or is_nothing,
        is_nothing,
        "≈" in signs,
        tree.has_plus_minus(node),
    )
