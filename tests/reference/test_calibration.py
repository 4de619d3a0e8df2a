"""Calibrations found again: published difficulties, closed forms of textbooks, and sums over every way to answer.

- Bock & Lieberman 1970, the law school answers of `test_analysis.py`. Thissen 1982, Psychometrika 47, 175-186, has the
  difficulties of the Rasch model under a normal distribution of abilities; their negatives, 2.730, 0.999, 0.240, 1.307
  and 2.100, are what statistical packages print too. All from memory. Ours are conditional on totals: with a thousand
  people the two differ in the third decimal.
- Two items: the difference is ln(n10 / n01), its variance 1 / n10 + 1 / n01. Rasch 1960, Probabilistic Models for Some
  Intelligence and Attainment Tests (from memory).
- Items of one difficulty: by weighted likelihood a total r of n speaks of ln((r + 1/2) / (n - r + 1/2)). This follows
  from Warm 1989, Psychometrika 54, 427-450, where the second moment is nPQ and the third nPQ(Q - P).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from itertools import product

import pytest

from itembank.calibration.ability import Item, Scored, level_slopes, level_total, worths
from itembank.calibration.conditional import Estimates, estimate, groups
from itembank.calibration.fit import fits
from tests.reference.test_analysis import LAW_SCHOOL

PARTIAL = (
    [{0: 2, 1: 1, 2: 0}] * 3 + [{0: 1, 1: 0, 2: 1}] * 4 + [{0: 0, 1: 1, 2: 2}] * 2 + [{0: 1, 1: 1, 2: 0}] * 5
    + [{0: 0, 1: 0, 2: 2}] * 2 + [{0: 2, 1: 0}] * 3 + [{0: 0, 1: 1}] * 2 + [{1: 1, 2: 1}, {1: 0, 2: 2}, {1: 1, 2: 0}]
)  # fmt: skip
"""Scores of up to two, and pupils who were not given everything."""


def test_the_law_school_items_are_as_hard_as_published() -> None:
    found = estimate(groups([dict(enumerate(row)) for row in LAW_SCHOOL]))
    published = [-2.730, -0.999, -0.240, -1.307, -2.100]
    mean = sum(published) / 5

    assert [float(found.difficulties[item]) for item in range(5)] == pytest.approx(
        [each - mean for each in published], abs=0.01
    )
    # a thousand people tell a difficulty to about a tenth; the most extreme item least surely
    assert all(0.05 < float(each) < 0.15 for each in found.errors.values())
    assert max(found.errors, key=lambda item: found.errors[item]) == 0


@pytest.mark.parametrize(("first", "second"), [(1, 1), (3, 7), (40, 9)])
def test_two_items_have_the_textbook_difference(first: int, second: int) -> None:
    """first: how many got only the first right; second: only the second. Who got both or none tells nothing."""
    pupils = [{0: 1, 1: 0}] * first + [{0: 0, 1: 1}] * second + [{0: 1, 1: 1}] * 5 + [{0: 0, 1: 0}] * 2
    found = estimate(groups(pupils))

    assert float(found.difficulties[1] - found.difficulties[0]) == pytest.approx(
        math.log(first / second), abs=1e-12
    )
    assert float(found.errors[0]) == pytest.approx(math.sqrt(1 / first + 1 / second) / 2, abs=1e-12)


@pytest.mark.parametrize("pupils", [PARTIAL, [dict(enumerate(row)) for row in LAW_SCHOOL[::7]]])
def test_expected_and_found_scores_agree_over_every_way_to_answer(
    pupils: Sequence[Mapping[int, int]],
) -> None:
    """Where the likelihood is greatest, each score at each item is as frequent as totals let one expect."""
    found = estimate(groups(pupils))
    seen: dict[tuple[int, int], int] = {}
    expected: dict[tuple[int, int], float] = {}
    for scores in pupils:
        chances = _chances(found, scores)
        for item, score in scores.items():
            seen[item, score] = seen.get((item, score), 0) + 1
            for other in found.weights[item]:
                chance = math.fsum(p for answer, p in chances if answer[item] == other)
                expected[item, other] = expected.get((item, other), 0.0) + chance

    assert sorted(seen) == sorted(expected)
    assert [expected[key] for key in sorted(seen)] == pytest.approx(
        [seen[key] for key in sorted(seen)], abs=1e-9
    )


def test_fit_is_the_squares_over_every_way_to_answer() -> None:
    grouped = groups(PARTIAL)
    found = estimate(grouped)
    told = fits(grouped, found.weights)
    for item, fit in told.items():
        above = below = spread = 0.0
        for scores in PARTIAL:
            if item not in scores:
                continue
            chances = _chances(found, scores)
            mean = math.fsum(p * answer[item] for answer, p in chances)
            second = math.fsum(p * (answer[item] - mean) ** 2 for answer, p in chances)
            fourth = math.fsum(p * (answer[item] - mean) ** 4 for answer, p in chances)
            above, below = above + (scores[item] - mean) ** 2, below + second
            spread += fourth - second**2
        assert fit is not None
        assert float(fit.infit) == pytest.approx(above / below, abs=1e-9)
        assert float(fit.error) == pytest.approx(math.sqrt(spread) / below, abs=1e-9)


def _chances(found: Estimates, scores: Mapping[int, int]) -> list[tuple[dict[int, int], float]]:
    """Every way to come to a pupil's total, with its chance given the total."""
    items, total = list(scores), sum(scores.values())
    ways = [
        dict(zip(items, answer, strict=True))
        for answer in product(*[found.weights[item] for item in items])
        if sum(answer) == total
    ]
    weights = [math.exp(sum(float(found.weights[item][s]) for item, s in way.items())) for way in ways]
    return [(way, weight / math.fsum(weights)) for way, weight in zip(ways, weights, strict=True)]


