"""What looks odd in a line though it is right, and shows only with the numbers in it."""

from __future__ import annotations

from collections.abc import Iterator
from math import isqrt

from itembank.expressions.display import (
    Compared,
    Display,
    Factors,
    Joined,
    Maths,
    Numeral,
    Pattern,
    Root,
    Terms,
    parts,
)
from itembank.expressions.spelling import marked
from itembank.proof.meaning import letters

__all__ = ["odd_numbers"]


def odd_numbers(maths: Maths) -> Iterator[str]:
    """Doubts of a line: ± before the root of a square, the same number on both sides, an alternative twice."""
    for node in _walk(maths.shape.display):
        match node:
            case Terms(terms) if any(sign == "±" and _is_root_of_square(term, maths) for sign, term in terms):
                yield "± before the root of a square"
            case Compared(operands) if (
                not letters(node) and len({_text(each, maths) for each in operands}) == 1
            ):
                yield "both sides show one number, for numbers are worked out: keep(...) holds what is written"
            case Joined("or", alternatives):
                if len({_text(each, maths) for each in alternatives}) < len(alternatives):
                    yield "an alternative stands twice"
            case _:
                pass


def _walk(node: Display) -> Iterator[Display]:
    yield node
    for part in parts(node):
        yield from _walk(part)


def _is_root_of_square(node: Display, maths: Maths) -> bool:
    match node:
        case Root(Numeral(hole, text), ""):
            number = maths.numbers[hole] if hole >= 0 else int(text) if text.isdigit() else None
            return isinstance(number, int) and isqrt(number) ** 2 == number
        case Factors(factors):
            return any(_is_root_of_square(factor, maths) for factor in factors)
        case _:
            return False


def _text(node: Display, maths: Maths) -> str:
    return Pattern(marked(node, "plain")).fill(maths.numbers)
