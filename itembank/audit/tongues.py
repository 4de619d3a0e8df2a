"""The words of formulas and of typed answers by language, as the audit knows them: its own table.

A package says in which language an item is; what stands in it must be in the words of that language. Words of a
language without a table here are read as English ones.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

__all__ = ["ENGLISH", "LANGUAGE", "Tongue", "tongue"]

LANGUAGE: Final = "{http://www.w3.org/XML/1998/namespace}lang"
"""The attribute that says a language."""


@dataclass(frozen=True, slots=True, eq=False)
class Tongue:
    """name: of its words. mark: of decimals; pair: between what stands in brackets. joins: the words between
    statements -> `and`, `or`. nothing: what is shown where there is no solution. functions: printed names -> ours.

    typed_nothing: what may be typed where there is no solution, in small letters; all of it must count.
    told: what feedback says that is the same in every item, by the beginning of its name: of what is right, of an equal
    value that is not simplified, of what follows from an earlier answer, of a line that is no wrong one.
    """

    name: str
    mark: str
    pair: str
    joins: dict[str, str]
    nothing: str
    functions: dict[str, str]
    typed_nothing: tuple[str, ...]
    told: dict[str, str]

    def typed(self, join: str) -> str:
        """The word that is typed for `and` or `or`."""
        return next(word for word, meaning in self.joins.items() if meaning == join)


ENGLISH: Final = Tongue(
    "en", ".", ",", {"and": "and", "or": "or"}, "no real solution",
    {name: name for name in ("discriminant", "gcd", "lcm", "min", "max")}, ("none", "no real solution"),
    {
        "F0": "That is right.",
        "FU": "The value is right, but it is not in the form that was asked for.",
        "FF": "This follows from your earlier answer and earns marks; look at the earlier part again.",
        "FL": "That line follows from what stands above it.",
    },
)  # fmt: skip
_SPANISH: Final = Tongue(
    "es", ",", ";", {"y": "and", "e": "and", "o": "or"}, "sin solución real",
    {"discriminante": "discriminant", "mcd": "gcd", "mcm": "lcm", "mín": "min", "máx": "max"},
    ("ninguna", "sin solución real", "sin solucion real"),
    {
        "F0": "Es correcto.",
        "FU": "El valor es correcto, pero no está en la forma pedida.",
        "FF": "Esto se sigue de tu respuesta anterior y da puntos; vuelve a mirar el apartado anterior.",
        "FL": "Esa línea sí se deduce de lo que hay encima.",
    },
)  # fmt: skip
_GERMAN: Final = Tongue(
    "de", ",", ";", {"und": "and", "oder": "or"}, "keine reelle Lösung",
    {"Diskriminante": "discriminant", "ggT": "gcd", "kgV": "lcm", "min": "min", "max": "max"},
    ("keine", "keine reelle lösung", "keine reelle losung", "keine reelle loesung"),
    {
        "F0": "Das ist richtig.",
        "FU": "Der Wert ist richtig, steht aber nicht in der verlangten Form.",
        "FF": "Das folgt aus deiner früheren Antwort und bringt Punkte; "
        "sieh dir die frühere Teilaufgabe noch einmal an.",
        "FL": "Diese Zeile folgt aus dem, was darüber steht.",
    },
)  # fmt: skip
_WITH_A_POINT: Final = (("es-mx", "es-us", "es-pr"), _SPANISH), (("de-ch", "de-li"), _GERMAN)
_BY_TAG: Final = {"en": ENGLISH, "es": _SPANISH, "de": _GERMAN} | {
    tag: replace(spoken, mark=".", pair=",") for tags, spoken in _WITH_A_POINT for tag in tags
}


@lru_cache(maxsize=256)
def tongue(language: str | None) -> Tongue:
    """The words for a tag of BCP 47.

    >>> tongue("es-MX").nothing, tongue("es-MX").mark, tongue("es-AR").mark, tongue("").nothing
    ('sin solución real', '.', ',', 'no real solution')
    """
    tag = (language or "").lower()
    return _BY_TAG.get(tag) or _BY_TAG.get(tag.partition("-")[0], ENGLISH)
