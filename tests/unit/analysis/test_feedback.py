"""What pupils are handed back: their own marks, sentences and numbers, and nobody else's."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from fractions import Fraction

import pytest

from itembank.analysis.feedback import Told, feedback
from itembank.analysis.feedback_page import as_feedback_page
from itembank.analysis.keys import Keys, Offered, Question, read_keys
from itembank.analysis.learnt import who_has_learnt
from itembank.analysis.responses import Answer, Record, Results, State, combine
from itembank.errors import Span
from tests.analysis_samples import question

MATHML = '<math xmlns="http://www.w3.org/1998/Math/MathML"><mi>x</mi><mo>=</mo><mn>3</mn></math>'
OFFERED = (
    Offered("A", "x = 3", mathml=MATHML, is_right=True),
    Offered("B", "x = 6", slip="not-halved", teacher="Halve first.", pupil="Halve the coefficient & check."),
)


def questions(count: int, mathml: str = MATHML) -> tuple[Question, ...]:
    """Choices of one topic, the last printed first, of two marks each."""
    right = replace(OFFERED[0], mathml=mathml)
    return tuple(
        replace(
            question(at, 2, (right, OFFERED[1]), "choice"), topics=("squares/halving-first",),
            printed=f"A {count - at}, B {at + 1}",
        )
        for at in range(count)
    )  # fmt: skip


def sat(asked: tuple[Question, ...], **chosen: str) -> Results:
    """pupil -> the letter chosen in each question; the letter of the version before a colon."""
    records = []
    for line, (pupil, told) in enumerate(chosen.items(), 2):
        version, letters = told.split(":")
        answers = {
            at: Answer(
                State.ANSWERED, Fraction(2 * (letter == "A")), (letter,), ("not-halved",) * (letter == "B")
            )
            for at, letter in enumerate(letters)
        }
        records.append(Record(pupil, Span("chosen.csv", line, 1), answers, tuple(answers), version))
    return combine(Keys("A test", asked), records)


def told(
    asked: tuple[Question, ...], sheets: tuple[int, ...] = (), title: str = "", **chosen: str
) -> dict[str, Told]:
    """What each pupil is told."""
    results = [sat(asked, **chosen)]
    return {each.pupil: each for each in feedback(results, [title], who_has_learnt(results), sheets)}


def test_a_pupil_hears_of_the_questions_of_the_own_version_in_their_order() -> None:
    found = told(questions(3), ada="A:BAB", bo="B:BBA", cy=":BAA")

    assert ["1", "3"] == [each.number for each in found["ada"].lost]
    assert ["1", "2"] == [each.number for each in found["bo"].lost]
    assert [""] == [each.number for each in found["cy"].lost], "nobody knows which paper it was"
    assert [("Halve the coefficient & check.",)] == [each.sentences for each in found["cy"].lost]
    assert (2, 6) == (found["ada"].got, found["ada"].most)


def test_a_sheet_is_named_to_those_who_are_to_practise_and_only_where_there_is_one() -> None:
    asked = questions(4)
    with_sheet, without = (told(asked, sheets, ada="A:AAAA", bo="A:BBBB") for sheets in ((1,), ()))

    assert [0, 1] == [with_sheet[name].methods[0][2] for name in ("ada", "bo")]
    assert [0, 0] == [without[name].methods[0][2] for name in ("ada", "bo")]
    assert "Halving first" == with_sheet["ada"].methods[0][0]


@pytest.mark.parametrize(
    ("language", "said"),
    [
        (
            "en-GB",
            [
                "What you have learnt",
                "Halving first</strong> (0 of 8 marks): not yet. Practise with sheet 1.",
            ],
        ),
        ("en-US", ["What you have learned", "Practice with sheet 1."]),
        (
            "es",
            ["Lo que has aprendido", "(0 de 8 puntos): todavía no. Practica con la hoja 1.", "Pregunta 4"],
        ),
        (
            "de",
            [
                "Was du gelernt hast",
                "(0 von 8 Punkten): noch nicht. Übe mit Blatt 1.",
                "(0 von 2 Punkten)",
                "Aufgabe 4",
            ],
        ),
    ],
)
def test_the_page_is_in_the_language_of_the_items_a_section_for_each(language: str, said: list[str]) -> None:
    page = as_feedback_page(
        told(questions(4), (1,), "Autumn <1>", ada="A:AAAA", bo="A:BBBB").values(), "Autumn <1>", language
    )
    first, second = re.findall("<section>.*?</section>", page, re.DOTALL)

    assert all(each in second for each in said)
    assert "<h1>ada</h1>" in first
    assert "Halve" not in first
    assert "<p>Halve the coefficient &amp; check.</p>" in second
    assert MATHML in second
    assert "Autumn &lt;1&gt;: 0 " in second
    assert f'<html lang="{language.lower()[:2]}' in page


@pytest.mark.parametrize(
    "markup",
    [
        "",
        "<script>alert(1)</script>",
        MATHML.replace("<mi>", '<mi onclick="alert(1)">'),
        MATHML.replace("<mi>", '<mi href="javascript:alert(1)">'),
        MATHML.replace("<mi>x</mi>", '<p xmlns="http://www.w3.org/1999/xhtml">x</p>'),
        MATHML[:-3],
    ],
)
def test_what_is_no_plain_mathml_is_told_in_words(markup: str) -> None:
    page = as_feedback_page(told(questions(1, markup), ada="A:B").values(), "", "en")

    assert "<p>Right: x = 3</p>" in page
    assert "alert" not in page


def thing(name: str, plain: str, **more: object) -> dict[str, object]:
    """An option, row or target as `items.json` has it."""
    return {"option": name, "plain": plain, "latex": "", "mathml": "", "slip": "", **more}


def item(kind: str, **part: object) -> dict[str, object]:
    """An item of one part as `items.json` has it."""
    address = {"template": kind, "version": 1, "seed": 1, "position": 1}
    slips = [{"slip": "one-side", "answer": "", "teacher": "Balance.", "pupil": "Add it to both sides."}]
    asked = {"label": "", "marks": 2, "response": kind, "slips": slips, **part}
    return {"code": kind.upper(), "title": kind, "address": address, "parts": [asked]}


@pytest.mark.parametrize(
    ("told", "said"),
    [
        (
            item("order", things=[thing("A", "x = 2*sqrt(5)", place=2), thing("B", "x", place=1, mathml=MATHML)]),
            f"<p>Right: {MATHML}; x = 2√5</p>",
        ),
        (
            item(
                "match",
                rows=[thing("", "x^2 = 9", row="1", target="B"), thing("", "x^2 = 4", row="2", target="A")],
                targets=[thing("A", "x = 2"), thing("B", "none"), thing("C", "x = 0")],
            ),
            "<p>Right: x² = 9 → no real solution; x² = 4 → x = 2</p>",
        ),
        (
            item(
                "wrong-line", slip="one-side",
                lines=[
                    {"say": "", "maths": "x^2 - 8*x = 2", "follows": True},
                    {"say": "Add 16.", "maths": "x^2 - 8*x + 16 = 2", "follows": False},
                ],
            ),
            "<p>Add it to both sides.</p>\n<p>Right: line\u00a02: Add 16. x² − 8x + 16 = 2</p>",
        ),
        (
            item("choices", options=[
                thing("A", "It has two roots.", right=True), thing("B", "It has none.", right=False),
                thing("C", "It has one at least.", right=True),
            ]),
            "<p>Right: It has two roots. It has one at least.</p>",
        ),
        (
            item("choices", options=[thing("A", "x = 2", right=True), thing("B", "3*x", right=True)]),
            "<p>Right: x = 2, 3x</p>",
        ),
    ],
    ids=["order", "match", "wrong-line", "sentences", "formulas"],
)  # fmt: skip
def test_what_is_right_is_shown_as_a_page_shows_it_in_every_kind(told: dict[str, object], said: str) -> None:
    """Pupils know nothing of the language of templates, `x^2` and `sqrt(5)`."""
    keys = read_keys("items.json", json.dumps({"items": [told]}).encode())
    record = Record("ada", Span("m.csv", 2, 1), {0: Answer(State.ANSWERED, Fraction(0))}, (0,))
    results = [combine(keys, [record])]

    page = as_feedback_page(feedback(results, [""], who_has_learnt(results)), "", "en")

    assert said in page


def test_one_mark_is_one_mark() -> None:
    alone = tuple(replace(each, maximum=1) for each in questions(1))
    page = as_feedback_page(told(alone, ada="A:B").values(), "", "en")

    assert "(0 of 1 mark)" in page
    assert "<p>0 of 1 mark</p>" in page


def test_who_lost_nothing_is_told_so() -> None:
    page = as_feedback_page(told(questions(2), ada="A:AA").values(), "", "en")
    assert "<p>Nowhere.</p>" in page


def test_each_pupil_hears_of_the_tests_that_were_sat_and_which_of_them_a_question_stands_in() -> None:
    """Question 1 of two tests are two questions, and a form that others sat is no matter of one's own."""
    first, second = questions(2), tuple(replace(each, code=f"{each.code}X") for each in questions(2))
    results = [sat(first, ada="B:BA", bo="B:BA"), sat(second, bo="B:AB"), sat(second, cy="B:AB")]

    found = feedback(results, ["Autumn", "Spring A", "Spring B"], who_has_learnt(results))
    ada, bo, cy = re.findall("<section>.*?</section>", as_feedback_page(found, "", "en"), re.DOTALL)

    assert ("<p>Autumn: 2 of 4 marks</p>" in ada, "<strong>Question 1</strong>" in ada) == (True, True)
    assert "<p>Autumn, Spring A: 4 of 8 marks</p>" in bo
    assert ["Autumn: Question 1", "Spring A: Question 2"] == re.findall(
        "<strong>(.*?Question .)</strong>", bo
    )
    assert ("<p>Spring B: 2 of 4 marks</p>" in cy, "Autumn" in cy) == (True, False)
