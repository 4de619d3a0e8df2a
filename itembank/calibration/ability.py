"""What marks are worth: the ability that a total on a form speaks of, and totals on two forms that say the same.

Marks and scores are told apart: where nobody earned some marks of an item, the steps of the model (its scores) are
fewer than the marks that a total adds up.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from functools import partial
from typing import Final, NamedTuple, TypeAlias

from itembank.calibration.conditional import DIGITS

__all__ = ["Item", "Items", "Scored", "Worth", "level_slopes", "level_total", "worths"]

_FURTHEST: Final = Decimal(30)
_HALVINGS: Final = 40
"""Of the interval from -30 to 30: the last is far below a millionth."""
_ZERO: Final = Decimal(0)
_Function: TypeAlias = Callable[[Decimal], Decimal]


class Scored(NamedTuple):
    """A score at an item: its marks, in units of score, and the logarithm of its weight."""

    score: int
    marks: int
    eta: Decimal


Item: TypeAlias = Sequence[Scored]
Items: TypeAlias = Sequence[Item]
_Weighed: TypeAlias = Sequence[Sequence[tuple[int, int, Decimal]]]
"""Of each item its scores with their marks and weights."""


class _Moments(NamedTuple):
    """Of the total of a pupil of an ability, in marks. mean; spread: its variance; rate, bend: how fast the mean grows
    with ability, and how fast that does. Where marks are scores, the rate is the variance and the bend the third
    moment."""

    mean: Decimal
    spread: Decimal
    rate: Decimal
    bend: Decimal


@dataclass(frozen=True, slots=True)
class Worth:
    """An ability in logits with its standard error, for a total."""

    total: int
    ability: Decimal
    error: Decimal


def worths(items: Items, totals: Sequence[int]) -> list[Worth]:
    """The ability each total speaks of, by weighted likelihood, which has one for full and for no marks too.

    items: of the form; totals: in units of score. Source: Warm 1989, Psychometrika 54, 427-450 (from memory): where
    the total, with half of the third moment by the second, is what is expected. Where marks are not scores the total
    does not say everything, and the same is done for its expectation: half of bend by rate times variance by rate is
    what the bias of the ability so found comes to, in marks (the first terms of its expansion, no source).
    """
    with localcontext() as context:
        context.prec = DIGITS
        weighed = _weighed(items)
        found = []
        for total in totals:
            ability = _where_zero(partial(_leaning, weighed, total))
            told = _moments(weighed, ability)
            found.append(Worth(total, ability, told.spread.sqrt() / told.rate))
        return found


def level_total(items: Items, total: int, others: Items) -> Decimal:
    """The total on other items that is to be expected where this one is, on some: true scores that say the same.

    Nothing answers to nothing and everything to everything. Source: Kolen & Brennan, Test Equating, chapter 6 (from
    memory).
    """
    least, most = _ends(items)
    if not least < total < most:
        return Decimal(_ends(others)[0 if total <= least else 1])
    with localcontext() as context:
        context.prec = DIGITS
        weighed = _weighed(items)
        ability = _where_zero(lambda at: total - _moments(weighed, at).mean)
        return _moments(_weighed(others), ability).mean


def level_slopes(
    items: Mapping[int, Item], total: int, others: Mapping[int, Item]
) -> dict[tuple[int, int], Decimal]:
    """How fast `level_total` grows with the logarithm of each weight: (item, score) -> slope; {} at the ends.

    items, others: under the numbers of the items, of which both may have some. Source: the true score of the first is
    held while the ability gives way; Ogasawara 2001, Journal of Educational and Behavioral Statistics 26, 31-50 (from
    memory).
    """
    least, most = _ends(list(items.values()))
    if not least < total < most:
        return {}
    with localcontext() as context:
        context.prec = DIGITS
        own, other = _weighed(list(items.values())), _weighed(list(others.values()))
        ability = _where_zero(lambda at: total - _moments(own, at).mean)
        rate = _moments(other, ability).rate / _moments(own, ability).rate
        slopes: dict[tuple[int, int], Decimal] = {}
        for form, factor in ((items, -rate), (others, Decimal(1))):
            for number, weighed in zip(form, _weighed(list(form.values())), strict=True):
                chances = [
                    (score, marks, weight * (score * ability).exp()) for score, marks, weight in weighed
                ]
                whole = sum((chance for _, _, chance in chances), _ZERO)
                mean = sum((marks * chance for _, marks, chance in chances), _ZERO) / whole
                for score, marks, chance in chances:
                    key = number, score
                    slopes[key] = slopes.get(key, _ZERO) + factor * (marks - mean) * chance / whole
        return slopes


def _ends(items: Items) -> tuple[int, int]:
    return sum(item[0].marks for item in items), sum(item[-1].marks for item in items)


def _weighed(items: Items) -> _Weighed:
    return [[(each.score, each.marks, each.eta.exp()) for each in item] for item in items]


def _where_zero(falling: _Function) -> Decimal:
    low, high = -_FURTHEST, _FURTHEST
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if falling(middle) > 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _leaning(items: _Weighed, total: int, ability: Decimal) -> Decimal:
    told = _moments(items, ability)
    bias = told.bend * told.spread / (2 * told.rate**2) if told.rate else _ZERO
    return total - told.mean + bias


def _moments(items: _Weighed, ability: Decimal) -> _Moments:
    grown = ability.exp()
    mean = spread = rate = bend = _ZERO
    for item in items:
        chances = [(score, marks, weight * grown**score) for score, marks, weight in item]
        whole = sum((chance for _, _, chance in chances), _ZERO)
        score_mean = sum((score * chance for score, _, chance in chances), _ZERO) / whole
        marks_mean = sum((marks * chance for _, marks, chance in chances), _ZERO) / whole
        mean += marks_mean
        for score, marks, chance in chances:
            apart, beyond, share = score - score_mean, marks - marks_mean, chance / whole
            spread += beyond**2 * share
            rate += apart * beyond * share
            bend += apart**2 * beyond * share
    return _Moments(mean, spread, rate, bend)
