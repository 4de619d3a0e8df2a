"""Everything that is told of a pass mark, from a small test that can be worked out by hand."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction

import pytest

from itembank.analysis.exact import CannotTell, Root
from itembank.analysis.reliability import whole_figures
from itembank.analysis.rendering import as_markdown, as_text
from itembank.analysis.responses import Results
from itembank.cli.report import figures_json
from itembank.standard_setting.angoff import Panel
from itembank.standard_setting.by_pupils import Judgement
from itembank.standard_setting.hofstee import Acceptable
from itembank.standard_setting.pass_mark import Cut, Judgements, Outcome, PassMark, Setting, pass_mark
from itembank.standard_setting.report import report
from itembank.standard_setting.report_data import as_data
from tests.analysis_samples import Row, keys_of, results_of

MAXIMA = (1, 2, 4)
SETTING = Setting("Evening algebra", keys_of(MAXIMA).questions)
ROWS: list[Row] = [(0, 0, 1), (1, 0, 1), (1, 1, 1), (0, 2, 2), (1, 1, 3), (1, 2, 3), (1, 2, 4), (0, 1, 0)]
"""Totals 1, 2, 3, 4, 5, 6, 7 and 1."""
PANEL = Panel(
    SETTING.questions,
    ("Ms Ash", "Mr Birch"),
    (
        ((Fraction("0.5"), Fraction(1), Fraction(2)), (Fraction("0.9"), Fraction("1.5"), Fraction("1.5"))),
        ((None, None, Fraction("2.5")), (None, Fraction("0.4"), None)),
    ),
)
"""Round 1: 3.5 and 3.9, cut 3.7. Round 2: 4 and 2.8, cut 3.4."""
KINDS = (Judgement.BELOW, Judgement.BORDERLINE, Judgement.ABOVE)
JUDGED = tuple((f"pupil {number}", KINDS[at]) for number, at in enumerate((0, 0, 1, 1, 1, 2, 2, 0)))
LIMITS = (Acceptable("Ms Ash", Fraction(2), Fraction(6), Fraction(1, 10), Fraction(1, 2)),)
EVERYTHING = Judgements(PANEL, JUDGED, LIMITS)


def found(
    said: Judgements = EVERYTHING, results: Results | None = None, setting: Setting = SETTING
) -> PassMark:
    return pass_mark(setting, said, results if results is not None else results_of(ROWS, MAXIMA))


def cut_of(told: PassMark, method: str) -> Cut:
    return next(cut for cut in told.cuts if cut.method == method)


def told_in_words(told: PassMark) -> str:
    return "\n".join(as_text(report(told)))


def test_each_method_comes_to_the_mark_worked_out_by_hand() -> None:
    told = found()

    assert [
        ("Angoff", Fraction("3.4"), 4),
        ("borderline group", Fraction(4), 4),  # of 3, 4, 5
        ("contrasting groups", Fraction(4), 4),  # below 1 2 1, above 6 7: 3 to 6 misplace nobody
        ("Hofstee", Fraction(3), 3),  # up to 3 marks 3 of 8 fail, above them 4; the line is 0.4 there
    ] == [(cut.method, cut.value, cut.mark) for cut in told.cuts]
    assert [Fraction("3.7"), Fraction("3.4")] == [each.cut for each in told.rounds]
    assert {Judgement.BELOW: 3, Judgement.BORDERLINE: 3, Judgement.ABOVE: 2} == told.judged


def test_how_many_pass_at_the_mark_and_beside_it() -> None:
    assert (Outcome(3, 5), Outcome(4, 4), Outcome(5, 3)) == cut_of(found(), "Angoff").outcomes
    at_the_top = replace(
        EVERYTHING, panel=replace(PANEL, rounds=(((Fraction(1), Fraction(2), Fraction(4)),) * 2,))
    )
    assert (Outcome(6, 2), Outcome(7, 1)) == cut_of(found(at_the_top), "Angoff").outcomes


def test_pupils_within_one_standard_error_of_measurement_are_counted() -> None:
    results = results_of(ROWS, MAXIMA)
    told = found(results=results)
    measured = whole_figures(results).standard_error

    assert isinstance(measured, Root)
    assert measured == told.measured
    # decided by Root.exceeds: those whose distance from 4 the error does not fall short of
    distances = [Fraction(abs(total - 4)) for total in (1, 2, 3, 4, 5, 6, 7, 1)]
    assert sum(measured.exceeds(each) for each in distances) == cut_of(told, "Angoff").close
    assert 0 < sum(measured.exceeds(each) for each in distances) < 8
    assert "stand within one standard error of measurement" in told_in_words(told)


def test_where_measurement_has_no_error_to_tell_nothing_is_counted() -> None:
    told = found(results=results_of([(1, 0, 0), (0, 1, 0), (0, 0, 1)], MAXIMA), said=Judgements(PANEL))

    assert isinstance(told.measured, CannotTell)
    assert cut_of(told, "Angoff").close is None
    assert "cannot be told: all totals are equal" in told_in_words(told)


def test_pupils_who_had_not_the_whole_test_are_not_compared() -> None:
    told = found(results=results_of([*ROWS, (1, 1, None)], MAXIMA))

    assert (8, 1) == (told.pupils, told.left_out)
    assert "1 more pupil not compared" in told_in_words(told)
    assert found().cuts[0].outcomes == told.cuts[0].outcomes


def test_without_results_only_ratings_tell_a_mark() -> None:
    told = pass_mark(SETTING, Judgements(PANEL))

    assert [("Angoff", ())] == [(cut.method, cut.outcomes) for cut in told.cuts]
    assert () == told.facilities == told.agreements
    assert "What would follow" not in told_in_words(told)
    assert "with facility" not in told_in_words(told)


def test_ratings_are_held_against_what_pupils_earned() -> None:
    """Facilities 5/8, 9/16, 15/32, in the order of Ms Ash's shares 0.5, 0.5, 0.625 turned round."""
    told = found()
    text = told_in_words(told)

    assert (Fraction(5, 8), Fraction(9, 16), Fraction(15, 32)) == told.facilities
    ash, birch = told.agreements
    assert isinstance(ash, Root)
    assert isinstance(birch, Root)
    assert (True, False) == (ash.is_negative, birch.is_negative)
    assert "Ms Ash does not rate by the order of difficulty" in text
    assert "Mr Birch does not rate" not in text
    assert (
        "expected to earn more marks than all pupils did: ITEM00 0.70 beside 0.63, ITEM02 2.00 beside 1.88"
        in text
    )


