"""Conditional maximum likelihood for the partial credit model, of which the Rasch model is the case of one mark.

Given what pupils scored in all, what they scored at single items depends on the items alone: no distribution of
abilities is assumed, and groups of unequal strength put nothing awry. Source: Andersen 1973, Psychometrika 38, 123-140;
Masters 1982, Psychometrika 47, 149-174 (both from memory).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from typing import TypeAlias

from itembank.calibration.score_sums import ScoreSums

__all__ = ["DIGITS", "Estimates", "Group", "NoEstimate", "estimate", "groups"]

DIGITS = 34
_STEPS, _HALVINGS = 60, 40
_NEAR = Decimal(1).scaleb(-20)
"""Of a pupil: by so much may what is expected differ from what was scored."""
_FURTHEST = Decimal(20)
"""Logits from the mean, or of error: an item that goes further runs off to where there is no end."""
_ZERO = Decimal(0)
_Key: TypeAlias = tuple[int, int]
"""An item and one of its scores."""


class NoEstimate(Exception):
    """The results do not decide how hard an item is, such as where totals alone tell what was scored at it.

    score: the one at the item whose weight they do not decide; None where it is the item as a whole.
    """

    def __init__(self, item: int, score: int | None = None) -> None:
        super().__init__(item, score)
        self.item = item
        self.score = score


@dataclass(frozen=True, slots=True)
class Group:
    """Pupils with the same items. totals: how many scored each total; scored: (item, score, total) -> how many."""

    items: tuple[int, ...]
    totals: Mapping[int, int]
    scored: Mapping[tuple[int, int, int], int]


def groups(pupils: Sequence[Mapping[int, int]]) -> list[Group]:
    """Pupils by the items they were given. scored: (item, score, total) -> pupils."""
    by_items: dict[tuple[int, ...], list[Mapping[int, int]]] = {}
    for scores in pupils:
        by_items.setdefault(tuple(sorted(scores)), []).append(scores)
    found = []
    for items, members in sorted(by_items.items()):
        totals = Counter(sum(scores.values()) for scores in members)
        scored = Counter(
            (item, score, sum(scores.values())) for scores in members for item, score in scores.items()
        )
        found.append(Group(items, totals, scored))
    return found


@dataclass(frozen=True, slots=True)
class Estimates:
    """weights: item -> scores with the logarithms of their weights, 0 for the least. difficulties: in logits for a unit
    of score, their mean 0; errors: the standard error of each. information: of the logarithms of weights that were
    free, in the order of `free`: (item, score).
    """

    weights: Mapping[int, Mapping[int, Decimal]]
    difficulties: Mapping[int, Decimal]
    errors: Mapping[int, Decimal]
    free: tuple[_Key, ...]
    information: tuple[tuple[Decimal, ...], ...]

    def errors_of(self, slopes: Sequence[Mapping[_Key, Decimal]]) -> list[Decimal]:
        """The standard errors of figures that follow from the estimates.

        slopes: of each, how fast it grows with the logarithms of weights; what moves all items alike moves it nowhere.
        Source: the delta method, as for the errors of difficulties (common practice).
        """
        with localcontext() as context:
            context.prec = DIGITS
            rows = [[slope.get(key, _ZERO) for key in self.free] for slope in slopes]
            return _errors(rows, _solved(self.information, rows, _ZERO))


def estimate(found: Sequence[Group]) -> Estimates:
    """The estimates of items that are linked. Raises NoEstimate.

    The likelihood is concave in the logarithms of the weights: Newton's steps, halved where they would not lead up.
    """
    with localcontext() as context:
        context.prec = DIGITS
        return _Search(found).estimates()


class _Search:
    def __init__(self, found: Sequence[Group]) -> None:
        self._groups = found
        observed: Counter[_Key] = Counter()
        for group in found:
            for (item, score, _), number in group.scored.items():
                observed[item, score] += number
        self._observed = observed
        self._scores: dict[int, list[int]] = {}
        for item, score in sorted(observed):
            self._scores.setdefault(item, []).append(score)
        for item, scores in self._scores.items():
            if len(scores) < 2:
                raise NoEstimate(item)
        first = min(self._scores)
        # the scale has no zero of its own: the highest score of one item is held, and all are moved at the end
        self._free = [
            (item, score)
            for item, scores in self._scores.items()
            for score in scores[1:]
            if (item, score) != (first, self._scores[first][-1])
        ]
        self._at = {key: place for place, key in enumerate(self._free)}
        self._pupils = sum(number for group in found for number in group.totals.values())

    def estimates(self) -> Estimates:
        values = dict.fromkeys(self._free, _ZERO)
        likelihood = self._likelihood(values)
        for _ in range(_STEPS):
            slope, curve = self._derivatives(values)
            if all(abs(each) < _NEAR * self._pupils for each in slope):
                return self._told(values, curve)
            step = self._solved(curve, [slope])[0]
            for _ in range(_HALVINGS):
                moved = {key: values[key] + step[place] for key, place in self._at.items()}
                reached = self._likelihood(moved)
                if reached >= likelihood:
                    break
                step = [each / 2 for each in step]
            else:
                return self._told(values, curve)
            values, likelihood = moved, reached
        raise NoEstimate(*max(values, key=lambda key: abs(values[key])))

    def _solved(self, curve: list[list[Decimal]], sides: list[list[Decimal]]) -> list[list[Decimal]]:
        try:
            return _solved(curve, sides, _NEAR * self._pupils)
        except _Undecided as wrong:
            rarest = min(wrong.places, key=lambda place: (self._observed[self._free[place]], -place))
            raise NoEstimate(*self._free[rarest]) from None

    def _sums(self, group: Group, values: Mapping[_Key, Decimal]) -> ScoreSums:
        return ScoreSums(
            [
                [(score, values.get((item, score), _ZERO).exp()) for score in self._scores[item]]
                for item in group.items
            ]
        )

    def _likelihood(self, values: Mapping[_Key, Decimal]) -> Decimal:
        """The logarithm of the conditional likelihood."""
        total = sum((number * values.get(key, _ZERO) for key, number in self._observed.items()), _ZERO)
        for group in self._groups:
            sums = self._sums(group, values).totals
            total -= sum((number * sums[score].ln() for score, number in group.totals.items()), _ZERO)
        return total

    def _derivatives(self, values: Mapping[_Key, Decimal]) -> tuple[list[Decimal], list[list[Decimal]]]:
        """The slope of the likelihood, and how fast it falls: the information."""
        size = len(self._free)
        slope = [Decimal(self._observed[key]) for key in self._free]
        curve = [[_ZERO] * size for _ in range(size)]
        for group in self._groups:
            sums = self._sums(group, values)
            shares = sums.shares
            keys: list[tuple[int, int, int]] = [
                (self._at[item, score], place, score)
                for place, item in enumerate(group.items)
                for score in self._scores[item]
                if (item, score) in self._at
            ]
            rows = [(total, Decimal(number)) for total, number in group.totals.items()]
            by_total = {
                at: [(shares[place][total].get(score, _ZERO)) for total, _ in rows]
                for at, place, score in keys
            }
            counted = {
                at: [share * number for share, (_, number) in zip(of_key, rows, strict=True)]
                for at, of_key in by_total.items()
            }
            together = sums.together(group.totals)
            for index, (at, place, score) in enumerate(keys):
                expected = sum(counted[at], _ZERO)
                slope[at] -= expected
                curve[at][at] += expected
                for by, other, second in keys[index:]:
                    apart = sum((a * b for a, b in zip(counted[at], by_total[by], strict=True)), _ZERO)
                    both = together[place, other][score, second] if other != place else _ZERO
                    curve[at][by] += both - apart
                    if by != at:
                        curve[by][at] += both - apart
        return slope, curve

    def _told(self, values: Mapping[_Key, Decimal], curve: list[list[Decimal]]) -> Estimates:
        tops = {item: (item, scores[-1]) for item, scores in self._scores.items()}
        spans = {item: scores[-1] - scores[0] for item, scores in self._scores.items()}
        raw = {item: -values.get(top, _ZERO) / spans[item] for item, top in tops.items()}
        mean = sum(raw.values(), _ZERO) / len(raw)
        # a difficulty less the mean of all is a sum of what was estimated, with these factors
        rows = []
        for item in tops:
            row = [_ZERO] * len(self._free)
            for other, top in tops.items():
                if top in self._at:
                    row[self._at[top]] = (Decimal(1) / len(tops) - (other == item)) / spans[other]
            rows.append(row)
        errors = _errors(rows, self._solved(curve, rows))
        for item, error in zip(tops, errors, strict=True):
            if max(abs(raw[item] - mean), error) > _FURTHEST:
                raise NoEstimate(item)
        weights = {
            item: {score: values.get((item, score), _ZERO) + mean * (score - scores[0]) for score in scores}
            for item, scores in self._scores.items()
        }
        return Estimates(
            weights,
            {item: value - mean for item, value in raw.items()},
            dict(zip(tops, errors, strict=True)),
            tuple(self._free),
            tuple(map(tuple, curve)),
        )


def _errors(rows: Sequence[Sequence[Decimal]], solved: Sequence[Sequence[Decimal]]) -> list[Decimal]:
    """The roots of what rows make of a covariance. solved: what the information makes of them."""
    squares = [
        sum((a * b for a, b in zip(row, found, strict=True)), _ZERO)
        for row, found in zip(rows, solved, strict=True)
    ]
    return [max(square, _ZERO).sqrt() for square in squares]


class _Undecided(Exception):
    """places: of the unknowns that can change together without changing what is to be expected."""

    def __init__(self, places: Sequence[int]) -> None:
        super().__init__(places)
        self.places = places


def _solved(
    matrix: Sequence[Sequence[Decimal]], sides: Sequence[Sequence[Decimal]], least: Decimal
) -> list[list[Decimal]]:
    """The solutions of one system for several right-hand sides.

    The matrix is an information: no pivot is negative, so none is looked for. Raises _Undecided for one below `least`.
    """
    rows = [list(row) for row in matrix]
    right = [list(side) for side in sides]
    size = len(rows)
    for at in range(size):
        pivot = rows[at][at]
        if pivot <= least:
            raise _Undecided(_moving(rows, at))
        for below in range(at + 1, size):
            factor = rows[below][at] / pivot
            if factor:
                for place in range(at, size):
                    rows[below][place] -= factor * rows[at][place]
                for side in right:
                    side[below] -= factor * side[at]
    found = []
    for side in right:
        solution = [_ZERO] * size
        for at in reversed(range(size)):
            rest = sum((rows[at][place] * solution[place] for place in range(at + 1, size)), _ZERO)
            solution[at] = (side[at] - rest) / rows[at][at]
        found.append(solution)
    return found


def _moving(rows: Sequence[Sequence[Decimal]], at: int) -> list[int]:
    """The places that move with one whose pivot is nothing. rows: in steps above it."""
    move = {at: Decimal(1)}
    for row in reversed(range(at)):
        move[row] = -sum((rows[row][place] * by for place, by in move.items()), _ZERO) / rows[row][row]
    return [place for place, by in move.items() if abs(by) > _NEAR.sqrt()]
