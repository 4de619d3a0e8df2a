"""A calibration, whole: from results of sittings to the difficulty of items and templates, and what marks are worth."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from operator import itemgetter
from typing import Final, NamedTuple

from itembank.calibration.ability import Item, Items, Scored, Worth, level_slopes, level_total, worths
from itembank.calibration.conditional import Estimates, NoEstimate, estimate, groups
from itembank.calibration.fit import Fit, fits, residuals
from itembank.calibration.linked import linked
from itembank.calibration.odd_pupils import OddPupils, odd_pupils
from itembank.calibration.sample import Sample, SampleItem, SatBuild, sample
from itembank.calibration.within_templates import spread_within
from itembank.errors import Diagnostic, InputError

__all__ = [
    "FEWEST", "Calibration", "Drift", "DroppedMark", "FormWorths", "FoundItem", "FoundPupil", "FoundPupils",
    "FoundTemplate", "LeftOut", "Level", "calibrate", "of_thousandths", "thousandths",
]  # fmt: skip

FEWEST: Final = 30
"""Pupils below which a difficulty is told and not kept. Source: Linacre 1994, Rasch Measurement Transactions 7:4, 328
(from memory): of so many it is within a logit, 95 times of 100."""
_MOST_ITEMS: Final = 400


@dataclass(frozen=True, slots=True)
class FoundItem:
    """An item on the scale. pupils: who took it and some other; difficulty, error: in logits; fit: None for none.

    least, most: the marks between which pupils scored; of what nobody scored the difficulty says nothing. steps: how
    much harder than the item each of its marks is, in logits, together 0; () where pupils did not score every whole
    mark and no other.
    """

    item: SampleItem
    pupils: int
    difficulty: Decimal
    error: Decimal
    fit: Fit | None
    least: Fraction = Fraction(0)
    most: Fraction | None = None
    steps: tuple[Decimal, ...] = ()
    skips: bool = False

    @property
    def is_kept(self) -> bool:
        """Whether enough pupils took it for others to build on the difficulty."""
        return self.pupils >= FEWEST

    @property
    def beyond(self) -> Decimal | None:
        """How much harder it was than predicted, in logits."""
        return None if self.item.predicted is None else self.difficulty - of_thousandths(self.item.predicted)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """An item that has no place on the scale, and why."""

    item: SampleItem
    reason: str


@dataclass(frozen=True, slots=True)
class DroppedMark:
    """Marks at an item that did not count, while others at it did. pupils: who earned them."""

    item: SampleItem
    marks: Fraction
    pupils: int


@dataclass(frozen=True, slots=True)
class FoundTemplate:
    """How much harder than predicted the kept items of a template were, in the mean, in logits.

    steps: those of its kept items, in the mean, where they have equally many; () for none, and where there is one mark.
    error_of_new: what the difficulty of a new item may be off by; None where nothing tells how items of one template
    differ.
    """

    template: str
    items: int
    beyond: Decimal
    error: Decimal
    steps: tuple[Decimal, ...] = ()
    error_of_new: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Drift:
    """How much harder an item was in one sitting than in the others it was in, in logits. pupils: in that sitting."""

    item: SampleItem
    sitting: str
    pupils: int
    beyond: Decimal
    error: Decimal


@dataclass(frozen=True, slots=True)
class FormWorths:
    """What totals of a build are worth, in whole marks; () with the reason where that cannot be told."""

    name: str
    pupils: int
    worths: tuple[Worth, ...]
    reason: str = ""


@dataclass(frozen=True, slots=True)
class FoundPupil:
    """Somebody whose answers are odd. marks: out of `most`, at the items that count; chance, less, more: as `OddPupil`
    has them."""

    sitting: str
    name: str
    marks: Fraction
    most: Fraction
    chance: Decimal
    less: tuple[SampleItem, ...]
    more: tuple[SampleItem, ...]


@dataclass(frozen=True, slots=True)
class FoundPupils:
    """looked_at, expected, are_many: as `OddPupils` has them, of all scales. odd: first the least likely."""

    looked_at: int = 0
    expected: Decimal = Decimal(0)
    odd: tuple[FoundPupil, ...] = ()
    are_many: bool = False


class Level(NamedTuple):
    """Totals that say the same. names: of forms; rows: of each total of the first form the ones on all of them.

    errors: of each row those of the other forms, in marks; None at the ends, which are level by convention.
    """

    names: tuple[str, ...]
    rows: tuple[tuple[Decimal, ...], ...]
    errors: tuple[tuple[Decimal | None, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Calibration:
    """scales: how many; between two of them differences rest on predictions. items: in the order they were given in.

    rounded: scores that were taken to the nearest quarter of a mark; dropped: those that tell nothing.
    """

    pupils: int
    scales: int
    items: tuple[FoundItem, ...]
    left_out: tuple[LeftOut, ...]
    templates: tuple[FoundTemplate, ...]
    forms: tuple[FormWorths, ...]
    level: tuple[Level, ...]
    drifts: tuple[Drift, ...] = ()
    rounded: int = 0
    dropped: tuple[DroppedMark, ...] = ()
    odd: FoundPupils = FoundPupils()

    @property
    def kept(self) -> tuple[FoundItem, ...]:
        """The items that enough pupils took."""
        return tuple(each for each in self.items if each.is_kept)


def calibrate(builds: Sequence[SatBuild]) -> Calibration:
    """The calibration of all builds together, by the partial credit model.

    Items that results link stand on one scale. Each scale has its zero where predictions have it: its items are as hard
    in the mean as they were predicted. Raises InputError `nothing-to-calibrate`, `too-many-items`.
    """
    found = sample(builds)
    if len(found.items) > _MOST_ITEMS:
        message = f"there are {len(found.items)} items with results, and {_MOST_ITEMS} is the most at once"
        raise InputError(Diagnostic("too-many-items", message, hint="calibrate fewer sittings together"))
    placing = _Placing()
    scales = tuple(placing.scales(found, range(len(found.items))))
    if not scales:
        message = "no two items can be set against each other"
        hint = (
            "it takes pupils who did better at one item and worse at another, and others the other way round; "
            "add results of more pupils"
        )
        raise InputError(Diagnostic("nothing-to-calibrate", message, hint=hint))
    placed = {place: item for scale in scales for place, item in scale.items(found)}
    items = tuple(item for _, item in sorted(placed.items(), key=itemgetter(0)))
    return Calibration(
        len({pupil for scale in scales for pupil in scale.pupils}),
        len(scales),
        items,
        tuple(
            LeftOut(item, _reason(found, place, undecided=place in placing.undecided))
            for place, item in enumerate(found.items)
            if place not in placed
        ),
        _templates(items),
        tuple(_worths_of(found, scales, form) for form in range(len(found.of_build))),
        tuple(level for scale in scales if (level := _level(found, scale))),
        tuple(drift for scale in scales for drift in _drifts(found, scale)),
        found.rounded,
        tuple(
            DroppedMark(found.items[item], Fraction(score, found.unit), found.scores(item).count(score))
            for item, score in sorted(placing.dropped)
            if item in placed
        ),
        _odd(found, scales),
    )  # fmt: skip


class _Placing:
    """Puts items on scales. undecided: items whose difficulty results leave open; dropped: (item, score), likewise."""

    def __init__(self) -> None:
        self.undecided: set[int] = set()
        self.dropped: set[tuple[int, int]] = set()

    def scales(self, found: Sample, places: Iterable[int]) -> Iterator[_Scale]:
        """The scales of some items, the largest first.

        A score that keeps an item from its place, such as the only half mark of all, is left out if the item has two
        others; else the item is. Where the totals of who earned it leave nothing else open this changes no estimate:
        given them, they tell of the other items only.
        """
        for together in _linked_sets(found, places):
            try:
                scale = _Scale.of(found, together)
            except NoEstimate as undecided:
                item, score = undecided.item, undecided.score
                if score is not None and len(set(found.scores(item))) > 2:
                    self.dropped.add((item, score))
                    yield from self.scales(found.without(item, score), together)
                else:
                    self.undecided.add(item)
                    yield from self.scales(found, [place for place in together if place != item])
            else:
                yield scale


def _linked_sets(found: Sample, places: Iterable[int]) -> Iterator[tuple[int, ...]]:
    """The sets of items with a scale of their own, the largest first."""
    for together in linked(list(found.restricted(places).values())):
        # who has but one item of the set is left out now, which can part it once more
        again = linked(list(found.restricted(together).values()))
        yield from [together] if again == [together] else _linked_sets(found, together)


@dataclass(frozen=True, slots=True)
class _Scale:
    """Items that results link. zero: what is added to estimates, in logits for a step of a mark.

    marks: of each item its scores in the model with their marks in units. pupils: by number, with such scores.
    """

    marks: Mapping[int, Mapping[int, int]]
    pupils: Mapping[int, Mapping[int, int]]
    estimates: Estimates
    fits: Mapping[int, Fit | None]
    zero: Decimal

    @classmethod
    def of(cls, found: Sample, places: tuple[int, ...]) -> _Scale:
        """The scale of a set of items. Raises NoEstimate, which tells marks in units."""
        given = found.restricted(places)
        marks = {place: _steps_taken(given.values(), place, found.unit) for place in places}
        score_of = {place: {mark: score for score, mark in each.items()} for place, each in marks.items()}
        pupils = {
            number: {place: score_of[place][mark] for place, mark in earned.items()}
            for number, earned in given.items()
        }
        grouped = groups(list(pupils.values()))
        try:
            estimates = estimate(grouped)
        except NoEstimate as failed:
            of_item = marks[failed.item]
            raise NoEstimate(failed.item, None if failed.score is None else of_item[failed.score]) from None
        told = [
            of_thousandths(predicted) - estimates.difficulties[place] * found.unit
            for place in estimates.difficulties
            if (predicted := found.items[place].predicted) is not None
        ]
        zero = sum(told, Decimal(0)) / len(told) if told else Decimal(0)
        return cls(marks, pupils, estimates, fits(grouped, estimates.weights), zero)

    def items(self, found: Sample) -> Iterator[tuple[int, FoundItem]]:
        """Its items with their places."""
        for place, difficulty in self.estimates.difficulties.items():
            earned = list(self.marks[place].values())
            item = FoundItem(
                found.items[place],
                sum(place in scores for scores in self.pupils.values()),
                difficulty * found.unit + self.zero,
                self.estimates.errors[place] * found.unit,
                self.fits[place],
                Fraction(earned[0], found.unit),
                Fraction(earned[-1], found.unit),
                _steps(self.estimates.weights[place], earned, found.items[place].maximum, found.unit),
                any(more - less > found.unit for less, more in pairwise(earned)),
            )
            yield place, item

    def kept(self) -> Mapping[int, Mapping[int, Decimal]]:
        """The weights of the items that enough pupils took."""
        took = Counter(item for scores in self.pupils.values() for item in scores)
        return {item: each for item, each in self.estimates.weights.items() if took[item] >= FEWEST}

    def scored(self, places: Iterable[int]) -> list[Item] | None:
        """The scores of a form's items; None where one of them is not on this scale."""
        weights = self.estimates.weights
        if not all(place in weights for place in places):
            return None
        return [
            [Scored(score, self.marks[place][score], eta) for score, eta in weights[place].items()]
            for place in places
        ]


