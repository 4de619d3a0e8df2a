"""What marks are worth: the ability that a total on a form speaks of, and totals on two forms that say the same."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from functools import partial
from typing import Final, TypeAlias

from itembank.calibration.conditional import DIGITS

__all__ = ["Worth", "level_slopes", "level_total", "worths"]

_FURTHEST: Final = Decimal(30)
_HALVINGS: Final = 40
"""Of the interval from -30 to 30: the last is far below a millionth."""
_ZERO: Final = Decimal(0)
_Function: TypeAlias = Callable[[Decimal], Decimal]
Items: TypeAlias = Sequence[Mapping[int, Decimal]]
"""Of each item its scores with the logarithms of their weights."""
_Weighed: TypeAlias = Sequence[Sequence[tuple[int, Decimal]]]
"""The same with the weights themselves."""


@dataclass(frozen=True, slots=True)
class Worth:
    """An ability in logits with its standard error, for a total."""

    total: int
    ability: Decimal
    error: Decimal


def worths(items: Items, totals: Sequence[int]) -> list[Worth]:
    """The ability each total speaks of, by weighted likelihood, which has one for full and for no marks too.

    items: of the form; totals: in units of score, as the weights. Source: Warm 1989, Psychometrika 54, 427-450 (from
    memory): where the total, with half of the third moment by the second, is what is expected.
    """
    with localcontext() as context:
        context.prec = DIGITS
        weighed = _weighed(items)
        found = []
        for total in totals:
            ability = _where_zero(partial(_leaning, weighed, total))
            spread = _moments(weighed, ability)[1]
            found.append(Worth(total, ability, 1 / spread.sqrt()))
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
        ability = _where_zero(lambda at: total - _moments(weighed, at)[0])
        return _moments(_weighed(others), ability)[0]


def level_slopes(
    items: Mapping[int, Mapping[int, Decimal]], total: int, others: Mapping[int, Mapping[int, Decimal]]
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
        ability = _where_zero(lambda at: total - _moments(own, at)[0])
        rate = _moments(other, ability)[1] / _moments(own, ability)[1]
        slopes: dict[tuple[int, int], Decimal] = {}
        for form, factor in ((items, -rate), (others, Decimal(1))):
            for number, weighed in zip(form, _weighed(list(form.values())), strict=True):
                chances = [(score, weight * (score * ability).exp()) for score, weight in weighed]
                whole = sum((chance for _, chance in chances), _ZERO)
                mean = sum((score * chance for score, chance in chances), _ZERO) / whole
                for score, chance in chances:
                    key = number, score
                    slopes[key] = slopes.get(key, _ZERO) + factor * (score - mean) * chance / whole
        return slopes


def _ends(items: Items) -> tuple[int, int]:
    return sum(min(item) for item in items), sum(max(item) for item in items)


def _weighed(items: Items) -> _Weighed:
    return [[(score, eta.exp()) for score, eta in item.items()] for item in items]


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
    mean, second, third = _moments(items, ability)
    return total - mean + (third / (2 * second) if second else _ZERO)


def _moments(items: _Weighed, ability: Decimal) -> tuple[Decimal, Decimal, Decimal]:
    """Mean, and second and third moment about it, of the total of a pupil of an ability."""
    grown = ability.exp()
    mean = second = third = _ZERO
    for item in items:
        chances = [(score, weight * grown**score) for score, weight in item]
        whole = sum((chance for _, chance in chances), _ZERO)
        middle = sum((score * chance for score, chance in chances), _ZERO) / whole
        squares = [(score - middle, (score - middle) ** 2 * chance) for score, chance in chances]
        mean += middle
        second += sum((square for _, square in squares), _ZERO) / whole
        third += sum((apart * square for apart, square in squares), _ZERO) / whole
    return mean, second, third