def scored(weights: Mapping[int, Decimal], marks: Sequence[int] = (0, 1, 2)) -> Item:
    """An item by the logarithms of its weights. marks: of each score."""
    return [Scored(score, marks[score], eta) for score, eta in weights.items()]


@pytest.mark.parametrize("of_one", [1, 3])
@pytest.mark.parametrize("difficulty", [0, -2, 3])
def test_totals_on_items_of_one_difficulty_are_worth_what_warm_says(difficulty: int, of_one: int) -> None:
    """of_one: marks for an item that is right; with three, all moments of a total are those of one, times three."""
    items = [scored({0: Decimal(0), 1: Decimal(-difficulty)}, (0, of_one))] * 7
    found = worths(items, [of_one * number for number in range(8)])

    assert [float(each.ability) for each in found] == pytest.approx(
        [difficulty + math.log((r + 0.5) / (7 - r + 0.5)) for r in range(8)], abs=1e-9
    )
    shares = [(r + 0.5) / 8 for r in range(8)]
    assert [float(each.error) for each in found] == pytest.approx(
        [(7 * p * (1 - p)) ** -0.5 for p in shares], abs=1e-9
    )


def test_a_total_of_marks_that_are_no_scores_is_worth_what_its_moments_say() -> None:
    """Two marks for one right answer beside one for another: chances summed over every way, slopes by differences."""
    items = [scored({0: Decimal(0), 1: Decimal("0.7")}, (0, 2)), scored({0: Decimal(0), 1: Decimal("-0.4")})]
    items += [scored({0: Decimal(0), 1: Decimal(0), 2: Decimal("-0.5")}, (0, 2, 3))]

    def moments(ability: float) -> tuple[float, float]:
        ways = [
            (sum(each.marks for each in way), math.exp(sum(float(e.eta) + e.score * ability for e in way)))
            for way in product(*items)
        ]
        whole = math.fsum(weight for _, weight in ways)
        mean = math.fsum(marks * weight for marks, weight in ways) / whole
        return mean, math.fsum((marks - mean) ** 2 * weight for marks, weight in ways) / whole

    near = 1e-4
    for worth in worths(items, range(7)):
        at = float(worth.ability)
        (mean, spread), above, below = moments(at), moments(at + near)[0], moments(at - near)[0]
        rate, bend = (above - below) / (2 * near), (above - 2 * mean + below) / near**2
        assert worth.total == pytest.approx(mean - bend * spread / (2 * rate**2), abs=1e-5)
        assert float(worth.error) == pytest.approx(math.sqrt(spread) / rate, abs=1e-5)