def test_judgements_that_totals_do_not_bear_out_are_told() -> None:
    """Totals 1, 2 and 1 below, 6 and 7 above; then the other way round, of three times as many pupils."""
    few = told_in_words(found())
    many = results_of([row for row in ROWS for _ in range(3)], MAXIMA)
    said = tuple(
        (f"pupil {3 * at + number}", kind) for at, (_, kind) in enumerate(JUDGED) for number in range(3)
    )
    other = {Judgement.BELOW: Judgement.ABOVE, Judgement.ABOVE: Judgement.BELOW}
    turned = tuple((name, other.get(kind, kind)) for name, kind in said)

    pairs = "of all pairs of one judged below and one judged above the latter has the higher total"
    assert f"in 100.0 % {pairs}; of 5 pupils chance alone makes as much" in few
    assert f"in 100.0 % {pairs} (50 %: judgements say nothing of it)" in told_in_words(
        found(Judgements(judged=said), many)
    )
    assert f"only in 0.0 % {pairs}: were `below` and `above` exchanged?" in told_in_words(
        found(Judgements(judged=turned), many)
    )


def test_judges_are_told_where_they_are_furthest_apart() -> None:
    text = told_in_words(found())

    # spreads 0.4 of 1, 0.6 of 2, 1 of 4
    assert "furthest apart on ITEM00 0.5 to 0.9 of 1, ITEM01 0.4 to 1 of 2, ITEM02 1.5 to 2.5 of 4" in text


def test_few_judges_and_few_pupils_are_told() -> None:
    text = told_in_words(found())

    assert "2 judges are few" in text
    assert "borderline group: 3 pupils at the border, too few" in text
    assert "contrasting groups: 2 pupils in the smaller group, too few" in text
    assert "just as good are 3 to 6; the middle one is taken" in text


def test_many_judges_are_not_called_few() -> None:
    rows = tuple((Fraction(1, 2), Fraction(1), Fraction(number, 4)) for number in range(10))
    text = told_in_words(found(Judgements(Panel(SETTING.questions, tuple("ABCDEFGHIJ"), (rows,)))))

    assert "few" not in text.partition("What would follow")[0]
    assert "10 judges, 1 round" in text


def test_reasons_stand_where_no_mark_can_be_told() -> None:
    above_all = tuple((name, Judgement.ABOVE) for name, _ in JUDGED)
    text = told_in_words(
        found(Judgements(judged=above_all, accepted=(replace(LIMITS[0], most_fail=Fraction(0)),)))
    )

    assert "No mark can be told." in text
    assert "nobody is judged to stand at the border" in text
    assert "it takes pupils judged below and pupils judged above" in text
    assert "more fail at the least acceptable mark than may" in text


def test_a_boundary_has_its_name() -> None:
    assert told_in_words(found()).startswith("Pass mark: Evening algebra\n")
    merit = replace(SETTING, boundary="merit")
    assert told_in_words(found(setting=merit)).startswith("Mark for merit: Evening algebra\n")


def test_data_hold_the_cuts_exactly_and_no_pupil() -> None:
    told = found()
    text = figures_json(as_data(told))
    data = json.loads(text)

    assert ["17/5", "4", "4", "3"] == [cut["exactly"] for cut in data["cuts"]]
    assert [3.7, 3.4] == [each["cut"] for each in data["rounds"]]
    assert [[3.5, 4.0], [3.9, 2.8]] == [each["cuts"] for each in data["judges"]]
    assert [3, 4, 5, 6] == data["contrast"]["equally_good"]
    assert 3 == data["compromise"]["cut"]
    assert (3, 4.0, None) == tuple(data["borderline"][key] for key in ("pupils", "median", "sure"))
    assert [0.7, 0.7, 2.0] == [each["mean"] for each in data["questions"]]
    for form in (text, as_markdown(report(told)), told_in_words(told)):
        assert "pupil 0" not in form.casefold()


@pytest.mark.parametrize("said", [Judgements(PANEL), Judgements(judged=JUDGED), Judgements(accepted=LIMITS)])
def test_each_kind_of_judgement_stands_alone(said: Judgements) -> None:
    told = found(said)

    assert told.cuts
    assert json.loads(figures_json(as_data(told)))["cuts"]
    for told_of in ("Judges", "Questions"):
        assert (said.panel is not None) == (f"\n{told_of}\n" in told_in_words(told))
