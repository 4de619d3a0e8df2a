"""Results of several sittings put together: each item whole, each pupil of a sitting by itself.

The parts of an item lean on each other (the second follows from the first), so an item is one thing with the marks of
all its parts. What was omitted earned nothing; an item that a pupil was not given, did not reach or has no marks for in
some part does not count for that pupil.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import lcm
from typing import Final

from itembank.analysis.responses import Results, State

__all__ = ["Sample", "SampleItem", "SatBuild", "sample"]

_TELLING = (State.ANSWERED, State.OMITTED)
_FINEST: Final = 4
"""Parts of a mark that are told apart. With finer ones hardly two pupils would have the same total, and given a total
that one pupil has, nothing is left open that tells of items."""


@dataclass(frozen=True, slots=True)
class SatBuild:
    """One build that was sat, and its results. name: that of its folder; title: of its paper."""

    name: str
    title: str
    results: Results


@dataclass(frozen=True, slots=True)
class SampleItem:
    """An item that was answered. maximum: its marks; predicted: in thousandths of a logit, None for no prediction."""

    address: str
    code: str
    template: str
    maximum: int
    predicted: int | None


@dataclass(frozen=True, slots=True)
class Sample:
    """items: each once, however many builds had it. unit: the part of a mark in which scores are whole numbers.

    pupils: for each pupil of each sitting the scores, by the place of the item. of_build: of each build its name, the
    places of its items, and how many pupils sat it. rounded: scores that were taken to the nearest quarter of a mark.
    names: of the pupils.
    """

    items: tuple[SampleItem, ...]
    unit: int
    pupils: tuple[Mapping[int, int], ...]
    of_build: tuple[tuple[str, tuple[int, ...], int], ...]
    rounded: int = 0
    names: tuple[str, ...] = ()

    def sitting_of(self) -> list[int]:
        """For each pupil the place of the build among `of_build`."""
        return [build for build, (_, _, count) in enumerate(self.of_build) for _ in range(count)]

    def scores(self, item: int) -> list[int]:
        """What pupils scored at an item."""
        return [scores[item] for scores in self.pupils if item in scores]

    def without(self, item: int, score: int) -> Sample:
        """The same but for the answers that earned some score at an item."""
        pupils = tuple(
            {place: each for place, each in scores.items() if (place, each) != (item, score)}
            for scores in self.pupils
        )
        return replace(self, pupils=pupils)

    def restricted(self, items: Iterable[int]) -> dict[int, Mapping[int, int]]:
        """The pupils, by number, with some of the items. Those who have fewer than two of them are left out."""
        kept = frozenset(items)
        few = (
            (number, {item: score for item, score in scores.items() if item in kept})
            for number, scores in enumerate(self.pupils)
        )
        return {number: scores for number, scores in few if len(scores) > 1}


def sample(builds: Sequence[SatBuild]) -> Sample:
    """The results of all builds together. An item that several builds have is one item, known by its address."""
    places: dict[str, int] = {}
    items: list[SampleItem] = []
    pupils: list[dict[int, Fraction]] = []
    of_build = []
    for build in builds:
        mine: dict[int, tuple[int, ...]] = {}
        for code, questions in build.results.items.items():
            first = build.results.questions[questions[0]]
            address = first.address or f"{first.template} {code}"
            if address not in places:
                places[address] = len(items)
                maximum = sum(build.results.questions[place].maximum for place in questions)
                items.append(SampleItem(address, code, first.template, maximum, first.predicted))
            mine[places[address]] = questions
        item_at = {place: item for item, questions in mine.items() for place in questions}
        for sitting in build.results.sittings:
            scores = {}
            for item in dict.fromkeys(item_at[place] for place in sitting.answers):
                answers = [sitting.answer(place) for place in mine[item]]
                if all(answer.state in _TELLING and answer.mark is not None for answer in answers):
                    scores[item] = sum((answer.mark or Fraction(0) for answer in answers), Fraction(0))
            pupils.append(scores)
        of_build.append((build.name, tuple(mine), len(build.results.sittings)))
    unit = _unit(pupils)
    rounded = 0
    if unit > _FINEST:
        rounded = sum(_FINEST % mark.denominator != 0 for scores in pupils for mark in scores.values())
        pupils = [{item: _nearest(mark) for item, mark in scores.items()} for scores in pupils]
        unit = _unit(pupils)
    whole = tuple({item: int(mark * unit) for item, mark in scores.items()} for scores in pupils)
    names = tuple(sitting.pupil for build in builds for sitting in build.results.sittings)
    return Sample(tuple(items), unit, whole, tuple(of_build), rounded, names)


def _unit(pupils: Sequence[Mapping[int, Fraction]]) -> int:
    return lcm(1, *(mark.denominator for scores in pupils for mark in scores.values()))


def _nearest(mark: Fraction) -> Fraction:
    return Fraction(round(mark * _FINEST), _FINEST)
