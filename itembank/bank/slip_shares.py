"""What becomes of each slip over a template's assignments: offered, recognised among entries, or why it is not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from itembank.errors import Span
from itembank.expressions.canonical import NONE
from itembank.generator.bound import Arguments, Bound
from itembank.generator.counting import Counter
from itembank.generator.distractors import Fate
from itembank.generator.instantiate import Instantiator, draft
from itembank.generator.unfit import NotAnItem
from itembank.items import EntryResponse, Part

__all__ = ["FATES", "SlipShare", "Tally", "tallies"]

FATES: Mapping[str, str] = {
    "undefined": "is undefined",
    "no real solution": "has no real solution",
    "equals the key": "equals the key",
    "equals an earlier slip": "equals an earlier slip",
    "follows all the same": "is no slip: its line follows all the same, for what is derived is changed with it",
}
"""What is said of a slip that is not used, where it says that the slip should be another.

`fits no box` is told by a rule of item writing; that words are those of the key or of an earlier slip, as
`has no words of its own` says, is in the nature of words.
"""

Tally = dict[str, tuple[int, Arguments]]
"""Fate -> how often, and the first assignment that has it."""


@dataclass(frozen=True, slots=True)
class SlipShare:
    """What becomes of a slip over the assignments looked at: fate -> how often; `seen` of them all.

    is_entry: the slip is a wrong entry, which is recognised where it fits the boxes.
    """

    name: str
    span: Span
    fates: tuple[tuple[str, int], ...]
    seen: int
    is_entry: bool = False

    @property
    def use(self) -> str:
        """What a slip of this kind is where it is used: `recognised` or `offered`."""
        return "recognised" if self.is_entry else "offered"

    @property
    def used(self) -> int:
        """How often a pupil can come upon it."""
        return dict(self.fates).get(self.use, 0)

    @property
    def is_seldom_used(self) -> bool:
        """Whether what `FATES` tells becomes of it in more than 19 of 20."""
        others = sum(times for word, times in self.fates if word in FATES)
        return others > 0 and 20 * (self.seen - others) < self.seen

    @property
    def whys(self) -> tuple[str, ...]:
        """The fates of `FATES` that it has, the most frequent first."""
        told = [fate for fate in self.fates if fate[0] in FATES]
        return tuple(word for word, _ in sorted(told, key=lambda fate: -fate[1]))


def tallies(bound: Bound, counter: Counter, assignments: Sequence[Arguments], number: int) -> list[Tally]:
    """For each slip of a part, what becomes of it over the given assignments.

    A wrong answer to be entered is `recognised` where the boxes can hold it, else it `fits no box`; assignments that
    make no item are then passed over.
    """
    kind = bound.recipe.template.parts[number].response.kind
    if kind != "entry":
        told = counter.slip_fates(assignments, number)
        return [_of_lines(tally) for tally in told] if kind == "wrong-line" else told
    instantiator = Instantiator(bound, 0)
    found: list[Tally] = [{} for _ in bound.recipe.parts[number].slips]
    for arguments in assignments:
        made = draft(bound, arguments, checked=True)
        if made is None:
            continue
        try:
            part = instantiator.item(0, made, "CHECK").parts[number]
        except NotAnItem:
            continue
        for word, tally in zip(_words(part, made.fates[number]), found, strict=True):
            times, first = tally.get(word, (0, arguments))
            tally[word] = (times + 1, first)
    return found


def _of_lines(tally: Tally) -> Tally:
    """A tally in the words of lines: a changed line that is like the right one is none with a slip in it."""
    return {
        ("follows all the same" if word == "equals the key" else word): each for word, each in tally.items()
    }


def _words(part: Part, found: Sequence[Fate]) -> Iterator[str]:
    """What becomes of each slip of an entry, in the author's order."""
    response = part.response
    assert isinstance(response, EntryResponse)
    recognised = {id(each.slip) for each in response.recognised}
    by_words = all(blank.words for blank in response.blanks)
    told = iter(part.slips)  # those of the fate `offered`
    for fate in found:
        if fate.word != "offered":
            yield fate.word
        elif id(next(told)) in recognised:
            yield "recognised"
        elif fate.forms == (NONE,):
            yield "no real solution"
        else:
            yield "has no words of its own" if by_words else "fits no box"
