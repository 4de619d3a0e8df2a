"""How well an item keeps to the model: what pupils scored against what their totals let one expect."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal, localcontext
from typing import NamedTuple

from itembank.calibration.conditional import DIGITS, Group
from itembank.calibration.score_sums import ScoreSums

__all__ = ["Fit", "fits"]

_ZERO = Decimal(0)


class Fit(NamedTuple):
    """1 is as expected. error: how far it strays from 1 by chance (its standard error where the model holds)."""

    infit: Decimal
    error: Decimal


def fits(found: Sequence[Group], weights: Mapping[int, Mapping[int, Decimal]]) -> dict[int, Fit | None]:
    """Item -> the squared distances of scores from the expected ones, by what the model lets one expect of them.

    Above 1, pupils who should know slip and those who should not do not; below, the item tells them apart more sharply
    than the others do. All expectations are those given the pupil's total, so that no ability is estimated. None where
    no total leaves the score open. weights: logarithms, as `Estimates` has them.
    Source: Wright & Masters 1982, Rating Scale Analysis; given totals: Christensen & Kreiner 2013 (from memory).
    """
    with localcontext() as context:
        context.prec = DIGITS
        above: dict[int, Decimal] = dict.fromkeys(weights, _ZERO)
        below: dict[int, Decimal] = dict.fromkeys(weights, _ZERO)
        spread: dict[int, Decimal] = dict.fromkeys(weights, _ZERO)
        for group in found:
            sums = ScoreSums([[(s, eta.exp()) for s, eta in weights[item].items()] for item in group.items])
            place = {item: at for at, item in enumerate(group.items)}
            for (item, score, total), number in group.scored.items():
                shares = sums.shares[place[item]][total]
                mean = sum((s * share for s, share in shares.items()), _ZERO)
                second = sum(((s - mean) ** 2 * share for s, share in shares.items()), _ZERO)
                fourth = sum(((s - mean) ** 4 * share for s, share in shares.items()), _ZERO)
                above[item] += number * (score - mean) ** 2
                below[item] += number * second
                spread[item] += number * (fourth - second**2)
        return {
            item: Fit(above[item] / below[item], abs(spread[item]).sqrt() / below[item])
            if below[item]
            else None
            for item in weights
        }