def _steps_taken(pupils: Iterable[Mapping[int, int]], place: int, unit: int) -> dict[int, int]:
    """The scores of an item in the model with their marks: what lies between two marks that pupils earned is one step.

    So an item that is right or wrong weighs as one mark, whatever it earns: with the weight of its marks, three say,
    it would count as three times as sharp as one that earns one. Source: Wilson & Masters 1993, Psychometrika 58,
    87-99, on categories that nobody is in (from memory); a step is at most a mark by a decision of ours.
    """
    earned = sorted({scores[place] for scores in pupils if place in scores})
    found: dict[int, int] = {}
    score = before = 0
    for mark in earned:
        score += min(mark - before, unit) if found else mark
        found[score], before = mark, mark
    return found


def _steps(
    weights: Mapping[int, Decimal], earned: Sequence[int], maximum: int, unit: int
) -> tuple[Decimal, ...]:
    """From mark to mark, how much harder than the whole. weights: logarithms, by scores in units."""
    if earned != [unit * marks for marks in range(maximum + 1)]:
        return ()
    found = [weights[unit * marks] - weights[unit * (marks + 1)] for marks in range(maximum)]
    mean = sum(found, Decimal(0)) / maximum
    return tuple(each - mean for each in found)


def _reason(found: Sample, place: int, *, undecided: bool) -> str:
    scores, most = set(found.scores(place)), found.items[place].maximum * found.unit
    if not scores:
        return "nobody took it"
    if scores == {most}:
        return "everyone earned all of it"
    if scores == {0}:
        return "nobody earned any of it"
    if len(scores) == 1:
        return "everyone earned the same"
    if undecided:
        return "given what pupils scored in all, results leave open how hard it was"
    return "results do not set it against others both ways"


