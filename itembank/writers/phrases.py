"""The few words that writers of packages add to an item: in its own language, from the translation files.

They are looked up once for a language. An item in a language without a file has them in English, marked as such.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from itembank.expressions.conventions import Conventions, conventions_of
from itembank.words import Words, base_language, words

__all__ = ["Phrases", "phrases"]

_ROLES = {"s": "role-denominator", "value": ""}


@dataclass(frozen=True, slots=True, eq=False)
class Phrases:
    """The words for items of one language. conventions: of its mathematics.

    foreign: the language they are in where it is not the item's, else "".

    There is one object for a language (see `phrases`), so that it can stand for it in remembered patterns.
    """

    words: Words
    conventions: Conventions
    foreign: str

    def __call__(self, key: str, /, **values: object) -> str:
        """The words of a key of the translation files."""
        return self.words(key, **values)

    def box_label(self, unknown: str, role: str, slot: int, slots: int) -> str:
        """What a screen reader says of a box.

        unknown: "" for an expression; slot counts from 1.

        >>> phrases("en").box_label("x", "r", 1, 1), phrases("es").box_label("x", "value", 2, 2)
        ('x, number under the root', 'x, solución 2')
        """
        told = [unknown.replace("_", " ") or self("answer-box")]
        if slots > 1:
            told.append(self("solution-number", number=slot))
        if name := _ROLES.get(role, f"role-{role}"):
            told.append(self(name))
        return ", ".join(told)


def phrases(language: str) -> Phrases:
    """The words for items in a language (a tag of BCP 47): equal tags have the same object.

    >>> phrases("es-MX").foreign, phrases("fr").foreign
    ('', 'en')
    """
    return _phrases(language.lower())


@lru_cache(maxsize=64)
def _phrases(language: str) -> Phrases:
    found = words(language)
    is_own = base_language(found.language) == base_language(language)
    return Phrases(found, conventions_of(found), "" if is_own else found.language)
