"""The words of formulas and of typed answers by language, as the audit knows them: its own table.

A package says in which language an item is; what stands in it must be in the words of that language. Words of a
language without a table here are read as English ones.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

__all__ = ["ENGLISH", "LANGUAGE", "Tongue", "tongue"]

LANGUAGE: Final = "{http://www.w3.org/XML/1998/namespace}lang"
"""The attribute that says a language."""


@dataclass(frozen=True, slots=True, eq=False)
class Tongue:
    """joins: the words between statements -> `and`, `or`. nothing: what is shown where there is no solution.

    typed_nothing: what may be typed there, in small letters; the first two must count.
    """

    name: str
    joins: dict[str, str]
    nothing: str
    typed_nothing: tuple[str, ...]

    def typed(self, join: str) -> str:
        """The word that is typed for `and` or `or`."""
        return next(word for word, meaning in self.joins.items() if meaning == join)


ENGLISH: Final = Tongue("en", {"and": "and", "or": "or"}, "no real solution", ("none", "no real solution"))
_SPANISH: Final = Tongue(
    "es", {"y": "and", "o": "or"}, "sin solución real", ("ninguna", "sin solución real", "sin solucion real")
)
_BY_NAME: Final = {each.name: each for each in (ENGLISH, _SPANISH)}


@lru_cache(maxsize=256)
def tongue(language: str | None) -> Tongue:
    """The words for a tag of BCP 47.

    >>> tongue("es-MX").nothing, tongue("").nothing
    ('sin solución real', 'no real solution')
    """
    return _BY_NAME.get((language or "").lower().partition("-")[0], ENGLISH)
