"""Languages beside each other on a page: which way texts run, and what is said in the page's own words."""

from __future__ import annotations

from functools import cache

from itembank.items import Item
from itembank.words import Words, base_language
from itembank.words.direction import is_right_to_left
from itembank.writers.pages.characters import Source

__all__ = ["own_tongue", "runs_left", "turned"]


def runs_left(item: Item) -> bool:
    """Whether an item is in a language that is written from right to left."""
    return is_right_to_left(item.about.language)


def own_tongue(item: Item, words: Words) -> Source:
    """The attributes of what the page says itself within an item: "" where that is in the item's language."""
    return _attributes(item.about.language, words.language)


@cache
def _attributes(language: str, own: str) -> Source:
    if not language or base_language(language) == base_language(own):
        return Source()
    way = ' dir="ltr"' if is_right_to_left(language) and not is_right_to_left(own) else ""
    return Source(f' lang="{own}"{way}')


def turned(text: Source, item: Item) -> Source:
    """Paragraphs of an item that run its language's way, whatever they begin with: a formula tells no direction."""
    return Source(text.replace('<p dir="auto"', '<p dir="rtl"')) if runs_left(item) else text
