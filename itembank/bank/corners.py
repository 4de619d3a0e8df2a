"""The items of a template worth a look before it is used: extremes, each sign, each shape, each band."""

from __future__ import annotations

from itertools import islice
from typing import NamedTuple

from itembank.generator.bound import Arguments, Bound
from itembank.generator.instantiate import Draft, draft
from itembank.generator.space import simplest, walk
from itembank.words import Words

LOOKED_AT = 200_000
"""Assignments looked at to find them."""


class Corner(NamedTuple):
    """Why an item is worth a look. phrase: of the word files; of: the parameter or band it speaks of, "" for none."""

    phrase: str
    of: str = ""

    def told(self, words: Words) -> str:
        """The reason in words."""
        return words(self.phrase, name=self.of) if self.of else words(self.phrase)


def corners(bound: Bound) -> list[tuple[Corner, Draft]]:
    """Items worth a look: smallest, largest, longest, one of each sign of each parameter, fewest slips, each band."""
    drawn = list(islice(walk(bound, 0, LOOKED_AT), 3_000))
    drafts = [d.draft for d in drawn]
    made_simply = (
        made for arguments in simplest(bound, 20_000) if (made := draft(bound, arguments)) is not None
    )
    small = list(islice(made_simply, 1))
    if not drafts and not small:
        return []
    found: list[tuple[Corner, Draft]] = [(Corner("corner-smallest"), made) for made in small]
    pool = drafts or small
    found.append((Corner("corner-largest"), max(pool, key=_size)))
    found.append((Corner("corner-longest"), max(pool, key=_digits)))
    for index, parameter in enumerate(bound.parameters):
        column = bound.first_argument(index)
        for sign, word in ((1, "positive"), (-1, "negative"), (0, "zero")):
            signed = [d for d in pool if (d.arguments[column] > 0) - (d.arguments[column] < 0) == sign]
            if signed and len(signed) < len(pool):
                found.append((Corner(f"corner-{word}", parameter.name), min(signed, key=_size)))
    if any(d.fates and d.fates[0] for d in pool):
        found.append((Corner("corner-fewest-slips"), min(pool, key=_slips)))
    for index, name in enumerate(bound.recipe.bands):
        banded = [d.draft for d in drawn if index in d.bands]
        if banded:
            found.append((Corner("corner-band", name), banded[0]))
    kinds: dict[object, Draft] = {}
    for made in pool:
        kinds.setdefault(tuple(form[0] for form in made.forms), made)
    found.extend((Corner("corner-shape"), made) for made in list(kinds.values())[:12])
    first: dict[Arguments, tuple[Corner, Draft]] = {}
    for corner, made in found:
        first.setdefault(made.arguments, (corner, made))
    return list(first.values())


def _size(made: Draft) -> int:
    return sum(map(abs, made.arguments))


def _digits(made: Draft) -> int:
    return sum(len(str(number)) for form in made.forms for number in form[1])


def _slips(made: Draft) -> int:
    return sum(fate.word == "offered" for fates in made.fates for fate in fates)