def of_thousandths(number: int) -> Decimal:
    """Thousandths of a logit in logits."""
    return Decimal(number).scaleb(-3)


def _templates(items: Sequence[FoundItem]) -> tuple[FoundTemplate, ...]:
    """Of items of one template the mean counts; its error is that of a mean of estimates apart from each other."""
    told: dict[str, list[tuple[Decimal, Decimal]]] = {}
    for each in items:
        if each.is_kept and each.beyond is not None:
            told.setdefault(each.item.template, []).append((each.beyond, each.error))
    spread = spread_within(list(told.values()))
    found = []
    for name, mine in told.items():
        mean = sum((beyond for beyond, _ in mine), Decimal(0)) / len(mine)
        error = sum((error**2 for _, error in mine), Decimal(0)).sqrt() / len(mine)
        # a new item is as far from the mean of all as any, which `mine` tell: Higgins, Thompson & Spiegelhalter 2009,
        # Journal of the Royal Statistical Society A 172, 137-159 (from memory)
        new = None if spread is None else (spread**2 * (1 + Decimal(1) / len(mine)) + error**2).sqrt()
        found.append(FoundTemplate(name, len(mine), mean, error, _mean_steps(items, name), new))
    return tuple(found)


def _mean_steps(items: Sequence[FoundItem], template: str) -> tuple[Decimal, ...]:
    mine = [each for each in items if each.item.template == template and each.is_kept]
    known = [each.steps for each in mine if len(each.steps) > 1]
    if not known or len({each.item.maximum for each in mine}) > 1:
        return ()
    return tuple(sum(step, Decimal(0)) / len(known) for step in zip(*known, strict=True))


