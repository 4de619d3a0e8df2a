"""The page that goes with a sampler: what each item looks like on a platform, what to answer, what should follow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from itembank.items import Item, Part
from itembank.writers.pages import _environment
from itembank.writers.pages.content import conventional
from itembank.writers.paper import PaperFacts, kind_of, total_marks
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


_KINDS = {
    "choice": "one right option", "choices": "several right options", "wrong-line": "the line that does not follow",
    "entry": "boxes to fill", "order": "things to put into order", "match": "rows to match",
    "written": "an answer in writing",
}  # fmt: skip
_FORMS = {
    "integer": "whole numbers", "fraction": "fractions", "decimal": "decimals", "surd": "surds",
    "brackets": "factors", "interval": "intervals", "points": "points", "one-of": "a word from a list",
}  # fmt: skip


def kind_told(part: Part) -> str:
    """The kind of a part in plain words: what makes two items alike on a platform."""
    kind = kind_of(part)
    told = _KINDS.get(kind, kind)
    response = part.response
    blanks = getattr(response, "blanks", ())
    if blanks:
        forms = dict.fromkeys(_FORMS.get(blank.form, blank.form) for blank in blanks)
        if getattr(response, "points", False):
            told += f": points with {' and '.join(forms)} for coordinates"
            told += ", each with marks of its own" if getattr(response, "share", 0) else ""
        else:
            told += f": {' and '.join(forms)}"
        several = any(blank.slots > 1 for blank in blanks)
        told += ", several values" if several and not getattr(response, "points", False) else ""
        told += ", with a tick for no real solution" if getattr(response, "tick", False) else ""
    if getattr(response, "by_words", False) or getattr(response, "sense", "") == "words":
        told += ", in words"
    return told


def sampler_page(sampled: Sequence[SampledItem], packages: Sequence[str], facts: PaperFacts) -> str:
    """The page. packages: the files to be tried, in order."""
    items = [each.item for each in sampled]
    page = _environment(facts.words).get_template("sampler.html.j2").render(
        sampled=sampled, items=items, packages=packages, facts=facts, total=total_marks(items), w=facts.words,
        looks=facts.looks, kind="What should be seen", foot=facts.title, trials=trials,
        phrases=phrases, kind_told=kind_told,
    )  # fmt: skip
    return conventional(page, facts.words)
