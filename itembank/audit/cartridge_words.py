"""Options that are words in a cartridge: the worked solution says which are right, and under which conditions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from itembank.audit.facts import Choice
from itembank.audit.findings import Fault
from itembank.audit.one_of_check import conditions_hold
from itembank.audit.part_view import PartView

__all__ = ["KINDS_IN_WORDS", "check_told"]

KINDS_IN_WORDS: Final = frozenset({"words", "choices-words", "match-words"})


def check_told(view: PartView, options: tuple[Choice, ...], keyed: frozenset[str]) -> Iterator[Fault]:
    """Whether the solution tells of the options' own words, and calls just those right that earn the marks."""
    if view.part.kind not in KINDS_IN_WORDS:
        return
    shown = {option.identifier: option.words for option in options}
    told = list(view.part.words)
    for word in told:
        if shown.get(word.identifier) != word.text:
            message = f"the worked solution tells of other words than the option {word.identifier!r} shows"
            yield Fault("option-differs", message, place=view.place)
    if {word.identifier for word in told if word.is_right} != keyed:
        message = "the keyed words are not those the worked solution calls right"
        yield Fault("wrong-option-keyed", message, place=view.place)
        return
    yield from conditions_hold(view, told, view.place)
