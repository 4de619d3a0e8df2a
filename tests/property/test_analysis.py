"""Laws of the figures: bounds, invariance under order, and agreement with general-purpose references."""

from __future__ import annotations

import statistics
import sys
from decimal import Decimal
from fractions import Fraction
from random import Random

import numpy
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.analysis.analysis import analyse
from itembank.analysis.exact import CannotTell, Root, correlation, ranks, rounded, variance
from itembank.analysis.keys import Offered
from itembank.analysis.reliability import alpha
from itembank.analysis.report_data import as_data
from itembank.analysis.responses import Results
from itembank.analysis.together import Marks, correlated, pairs
from tests.analysis_samples import chosen_results, question, results_of

MAXIMA = [1, 2, 3, 1, 4]
CLASSES = st.lists(
    st.tuples(*(st.fractions(0, most, max_denominator=4) for most in MAXIMA)).map(list),
    min_size=1,
    max_size=40,
)
BINARY = st.lists(st.lists(st.integers(0, 1), min_size=4, max_size=4), min_size=2, max_size=30)
HOLED = st.lists(
    st.tuples(*(st.none() | st.fractions(0, most, max_denominator=2) for most in MAXIMA)).map(list),
    min_size=1,
    max_size=60,
)
"""Classes in which not everybody was given everything."""
NUMBERS = st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), min_size=3, max_size=30)


@settings(max_examples=40)
@given(CLASSES)
def test_figures_keep_within_their_bounds(rows: list[list[Fraction]]) -> None:
    found = analyse(results_of(rows, MAXIMA))

    for each in found.questions:
        assert isinstance(each.facility, Fraction)
        assert 0 <= each.facility <= 1
        if isinstance(each.discrimination, Root):
            assert each.discrimination.square <= 1
        if isinstance(each.upper_lower, Fraction):
            assert -1 <= each.upper_lower <= 1
    if isinstance(found.whole.alpha, Fraction):
        assert found.whole.alpha <= 1
    assert len(rows) == sum(found.whole.bands) + found.results.absent


@settings(max_examples=40)
@given(CLASSES, st.randoms(use_true_random=False))
def test_the_order_of_pupils_changes_nothing(rows: list[list[Fraction]], draw: Random) -> None:
    shuffled = list(rows)
    draw.shuffle(shuffled)

    assert as_data(analyse(results_of(rows, MAXIMA)), "") == as_data(
        analyse(results_of(shuffled, MAXIMA)), ""
    )


@given(BINARY)
def test_alpha_is_what_a_reference_finds_and_of_ones_and_noughts_the_formula_20(
    rows: list[list[int]],
) -> None:
    found = alpha([[Fraction(mark) for mark in row] for row in rows])
    marks = numpy.array(rows, dtype=float)
    spread = marks.sum(axis=1).var(ddof=1)
    if spread == 0:
        assert isinstance(found, CannotTell)
        return
    share = marks.mean(axis=0)
    by_reference = 4 / 3 * (1 - marks.var(axis=0, ddof=1).sum() / spread)
    formula_20 = 4 / 3 * (1 - (share * (1 - share)).sum() / marks.sum(axis=1).var())

    assert isinstance(found, Fraction)
    assert float(found) == pytest.approx(by_reference)
    assert float(found) == pytest.approx(formula_20)


@given(NUMBERS)
def test_correlations_and_variances_are_what_references_find(pairs: list[tuple[int, int]]) -> None:
    first, second = ([Fraction(pair[at]) for pair in pairs] for at in (0, 1))
    found = correlation(first, second)
    spread = variance(first)

    assert isinstance(spread, Fraction)
    assert float(spread) == pytest.approx(statistics.variance([pair[0] for pair in pairs]))
    if len(set(first)) == 1 or len(set(second)) == 1:
        assert isinstance(found, CannotTell)
    else:
        assert isinstance(found, Root)
        by_reference = numpy.corrcoef([pair[0] for pair in pairs], [pair[1] for pair in pairs])[0, 1]
        assert float(rounded(found, 9)) == pytest.approx(by_reference, abs=1e-8)
        by_ranks = correlation(ranks(first), ranks(second))
        assert isinstance(by_ranks, Root)
        sides = [numpy.array([pair[at] for pair in pairs]) for at in (0, 1)]
        middle = [((side[:, None] > side).sum(1) + (side[:, None] >= side).sum(1) + 1) / 2 for side in sides]
        reference = numpy.corrcoef(*middle)[0, 1]
        assert float(rounded(by_ranks, 9)) == pytest.approx(reference, abs=1e-8)


@given(st.fractions(), st.integers(0, 6))
def test_rounding_is_to_the_nearest(value: Fraction, places: int) -> None:
    found = rounded(value, places)

    assert abs(Fraction(found) - value) <= Fraction(1, 2 * 10**places)
    assert -places == found.as_tuple().exponent


