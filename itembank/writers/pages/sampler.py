"""The page that goes with a sampler: what each item looks like on a platform, what to answer, what should follow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from itembank.items import Blank, EntryResponse, Item, Part
from itembank.words import Words
from itembank.writers.pages import _environment
from itembank.writers.pages.content import conventional
from itembank.writers.paper import PaperFacts, total_marks
from itembank.writers.phrases import phrases
from itembank.writers.trials import trials

__all__ = ["SampledItem", "kind_told", "sampler_page"]


@dataclass(frozen=True, slots=True)
class SampledItem:
    """An item of a sampler. in_cartridge: for each part's label what it is there, and what is typed for the right
    answer, "" for nothing; missing: why it is not in a package, by the package's file; lost: what else a package does
    not carry, a sentence each."""

    item: Item
    in_cartridge: Mapping[str, tuple[str, str]]
    missing: Mapping[str, str]
    lost: tuple[str, ...] = ()


def kind_told(part: Part, words: Words) -> str:
    """The kind of a part in plain words: what makes two items alike on a platform."""
    told = words(f"kind-{part.response.kind}")
    response = part.response
    points = isinstance(response, EntryResponse) and response.points
    more: list[str] = []
    if isinstance(response, EntryResponse) and response.blanks:
        names = dict.fromkeys(_form_told(blank, words) for blank in response.blanks)
        forms = f" {words('and')} ".join(names)
        told += f": {words('kind-points', forms=forms) if points else forms}"
        if points and response.share:
            more.append("kind-shared")
        if not points and any(blank.slots > 1 for blank in response.blanks):
            more.append("kind-several")
        if response.tick:
            more.append("kind-tick")
    if getattr(response, "by_words", False) or getattr(response, "sense", "") == "words":
        more.append("kind-words")
    return ", ".join([told, *map(words, more)])


def _form_told(blank: Blank, words: Words) -> str:
    return words(f"form-{blank.form}", surd=words("surd"))


def sampler_page(sampled: Sequence[SampledItem], packages: Sequence[str], facts: PaperFacts) -> str:
    """The page. packages: the files to be tried, in order."""
    items = [each.item for each in sampled]
    page = _environment(facts.words).get_template("sampler.html.j2").render(
        sampled=sampled, items=items, packages=packages, facts=facts, total=total_marks(items), w=facts.words,
        looks=facts.looks, kind=facts.words("sampler-kind"), foot=facts.title, trials=trials,
        phrases=phrases, kind_told=kind_told,
    )  # fmt: skip
    return conventional(page, facts.words)
