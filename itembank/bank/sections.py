"""The sections of a bank's quiz: which items belong together, by strand or by template."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from itembank.words import words

if TYPE_CHECKING:
    from itembank.bank.bank import BankFacts, Entry

__all__ = ["sections_of"]


def sections_of(facts: BankFacts, entries: Sequence[Entry]) -> list[tuple[str, str]]:
    """For each of some templates the section its items belong to: its name for settings, and its title for people."""
    wanted = facts.quiz.sections
    if not wanted:
        wanted = "strand" if len({entry.strand for entry in entries}) > 1 else "template"
    if wanted == "template":
        return [(entry.recipe.template.name, entry.recipe.template.about.title) for entry in entries]
    if wanted == "strand":
        nowhere = words(facts.language)("items-without-strand")
        return [(entry.strand or "items", _strand_title(entry.strand or nowhere)) for entry in entries]
    return [("items", facts.title) for _ in entries]


def _strand_title(strand: str) -> str:
    """A folder's name for people.

    >>> _strand_title("surds/simplest-form")
    'Surds: simplest form'
    """
    said = strand.replace("/", ": ").replace("-", " ").replace("_", " ")
    return said[:1].upper() + said[1:]
