"""The ways in which numbers are typed into one line: a finite list, each spelling with one meaning.

A number may have the keyboard's minus sign or the true one (U+2212); numbers stand apart by a comma, a semicolon or a
blank, the same between all of them. A number alone may bear a plus sign, or a blank after its minus sign or around
its stroke, and a whole number alone a point with a nought or nothing behind it (a comma there could stand between two
numbers). In languages with a decimal comma, numbers with a comma are set apart by semicolons or blanks only.
Source: common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from itertools import product
from typing import Final

from itembank.writers.base import has_decimal_comma
from itembank.writers.phrases import Phrases

__all__ = ["Token", "has_decimal_comma", "no_solution", "spellings"]

Token = tuple[int, ...] | str
"""A whole number (n,), a fraction (numerator, denominator), or a decimal by its digits with a point."""


_UMLAUTS: Final = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue"})


def no_solution(said: Phrases) -> tuple[str, ...]:
    """What is typed where there is no real solution, with and without its accents; capitals do not matter.

    An umlaut may be its vowel alone or, as where a keyboard has none, its vowel and an e.

    >>> from itembank.writers.phrases import phrases
    >>> no_solution(phrases("es"))
    ('ninguna', 'sin solución real', 'sin solucion real')
    >>> no_solution(phrases("de"))
    ('keine', 'keine reelle Lösung', 'keine reelle Losung', 'keine reelle Loesung')
    """
    told = (said("typed-none"), said("no-real-solution"))
    return tuple(dict.fromkeys((*told, *map(_bare, told), *(each.translate(_UMLAUTS) for each in told))))


def _bare(text: str) -> str:
    """The letters without their accents. Source: Unicode Standard Annex 15, canonical decomposition."""
    return "".join(each for each in unicodedata.normalize("NFD", text) if not unicodedata.combining(each))


_MINUS_SIGNS: Final = ("-", "−")
_SEPARATORS: Final = (", ", ",", "; ", ";", " ")
_WITH_DECIMAL_COMMA: Final = ("; ", ";", " ")


def spellings(tokens: Sequence[Token], decimal_comma: bool = False) -> tuple[str, ...]:
    """Every accepted spelling of numbers typed in this order, the plainest first, each once.

    >>> spellings([(-3,), (2,)])[:4]
    ('-3, 2', '-3,2', '-3; 2', '-3;2')
    >>> spellings([(1, 2)])
    ('1/2', '+1/2', '1 / 2', '+1 / 2')
    >>> spellings([(2,)])
    ('2', '+2', '2.0', '+2.0', '2.', '+2.')
    """
    found: list[str] = []
    written = list(product(*(_token(token, len(tokens) == 1) for token in tokens)))
    marks = ".," if decimal_comma and any(isinstance(each, str) and "." in each for each in tokens) else "."
    signs = _MINUS_SIGNS if any(each.startswith("-") for each in written[0]) else _MINUS_SIGNS[:1]
    for mark, sign, row in product(marks, signs, written):
        typed = [each.replace("-", sign).replace(".", mark) for each in row]
        if len(typed) == 1:
            found += _alone(typed[0])
        else:
            apart = _WITH_DECIMAL_COMMA if mark == "," else _SEPARATORS
            found += [separator.join(typed) for separator in apart]
    return tuple(dict.fromkeys(found))


def _token(token: Token, is_alone: bool) -> list[str]:
    if isinstance(token, str):
        return list(_decimal(token))
    if len(token) == 1:
        return [f"{token[0]}{noughts}" for noughts in (("", ".0", ".") if is_alone else ("",))]
    above, below = token
    return [f"{above}/{below}", str(above)] if below == 1 else [f"{above}/{below}"]


def _decimal(digits: str) -> Iterator[str]:
    """The digits, and shorter by each zero at their end."""
    yield digits
    while "." in digits and digits[-1] in "0.":
        digits = digits[:-1]
        if digits[-1] != ".":
            yield digits


def _alone(typed: str) -> list[str]:
    spaced = re.sub(r"^([-−])", r"\1 ", typed)
    plus = [typed, f"+{typed}"] if spaced == typed else [typed, spaced]
    return [*plus, *(each.replace("/", " / ") for each in plus)]