def _drifts(found: Sample, scale: _Scale) -> Iterator[Drift]:
    """Each item that several sittings had, in each of them, where enough pupils took it in that one and in the others.

    By one step of Newton's from the difficulty that all have in common: the marks beyond those expected, by their
    variance.
    """
    sitting_of = found.sitting_of()
    by_sitting: dict[int, list[Mapping[int, int]]] = {}
    for number, scores in scale.pupils.items():
        by_sitting.setdefault(sitting_of[number], []).append(scores)
    if len(by_sitting) < 2:
        return
    told = {
        sitting: residuals(groups(pupils), scale.estimates.weights) for sitting, pupils in by_sitting.items()
    }
    for item in scale.estimates.weights:
        took = {sitting: sum(item in scores for scores in pupils) for sitting, pupils in by_sitting.items()}
        for sitting, number in took.items():
            here = told[sitting][item]
            others = [told[each][item] for each in took if each != sitting]
            beyond, second = sum(each.beyond for each in others), sum(each.second for each in others)
            if min(number, sum(took.values()) - number) >= FEWEST and here.second and second:
                yield Drift(
                    found.items[item],
                    found.of_build[sitting][0],
                    number,
                    (beyond / second - here.beyond / here.second) * found.unit,
                    (1 / here.second + 1 / second).sqrt() * found.unit,
                )


