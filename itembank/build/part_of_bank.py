"""What builds of parts of a bank share, as forms of a test or practice for pupils: what each says of itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Protocol

from itembank.bank.bank import Bank, BankFacts, PaperSettings
from itembank.build.build import engine_for, extension_formats, notation_for
from itembank.build.contents import PAPER_FORMATS, Work
from itembank.build.papers import PaperRequest

__all__ = ["Writing", "own_facts", "work_for"]


class Writing(Protocol):
    """What a request says of how its items are written; see `BuildRequest`."""

    @property
    def full_proof(self) -> bool:
        """Whether sympy proves every item again."""

    @property
    def workers(self) -> int:
        """Processes to work in."""

    @property
    def paper_size(self) -> str | None:
        """Of the sheet; None for what the bank says."""

    @property
    def large_print(self) -> bool:
        """Whether papers are in large letters."""

    @property
    def pdf(self) -> bool:
        """Whether papers are set as PDF files too."""

    @property
    def maths(self) -> str | None:
        """How formulas are written; None for what the bank says."""

    @property
    def latex_delimiters(self) -> str | None:
        """What stands around formulas as LaTeX."""


def work_for(request: Writing, bank: Bank, formats: Sequence[str]) -> Work:
    """What is written; whatever it needs from outside is looked for before any work is done. Raises InputError."""
    notation = notation_for(bank.facts, request.maths, request.latex_delimiters)
    papers = None
    if PAPER_FORMATS & set(formats) or request.pdf:
        engine = engine_for(formats) if request.pdf else ""
        papers = PaperRequest(
            1, request.paper_size, request.large_print, (), engine, notation, request.workers
        )
    return Work(
        formats, extension_formats(bank, formats), papers, request.full_proof, notation, own_secret=False
    )


def own_facts(facts: BankFacts, name: str, title: str, paper: PaperSettings) -> BankFacts:
    """What a bank of the part alone would say of itself: one paper, and a quiz of all its items in one section."""
    return replace(
        facts,
        name=name,
        title=title,
        publication=replace(facts.publication, name=name, title=title),
        quiz=replace(
            facts.quiz, sections="none" if facts.quiz.sections == "none" else "one", select=0, select_of=()
        ),
        paper=replace(paper, versions=1, order="bank"),
    )
