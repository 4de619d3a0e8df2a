"""Forms side by side in one table: told where nobody answered questions of both, and never of what was left out."""

from __future__ import annotations

from random import Random

import pytest

from itembank.analysis.apart import may_be_forms
from itembank.analysis.mark_sheet import read_mark_sheet
from itembank.analysis.orders import Orders
from itembank.analysis.responses import Record, combine
from itembank.analysis.tables import read_table
from tests.analysis_samples import keys_of

QUESTIONS = 9


def records(lines: list[list[str]]) -> list[Record]:
    """Of a mark sheet with these cells."""
    head = ",".join(["pupil", *(f"ITEM{number:02}" for number in range(QUESTIONS))])
    rows = [",".join([f"pupil {number}", *cells]) for number, cells in enumerate(lines)]
    table = read_table("m.csv", "\n".join([head, *rows, ""]).encode(), ("pupil",))
    return read_mark_sheet(table, keys_of([1] * QUESTIONS), Orders())[0]


def side_by_side(pupils: int, apart: int, empty: str = "") -> list[list[str]]:
    """The last questions are two forms of so many; pupils had one or the other, the rest is everybody's."""
    shared = ["1"] * (QUESTIONS - 2 * apart)
    first, second = ["1"] * apart, [empty] * apart
    return [[*shared, *first, *second] if n % 2 else [*shared, *second, *first] for n in range(2 * pupils)]


def test_forms_side_by_side_are_told_with_what_would_be_right() -> None:
    (told,) = may_be_forms(records(side_by_side(5, 3)))

    assert "may-be-forms" == told.code
    assert "5 pupils answered some of 3 questions and none of 3 others, 5 the other way round" in told.message
    assert "n/a" in told.hint
    assert told.span is not None
    assert ("m.csv", 2) == (told.span.path, told.span.line)


@pytest.mark.parametrize(("pupils", "apart"), [(4, 3), (5, 2)])
def test_of_few_pupils_or_questions_nothing_is_told(pupils: int, apart: int) -> None:
    assert [] == may_be_forms(records(side_by_side(pupils, apart)))


def test_once_it_is_written_that_they_were_not_given_they_count_for_nobody() -> None:
    found = records(side_by_side(5, 3, empty="n/a"))

    assert [] == may_be_forms(found)
    results = combine(keys_of([1] * QUESTIONS), found)
    assert {6} == {len(sitting.answers) for sitting in results.sittings}
    assert {6} == {sitting.most for sitting in results.sittings}


@pytest.mark.parametrize("left_out", [0.2, 0.4, 0.5])
def test_what_many_left_out_is_no_form(left_out: float) -> None:
    for seed in range(40):
        draw = Random(seed)
        lines = [
            ["" if draw.random() < left_out else str(draw.randint(0, 1)) for _ in range(QUESTIONS)]
            for _ in range(30)
        ]
        assert [] == may_be_forms(records(lines))


@pytest.mark.parametrize(("pupils", "is_told"), [(4, False), (6, True)])
def test_of_many_forms_with_a_pupil_or_two_each_it_is_told_that_most_is_empty(
    pupils: int, is_told: bool
) -> None:
    lines = [["1" if at // 2 == number % 4 else "" for at in range(QUESTIONS)] for number in range(pupils)]

    told = may_be_forms(records(lines))

    assert is_told is bool(told)
    assert all(
        f"{pupils} of {pupils} pupils have nothing in more than two thirds" in each.message for each in told
    )


def test_who_stopped_early_had_no_other_form() -> None:
    lines = [["1"] * reached + [""] * (QUESTIONS - reached) for reached in (3, 6, 9) for _ in range(8)]

    assert [] == may_be_forms(records(lines))
