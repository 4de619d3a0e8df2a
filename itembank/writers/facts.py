"""What stands around the items of a paper, and how it is to look: plain facts, no format.

No clock is read: a date stands on a paper only where the bank states one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from itembank.errors import DomainError
from itembank.items import Item
from itembank.words import Words, base_language, words
from itembank.writers.formulas import MATHML, Notation

__all__ = ["CALCULATOR_RULES", "FRONTS", "SIZES", "WORKINGS", "Looks", "PaperFacts", "time_needed"]

CALCULATOR_RULES: Final = ("", "no", "yes", "either")
SIZES: Final = ("a4", "letter")
FRONTS: Final = ("page", "heading")
WORKINGS: Final = ("blank", "lines")


@dataclass(frozen=True, slots=True)
class Looks:
    """How a paper is printed. Raises DomainError for a word that is none of the tuples above.

    size: of the sheet. large: letters of 18 points. wide: more room between lines and words. front: whether the
    front matter has a page of its own or heads the first one. working: what the room for working holds. notation: how
    formulas of pages are written.
    """

    size: str = "a4"
    large: bool = False
    wide: bool = False
    front: str = "page"
    working: str = "blank"
    notation: Notation = MATHML

    def __post_init__(self) -> None:
        for word, known in ((self.size, SIZES), (self.front, FRONTS), (self.working, WORKINGS)):
            if word not in known:
                raise DomainError(f"{word!r} is none of {', '.join(known)}")


@dataclass(frozen=True, slots=True)
class PaperFacts:
    """What stands around the items of a paper.

    title: of the paper. author: the institution or person it comes from. licence, instructions: plain words, each
    instruction a sentence. language: a language tag (BCP 47) of title, instructions and items without their own.
    calculator: `no`, `yes`, `either`, or "" where nothing is to be said. Raises DomainError for another rule.
    date: as it is printed, "" for a line to fill in. minutes: allowed, 0 where nothing is to be said.
    version: the letter of a version, "" for the only one; is_form: it is that of a test form, whose items are its own.
    pupil: the name printed on it, "" for a line to fill in.
    answer_sheet: whether options are marked on a sheet of their own.

    >>> PaperFacts("Surds", calculator="no").calculator_rule
    'You may not use a calculator.'
    """

    title: str
    author: str = ""
    licence: str = ""
    language: str = "en"
    instructions: tuple[str, ...] = ()
    calculator: str = ""
    date: str = ""
    minutes: int = 0
    version: str = ""
    is_form: bool = False
    pupil: str = ""
    answer_sheet: bool = False
    looks: Looks = Looks()

    def __post_init__(self) -> None:
        if self.calculator not in CALCULATOR_RULES:
            raise DomainError(f"the calculator rule {self.calculator!r} is none of no, yes, either")

    @property
    def words(self) -> Words:
        """The fixed words of the paper."""
        return words(self.language)

    @property
    def in_own_words(self) -> bool:
        """Whether the paper's language is that of its fixed words: whether there is a translation file."""
        return base_language(self.language) == base_language(self.words.language)

    @property
    def version_told(self) -> str:
        """The version or form in words, "" where there is only one.

        >>> PaperFacts("Surds", version="B").version_told, PaperFacts("Surds", version="B", is_form=True).version_told
        ('Version B', 'Form B')
        """
        return self.words("form" if self.is_form else "version", letter=self.version) if self.version else ""

    @property
    def calculator_rule(self) -> str:
        """The sentence for the pupil, "" where there is none."""
        return self.words(f"calculator-{self.calculator}") if self.calculator else ""

    @property
    def time_allowed(self) -> str:
        """The time in words, "" where none is said.

        >>> PaperFacts("Surds", minutes=90).time_allowed
        '1 hour 30 minutes'
        """
        hours, minutes = divmod(self.minutes, 60)
        told = [self.words.counted("hours", hours)] if hours else []
        return " ".join([*told, self.words.counted("minutes", minutes)] if minutes else told)

    def how_to(
        self, items: Sequence[Item], marks: int, *, has_choice: bool, has_entry: bool, has_other: bool = False
    ) -> tuple[str, ...]:
        """The instructions of a question paper, each a sentence or two: ours, then the bank's own.

        has_other: whether letters are also asked for otherwise than one for an answer.
        """
        w = self.words
        told = [
            w("instruct-all", questions=w.counted("questions", len(items)), marks=w.counted("marks", marks))
        ]
        if has_choice:
            where = "instruct-choice-sheet" if self.answer_sheet else "instruct-choice"
            told.append(w(f"{where}-unless" if has_other else where))
        if has_entry:
            told.append(w("instruct-entry"))
        if self.calculator_rule:
            told.append(self.calculator_rule)
        return (*told, *self.instructions)

    def named(self, pupil: str) -> PaperFacts:
        """The same paper for one pupil."""
        return replace(self, pupil=pupil)


def time_needed(items: Iterable[Item]) -> int:
    """The minutes all items are expected to take, rounded up to five; 0 where an item does not say.

    Source of the rounding: common practice, no source.
    """
    stated = [item.about.minutes for item in items]
    if not stated or "" in stated:
        return 0
    return 5 * math.ceil(sum(map(Fraction, stated)) / 5)
