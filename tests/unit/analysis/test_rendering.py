"""Reports as text, Markdown and CSV."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from lxml import etree

from itembank.analysis.analysis import analyse
from itembank.analysis.blocks import Heading, Lines, Table
from itembank.analysis.exact import CannotTell
from itembank.analysis.keys import Offered
from itembank.analysis.rendering import as_csv, as_markdown, as_page, as_text
from itembank.analysis.report import report
from itembank.analysis.report_data import as_data
from itembank.analysis.responses import Answer, Record, Results, Sitting, State, combine
from itembank.errors import Diagnostic, Level, Span
from tests.analysis_samples import chosen_results, keys_of, question, results_of


def test_no_cell_of_a_table_is_a_formula_and_numbers_stay_numbers() -> None:
    cells = ("=1+1", "@x", "-x", "+44", "-0.13", "a,b", 'say "x"', "x = -3", "?")
    table = Table("t", tuple("abcdefghi"), (cells,))

    (head, row) = csv.reader(io.StringIO(as_csv(table)))
    assert list("abcdefghi") == head
    assert ["'=1+1", "'@x", "'-x", "'+44", "-0.13", "a,b", 'say "x"', "x = -3", "?"] == row


def test_markdown_shows_texts_as_they_are() -> None:
    blocks = (Heading("T", 1), Lines(("4*a*c <b> [x](y)",)), Table("t", ("a", "b"), (("x|y", "p_q"),), 2))

    assert as_markdown(blocks).splitlines() == [
        "# T", "", r"- 4\*a\*c \<b> \[x](y)", "", "| a | b |", "| --- | --- |", r"| x\|y | p\_q |"
    ]  # fmt: skip


def test_a_page_shows_texts_as_they_are_and_is_well_formed() -> None:
    table = Table("t", ("a", "b", "c"), (("x|y", "<script>", "1"), ("p&q", "", "-2")), 2)
    page = as_page((Heading("T & U", 1), Lines(("4*a*c <b> [x](y)",)), table))
    root = etree.fromstring(page.encode(), etree.HTMLParser(recover=False))

    assert "T & U" == root.findtext("head/title") == root.findtext("body/main/h1")
    assert ["4*a*c <b> [x](y)"] == [each.text for each in root.iter("li")]
    assert [["x|y", "<script>", "1"], ["p&q", None, "-2"]] == [
        [cell.text for cell in row] for row in root.iterfind("body/main/div/table/tbody/tr")
    ]
    assert [None, None, "number"] == [cell.get("class") for cell in root.iter("th")][:3]
    assert "http" not in page


def test_text_is_in_columns() -> None:
    lines = list(as_text((Heading("T", 1), Table("t", ("name", "n"), (("long name", "7"), ("b", "12"))))))

    assert ["T", "  name        n", "  long name   7", "  b          12"] == lines


def test_findings_and_figures_tell_the_number_on_paper() -> None:
    results = results_of([[0, 1]] * 6 + [[0, 0]] * 6)
    printed = replace(
        results,
        questions=tuple(replace(each, printed=f"{n}(a)") for n, each in enumerate(results.questions, 7)),
    )
    blocks = report(analyse(printed), "T")

    told = "\n".join(line for block in blocks if isinstance(block, Lines) for line in block.lines)
    assert "too-hard question 7(a) (ITEM00): it was hard" in told
    (figures,) = (block for block in blocks if isinstance(block, Table) and block.name == "questions")
    assert [("ITEM00", "7(a)"), ("ITEM01", "8(a)")] == [row[:2] for row in figures.rows]
    assert ["7(a)", "8(a)"] == [each["printed"] for each in as_data(analyse(printed), "T")["questions"]]


def test_findings_of_one_rule_stand_in_the_order_of_the_paper() -> None:
    results = results_of([[1, 0, 0, 0]] * 6 + [[0, 0, 0, 0]] * 6)
    numbers = ("2", "10", "3(b)", "3(a)")
    printed = replace(
        results,
        questions=tuple(replace(each, printed=n) for each, n in zip(results.questions, numbers, strict=True)),
    )

    lines = [line for line in as_text(report(analyse(printed), "")) if line.startswith("  too-hard question")]

    assert ["3(a)", "3(b)", "10"] == [line.split()[2] for line in lines]


def test_of_fewer_than_ten_pupils_no_total_is_told_to_be_off_by_some_marks() -> None:
    rows = [[1, 1, 0], [1, 0, 0], [1, 1, 1], [0, 0, 0]]
    few, more = (list(as_text(report(analyse(results_of(rows * times)), ""))) for times in (2, 3))

    assert any("of fewer than 10 pupils this says next to nothing" in line for line in few)
    assert [False, True] == [any("may be off by" in line for line in lines) for lines in (few, more)]


def test_one_is_told_as_one() -> None:
    results = replace(results_of([[1]]), absent=1, left_out=("ITEM01",))
    told = list(as_text(report(analyse(results), "")))

    assert "  1 pupil, 1 question, 1 mark" == told[1]
    assert "  1 more has no answer at all and is left out" == told[2]
    assert "1 question of the build" in told[3]
    assert "  ? in upper-lower: fewer than 20 pupils (1 question)" in told


def test_a_report_names_pupils_only_where_it_is_asked_to() -> None:
    options = (Offered("A", "1", is_right=True), Offered("B", "2", slip="sign", teacher="Teach it."))
    found = analyse(chosen_results([["A"], ["B"], ["B"]], [question(0, 1, options, "choice")]))

    def text(*, pupils: bool) -> str:
        return "\n".join(as_text(report(found, "A test", pupils=pupils))) + str(
            as_data(found, "", pupils=pupils)
        )

    assert "pupil 1" not in text(pupils=False)
    assert "pupil 1" in text(pupils=True)
    assert ["sign"] == as_data(found, "", pupils=True)["by_pupil"][1]["slips"]


def test_what_cannot_be_told_has_its_reason_beside_it() -> None:
    found = analyse(results_of([[1, 1], [1, 0]]))
    data = as_data(found, "")
    text = "\n".join(as_text(report(found, "")))

    assert data["questions"][0]["discrimination"] is None
    assert "fewer than three pairs" == data["questions"][0]["cannot_tell"]["discrimination"]
    assert "? in discrimination: fewer than three pairs (2 questions)" in text


def test_bars_are_as_long_as_their_numbers() -> None:
    table = Table(
        "t", ("share", "pupils"), (("0 to 10 %", "4"), ("10 to 20 %", "0"), ("20 to 30 %", "8")), bars=1
    )
    root = etree.fromstring(as_page((Heading("T", 1), table)).encode(), etree.HTMLParser(recover=False))

    assert ["width: 10.0em", "width: 0.0em", "width: 20.0em"] == [
        each.get("style") for each in root.iter("span")
    ]
    assert ["4", "0", "8"] == [each.text for each in root.iterfind(".//td[@class='number']")]


def test_totals_stand_in_tenths_from_the_least_to_the_greatest() -> None:
    found = analyse(results_of([[1, 0, 0, 0], [1, 1, 0, 0], [1, 1, 1, 1], [1, 1, 1, 1]]))
    (table,) = [block for block in report(found, "") if isinstance(block, Table) and block.name == "totals"]

    assert ("20 to 30 %", "1") == table.rows[0]
    assert ("90 to 100 %", "2") == table.rows[-1]
    assert 8 == len(table.rows)


def test_what_chance_does_to_figures_stands_with_them() -> None:
    """1.96 / (2 sqrt(16)) and 1.96 / sqrt(16); the standard error and 1.96 of it."""
    rows = [[int(pupil > item) for item in range(0, 16, 2)] for pupil in range(16)]
    told = "\n".join(as_text(report(analyse(results_of(rows)), "")))
    few = "\n".join(as_text(report(analyse(results_of([[1, 0]])), "")))

    assert "of 16 pupils, chance alone moves a facility by up to 0.25 either way" in told
    assert "and a discrimination by about 0.49" in told
    assert "may be off by" in told
    assert "chance alone" not in few
    assert "figures of single questions say little of fewer than 10 pupils" in few


def _looked_at(results: Results) -> tuple[str, ...]:
    blocks = report(analyse(results), "")
    return next(
        after.lines
        for before, after in pairwise(blocks)
        if before == Heading("Look at these") and isinstance(after, Lines)
    )


def test_a_small_class_is_told_what_is_not_looked_for() -> None:
    assert ("Of fewer than 5 pupils nothing is looked for.",) == _looked_at(results_of([[0, 1], [1, 0]]))

    sound = [[int(n % 5 > at) for at in range(3)] for n in range(24)]
    stands_out, of_few = _looked_at(results_of(sound))
    assert "Nothing stands out." == stands_out
    assert "low-discrimination (from 30 on), alike-items (from 50 on)" in of_few


def test_what_marks_alone_do_not_tell_is_told() -> None:
    options = (Offered("A", "1", is_right=True), Offered("B", "2", slip="sign-of-half"))
    chosen = chosen_results([["A"], ["B"]] * 30, [question(0, 1, options, "choice")], [[0, 1], [1, 0]] * 30)
    of_marks = replace(
        chosen,
        sittings=tuple(
            Sitting.of(
                each.pupil, {at: replace(a, names=()) for at, a in each.answers.items()}, chosen.questions
            )
            for each in chosen.sittings
        ),
    )

    assert not any("marks alone" in line for line in _looked_at(chosen))
    assert "key-in-doubt, common-slip, unused-distractor" in _looked_at(of_marks)[-1]


def test_reliability_says_of_whom_it_is() -> None:
    rows = [[0, 1, 1], [1, 0, 1], [1, 1, 1], [0, 0, 0]] * 4
    whole, some = (
        report(analyse(results_of(each)), "") for each in (rows, [*rows, [1, None, 1], [1, 1, None]])
    )

    assert not any("with a mark in every question" in line for line in as_text(whole))
    assert any(
        "alpha" in line and ", of the 16 pupils with a mark in every question" in line
        for line in as_text(some)
    )


def test_a_report_tells_what_is_doubtful_in_the_files_without_the_way_to_them() -> None:
    doubt = Diagnostic(
        "total-differs", "the total is 4", Span("/home/ann/m.csv", 7, 2), Level.DOUBTFUL, hint="look"
    )
    analysis = analyse(results_of([[0, 1], [1, 0]]))

    text = as_markdown(report(analysis, "", doubts=[doubt]))
    data = as_data(analysis, "", doubts=[doubt])

    assert "- m.csv, line 7: the total is 4; look" in text.splitlines()
    assert "home" not in text
    assert [
        {"code": "total-differs", "message": "the total is 4", "hint": "look", "file": "m.csv", "line": 7}
    ] == data["doubtful"]
    assert "Doubtful" not in as_markdown(report(analysis, ""))


def test_why_a_discrimination_cannot_be_told_says_where_all_did_alike() -> None:
    everyone = analyse(results_of([[1, 0, 1], [1, 1, 0], [1, 0, 0]])).questions[0]
    elsewhere = analyse(results_of([[1, 1, 0], [0, 1, 0], [1, 1, 0]])).questions[0]

    assert CannotTell("all earned the same there") == everyone.discrimination
    assert CannotTell("all earned the same elsewhere") == elsewhere.discrimination


@pytest.mark.parametrize("last", [None, Fraction(0)])
def test_it_is_told_that_what_was_not_reached_raises_alpha(last: Fraction | None) -> None:
    """Crocker & Algina 1986, chapter 7, on speeded tests (from memory)."""
    unreached = Answer(State.OMITTED, Fraction(0), is_blank=True)
    records = [
        Record(
            f"pupil {n}",
            Span("m.csv", n, 1),
            {
                place: unreached
                if place == 2 and n % 2 and last is None
                else Answer(State.ANSWERED, Fraction(n >> place & 1))
                for place in range(3)
            },
            (0, 1, 2),
        )
        for n in range(8)
    ]
    text = as_markdown(report(analyse(combine(keys_of([1, 1, 1]), records)), ""))

    assert "alpha: Cronbach's" in text
    assert (last is None) == ("makes alpha look higher" in text)


def test_of_forms_together_it_is_told_what_gives_a_reliability() -> None:
    of_forms, of_one = (
        "\n".join(as_text(report(analyse(results_of(rows)), "")))
        for rows in ([[1, 0, None], [None, 1, 0], [0, 1, None]], [[1, 0, 1]])
    )

    assert "in every question; where pupils had different forms, analyse the results of each form" in of_forms
    assert "cannot tell" in of_one
    assert "different forms" not in of_one
