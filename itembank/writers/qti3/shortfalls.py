"""What a package of QTI 3.0 cannot carry of an item, in a sentence each."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from itembank.items import EntryResponse, Item, WrittenResponse
from itembank.writers.base import has_decimal_comma
from itembank.writers.drawn_answers import NO_DRAWING, has_squares
from itembank.writers.phrases import phrases
from itembank.writers.pictures import has_pictures, pictures
from itembank.writers.qti3.follow import follow_shortfalls
from itembank.writers.qti3.forms import LARGEST
from itembank.writers.qti3.looks import entry_facts

__all__ = ["shortfalls"]

_ENGLISH: Final = (
    "the words around boxes and in feedback are English",
    "formulas are spoken in English",
)


def shortfalls(item: Item) -> tuple[str, ...]:
    """What is lost of an item; () for nothing, each sentence once."""
    said = phrases(item.about.language)
    found = list(_ENGLISH) if said.foreign else []
    if has_pictures(item) and any(picture.foreign for picture in pictures(item)):
        found.append("the descriptions of pictures are in another language")
    for index, part in enumerate(item.parts):
        if isinstance(part.response, EntryResponse):
            found.extend(_of_entry(part.response))
            if has_decimal_comma(item.about.language):
                found.extend(_of_comma(part.response))
            found.extend(follow_shortfalls(part, item.parts[:index]))
        elif isinstance(part.response, WrittenResponse) and has_squares(part):
            found.append(NO_DRAWING)
    return tuple(dict.fromkeys(found)) if found else ()


_SMALL: Final = 1_000
"""From boxes with numbers up to this size no form works out a fact beyond LARGEST: the largest is k(ad + bc)."""


def _is_small(response: EntryResponse) -> bool:
    """Whether no number of the boxes is beyond `_SMALL`; False where some hold no whole numbers."""
    values = [blank.values for blank in response.blanks]
    values += [of_blank for entry in response.recognised for of_blank in entry.values]
    try:
        return all(-_SMALL <= each <= _SMALL for groups in values for group in groups for each in group)  # type: ignore[operator]
    except TypeError:  # decimals, words, signs
        return False


def _of_entry(response: EntryResponse) -> Iterator[str]:
    if not _is_small(response) and any(
        isinstance(fact, int) and abs(fact) > LARGEST for fact in entry_facts(response)
    ):
        yield "numbers of the marking are larger than the standard's whole numbers reach, a platform may mark wrongly"
    if any(blank.form == "decimal" for blank in response.blanks):
        yield "how many decimal places were entered is not marked"


def _of_comma(response: EntryResponse) -> Iterator[str]:
    if any(blank.form == "decimal" and blank.tolerance is not None for blank in response.blanks):
        yield "a decimal within a tolerance is compared as a number, so a comma typed in it is left to the platform"