@given(st.fractions(min_value=0), st.integers(0, 6))
def test_a_root_is_rounded_to_the_nearest(square: Fraction, places: int) -> None:
    found = Fraction(rounded(Root(square), places))
    half = Fraction(1, 2 * 10**places)

    assert (found + half) ** 2 >= square
    assert found < half or (found - half) ** 2 <= square
    assert Decimal(str(rounded(Root(square, True), places))) == -rounded(Root(square), places)


OPTIONS = tuple(
    Offered(name, f"x = {at}", is_right=name == "A", slip=f"slip-{at}" if at else "", teacher="Reteach.")
    for at, name in enumerate("ABCD")
)


@given(
    st.lists(
        st.tuples(st.sampled_from("ABCD"), st.lists(st.integers(0, 1), min_size=3, max_size=3)), min_size=1
    ),
    st.permutations(OPTIONS),
)
def test_the_order_of_options_changes_nothing(
    choices: list[tuple[str, list[int]]], shuffled: list[Offered]
) -> None:
    def told(options: tuple[Offered, ...]) -> dict[str, object]:
        asked = [question(0, 1, options, "choice")]
        results: Results = chosen_results([[name] for name, _ in choices], asked, [row for _, row in choices])
        data = as_data(analyse(results), "")
        for each in data["answers"]:
            each["chosen"].sort(key=lambda row: row["answer"])
        data["findings"] = [f for f in data["findings"] if f["rule"] != "unused-distractor"]
        return data

    assert told(OPTIONS) == told(tuple(shuffled))


@settings(max_examples=60)
@given(HOLED, st.integers(1, 20))
def test_pairs_by_bits_correlate_as_pairs_one_by_one(rows: list[list[Fraction | None]], fewest: int) -> None:
    columns = [
        {pupil: mark for pupil, row in enumerate(rows) if (mark := row[place]) is not None}
        for place in range(len(MAXIMA))
    ]
    marks = [Marks.of(column) for column in columns]
    both = {
        (one, other): sorted(columns[one].keys() & columns[other].keys())
        for one in range(len(columns))
        for other in range(one + 1, len(columns))
    }

    assert [pair for pair, pupils in both.items() if len(pupils) >= fewest] == list(pairs(marks, fewest))
    for (one, other), pupils in both.items():
        expected = correlation([columns[one][n] for n in pupils], [columns[other][n] for n in pupils])
        assert expected == correlated(marks[one], marks[other])


@settings(max_examples=40)
@given(HOLED)
def test_what_was_not_given_enters_no_figure(rows: list[list[Fraction | None]]) -> None:
    """Facility and discrimination by numpy, of each question from those who had it."""
    taking = [row for row in rows if any(mark is not None for mark in row)]
    if not taking:
        return
    found = analyse(results_of(rows, MAXIMA))

    for figures in found.questions:
        place = int(figures.name.removeprefix("ITEM"))
        mine = [row for row in taking if row[place] is not None]
        assert len(mine) == figures.taken
        assert len(taking) - len(mine) == figures.not_given
        marks = [float(row[place] or 0) for row in mine]
        assert isinstance(figures.facility, Fraction)
        assert numpy.isclose(numpy.mean(marks) / MAXIMA[place], float(figures.facility))
        pairs_of = []
        for mark, row in zip(marks, mine, strict=True):
            others = [at for at, other in enumerate(row) if other is not None and at != place]
            if others:
                earned = sum(float(row[at] or 0) for at in others)
                pairs_of.append((mark, earned / sum(MAXIMA[at] for at in others)))
        if isinstance(figures.discrimination, Root):
            r = float(rounded(figures.discrimination, 12))
            assert numpy.isclose(numpy.corrcoef(numpy.transpose(pairs_of))[0, 1], r, atol=1e-9)


def _steps(questions: int) -> int:
    """How many functions are called to analyse forms of five questions each, ten pupils to a form."""
    draw = Random(5)
    rows: list[list[int | None]] = []
    for pupil in range(2 * questions):
        row: list[int | None] = [None] * questions
        first = 5 * (pupil // 10)
        row[first : first + 5] = [draw.randint(0, 1) for _ in range(5)]
        rows.append(row)
    results = results_of(rows)
    steps = 0

    def count(*_: object) -> None:
        nonlocal steps
        steps += 1

    sys.setprofile(count)
    try:
        analyse(results)
    finally:
        sys.setprofile(None)
    return steps


def test_the_work_grows_with_answers_and_not_with_pupils_times_questions() -> None:
    """Four times the questions and pupils, each with five of them: four times the work, not sixteen times."""
    assert _steps(400) < 6 * _steps(100)
