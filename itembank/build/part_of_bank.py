"""What builds of parts of a bank share, as forms of a test or practice for pupils: what each says of itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from itembank.bank.bank import Bank, BankFacts, PaperSettings
from itembank.build.build import engine_for, extension_formats, notation_for
from itembank.build.contents import PAPER_FORMATS, Work
from itembank.build.papers import PaperRequest

__all__ = ["Writing", "own_facts", "work_for"]


@dataclass(frozen=True, slots=True)
class Writing:
    """How items are written; None and "" for what is usual. See `BuildRequest`."""

    formats: tuple[str, ...] | None = None
    full_proof: bool = False
    workers: int = 1
    paper_size: str | None = None
    large_print: bool = False
    pdf: bool = False
    language: str = ""
    maths: str | None = None
    latex_delimiters: str | None = None


def work_for(asked: Writing, bank: Bank, formats: Sequence[str]) -> Work:
    """What is written; whatever it needs from outside is looked for before any work is done. Raises InputError."""
    notation = notation_for(bank.facts, asked.maths, asked.latex_delimiters)
    papers = None
    if PAPER_FORMATS & set(formats) or asked.pdf:
        engine = engine_for(formats) if asked.pdf else ""
        papers = PaperRequest(1, asked.paper_size, asked.large_print, (), engine, notation, asked.workers)
    return Work(
        formats, extension_formats(bank, formats), papers, asked.full_proof, notation, own_secret=False
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
