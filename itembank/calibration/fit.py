"""How well an item keeps to the model: what pupils scored against what their totals let one expect."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal, localcontext
from typing import NamedTuple

from itembank.calibration.conditional import DIGITS, Group
from itembank.calibration.score_sums import ScoreSums

__all__ = ["Fit", "Residuals", "fits", "residuals"]

_ZERO = Decimal(0)


class Fit(NamedTuple):
    """1 is as expected. error: how far it strays from 1 by chance (its standard error where the model holds)."""

    infit: Decimal
    error: Decimal


class Residuals(NamedTuple):
    """Sums over pupils: of what they scored beyond the expected, of its square, and of what is to be expected of that
    square and of its variance."""

    beyond: Decimal
    squares: Decimal
    second: Decimal
    spread: Decimal


def fits(found: Sequence[Group], weights: Mapping[int, Mapping[int, Decimal]]) -> dict[int, Fit | None]:
    """Item -> the squared distances of scores from the expected ones, by what the model lets one expect of them.

    Above 1, pupils who should know slip and those who should not do not; below, the item tells them apart more sharply
    than the others do. All expectations are those given the pupil's total, so that no ability is estimated. None where
    no total leaves the score open. weights: logarithms, as `Estimates` has them.
    Source: Wright & Masters 1982, Rating Scale Analysis; given totals: Christensen & Kreiner 2013 (from memory).
    """
    with localcontext() as context:
        context.prec = DIGITS
        found_of = residuals(found, weights)
        return {
            item: Fit(each.squares / each.second, abs(each.spread).sqrt() / each.second)
            if each.second
            else None
            for item, each in found_of.items()
        }


def residuals(found: Sequence[Group], weights: Mapping[int, Mapping[int, Decimal]]) -> dict[int, Residuals]:
    """Item -> how far the scores of some pupils were from what their totals let one expect. weights: as `fits`."""
    sums_of: dict[int, list[Decimal]] = {item: [_ZERO] * 4 for item in weights}
    with localcontext() as context:
        context.prec = DIGITS
        for group in found:
            sums = ScoreSums([[(s, eta.exp()) for s, eta in weights[item].items()] for item in group.items])
            place = {item: at for at, item in enumerate(group.items)}
            for (item, score, total), number in group.scored.items():
                shares = sums.shares[place[item]][total]
                mean = sum((s * share for s, share in shares.items()), _ZERO)
                second = sum(((s - mean) ** 2 * share for s, share in shares.items()), _ZERO)
                fourth = sum(((s - mean) ** 4 * share for s, share in shares.items()), _ZERO)
                told = (score - mean, (score - mean) ** 2, second, fourth - second**2)
                of_item = sums_of[item]
                for at, value in enumerate(told):
                    of_item[at] += number * value
        return {item: Residuals(*of_item) for item, of_item in sums_of.items()}
