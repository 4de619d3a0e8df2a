"""The one precedence table of displayed mathematics, for every notation, and where a × must be seen.

A part weaker than its place asks for stands in brackets; the brackets are set once, by `layout`.
"""

from __future__ import annotations

from itembank.expressions.display import (
    Bars,
    Bracket,
    Display,
    Factors,
    Letter,
    Numeral,
    Over,
    Raised,
    Root,
    Terms,
)
from itembank.expressions.vocabulary import NAMED_LETTERS

SUM, PRODUCT, POWER, ATOM = range(4)


def strength(display: Display) -> int:
    """How strongly a display node binds.

    >>> strength(Over(Letter("x"), Numeral(text="2"))) == PRODUCT
    True
    """
    match display:
        case Terms():
            return SUM
        case Factors() | Over():
            return PRODUCT
        case Raised() | Root():
            return POWER
        case _:
            return ATOM


def within(display: Display, needed: int) -> Display:
    """The display, in brackets where it binds less strongly than its place asks for."""
    return display if strength(display) >= needed else Bracket(display)


def is_numeric(display: Display) -> bool:
    """Whether nothing but numerals is shown, without a root."""
    match display:
        case Numeral():
            return True
        case Over(first, second) | Raised(first, second):
            return is_numeric(first) and is_numeric(second)
        case Bracket(inner):
            return is_numeric(inner)
        case Terms(terms):
            return all(is_numeric(term) for _, term in terms)
        case Factors(factors):
            return all(is_numeric(factor) for factor in factors)
        case _:
            return False


def needs_cross(before: Display, after: Display) -> bool:
    """Whether two neighbouring factors would run together, or read as something else, without a × between.

    So before whatever begins with a digit, before a bracket of numbers (x × (-3)), where a number
    before a fraction would look like a mixed number, between powers of one letter (x^2 × x^3), and behind
    a 1 that is shown as it stands (2 × 1 × x).
    """
    if _begins_with_digit(after) or is_numeric(after):
        return True
    match before, after:
        case (Numeral() | Over(), Over()) | (Bars(), Bars()) | (Numeral(text="1"), _):
            return True
        case Root(), _:
            return not isinstance(after, Bracket)
        case ((Letter(first) | Raised(Letter(first))), (Letter(second) | Raised(Letter(second)))):
            return _is_word(first) or _is_word(second) or first == second
        case _:
            return False


def _begins_with_digit(display: Display) -> bool:
    match display:
        case Numeral():
            return True
        case Raised(first) | Over(first):
            return _begins_with_digit(first)
        case Factors(factors):
            return _begins_with_digit(factors[0])
        case _:
            return False


def _is_word(name: str) -> bool:
    stem = name.partition("_")[0]
    return len(stem) > 1 and stem not in NAMED_LETTERS
