"""The fixed words of every document and package, from one small translation file for each language.

A language tag (BCP 47) is looked up whole, then shorter: `en-US` holds only what differs from `en`, `es-MX` from `es`.
What a language has no file for is said in English, and `Words.language` then says so. It knows no format and no item.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from types import MappingProxyType
from typing import Final

from itembank.errors import DomainError

__all__ = ["LANGUAGES", "OWN", "Words", "base_language", "fitting", "words"]

OWN: Final = "en"
"""What the program itself speaks, and what stands in for a language without a file."""
LANGUAGES: Final = ("en", "en-us", "es", "es-mx", "de", "de-at", "de-ch")
"""The translation files, by their names."""

_WRITTEN_AS: Final = MappingProxyType({"es-us": "es-mx", "es-pr": "es-mx", "de-li": "de-ch"})
"""Regions that write as another one does. Source: Unicode CLDR, number symbols (from memory)."""
_TAG: Final = re.compile(r"[a-z]{2,3}(-[a-z0-9]{2,8})*")


@dataclass(frozen=True, slots=True, eq=False)
class Words:
    """The words of one language. language: the tag they are in; decimal_mark and multiplication_sign: as printed.

    >>> words("en").counted("marks", 1), words("en").counted("marks", 3)
    ('1 mark', '3 marks')
    """

    language: str
    table: Mapping[str, str]

    def __call__(self, key: str, /, **values: object) -> str:
        """The words of a key with values put in. Raises DomainError for a key the files do not have."""
        try:
            text = self.table[key]
        except KeyError:
            raise DomainError(f"the translation files have no words for {key!r}") from None
        return text.format(**values) if values else text

    def counted(self, key: str, count: int, /, **values: object) -> str:
        """Words that change with a number: `KEY-one` and `KEY-other`."""
        return self(f"{key}-one" if count == 1 else f"{key}-other", count=count, **values)

    def numbers_one_by_one(self, asked: Sequence[tuple[str, str, int]], /) -> list[str]:
        """What is said of each number where decimals stand beside other numbers; [] where all are asked for alike.

        asked: (letter as it is read, form, decimal places) of each box.
        """
        numbers = [each for each in asked if each[1] in {"integer", "decimal"}]
        if len({each[1:] for each in numbers}) < 2:
            return []
        return [
            self.counted("write-decimal-of", places, letter=letter)
            if form == "decimal"
            else self("write-integer-of", letter=letter)
            for letter, form, places in numbers
        ]

    @property
    def decimal_mark(self) -> str:
        """A point or a comma."""
        return self("decimal-mark")

    @property
    def multiplication_sign(self) -> str:
        """× or ⋅."""
        return self("multiplication-sign")


def base_language(tag: str) -> str:
    """The language of a tag without its region.

    >>> base_language("en-GB")
    'en'
    """
    return tag.lower().partition("-")[0]


def fitting(wanted: str, known: tuple[str, ...]) -> str | None:
    """The tag among `known` that serves a reader of `wanted`: itself, a shorter one, or one of the same language.

    >>> fitting("en-US", ("es", "en")), fitting("es", ("en", "es-MX")), fitting("fr", ("en",))
    ('en', 'es-MX', None)
    """
    by_lower = {tag.lower(): tag for tag in known}
    steps = wanted.lower().split("-")
    for length in range(len(steps), 0, -1):
        if (found := by_lower.get("-".join(steps[:length]))) is not None:
            return found
    return next((tag for tag in known if base_language(tag) == steps[0]), None)


@lru_cache(maxsize=64)
def words(language: str) -> Words:
    """The words for a language tag; English where there is no file for it."""
    tag = language.lower()
    steps = tag.split("-") if _TAG.fullmatch(tag) else [OWN]
    names = ["-".join(steps[:length]) for length in range(1, len(steps) + 1)]
    names = [_WRITTEN_AS.get(name, name) for name in names]
    found = [name for name in names if name in LANGUAGES]
    if not found:
        return words(OWN)
    table: dict[str, str] = {}
    for name in found:
        table |= _file(name)
    return Words(language if "-" in language else found[-1], MappingProxyType(table))


@lru_cache(maxsize=len(LANGUAGES))
def _file(name: str) -> Mapping[str, str]:
    text = files(__package__).joinpath(f"{name}.toml").read_text("utf-8")
    return {key: str(value) for key, value in tomllib.loads(text).items()}
