"""What builds of parts of a bank share, as forms of a test or practice for pupils: what each says of itself."""

from __future__ import annotations

from dataclasses import replace

from itembank.bank.bank import BankFacts, PaperSettings

__all__ = ["own_facts"]


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