def _odd(found: Sample, scales: Sequence[_Scale]) -> FoundPupils:
    """Those whose answers are odd, by the items that are kept."""
    of_scales = [odd_pupils(scale.pupils, scale.kept()) for scale in scales]
    marks = {
        (one.pupil, one.chance): _earned(found, scale, one.pupil)
        for scale, each in zip(scales, of_scales, strict=True)
        for one in each.odd
    }
    whole = OddPupils(
        sum(each.looked_at for each in of_scales),
        tuple(
            sorted((one for each in of_scales for one in each.odd), key=lambda one: (one.chance, one.pupil))
        ),
    )
    sitting_of = found.sitting_of()
    return FoundPupils(
        whole.looked_at,
        whole.expected,
        tuple(
            FoundPupil(
                found.of_build[sitting_of[each.pupil]][0],
                found.names[each.pupil],
                *marks[each.pupil, each.chance],
                each.chance,
                tuple(found.items[place] for place in each.less),
                tuple(found.items[place] for place in each.more),
            )
            for each in whole.odd
        ),
        whole.are_many,
    )


def _earned(found: Sample, scale: _Scale, pupil: int) -> tuple[Fraction, Fraction]:
    """The marks of a pupil at the items of a scale that are kept, and the most that anybody earned at these."""
    places = scale.kept().keys() & scale.pupils[pupil].keys()
    marks = sum(found.pupils[pupil][place] for place in places)
    most = sum(max(scale.marks[place].values()) for place in places)
    return Fraction(marks, found.unit), Fraction(most, found.unit)


def _worths_of(found: Sample, scales: Sequence[_Scale], form: int) -> FormWorths:
    """What totals are worth on a form."""
    name, places, pupils = found.of_build[form]
    for scale in scales:
        items = scale.scored(places)
        if items is not None:
            told = [
                Worth(
                    each.total // found.unit, each.ability * found.unit + scale.zero, each.error * found.unit
                )
                for each in worths(items, _marks(items, found.unit))
            ]
            return FormWorths(name, pupils, tuple(told))
    missing = sum(not any(place in scale.estimates.weights for scale in scales) for place in places)
    reason = (
        f"{missing} of its items {'have' if missing > 1 else 'has'} no place on a scale"
        if missing
        else "its items stand on several scales"
    )
    return FormWorths(name, pupils, (), reason)


def _level(found: Sample, scale: _Scale) -> Level | None:
    """Totals that say the same on all forms of a scale; None for fewer than two. Forms with the same items are one."""
    once = {frozenset(places): (name, places) for name, places, _ in reversed(found.of_build)}
    forms = [(name, places, scale.scored(places)) for name, places in reversed(once.values())]
    whole = [
        (name, dict(zip(places, items, strict=True))) for name, places, items in forms if items is not None
    ]
    if len(whole) < 2:
        return None
    (_, first), *others = whole
    own = list(first.values())
    totals = _marks(own, found.unit)
    rows = tuple(
        (
            Decimal(total // found.unit),
            *[level_total(own, total, list(items.values())) / found.unit for _, items in others],
        )
        for total in totals
    )
    slopes = [level_slopes(first, total, items) for total in totals for _, items in others]
    errors = iter(
        [
            error / found.unit if slope else None
            for error, slope in zip(scale.estimates.errors_of(slopes), slopes, strict=True)
        ]
    )
    of_rows = tuple(tuple(next(errors) for _ in others) for _ in totals)
    return Level(tuple(name for name, _ in whole), rows, of_rows)


def _marks(items: Items, unit: int) -> list[int]:
    """The totals that are whole marks, from the least anybody can have to the most."""
    least, most = sum(item[0].marks for item in items), sum(item[-1].marks for item in items)
    return [total for total in range(least, most + 1) if total % unit == 0]


def thousandths(logits: Decimal) -> int:
    """Logits in whole thousandths, the nearest.

    >>> thousandths(Decimal("-0.4126"))
    -413
    """
    return round(Fraction(logits) * 1000)
