"""What a plan puts into a tree before it is laid out: numbers of known sign and kind, and no solution."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TypeAlias

from itembank.expressions import tree
from itembank.expressions.display import Display, Numeral


@dataclass(frozen=True, slots=True)
class Known:
    """A number: `negative`, its `magnitude` as a display; `zero` and `unit` say when it is exactly 0 or 1."""

    negative: bool
    magnitude: Display
    zero: bool = False
    unit: bool = False
    place: tree.Place = field(default=tree.NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Spliced:
    """A computed sum whose terms join the sum around it: the exact value of an expression."""

    inner: LayoutNode
    place: tree.Place = field(default=tree.NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class NoSolution:
    """The statement that nothing fits."""

    place: tree.Place = field(default=tree.NOWHERE, compare=False)


LayoutNode: TypeAlias = tree.Node | Known | Spliced | NoSolution

ZERO = Known(False, Numeral(text="0"), zero=True)
ONE = Known(False, Numeral(text="1"), unit=True)
