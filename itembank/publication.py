"""What a bank says of itself to those who take it over: who made it, under which licence, for which curriculum; how
it is put together as a quiz; how large a package may become. Frozen, format-free.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, NamedTuple

__all__ = [
    "NOT_PUBLISHED", "USUAL_LIMITS", "USUAL_QUIZ", "Extension", "Limits", "Publication", "Quiz", "Section",
    "Statement",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Extension:
    """What a bank uses that is not the house's own.

    kind: `property`, `figure`, `response` or `writer`; name: as the bank file declares it; package, version: the
    installed distribution that provides it.
    """

    kind: str
    name: str
    package: str
    version: str

    def __str__(self) -> str:
        return f"{self.kind} `{self.name}` of {self.package} {self.version}"


@dataclass(frozen=True, slots=True)
class Statement:
    """A statement of a curriculum.

    code: as templates name it; says: its words, framework: the document it stands in, region and version of that, all
    "" where not known. case: its address in the open format for curricula (CASE), guid: its identifier there, "".
    """

    code: str
    says: str = ""
    framework: str = ""
    region: str = ""
    version: str = ""
    case: str = ""
    guid: str = ""


@dataclass(frozen=True, slots=True)
class Publication:
    """The bank as published. name: of the bank; texts are plain, "" for none; language: a tag (BCP 47)."""

    name: str
    title: str
    language: str = "en"
    licence: str = ""
    author: str = ""
    statements: tuple[Statement, ...] = ()


@dataclass(frozen=True, slots=True)
class Quiz:
    """How items become a quiz.

    sections: what makes a section: `strand`, `template`, `one` (all items in one), `none` (no quiz is written), or ""
    (strands where there are several, else templates). select: how many items of each section a pupil gets, 0 for all;
    select_of: the same for sections by name. shuffled: in an order of chance. forward: a pupil cannot go back.
    together: all answers are handed in at the end. attempts: at each item, 0 for any number. minutes: for the whole
    quiz, 0 for no limit; late: answers after that still count. feedback, solution: whether they are shown; review:
    answers can be looked at again; skip: items can be left out; comments: pupils can add some.
    """

    title: str = ""
    sections: str = ""
    select: int = 0
    select_of: tuple[tuple[str, int], ...] = ()
    shuffled: bool = False
    forward: bool = False
    together: bool = False
    attempts: int = 1
    minutes: int = 0
    late: bool = False
    feedback: bool = True
    solution: bool = False
    review: bool = True
    skip: bool = True
    comments: bool = False

    def selected(self, name: str) -> int:
        """How many items of a section a pupil gets, 0 for all."""
        return dict(self.select_of).get(name, self.select)


class Section(NamedTuple):
    """Items of a quiz that belong together: name for settings, title for people, (code, marks) of each item."""

    name: str
    title: str
    items: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Limits:
    """How large a package may become; a bank that is larger goes into several.

    entries: files in it; megabytes: of the package. Common practice of learning platforms, no source.
    """

    entries: int = 50_000
    megabytes: int = 250


NOT_PUBLISHED: Final = Publication("", "")
"""For what stands alone: nobody has said who made it."""
USUAL_QUIZ: Final = Quiz()
USUAL_LIMITS: Final = Limits()
