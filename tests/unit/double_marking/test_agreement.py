"""How far two markers agree: published figures, the definitions by another road, and what each line rests on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from itembank.analysis.exact import CannotTell, Root, rounded
from itembank.analysis.keys import Question
from itembank.double_marking.agreement import Agreement, Marker, agreement, sign_test, weighted_kappa

MARKS = st.integers(0, 4).map(Fraction)
PAIRS = st.lists(st.tuples(MARKS, MARKS), min_size=2, max_size=40)


def question(code: str, maximum: int, kind: str = "written") -> Question:
    return Question(code, "", "steps", "Steps", maximum, kind)


def marker(name: str, marks: dict[str, dict[int, int]]) -> Marker:
    exact = {
        pupil: {place: Fraction(mark) for place, mark in given.items()} for pupil, given in marks.items()
    }
    return Marker(name, exact, {pupil: pupil for pupil in marks})


def of_totals(first: Sequence[int], second: Sequence[int], maximum: int, **asked: int) -> Agreement:
    """Two markers of one question."""
    sheets = [{f"pupil {at:02}": {0: mark} for at, mark in enumerate(marks)} for marks in (first, second)]
    found = agreement(
        [question("Q", maximum)],
        marker("Ash", sheets[0]),
        marker("Bay", sheets[1]),
        pass_mark=asked.get("at"),
    )
    assert found is not None
    return found


# published figures


def test_the_limits_of_agreement_of_bland_and_altman() -> None:
    """Bland & Altman, The Lancet 327 (1986), 307-310: first readings by a large and a mini meter, 17 subjects; mean
    difference -2.1, standard deviation 38.8, correlation 0.94, standard errors 9.4 of the mean and 16.3 of either
    limit (from memory, the differences large less mini).
    """
    large = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427]
    mini = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451]
    found = of_totals(mini, large, 700)

    assert isinstance(found.deviation, Root)
    assert isinstance(found.correlation, Root)
    assert (str(rounded(found.shift, 1)), str(rounded(found.deviation, 1))) == ("-2.1", "38.8")
    assert str(rounded(found.correlation, 2)) == "0.94"
    assert isinstance(found.error, Root)
    assert found.error.square * 2 == found.deviation.square
    assert isinstance(found.shift_error, Root)
    assert isinstance(found.limits_error, Root)
    assert (str(rounded(found.shift_error, 1)), str(rounded(found.limits_error, 1))) == ("9.4", "16.3")


@pytest.mark.parametrize(
    ("cells", "kappa"),
    [
        # Two readers of fifty proposals, in many introductions to kappa (from memory): 0.4.
        ({(1, 1): 20, (1, 0): 5, (0, 1): 10, (0, 0): 15}, Fraction(2, 5)),
        # The two tables that show how kappa depends on the margins (from memory): 0.13 and 0.26.
        ({(1, 1): 45, (1, 0): 15, (0, 1): 25, (0, 0): 15}, Fraction(3, 23)),
        ({(1, 1): 25, (1, 0): 35, (0, 1): 5, (0, 0): 35}, Fraction(7, 27)),
    ],
)
def test_kappa_of_right_and_wrong(cells: dict[tuple[int, int], int], kappa: Fraction) -> None:
    pairs = [(Fraction(one), Fraction(other)) for (one, other), times in cells.items() for _ in range(times)]

    assert weighted_kappa(pairs) == kappa


@pytest.mark.parametrize(
    ("fewer", "more", "chance"),
    [(0, 5, "0.0625"), (1, 9, "0.0215"), (2, 10, "0.0386"), (5, 15, "0.0414"), (4, 4, "1.0000")],
)
def test_the_sign_test(fewer: int, more: int, chance: str) -> None:
    """Twice the one-sided chances of Siegel, Nonparametric Statistics (1956), table D (from memory)."""
    assert str(rounded(sign_test(fewer, more), 4)) == str(rounded(sign_test(more, fewer), 4)) == chance


# definitions by another road


@given(PAIRS)
def test_kappa_is_that_of_the_table_of_both_marks(pairs: list[tuple[Fraction, Fraction]]) -> None:
    """From the cells of the table, weight by weight (Cohen 1968), not from means."""
    number = len(pairs)
    cells, firsts, seconds = Counter(pairs), Counter(p[0] for p in pairs), Counter(p[1] for p in pairs)
    seen = sum(Fraction(times, number) * (one - other) ** 2 for (one, other), times in cells.items())
    expected = sum(
        Fraction(firsts[one] * seconds[other], number**2) * (one - other) ** 2
        for one, other in product(firsts, seconds)
    )
    found = weighted_kappa(pairs)

    if expected == 0:
        assert isinstance(found, CannotTell)
    else:
        assert found == 1 - seen / expected


@given(PAIRS)
def test_kappa_is_the_same_from_either_side_and_at_most_1(pairs: list[tuple[Fraction, Fraction]]) -> None:
    found = weighted_kappa(pairs)

    assert found == weighted_kappa([(other, one) for one, other in pairs])
    if isinstance(found, Fraction):
        assert -1 <= found <= 1
        assert (found == 1) == all(one == other for one, other in pairs)


@given(st.integers(0, 12), st.integers(0, 12))
def test_the_sign_test_counts_splits(lower: int, higher: int) -> None:
    number = lower + higher
    splits = [sum(way) for way in product((0, 1), repeat=number)] if number <= 10 else []
    if splits:
        as_uneven = sum(min(each, number - each) <= min(lower, higher) for each in splits)
        assert sign_test(lower, higher) == Fraction(as_uneven, len(splits))


# what is compared


def test_only_what_both_marked_is_compared() -> None:
    questions = [question("A", 4), question("B", 2)]
    first = marker("Ash", {"ada": {0: 3, 1: 2}, "ben": {0: 1}, "cy": {1: 1}, "dee": {}})
    second = marker("Bay", {"ada": {0: 2}, "ben": {0: 1, 1: 2}, "eva": {0: 4}})
    found = agreement(questions, first, second)

    assert found is not None
    assert [(s.pupil, s.first, s.second, s.most, s.differing) for s in found.scripts] == [
        ("ada", 3, 2, 4, ("A",)),
        ("ben", 1, 1, 4, ()),
    ]
    assert (found.alone, found.compared, found.same) == ((1, 1), 2, 1)
    assert [each.question.code for each in found.questions] == ["A"]
    assert found.questions[0].differing == ("ada",)
    assert isinstance(found.correlation, CannotTell)


def test_markers_with_nothing_in_common() -> None:
    assert (
        agreement([question("A", 4)], marker("Ash", {"ada": {0: 1}}), marker("Bay", {"ben": {0: 1}})) is None
    )


@pytest.mark.parametrize(("maximum", "within", "far"), [(4, 1, [5]), (39, 1, [5]), (40, 2, []), (60, 3, [])])
def test_totals_may_differ_by_one_in_twenty_and_by_one(maximum: int, within: int, far: list[int]) -> None:
    first = [1, 1, 1, 1, 1, 1]
    second = [1, 1, 0, 2, 1, 3]
    found = of_totals(first, second, maximum)

    assert found.within == within
    assert [int(script.pupil[-1]) for script in found.far] == far


def test_a_marker_who_is_harder_stands_out_and_one_who_differs_either_way_does_not() -> None:
    questions = [question("hard", 4), question("either", 4)]
    pupils = [f"pupil {at:02}" for at in range(12)]
    first = marker("Ash", {pupil: {0: 3, 1: 2} for pupil in pupils})
    second = marker("Bay", {pupil: {0: 2, 1: 1 + 2 * (at % 2)} for at, pupil in enumerate(pupils)})
    found = agreement(questions, first, second)

    assert found is not None
    hard, either = found.questions
    assert (hard.lower, hard.higher, hard.stands_out, hard.shift) == (12, 0, True, -1)
    assert (either.lower, either.higher, either.stands_out, either.shift) == (6, 6, False, 0)
    assert either.is_doubtful


def test_among_many_questions_an_uneven_split_must_be_rarer() -> None:
    """Six to nothing is 1 in 32: told of a question alone, not of one among twenty."""
    pupils = [f"pupil {at}" for at in range(6)]
    for number, stands_out in ((1, True), (20, False)):
        questions = [question(f"Q{at}", 4) for at in range(number)]
        first = marker("Ash", {pupil: dict.fromkeys(range(number), 2) for pupil in pupils})
        second = marker("Bay", {pupil: {at: 1 if at == 0 else 2 for at in range(number)} for pupil in pupils})
        found = agreement(questions, first, second)

        assert found is not None
        assert found.questions[0].stands_out is stands_out


@pytest.mark.parametrize(("kind", "is_a_slip"), [("choice", True), ("match", True), ("written", False)])
def test_where_the_key_decides_one_of_two_marks_is_a_slip(kind: str, is_a_slip: bool) -> None:
    found = agreement(
        [question("A", 1, kind)], marker("Ash", {"ada": {0: 1}}), marker("Bay", {"ada": {0: 0}})
    )

    assert found is not None
    assert found.questions[0].is_a_slip is is_a_slip


def test_who_passes_by_one_marker_alone() -> None:
    found = of_totals([1, 2, 3, 4], [1, 3, 2, 4], 4, at=3)

    assert found.decisions is not None
    made = found.decisions
    assert (made.both, made.neither, made.first, made.second) == (1, 1, 1, 1)
    assert made.differing == ("pupil 01", "pupil 02")


def test_a_script_of_which_less_is_compared_does_not_pass_or_fail() -> None:
    questions = [question("A", 2), question("B", 2)]
    first = marker("Ash", {"ada": {0: 2, 1: 2}, "ben": {0: 2}})
    second = marker("Bay", {"ada": {0: 2, 1: 1}, "ben": {0: 2}})
    found = agreement(questions, first, second, pass_mark=4)

    assert found is not None
    assert found.decisions is not None
    assert (found.decisions.scripts, found.decisions.neither, found.decisions.first) == (1, 0, 1)
