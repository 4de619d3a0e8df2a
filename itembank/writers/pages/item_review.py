"""The page for the teacher who decides whether templates suit their pupils.

What a program can tell is proved or checked; the statements to tick are what it cannot. Source: Haladyna, Downing and
Rodriguez (2002), A review of multiple-choice item-writing guidelines for classroom assessment, Applied Measurement in
Education 15(3): those on content, wording and plausible wrong answers. Marks, working and fairness: common practice, no
source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from itembank.expressions.display import Maths
from itembank.items import Item
from itembank.words import Words
from itembank.writers.facts import PaperFacts
from itembank.writers.pages import _environment
from itembank.writers.pages.content import conventional
from itembank.writers.pages.sampler import kind_told
from itembank.writers.paper import total_marks
from itembank.writers.phrases import phrases
from itembank.writers.trials import trials

__all__ = ["Guaranteed", "ReviewedItem", "ReviewedTemplate", "review_page"]

_STATEMENTS: Final = (
    "content",
    "wording",
    "one-meaning",
    "numbers",
    "wrong-answers",
    "working",
    "told",
    "fair",
)
_FINDINGS: Final = ("as-it-is", "after-changes", "not")


@dataclass(frozen=True, slots=True)
class Guaranteed:
    """What holds of every item. about: mathematics, () for the problem; said: what is said of it, in English."""

    about: tuple[Maths, ...]
    said: str


@dataclass(frozen=True, slots=True)
class ReviewedItem:
    """corner: why the item was chosen, "" for one that was drawn."""

    item: Item
    corner: str = ""


@dataclass(frozen=True, slots=True)
class ReviewedTemplate:
    """A template by some of its items, at least one. approval: what is known of it already, "" for nothing."""

    name: str
    version: int
    items: tuple[ReviewedItem, ...]
    approval: str = ""
    guaranteed: tuple[Guaranteed, ...] = ()

    @property
    def item(self) -> Item:
        """The first one, for what is the same in all."""
        return self.items[0].item

    @property
    def statements(self) -> tuple[str, ...]:
        """What to judge: of wrong answers only where some are foreseen."""
        foreseen = any(part.slips for part in self.item.parts)
        return tuple(each for each in _STATEMENTS if foreseen or each not in ("wrong-answers", "told"))

    def time_told(self, words: Words) -> str:
        """How long an item should take, "" where the template does not say."""
        stated = self.item.about.minutes
        if not stated:
            return ""
        if stated == "1":
            return words.counted("minutes", 1)
        return words("minutes-other", count=stated.replace(".", words.decimal_mark))


def review_page(reviewed: Sequence[ReviewedTemplate], facts: PaperFacts, bank: str) -> str:
    """The page. bank: the folder in which approvals are kept, as it is called in a command; "" for none."""
    items = [each.item for template in reviewed for each in template.items]
    page = _environment(facts.words).get_template("item-review.html.j2").render(
        reviewed=reviewed, items=items, bank=bank, facts=facts, total=total_marks(items), w=facts.words,
        looks=facts.looks, kind=facts.words("review-kind"), foot=facts.title, trials=trials, phrases=phrases,
        kind_told=kind_told, findings=_FINDINGS,
    )  # fmt: skip
    return conventional(page, facts.words)
