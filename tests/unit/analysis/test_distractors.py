"""Tables of answers and of slips, counted by hand."""

from __future__ import annotations

from fractions import Fraction

from itembank.analysis.analysis import analyse
from itembank.analysis.distractors import Thirds, question_choices, slip_figures, thirds
from itembank.analysis.exact import CannotTell
from itembank.analysis.keys import ANOTHER, Keys, Offered
from itembank.analysis.matching import answered
from itembank.analysis.responses import OMITTED, Record, combine
from itembank.errors import Span
from tests.analysis_samples import chosen_results, question, results_of


def offering(*slips: str) -> tuple[Offered, ...]:
    """A key A, then an option for each slip, "" for none."""
    wrong = (
        Offered(name, f"x = {name}", slip=slip, teacher=f"Teach {slip}.")
        for name, slip in zip("BCD", slips, strict=False)
    )
    return (Offered("A", "x = A", is_right=True), *wrong)


def test_a_table_of_answers_counts_who_chose_what_and_how_they_did_elsewhere() -> None:
    asked = question(0, 1, offering("sign", ""), "choice")
    results = chosen_results(
        [["A"], ["A"], ["B"], ["B"], ["C"], ["A"]], [asked], [[4], [3], [2], [1], [0], [2]]
    )
    groups = thirds(results)
    found = question_choices(results, 0, groups)

    assert Thirds(frozenset({0, 1}), frozenset({3, 4})) == groups
    assert found is not None
    assert (6, 2, 2) == (found.answers, found.upper, found.lower)
    told = [(c.offered.name, c.number, c.upper, c.lower, c.rest) for c in found.chosen]
    assert [
        ("A", 3, 2, 0, Fraction(3)), ("B", 2, 0, 1, Fraction(3, 2)), ("C", 1, 0, 1, Fraction(0)),
    ] == told  # fmt: skip


def test_what_is_no_known_answer_stands_last_and_what_nobody_chose_has_no_mean() -> None:
    asked = question(0, 1, (Offered("right", "1", is_right=True), Offered("s", "2", slip="s")), "entry")
    records = [
        Record("p", Span("c", 1, 1), {0: answered(asked, (ANOTHER,))}, (0,)),
        Record("q", Span("c", 2, 1), {0: OMITTED}, (0,)),
    ]
    found = question_choices(combine(Keys("", (asked,)), records), 0, Thirds(frozenset(), frozenset()))

    assert found is not None
    assert [("right", 0), ("s", 0), (ANOTHER, 1)] == [(c.offered.name, c.number) for c in found.chosen]
    assert isinstance(found.chosen[0].rest, CannotTell)
    assert 1 == found.answers, "nobody knows what q would have chosen"


def test_thirds_that_cannot_be_told_apart_are_empty() -> None:
    assert not thirds(results_of([[1], [0]])).upper
    assert not thirds(results_of([[1]] * 9)).lower
    tied = thirds(results_of([[0], [0], [0], [0], [1], [1]]))
    assert (4, 2) == (len(tied.lower), len(tied.upper)), "equal pupils belong together"


def test_a_slip_is_counted_over_pupils_and_over_answers() -> None:
    questions = [
        question(n, 1, offering("sign", "half") if n < 2 else offering("half"), "choice") for n in range(3)
    ]
    results = chosen_results([["B", "B", "A"], ["B", "A", "B"], ["A", "A", "B"], ["A", "C", "A"]], questions)

    sign, half = sorted(slip_figures(results), key=lambda each: each.slip, reverse=True)

    assert ("sign", 2, 4, 3, 8) == (sign.slip, sign.pupils, sign.of_pupils, sign.times, sign.of_times)
    assert ("half", 3, 4, 3, 12) == (half.slip, half.pupils, half.of_pupils, half.times, half.of_times)
    assert ("ITEM00", "ITEM01") == sign.questions
    assert "Teach sign." == sign.teacher


def test_a_slip_that_half_of_the_class_holds_comes_before_one_that_many_made_once() -> None:
    questions = [question(n, 1, offering("chance", "" if n < 8 else "held"), "choice") for n in range(10)]
    choices = [
        ["B" if at == number % 8 else "C" if at > 7 and number % 2 else "A" for at in range(10)]
        for number in range(20)
    ]
    found = slip_figures(chosen_results(choices, questions))

    assert [("held", 10), ("chance", 20)] == [(each.slip, each.pupils) for each in found]


def test_marks_alone_tell_nothing_of_answers() -> None:
    found = analyse(results_of([[1, 0], [0, 1], [1, 1]]))

    assert () == found.choices
    assert () == found.slips
