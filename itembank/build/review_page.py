"""The page for the teacher who decides whether templates suit their pupils: items of each, and what to look for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from itembank.bank.approvals import Approved, State, states
from itembank.bank.bank import Bank, Entry
from itembank.bank.shown_items import USUAL_COUNT, ShownItem, shown_items
from itembank.bank.sources import entries_of
from itembank.errors import Diagnostic, DomainError, InputError
from itembank.expressions.display import Maths
from itembank.expressions.layout import lay_out
from itembank.expressions.tree import Call, Name
from itembank.properties.catalogue import PROPERTIES
from itembank.templates.template import Expression
from itembank.words import Words
from itembank.writers.pages.item_review import Guaranteed, ReviewedItem, ReviewedTemplate, review_page
from itembank.writers.paper import PaperFacts

__all__ = ["ReviewPage", "page_to_review"]


@dataclass(frozen=True, slots=True)
class ReviewPage:
    """A page and what is on it. doubts: about the templates, as `check` has them."""

    text: str
    templates: int
    items: int
    doubts: tuple[Diagnostic, ...]


def page_to_review(
    path: Path, *, count: int = USUAL_COUNT, seed: int = 1, at_corners: bool = False, language: str = ""
) -> ReviewPage:
    """Items of a template file, of each template of a folder, or of a bank, on one page to read and sign.

    count, at_corners: of each template as `shown_items`. language: of texts, "" for the files' own; the page speaks the
    bank's, or that of its first item. Raises InputError with everything that is wrong, Contradiction where two of our
    own roads disagree.
    """
    entries, doubts, bank = entries_of(path, language)
    wrong: list[Diagnostic] = []
    shown: list[tuple[Entry, list[ShownItem]]] = []
    for entry in entries:
        try:
            shown.append((entry, list(shown_items(entry, seed, count, at_corners))))
        except InputError as error:
            wrong.extend(error.diagnostics)
    if wrong:
        raise InputError(wrong)
    facts = _facts(bank, [item for _, items in shown for item in items])
    known = {each.entry.path: each for each in states(bank)} if bank is not None else {}
    reviewed = [_reviewed(entry, items, known.get(entry.path), facts.words) for entry, items in shown]
    page = review_page(reviewed, facts, path.resolve().name if bank is not None else "")
    return ReviewPage(page, len(reviewed), sum(len(each.items) for each in reviewed), doubts)


def _facts(bank: Bank | None, shown: Sequence[ShownItem]) -> PaperFacts:
    if bank is not None:
        return PaperFacts(bank.facts.title, bank.facts.author, bank.facts.licence, bank.facts.language)
    first = shown[0].item.about
    return PaperFacts(first.title, language=first.language)


def _reviewed(
    entry: Entry, shown: Sequence[ShownItem], known: Approved | None, spoken: Words
) -> ReviewedTemplate:
    template = entry.recipe.template
    items = tuple(
        ReviewedItem(item, corner.told(spoken) if corner is not None else "") for corner, item, _ in shown
    )
    guaranteed = tuple(map(_guarantee_told, template.guarantees))
    return ReviewedTemplate(template.name, template.version, items, _approval_told(known, spoken), guaranteed)


def _guarantee_told(guarantee: Expression) -> Guaranteed:
    """What holds of every item: a property in its words, another condition as mathematics."""
    written = guarantee.raw or guarantee.node
    try:
        match written:
            case Call(function, (Name("problem"),)) if function in PROPERTIES:
                return Guaranteed((), f"the problem {PROPERTIES[function].claim}")
            case Call(function, arguments) if function in PROPERTIES:
                about = tuple(Maths(lay_out(argument, 0)) for argument in arguments)
                return Guaranteed(about, PROPERTIES[function].claim)
            case _:
                return Guaranteed((Maths(lay_out(written, 0)),), "")
    except DomainError:  # `not`, and what else is decided but never shown
        return Guaranteed((), guarantee.text.strip())


def _approval_told(known: Approved | None, spoken: Words) -> str:
    """Who approved the template as it is, or that nobody did; "" where it is of no bank."""
    if known is None:
        return ""
    if known.approval is None:
        return spoken("review-not-approved")
    if known.state is State.CHANGED:
        return spoken("review-changed", version=known.version)
    return spoken("review-approved", name=known.approval.by, date=known.approval.on)
