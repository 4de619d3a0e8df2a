"""A boundary beside the one below it, from a small test that can be worked out by hand."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from itembank.analysis.rendering import as_text
from itembank.standard_setting.angoff import Panel
from itembank.standard_setting.hofstee import Acceptable
from itembank.standard_setting.pass_mark import Judgements, PassMark, Setting, pass_mark
from itembank.standard_setting.report import report
from itembank.standard_setting.report_data import as_data
from tests.analysis_samples import Row, keys_of, results_of

MAXIMA = (1, 2, 4)
SETTING = Setting("Evening algebra", keys_of(MAXIMA).questions, "merit")
ROWS: list[Row] = [(0, 0, 1), (1, 0, 1), (1, 1, 1), (0, 2, 2), (1, 1, 3), (1, 2, 3), (1, 2, 4), (0, 1, 0)]
"""Totals 1, 2, 3, 4, 5, 6, 7 and 1: 29 in all, 3.625 in the mean."""


def panel(*ratings: Sequence[str]) -> Panel:
    """The ratings of Ms Ash, Mr Birch ... of the three questions."""
    judges = ("Ms Ash", "Mr Birch", "Mx Cole")[: len(ratings)]
    return Panel(SETTING.questions, judges, (tuple(tuple(map(Fraction, row)) for row in ratings),))


PASS = panel(("0.5", "1", "1"), ("0.7", "1", "1.4"))
"""2.5 and 3.1 marks: 2.8, so from 3 marks on."""
MERIT = panel(("0.8", "1.5", "3"), ("0.9", "1.8", "2.7"))
"""5.3 and 5.4 marks: 5.35, so from 6 marks on."""


def found(upper: Judgements, lower: Judgements, *, sat: bool = True) -> PassMark:
    return pass_mark(SETTING, upper, results_of(ROWS, MAXIMA) if sat else None, lower)


def in_words(told: PassMark) -> str:
    return "\n".join(as_text(report(told)))


def test_marks_in_order_are_told_with_the_pupils_between() -> None:
    told = found(Judgements(MERIT), Judgements(PASS))

    assert told.beside is not None
    assert [("Angoff", 3, 6, 3)] == [
        (each.method, each.lower, each.mark, each.between) for each in told.beside.steps
    ]  # 3, 4 and 5 marks
    assert ((), (), ()) == (told.beside.turned, told.beside.judges, told.beside.questions)
    assert "asks for more here" in in_words(told)
    assert {
        "steps": [{"method": "Angoff", "lower": 3, "mark": 6, "between": 3}],
        "judges": [],
        "questions": [],
    } == (as_data(told)["beside"])


def test_marks_that_are_the_wrong_way_round_are_told_with_judges_and_questions() -> None:
    told = found(Judgements(PASS), Judgements(MERIT))

    assert told.beside is not None
    assert [("Angoff", 6, 3, None)] == [
        (each.method, each.lower, each.mark, each.between) for each in told.beside.turned
    ]
    assert ["Ms Ash", "Mr Birch"] == [each.judge for each in told.beside.judges]
    # 3/4, 13/20 and 1/4 less: of 4, 2 and 1 marks 0.41, 0.33 and 0.25
    assert ["ITEM02", "ITEM01", "ITEM00"] == [each.question.code for each in told.beside.questions]
    text = in_words(told)
    assert "Angoff: this boundary lies at 3 and the one below it at 6: no pupil could stand between" in text
    assert "Ms Ash asks for 2.50 marks here and for 5.30 at the boundary below" in text
    assert "ITEM02 1.20 after 2.85 of 4, ITEM01 1.00 after 1.65 of 2" in text


def test_one_judge_and_one_question_can_be_the_wrong_way_round_in_marks_that_are_not() -> None:
    told = found(Judgements(panel(("0.5", "0.8", "1.1"), ("0.9", "1.8", "2.7"))), Judgements(PASS), sat=False)

    assert told.beside is not None
    assert [(3, 4, None)] == [(each.lower, each.mark, each.between) for each in told.beside.steps]
    assert [("Ms Ash", Fraction("2.5"), Fraction("2.4"))] == [
        (each.judge, each.lower, each.cut) for each in told.beside.judges
    ]
    assert () == told.beside.questions, "the means are above those of a pass: 0.7, 1.3, 1.9"
    less = found(Judgements(panel(("0.5", "2", "4"), ("0.6", "2", "4"))), Judgements(PASS))
    assert less.beside is not None
    assert [("ITEM00", Fraction("0.6"), Fraction("0.55"))] == [
        (each.question.code, each.lower, each.expected) for each in less.beside.questions
    ]


def test_equal_marks_leave_nobody_between_and_are_told() -> None:
    told = found(Judgements(PASS), Judgements(PASS))

    assert told.beside is not None
    assert [(3, 3, 0)] == [(each.lower, each.mark, each.between) for each in told.beside.turned]
    assert () == told.beside.questions, "as much may be expected at a question"


def test_methods_that_one_boundary_lacks_are_no_steps() -> None:
    limits = (Acceptable("Ms Ash", Fraction(2), Fraction(6), Fraction(1, 10), Fraction(1, 2)),)
    told = found(Judgements(MERIT, accepted=limits), Judgements(PASS))
    nothing = found(Judgements(accepted=limits), Judgements(PASS))

    assert told.beside is not None
    assert nothing.beside is not None
    assert ["Angoff"] == [each.method for each in told.beside.steps]
    assert () == nothing.beside.steps
    assert "Beside the boundary below" not in in_words(nothing)
    assert "Beside the boundary below" not in in_words(pass_mark(SETTING, Judgements(MERIT)))


def test_that_more_is_expected_than_all_earned_is_told_only_below_the_middle_of_pupils() -> None:
    """Of merit more is rightly expected. The mean marks are 0.625, 1.125 and 1.875."""
    merit, for_pass = (
        in_words(pass_mark(SETTING, Judgements(each), results_of(ROWS, MAXIMA)))
        for each in (MERIT, panel(("0.9", "1", "1"), ("0.9", "1", "1")))
    )

    assert "expected to earn more marks than all pupils did" not in merit
    assert "expected to earn more marks than all pupils did: ITEM00 0.90 beside 0.63" in for_pass
    assert "reach it" in merit
