"""What the boxes of one value stand for, in exact numbers."""

from __future__ import annotations

from fractions import Fraction

from itembank.expressions import numbers
from itembank.expressions.display import Decimal
from itembank.expressions.numbers import Exact
from itembank.items import Blank, BoxValue


def box_values(blank: Blank, boxes: tuple[BoxValue, ...]) -> list[Exact]:
    """The exact numbers that one group of filled boxes stands for; two for a pair with ±."""
    held = dict(zip(blank.boxes, boxes, strict=True))

    def number(role: str, default: int) -> int | Fraction:
        value = held.get(role, default)
        if value is None or isinstance(value, str):
            return default
        return numbers.whole(value.value) if isinstance(value, Decimal) else value

    if blank.form in {"integer", "decimal"}:
        return [number("value", 0)]
    if blank.form == "fraction":
        return [numbers.divide(number("numerator", 0), number("denominator", 1))]
    root = numbers.multiply(number("q", 1), numbers.square_root(number("r", 1)))
    below = number("s", 1)
    signs = (-1, 1) if blank.pair else (1,)
    return [
        numbers.divide(numbers.add(number("p", 0), numbers.multiply(sign, root)), below) for sign in signs
    ]
