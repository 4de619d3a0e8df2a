"""How a language writes mathematics: its signs, and the few words within formulas."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from itembank.expressions.display import Display, first_letter
from itembank.words import Words, base_language, words

__all__ = ["FUNCTIONS", "USUAL", "Conventions", "conventions", "conventions_of"]

_BEFORE_Y: Final = frozenset({"y", "Y", "i", "I"})
FUNCTIONS: Final = ("discriminant", "gcd", "lcm", "min", "max")
"""The functions whose printed name a language may have a word of its own for."""


@dataclass(frozen=True, slots=True, eq=False)
class Conventions:
    """Signs and words within mathematics.

    point: before decimal places. times: between numbers. pair: between what stands in brackets. either, both: between
    statements; both_before_y: the same before one that begins with y or i. nothing: where there is no solution.
    functions: printed names, by ours. voice: the language in which formulas are spoken. There is one object for a
    language (see `conventions`), so that it can stand for it in remembered patterns.
    """

    point: str = "."
    times: str = "×"
    pair: str = ","
    either: str = "or"
    both: str = "and"
    nothing: str = "no real solution"
    functions: Mapping[str, str] = field(default_factory=dict)
    voice: str = "en"
    both_before_y: str = ""

    def word(self, join: str) -> str:
        """The word between statements joined by `and` or `or`."""
        return self.either if join == "or" else self.both if join == "and" else join

    def between(self, join: str, statement: Display) -> str:
        """The same, before this statement: Spanish says *e* for *y* before the sound of i, as of the letter y.

        Source: Real Academia Española, Diccionario panhispánico de dudas, y² (from memory).
        """
        if join == "and" and self.both_before_y and first_letter(statement)[:1] in _BEFORE_Y:
            return self.both_before_y
        return self.word(join)

    def function(self, name: str) -> str:
        """The printed name of a function."""
        return self.functions.get(name) or name.replace("_", " ")


def conventions(language: str) -> Conventions:
    """What a language (a tag of BCP 47) decides; a language without a translation file has the words of English.

    >>> conventions("es").both, conventions("es").pair, conventions("es-MX").point
    ('y', ';', '.')
    """
    return conventions_of(words(language))


@lru_cache(maxsize=64)
def conventions_of(said: Words) -> Conventions:
    """The same, from the words of a language."""
    names = {name: said(f"function-{name}") for name in FUNCTIONS}
    return Conventions(
        said.decimal_mark, said.multiplication_sign, ";" if said.decimal_mark == "," else ",", said("or"), said("and"),
        said("no-real-solution"), MappingProxyType(names), base_language(said.language),
        "" if said("and-before-y") == said("and") else said("and-before-y"),
    )  # fmt: skip


USUAL: Final = conventions("en")
"""Those of English."""