def test_totals_that_say_the_same_have_one_ability() -> None:
    """On five items a logit easier than four others: P and P' with odds in the ratio e."""
    easy = [scored({0: Decimal(0), 1: Decimal(1)})] * 5
    hard = [scored({0: Decimal(0), 1: Decimal(0)})] * 4
    told = [float(level_total(easy, total, hard)) for total in range(6)]

    def on_hard(total: int) -> float:
        odds = Fraction(total, 5 - total) if total < 5 else None
        return 4.0 if odds is None else 4 * float(odds) / (float(odds) + math.e)

    assert told == pytest.approx([on_hard(total) for total in range(6)], abs=1e-9)


FORMS = (
    [{0: 2, 1: 1, 2: 0}] * 3 + [{0: 1, 1: 0, 2: 1}] * 4 + [{0: 0, 1: 1, 2: 2}] * 2 + [{0: 1, 1: 1, 2: 0}] * 5
    + [{0: 0, 1: 0, 2: 2}] * 2 + [{2: 2, 3: 0, 4: 1}] * 3 + [{2: 1, 3: 1, 4: 0}] * 4 + [{2: 0, 3: 1, 4: 1}] * 2
    + [{2: 0, 3: 0, 4: 2}] * 3 + [{2: 2, 3: 1, 4: 0}] * 2
)  # fmt: skip
"""Two forms of three items, of which they share one."""


@pytest.mark.parametrize("marks", [(0, 1, 2), (0, 2, 3)])
@pytest.mark.parametrize("total", [1, 2, 3, 4])
def test_the_error_of_totals_that_say_the_same_follows_from_every_way_to_answer(
    total: int, marks: Sequence[int]
) -> None:
    """The delta method by another way: slopes by differences, information as the covariance over all answers."""
    found = estimate(groups(FORMS))
    first, second = ({item: found.weights[item] for item in items} for items in ((0, 1, 2), (2, 3, 4)))
    slopes = level_slopes(
        {item: scored(weights, marks) for item, weights in first.items()},
        total,
        {item: scored(weights, marks) for item, weights in second.items()},
    )

    def moved(key: tuple[int, int], by: Decimal) -> Decimal:
        forms = [
            [
                scored({s: eta + by * ((item, s) == key) for s, eta in weights.items()}, marks)
                for item, weights in form.items()
            ]
            for form in (first, second)
        ]
        return level_total(forms[0], total, forms[1])

    near = Decimal("0.0001")
    keys = sorted({(item, s) for form in (first, second) for item, weights in form.items() for s in weights})
    by_differences = {key: float((moved(key, near) - moved(key, -near)) / (2 * near)) for key in keys}
    assert {key: float(slopes[key]) for key in keys} == pytest.approx(by_differences, abs=1e-6)

    free = found.free
    information = [[0.0] * len(free) for _ in free]
    for scores in FORMS:
        chances = _chances(found, scores)
        means = [math.fsum(p * (way.get(item) == s) for way, p in chances) for item, s in free]
        for at, (item, s) in enumerate(free):
            for by, (other, t) in enumerate(free):
                both = math.fsum(p * (way.get(item) == s and way.get(other) == t) for way, p in chances)
                information[at][by] += both - means[at] * means[by]
    slope = [by_differences[key] for key in free]
    solved = _gauss(information, slope)
    variance = math.fsum(a * b for a, b in zip(slope, solved, strict=True))

    assert float(found.errors_of([slopes])[0]) == pytest.approx(math.sqrt(variance), abs=1e-5)
    assert 0.1 < math.sqrt(variance) < 1.5


def _gauss(matrix: Sequence[Sequence[float]], side: Sequence[float]) -> list[float]:
    rows = [[*row, value] for row, value in zip(matrix, side, strict=True)]
    for at in range(len(rows)):
        pivot = max(range(at, len(rows)), key=lambda row: abs(rows[row][at]))
        rows[at], rows[pivot] = rows[pivot], rows[at]
        rows[at] = [value / rows[at][at] for value in rows[at]]
        for other in range(len(rows)):
            if other != at:
                factor = rows[other][at]
                rows[other] = [a - factor * b for a, b in zip(rows[other], rows[at], strict=True)]
    return [row[-1] for row in rows]


def test_a_form_is_level_with_itself_without_any_error() -> None:
    found = estimate(groups(FORMS))
    form = {item: scored(found.weights[item]) for item in (0, 1, 2)}

    assert [0.0] == pytest.approx([float(each) for each in found.errors_of([level_slopes(form, 2, form)])])
    assert {} == level_slopes(form, 0, form)
