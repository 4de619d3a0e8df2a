"""Who has learnt what: verdicts, what they rest on, and how they are told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

import pytest

from itembank.analysis.blocks import Lines, Table
from itembank.analysis.keys import Keys, Offered, Question
from itembank.analysis.learnt import Learning, Rule, Verdict, who_has_learnt
from itembank.analysis.learnt_report import as_data, report
from itembank.analysis.rendering import as_csv, as_markdown, as_text
from itembank.analysis.responses import Answer, Record, Results, Sitting, State, combine
from itembank.errors import Span
from tests.analysis_samples import question

LEARNT, NOT_YET, CANNOT_TELL = Verdict.LEARNT, Verdict.NOT_YET, Verdict.CANNOT_TELL
SURDS, SQUARES = "surds", "quadratics/completing-the-square"
FOUR = tuple(Offered(letter, letter, is_right=letter == "A", slip=slip, teacher=told) for letter, slip, told in (
    ("A", "", ""), ("B", "not-halved", "Halve first."), ("C", "sign-of-half", "Turn the sign."), ("D", "", ""),
))  # fmt: skip


def asked(topics: Sequence[Sequence[str]], kind: str = "entry", maximum: int = 1) -> list[Question]:
    """A question for each of these lists of topics."""
    offered = FOUR if kind == "choice" else ()
    return [
        replace(question(number, maximum, offered, kind), topics=tuple(each), template=f"template-{number}")
        for number, each in enumerate(topics)
    ]


def sat(questions: Sequence[Question], **answers: Sequence[int | str | None]) -> Results:
    """pupil -> for each question the marks or the option chosen, None for not given."""
    records = []
    for line, (pupil, given) in enumerate(answers.items(), 2):
        told = {
            place: _answer(questions[place], each) for place, each in enumerate(given) if each is not None
        }
        records.append(Record(pupil, Span("marks.csv", line, 1), told, tuple(range(len(questions)))))
    return combine(Keys("A test", tuple(questions)), records)


def _answer(asked_for: Question, given: int | str) -> Answer:
    if isinstance(given, int):
        return Answer(State.ANSWERED, Fraction(given))
    chosen = next(each for each in asked_for.offered if each.name == given)
    slips = (chosen.slip,) if chosen.slip else ()
    return Answer(State.ANSWERED, Fraction(asked_for.maximum * chosen.is_right), (given,), slips)


def verdicts(learning: Learning, pupil: str) -> list[Verdict]:
    """Of a pupil in all methods."""
    return [standing.verdict for standing in learning.standings[learning.pupils.index(pupil)]]


@pytest.mark.parametrize(
    ("marks", "verdict"),
    [
        ((1, 1), LEARNT),
        ((0, 1), CANNOT_TELL),
        ((0, 0), NOT_YET),
        ((1, 1, 1, 0), CANNOT_TELL),
        ((1, 1, 0, 0), NOT_YET),
        ((1, 1, 1, 1, 0), LEARNT),
        ((1,), CANNOT_TELL),
    ],
)
def test_typed_answers_tell_by_the_marks_and_by_how_sure_they_make(
    marks: tuple[int, ...], verdict: Verdict
) -> None:
    """By hand: with 9 of 10 right, 3 of 4 or fewer happen in 34 % of cases, 2 or fewer in 5 %; 1 of 2 or fewer in 19 %,
    0 of 2 in 1 %."""
    learning = who_has_learnt([sat(asked([[SURDS]] * len(marks)), ada=marks)])
    assert [verdict] == verdicts(learning, "ada")


@pytest.mark.parametrize(
    ("chosen", "verdict", "why"),
    [
        ("AAAA", LEARNT, ""),
        ("AA", LEARNT, ""),
        ("AAA", LEARNT, ""),
        ("AB", CANNOT_TELL, "19 %"),
        ("BBBB", NOT_YET, ""),
    ],
)
def test_choices_may_be_guessed(chosen: str, verdict: Verdict, why: str) -> None:
    questions = asked([[SURDS]] * len(chosen), "choice")
    (standing,) = who_has_learnt([sat(questions, ada=list(chosen))]).standings[0]

    assert verdict is standing.verdict
    assert why in standing.reason


def test_luck_alone_is_not_taken_for_learning() -> None:
    """Of two options both right: one time in four."""
    two = [replace(each, offered=each.offered[:2]) for each in asked([[SURDS]] * 2, "choice")]
    (standing,) = who_has_learnt([sat(two, ada=["A", "A"])]).standings[0]

    assert CANNOT_TELL is standing.verdict
    assert "who guesses gets so many marks in 25 % of cases" == standing.reason


def test_a_method_is_a_topic_a_statement_or_a_template() -> None:
    questions = asked([[SURDS], [SURDS, SQUARES], [], [SQUARES]])
    questions[0] = replace(questions[0], curriculum=("HSA-REI.B.4b",))
    results = [sat(questions, ada=[1, 1, 1, 1])]

    by_topic = who_has_learnt(results)
    assert [SURDS, SQUARES, "template-2"] == [each.name for each in by_topic.methods]
    assert [2, 2, 1] == [len(each.questions) for each in by_topic.methods]
    assert ("template-1", "template-3") == by_topic.methods[1].templates
    assert ["HSA-REI.B.4b", "template-1", "template-2", "template-3"] == [
        each.name for each in who_has_learnt(results, "statement").methods
    ]
    assert [f"template-{n}" for n in range(4)] == [
        each.name for each in who_has_learnt(results, "template").methods
    ]


def test_a_topic_is_called_what_the_bank_calls_it() -> None:
    questions = asked([[SURDS], [SURDS, SQUARES]])
    questions[1] = replace(questions[1], topic_titles=((SURDS, "Radicales"),))

    methods = who_has_learnt([sat(questions, ada=[1, 1])]).methods

    assert ["Radicales", "Completing the square"] == [each.title for each in methods]


def test_what_was_not_reached_says_nothing_and_what_was_omitted_does() -> None:
    questions = asked([[SURDS], [SURDS], [SQUARES], [SQUARES]])
    records = []
    for line, name in enumerate(("ada", "bo"), 2):
        answers = {place: Answer(State.ANSWERED, Fraction(1)) for place in range(4)}
        if name == "ada":
            answers[1] = Answer(State.OMITTED, Fraction(0), is_blank=True)
            answers[2] = Answer(State.ANSWERED, Fraction(1))
            answers[3] = Answer(State.OMITTED, Fraction(0), is_blank=True)
        records.append(Record(name, Span("marks.csv", line, 1), answers, (0, 1, 2, 3)))
    surds, squares = who_has_learnt([combine(Keys("", tuple(questions)), records)]).standings[0]

    assert (1, 2, 2) == (surds.got, surds.most, surds.questions), "something follows, so it was left out"
    assert (1, 1, 1) == (squares.got, squares.most, squares.questions), "nothing follows: not reached"
    assert "one question says too little" in squares.reason


def test_several_sittings_count_together_and_names_are_compared_as_people_write_them() -> None:
    questions = asked([[SURDS]] * 4)
    first, second = sat(questions[:2], Ada_L=[1, 1]), sat(questions[2:], ada_l=[1, 1], bo=[0, 0])
    learning = who_has_learnt([first, second])

    assert ("Ada_L", "bo") == learning.pupils
    assert [(4, 4), (0, 2)] == [(row[0].got, row[0].most) for row in learning.standings]


def test_the_border_can_be_another() -> None:
    results = [sat(asked([[SURDS]] * 4), ada=[1, 1, 0, 0])]

    assert [NOT_YET] == verdicts(who_has_learnt(results), "ada")
    assert [LEARNT] == verdicts(who_has_learnt(results, rule=Rule(share=Fraction(1, 2))), "ada")


def test_who_lost_no_mark_in_a_question_or_two_is_not_sent_to_practise() -> None:
    learning = who_has_learnt([sat(asked([[SURDS]]), ada=[1], bo=[0])])

    assert LEARNT not in [verdicts(learning, name)[0] for name in learning.pupils]
    assert ("bo",) == learning.to_practise(0)


def test_groups_hold_who_made_a_slip_and_has_not_learnt_what_was_asked() -> None:
    questions = asked([[SURDS]] * 5, "choice")
    learning = who_has_learnt([sat(questions, ada=list("AAAAB"), bo=list("BBCAA"), cy=list("CBDDD"))])

    assert [LEARNT, NOT_YET, NOT_YET] == [verdicts(learning, name)[0] for name in learning.pupils]
    assert [
        ("not-halved", "Halve first.", (("bo", 2), ("cy", 1))),
        ("sign-of-half", "Turn the sign.", (("bo", 1), ("cy", 1))),
    ] == [(group.slip, group.teacher, group.pupils) for group in learning.groups]
    assert ("bo", "cy") == learning.to_practise(0) == learning.of(0, NOT_YET)


@pytest.mark.parametrize(
    ("by", "methods", "told"),
    [
        ("topic", 2, "1 of them with fewer than 2 questions for a pupil, which say too little"),
        (
            "template",
            3,
            "3 of them with fewer than 2 questions for a pupil, which say too little: by topic, more questions stand "
            "together",
        ),
    ],
)
def test_methods_with_one_question_are_told_to_say_too_little(by: str, methods: int, told: str) -> None:
    learning = who_has_learnt([sat(asked([[SURDS], [SURDS], [SQUARES]]), ada=[0, 0, 1])], by)

    first = next(block for block in report(learning, "") if isinstance(block, Lines))
    assert (f"1 pupil, {methods} methods, by {by}", told) == first.lines[:2]


def test_marks_alone_are_told_to_say_nothing_of_slips() -> None:
    learning = who_has_learnt([sat(asked([[SURDS]] * 2), ada=[0, 0])])

    (said,) = [block.lines for block in report(learning, "") if isinstance(block, Lines)][1:2]
    assert said[0].startswith("The results tell marks alone.")


def test_the_report_is_told_in_every_form_with_the_same_verdicts() -> None:
    questions = asked([[SURDS], [SURDS], [SQUARES]], "choice")
    learning = who_has_learnt([sat(questions, ada=list("AAA"), bo=list("BBD"))])
    blocks = report(learning, "Autumn")
    tables = {block.name: block for block in blocks if isinstance(block, Table)}

    assert [
        ("ada", "learnt 2/2", "? 1/1"),
        ("bo", "not yet 0/2", "? 0/1"),
    ] == list(tables["pupils"].rows)
    assert ("1", SURDS, "2", "2", "1", "1", "0", "1", "5") == tables["methods"].rows[0]
    assert ("not-halved", "Halve first.", "bo (x2)") == tables["groups"].rows[0]
    assert 4 == len(tables["standings"].rows)
    assert "bo,surds,not yet,not-halved (x2),,0,2,2" in as_csv(tables["standings"])
    assert "# Who has learnt what: Autumn" in as_markdown(blocks)
    terminal = "\n".join(as_text(report(learning, "Autumn", for_terminal=True)))
    assert "not-halved: bo (x2). Halve first." in terminal
    assert "Each pupil and method" not in terminal

    data = as_data(learning, "Autumn")
    assert ["learnt", "cannot tell"] == [each["verdict"] for each in data["pupils"][0]["methods"]]
    assert {"name": SURDS, "marks": 2, "learnt": 1, "not_yet": 1, "cannot_tell": 0}.items() <= data[
        "methods"
    ][0].items()
    assert [{"slip": "not-halved", "times": 2}] == data["pupils"][1]["methods"][0]["slips"]


@pytest.mark.parametrize(
    ("language", "told"),
    [
        ("en", ["# Who has learnt what: Autumn", "- 1 pupil, 1 method, by topic", "| ada | learnt 3.5/4 |"]),
        ("en-US", ["# Who has learned what: Autumn", "| ada | learned 3.5/4 |"]),
        (
            "es",
            [
                "# Quién ha aprendido qué: Autumn",
                "- 1 estudiante, 1 método, por temas",
                "| ada | aprendido 3,5/4 |",
            ],
        ),
        (
            "de",
            [
                "# Wer was gelernt hat: Autumn",
                "- 1 Person, 1 Verfahren, nach Themen",
                "| ada | gelernt 3,5/4 |",
            ],
        ),
    ],
)
def test_a_teacher_reads_the_report_in_the_language_of_the_test(language: str, told: list[str]) -> None:
    """With methods as the bank calls them; tables for programs stay as they are."""
    questions = [
        replace(each, topic_titles=((SURDS, "Roots"),)) for each in asked([[SURDS], [SURDS]], maximum=2)
    ]
    records = sat(questions, ada=[2, 2])
    half = replace(records.sittings[0].answers[1], mark=Fraction(3, 2))
    sitting = Sitting.of("ada", {0: records.sittings[0].answers[0], 1: half}, records.questions, "")
    learning = who_has_learnt([replace(records, sittings=(sitting,))])

    text = as_markdown(report(learning, "Autumn", language=language))

    assert all(each in text for each in told)
    assert "| 1 | Roots | 2 | 4 |" in text
    assert f"| 1 | {SURDS} | 2 | 4 | 1 | 0 | 0 | 0 | 5 |" in as_markdown(report(learning, "Autumn"))


def test_why_it_cannot_be_told_is_said_in_the_language_too() -> None:
    learning = who_has_learnt([sat(asked([[SURDS], *[[SQUARES]] * 3]), ada=[1, 1, 1, 0])])
    rows = [
        [row[4] for row in block.rows]
        for language in ("en", "de")
        for block in report(learning, "", language=language)
        if isinstance(block, Table) and block.name == "standings"
    ]

    assert "one question says too little, 2 are needed" == rows[0][0]
    assert "eine Aufgabe sagt zu wenig, es braucht 2" == rows[1][0]
    assert [each.reason for row in learning.standings for each in row] == rows[0]
    assert rows[1][1].startswith("wer es gelernt hat und sich in 10 % der Aufgaben vertut")


def test_questions_of_several_forms_are_told_by_how_many_a_pupil_came_to() -> None:
    """Three forms with a question each are one question for each pupil, and tell of nobody."""
    forms = asked([[SURDS], [SURDS], [SURDS]])
    sittings = [sat([form], **{name: (1,)}) for form, name in zip(forms, ("ada", "bo", "cy"), strict=True)]

    told = "\n".join(as_text(report(who_has_learnt(sittings), "A test")))
    both = "\n".join(as_text(report(who_has_learnt([sat(forms, ada=(1, 1, 1))]), "A test")))

    assert "1 of them with fewer than 2 questions for a pupil" in told
    assert ["no.", "topic", "questions", "of", "a", "pupil", "marks"] == told.split("Methods")[1].split()[:7]
    assert ["1", SURDS, "3", "1", "3"] == next(
        line.split()[:5] for line in told.splitlines() if f" {SURDS} " in line
    )
    assert "of a pupil" not in both
    assert "with fewer than" not in both


@pytest.mark.parametrize(("topics", "kind"), [([SURDS], "entry"), ([SURDS, SURDS], "choice")])
def test_five_equal_questions_tell_nine_of_ten_who_have_learnt_it(topics: list[str], kind: str) -> None:
    """Four of five are enough, and who slips in one of ten has them in 0.9^5 + 5 * 0.9^4 * 0.1 = 0.92 of cases; of
    fewer all have to be right, in 0.81, 0.73 or 0.66."""
    questions = asked([[each] for each in topics], kind)
    given = ["A" if kind == "choice" else 1] * len(questions)

    assert (5,) == who_has_learnt([sat(questions, ada=given)]).enough


def test_marks_are_taken_as_equal_and_guessing_takes_more_questions() -> None:
    """Of 7 to 9 questions with two options 7, 7 and 8 have to be right, of 10 but 8: by binomial sums 0.85, 0.81,
    0.77 and 0.93 of those who slip in one of ten."""
    uneven = [replace(each, maximum=1 + 4 * at) for at, each in enumerate(asked([[SURDS], [SURDS]]))]
    two = (Offered("A", "A", is_right=True), Offered("B", "B"))
    guessable = [replace(each, offered=two) for each in asked([[SURDS]], "choice")]

    assert (5,) == who_has_learnt([sat(uneven, ada=[1, 0])]).enough
    assert (10,) == who_has_learnt([sat(guessable, ada=["A"])]).enough


def test_a_method_that_no_short_test_tells_says_so() -> None:
    strict = Rule(share=Fraction(1), slipping=Fraction(1, 4))
    learning = who_has_learnt([sat(asked([[SURDS]]), ada=[1])], rule=strict)
    table = next(
        block for block in report(learning, "") if isinstance(block, Table) and block.name == "methods"
    )

    assert (None,) == learning.enough
    assert "> 12" == table.rows[0][-1]


@pytest.mark.parametrize(("marks", "is_told"), [([1, 1, 0], True), ([0, 0, 0], False)])
def test_where_much_cannot_be_told_the_next_test_is_spoken_of(marks: list[int], is_told: bool) -> None:
    learning = who_has_learnt([sat(asked([[SURDS]] * 3), ada=marks)])
    first = next(block for block in report(learning, "") if isinstance(block, Lines))

    assert is_told is any(
        "ask 5 questions of a method in the next test, of equal marks" in line for line in first.lines
    )
