"""Tables of what was chosen and typed, as platforms and people write them."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from itembank.analysis.chosen import is_long, read_chosen, read_long
from itembank.analysis.keys import ANOTHER, RIGHT, Keys, Offered, Question
from itembank.analysis.mark_columns import columns_of_marks
from itembank.analysis.matching import answered, named_in
from itembank.analysis.orders import Orders
from itembank.analysis.response_files import read_results
from itembank.analysis.responses import Results, combine
from itembank.analysis.tables import read_table
from itembank.errors import Diagnostic, InputError

FORMULA = '<mi>x</mi><mo>=</mo><mo form="prefix">−</mo><mn>3</mn>'
MATHML = f'<math xmlns="http://www.w3.org/1998/Math/MathML" alttext="x equals negative 3">{FORMULA}</math>'
NOTED = f'<math><semantics>{FORMULA}<annotation encoding="x">y</annotation></semantics></math>'
CHOICE = Question(
    "CHOICE", "", "t", "Choose", 2, "choice",
    (
        Offered("A", "x = 3", "x = 3", slip="sign-of-half", teacher="Reteach signs."),
        Offered("B", "x = -3", "x = -3", MATHML, is_right=True),
        Offered("C", "two different real roots"),
    ),
)  # fmt: skip
CHOICES = Question(
    "SEVERAL", "", "t", "Choose all", 2, "choices",
    (Offered("A", "x = 1", is_right=True), Offered("B", "x = 2", slip="not-halved"),
     Offered("C", "x = 5", is_right=True)),
    share="1",
)  # fmt: skip
ENTRY = Question(
    "ENTRY", "", "t", "Enter", 3, "entry",
    (Offered(RIGHT, "x = 4 ± sqrt(13)", is_right=True),
     Offered("sign-of-half", "x = -4 ± sqrt(13)", slip="sign-of-half", teacher="Reteach signs.")),
)  # fmt: skip
LINES = Question(
    "LINES", "", "t", "Solve", 4, "entry",
    (Offered(RIGHT, "x = -4 and y = 1/2", is_right=True), Offered("swapped", "x = 1/2 and y = -4", slip="swapped")),
    blanks=tuple({"unknown": u, "form": "fraction", "boxes": ["numerator", "denominator"], "slots": 1} for u in "xy"),
)  # fmt: skip
GRADIENT = Question(
    "GRADIENT", "", "t", "Find m and c", 3, "entry", (Offered(RIGHT, "m = 2 and c = -3", is_right=True),),
    blanks=tuple({"unknown": u, "form": "integer", "boxes": ["value"], "slots": 1} for u in "mc"),
)  # fmt: skip
POINTS = Question(
    "POINTS", "", "t", "Where do they meet", 4, "entry",
    (Offered(RIGHT, "(x, y) = (-1, 3) or (x, y) = (2, 5)", is_right=True),), is_of_points=True,
    blanks=tuple({"unknown": u, "form": "integer", "boxes": ["value"], "slots": 2} for u in "xy"),
)  # fmt: skip
MONEY = Question(
    "MONEY", "", "t", "Find V", 2, "entry", (Offered(RIGHT, "V = 241026/100", is_right=True),),
    blanks=({"unknown": "V", "form": "decimal", "boxes": ["value"], "slots": 1, "unit": "£", "values": [["2410.26"]]},),
)  # fmt: skip
SMALL = Question(
    "SMALL", "", "t", "Find k", 2, "entry", (Offered(RIGHT, "k = 2", is_right=True),),
    blanks=({"unknown": "k", "form": "integer", "boxes": ["value"], "slots": 1},),
)  # fmt: skip
ESSAY = Question("ESSAY", "", "t", "Explain", 3, "written")
BETWEEN = Question(
    "BETWEEN", "", "t", "Solve", 2, "entry",
    (Offered(RIGHT, "4 < x <= 12", is_right=True), Offered("turned", "x < 4 or x >= 12", slip="turned")),
)  # fmt: skip
WORD = Question(
    "WORD", "", "t", "Choose", 1, "entry", (Offered(RIGHT, "m = 3/2", is_right=True),),
    blanks=({"unknown": "m", "form": "one-of", "boxes": ["word"], "slots": 1, "values": [["B"]],
             "words": ["falls", "rises", "stays level"], "before": "The line"},),
)  # fmt: skip
ROUNDED = Question(
    "ROUNDED", "", "t", "Round", 2, "entry", (Offered(RIGHT, "x = (5 ± sqrt(41))/4", is_right=True),),
    blanks=({"unknown": "x", "form": "decimal", "boxes": ["value"], "slots": 2, "values": [["-0.35"], ["2.85"]]},),
)  # fmt: skip
BRACKETS = Question(
    "BRACKETS", "", "t", "Factorise", 2, "entry",
    (Offered(RIGHT, "3*(x - 2)*(x + 1)", is_right=True), Offered("lost", "(x - 2)*(x + 1)", slip="lost")),
    blanks=({"unknown": "", "form": "brackets", "boxes": list("kabcd"), "slots": 1, "values": [[3, 1, -2, 1, 1]],
             "letter": "x"},),
)  # fmt: skip
WHOLE = Question(
    "WHOLE", "", "t", "Solve", 2, "entry",
    (Offered(RIGHT, "x = -5 or x = 49", is_right=True), Offered("signs", "x = 5 or x = -49", slip="signs"),
     Offered("odd", "x = 7/2 or x = sqrt(3)", slip="odd")),
    blanks=({"unknown": "x", "form": "integer", "boxes": ["value"], "slots": 2, "values": [[-5], [49]]},),
)  # fmt: skip
ROOT = Question(
    "ROOT", "", "t", "Simplify", 2, "entry", (Offered(RIGHT, "answer = 6*sqrt(2)", is_right=True),),
    blanks=({"unknown": "answer", "form": "surd", "boxes": list("qr"), "slots": 1, "values": [[6, 2]]},),
)  # fmt: skip
ENDS = Question(
    "ENDS", "", "t", "Solve", 2, "entry", (Offered(RIGHT, "-sqrt(5) < x < sqrt(5)", is_right=True),),
    blanks=({"unknown": "x", "form": "interval", "ends": "surd", "boxes": list("sqr"), "slots": 2},),
)  # fmt: skip
SURDS = Question(
    "SURDS", "", "t", "Solve", 2, "entry", (Offered(RIGHT, "x = (-7 ± sqrt(73))/4", is_right=True),),
    blanks=({"unknown": "x", "form": "surd", "boxes": list("pqrs"), "slots": 1, "values": [[-7, 1, 73, 4]]},),
)  # fmt: skip
LINE = Question(
    "LINE", "", "t", "Which line", 1, "wrong-line",
    (Offered("1", "a"), Offered("2", "Add. 3*x = 7", "3*x = 7", is_right=True)),
)  # fmt: skip
ORDER = Question(
    "ORDER", "", "t", "Order", 3, "order", (Offered("C A B", "1; 2; 3", is_right=True),), share="1"
)
MATCH = Question(
    "MATCH", "", "t", "Match", 2, "match",
    (Offered("1 A", "u"), Offered("1 B", "v", is_right=True), Offered("2 A", "u", is_right=True),
     Offered("2 B", "v", slip="swapped")),
    share="1",
)  # fmt: skip
WRITTEN = Question("WRITTEN", "", "t", "Write", 4, "written", (Offered(RIGHT, "x = 1", is_right=True),))
KEYS = Keys("", (CHOICE, CHOICES, ENTRY, LINE, ORDER, MATCH, WRITTEN))


def own(question: Question) -> dict[str, str]:
    return {each.name: each.name for each in question.offered}


def read(text: str, orders: Orders | None = None) -> Results:
    table = read_table("c.csv", text.encode())
    reader = read_long if is_long(table) else read_chosen
    return combine(KEYS, *reader(table, KEYS, orders or Orders()))


@pytest.mark.parametrize(
    ("head", "names"),
    [
        ("pupil,item,answer", ("CHOICE", "SMALL")),
        ("Name,Question,Answer", ("1", "2")),
        ("Vorname,Aufgabe,Antwort", ("Aufgabe 1", "Aufgabe 2")),
        ("student,code,response", ("Choose (CHOICE)", "small")),
    ],
)
def test_a_file_with_a_line_for_each_answer_is_read_whatever_its_second_line_names(
    head: str, names: tuple[str, str], tmp_path: Path
) -> None:
    keys = Keys("", (CHOICE, SMALL)).printed_as({0: "1", 1: "2"})
    file = tmp_path / "long.csv"
    lines = [head, f"Ann,{names[0]},B", f"Ann,{names[1]},2", f"Bob,{names[0]},A", f"Bob,{names[1]},1"]
    file.write_text("\n".join(lines), encoding="utf-8")

    found = read_results(keys, Orders(), [file])

    assert [("Ann", [2, 2]), ("Bob", [0, 0])] == [
        (each.pupil, [answer.mark for answer in each.answers.values()]) for each in found.sittings
    ]


def refused(text: str, orders: Orders | None = None) -> tuple[Diagnostic, ...]:
    with pytest.raises(InputError) as raised:
        read(text, orders)
    return raised.value.diagnostics


@pytest.mark.parametrize(
    ("question", "text", "names", "mark"),
    [
        (CHOICE, "B", ("B",), 2),
        (CHOICE, "(b)", ("B",), 2),
        (CHOICE, "x=−3", ("B",), 2),
        (CHOICE, r"\( x = -3 \)", ("B",), 2),
        (CHOICE, "$$x=-3$$", ("B",), 2),
        (CHOICE, MATHML.replace(' alttext="x equals negative 3"', ""), ("B",), 2),
        (CHOICE, NOTED, ("B",), 2),
        (CHOICE, NOTED.replace(' form="prefix"', ""), ("B",), 2),
        (CHOICE, "-3", ("B",), 2),
        (CHOICE, "3", ("A",), 0),
        (CHOICE, "Two different  real roots", ("C",), 0),
        (CHOICE, "D", (), 0),
        (CHOICE, "b.", ("B",), 2),
        (CHOICE, "Option b", ("B",), 2),
        (CHOICE, "B) x = −3", ("B",), 2),
        (CHOICE, "A. x = -3", ("B",), 2),
        (CHOICE, "A/C", (ANOTHER,), 0),
        (CHOICE, "bc", (ANOTHER,), 0),
        (CHOICE, "B/D", (), 0),
        (CHOICE, "x = 17", (), 0),
        (CHOICES, "A, C", ("A", "C"), 2),
        (CHOICES, "AC", ("A", "C"), 2),
        (CHOICES, "x = 1; x = 5", ("A", "C"), 2),
        (CHOICES, "x = 1|x = 2", ("A", "B"), 0),
        (CHOICES, "A B C", ("A", "B", "C"), 1),
        (CHOICES, "B", ("B",), 0),
        (CHOICES, "A; Z", (), 0),
        (ENTRY, "4+√13; 4-√13", (RIGHT,), 3),
        (ENTRY, "x = 4 ± sqrt(13)", (RIGHT,), 3),
        (ENTRY, "x=(8±sqrt(52))/2", (RIGHT,), 3),
        (ENTRY, "-4 + sqrt(13), -4 - sqrt(13)", ("sign-of-half",), 0),
        (ENTRY, "4", (ANOTHER,), 0),
        (ENTRY, "no idea", (ANOTHER,), 0),
        (ENTRY, "9^9^9^9", (ANOTHER,), 0),
        (LINES, "x = −4, y = 1/2", (RIGHT,), 4),
        (LINES, "y=½; x=-4", (RIGHT,), 4),
        (LINES, "x=-4 y=0,5", (RIGHT,), 4),
        (LINES, "-4; 1/2", (RIGHT,), 4),
        (LINES, "-4 1/2", (RIGHT,), 4),
        (LINES, "(-4, 1/2)", (RIGHT,), 4),
        (LINES, "x = -4 y y = 0,5", (RIGHT,), 4),
        (LINES, "1/2, -4", ("swapped",), 0),
        (LINES, "x = -4", (ANOTHER,), 0),
        (LINES, "-4", (ANOTHER,), 0),
        (GRADIENT, "2, -3", (RIGHT,), 3),
        (GRADIENT, "-3, 2", (ANOTHER,), 0),
        (GRADIENT, "c = -3 and m = 2", (RIGHT,), 3),
        (POINTS, "(-1, 3) and (2, 5)", (RIGHT,), 4),
        (POINTS, "(2; 5) (−1; 3)", (RIGHT,), 4),
        (POINTS, "(x, y) = (2, 5) or (x, y) = (-1, 3)", (RIGHT,), 4),
        (POINTS, "x=-1, y=3 or x=2, y=5", (RIGHT,), 4),
        (POINTS, "2,5; -1,3", (RIGHT,), 4),
        (POINTS, "3,-1; 5,2", (ANOTHER,), 0),
        (POINTS, "(3, -1), (5, 2)", (ANOTHER,), 0),
        (MONEY, "£2,410.26", (RIGHT,), 2),
        (MONEY, "+2410.26", (RIGHT,), 2),
        (MONEY, "V = £ 2410,26", (RIGHT,), 2),
        (MONEY, "£2.26", (ANOTHER,), 0),
        (ENTRY, "4 + sqrt13; 4 - sqrt 13", (RIGHT,), 3),
        (BETWEEN, "x > 4, x ≤ 12", (RIGHT,), 2),
        (BETWEEN, "x < 4; x >= 12", ("turned",), 0),
        (BETWEEN, "x < 4 o x >= 12", ("turned",), 0),
        (POINTS, "(-1, 3)", (ANOTHER,), 0),
        (BETWEEN, "x > 4 and x ≤ 12", (RIGHT,), 2),
        (BETWEEN, "12 >= x and 4 < x", (RIGHT,), 2),
        (BETWEEN, "x ≥ 12 or x < 4", ("turned",), 0),
        (BETWEEN, "x ≥ 12 and x < 4", (ANOTHER,), 0),
        (WORD, "Rises", (RIGHT,), 1),
        (WORD, "the line rises", (RIGHT,), 1),
        (WORD, "b", (RIGHT,), 1),
        (WORD, "stays  level", (ANOTHER,), 0),
        (WORD, "A", (ANOTHER,), 0),
        (WORD, "goes up", (ANOTHER,), 0),
        (ENTRY, "1 1/2", (ANOTHER,), 0),
        (ROUNDED, "2 17/20; -7/20", (RIGHT,), 2),
        (ROUNDED, "2.85, -0.35", (RIGHT,), 2),
        (ROUNDED, "x = 2,85; x = −0,35", (RIGHT,), 2),
        (ROUNDED, "2.9, -0.4", (ANOTHER,), 0),
        (LINE, "2", ("2",), 1),
        (LINE, "3x=7", ("2",), 1),
        (LINE, "line 1", ("1",), 0),
        (LINE, "L2", ("2",), 1),
        (LINE, "3", (), 0),
        (ORDER, "C, A, B", ("C A B",), 3),
        (ORDER, "CBA", ("C B A",), 1),
        (ORDER, "CCA", (), 0),
        (MATCH, "1 B; 2 A", ("1 B", "2 A"), 2),
        (MATCH, "R1-B R2-B", ("1 B", "2 B"), 1),
        (MATCH, "1 Z", (), 0),
        (MATCH, "B A", ("1 B", "2 A"), 2),
        (MATCH, "ba", ("1 B", "2 A"), 2),
        (MATCH, "B", (), 0),
        (MATCH, "B A A", (), 0),
        (MATCH, "B Z", (), 0),
        (ORDER, "c a b", ("C A B",), 3),
        (ORDER, "cap", (), 0),
    ],
)  # fmt: skip
def test_what_somebody_chose_is_known_however_it_is_written(
    question: Question, text: str, names: tuple[str, ...], mark: int
) -> None:
    found = named_in(text, question, own(question))

    assert names == found
    if names:
        assert Fraction(mark) == answered(question, found).mark


def test_slips_are_told_with_what_was_chosen() -> None:
    assert ("swapped",) == answered(MATCH, ("1 B", "2 B")).slips
    assert ("sign-of-half",) == answered(ENTRY, ("sign-of-half",)).slips
    assert () == answered(CHOICE, ("B",)).slips
    assert answered(WRITTEN, (ANOTHER,)).mark is None
    assert Fraction(3) == answered(WRITTEN, (ANOTHER,), Fraction(3)).mark


WIDE = "pupil,CHOICE,SEVERAL,ENTRY\nAnn,B,A;C,4+√13; 4-√13\nBob,A,,\nCas,x = 3,B,-4±√13\n"
LONG = (
    "student;question;response;score\nAnn;CHOICE;B;\nAnn;SEVERAL;A,C;\nAnn;ENTRY;4±√13;3\nBob;CHOICE;A;\n"
    "Cas;CHOICE;3;0\nCas;SEVERAL;B;0\nCas;ENTRY;-4 ± sqrt(13);1,5\n"
)


def test_a_line_for_each_pupil_and_a_line_for_each_answer_say_the_same() -> None:
    wide, long = read(WIDE), read(LONG)

    assert ["Ann", "Bob", "Cas"] == [sitting.pupil for sitting in long.sittings]
    for first, second in zip(wide.sittings, long.sittings, strict=True):
        assert [first.answer(n).names for n in range(3)] == [second.answer(n).names for n in range(3)]
    assert ["not reached", "not reached"] == [wide.sittings[1].answer(n).state.value for n in (1, 2)]
    assert ["not given", "not given"] == [long.sittings[1].answer(n).state.value for n in (1, 2)]
    assert Fraction(3, 2) == long.sittings[2].answers[2].mark
    assert ["typed-answers"] == [each.code for each in wide.doubts if each.code != "missing-column"]
    assert ["missing-line"] == [each.code for each in long.doubts]


@pytest.mark.parametrize(
    ("text", "code", "line", "column"),
    [
        ("pupil,CHOICE\nAnn,D\n", "unknown-option", 2, 5),
        ("pupil,CHOICE\nAnn,A\nAnn,B\n", "same-pupil-twice", 3, 1),
        ("pupil,item,answer\nAnn,CHOICE,A\nAnn,CHOICE,B\n", "same-pupil-twice", 3, 5),
        ("pupil,item,answer\nAnn,CHOYCE,A\n", "unknown-item", 2, 5),
        ("pupil,item,mark\nAnn,CHOICE,3\n", "not-a-mark", 2, 12),
        ("pupil,ENTRY\nAnn,03-Feb\n", "date-for-answer", 2, 5),
        ("pupil,CHOICE\nAnn,B\nBen,1\n", "unknown-option", 3, 5),
        ("pupil,item,answer\nAnn,ENTRY,2026-02-03\n", "date-for-answer", 2, 11),
    ],
)
def test_what_is_wrong_is_told_at_its_cell(text: str, code: str, line: int, column: int) -> None:
    (found,) = [each for each in refused(text) if each.code == code]

    assert found.span
    assert (line, column) == (found.span.line, found.span.column)
    assert found.hint


def test_the_number_of_an_option_is_told_with_its_letter() -> None:
    (found,) = [
        each for each in refused("pupil,CHOICE,ENTRY\nAnn,2,x = 1\n") if each.code == "unknown-option"
    ]

    assert found.hint.startswith("write the letter, B for 2; its options: A (x = 3), ")


def test_lines_of_right_answers_and_sums_are_no_pupils_and_that_is_told() -> None:
    wide = read("pupil,CHOICE,ENTRY\nKey,B,x = 4 ± √13\nAnn,B,x = 1\nNumber correct,1,0\n")
    long = read("pupil,item,answer\nAnn,CHOICE,B\nAnn,ENTRY,x = 1\nTotal,,1\n")

    for found, lines in ((wide, [2, 4]), (long, [4])):
        assert ["Ann"] == [sitting.pupil for sitting in found.sittings]
        assert lines == [each.span.line for each in found.doubts if each.code == "summary-line" and each.span]


VERSIONS = Orders(
    {"A": tuple(range(7)), "B": tuple(range(7))}, {"A": {0: ("B", "A", "C")}, "B": {0: ("C", "B", "A")}}
)


def test_a_letter_is_that_of_the_pupils_version() -> None:
    results = read("pupil,version,CHOICE\nAnn,A,A\nBob,b,B\nCas,B,x = -3\n", VERSIONS)

    assert [("B",)] * 3 == [sitting.answers[0].names for sitting in results.sittings]
    assert ["no-version"] == [
        each.code for each in refused("pupil,CHOICE\nAnn,A\n", VERSIONS) if each.level.value == "wrong"
    ]
    assert ("B",) == read("pupil,CHOICE\nCas,x = -3\n", VERSIONS).sittings[0].answers[0].names


def test_a_letter_without_its_version_is_told_once() -> None:
    codes = [each.code for each in refused("pupil,CHOICE\nAnn,A\nBob,B\nCas,C\n", VERSIONS)]

    assert 1 == codes.count("no-version")
    told = refused("pupil,version,CHOICE\nAnn,C,A\n", VERSIONS)
    assert ["no-version"] == [each.code for each in told if each.level.value == "wrong"]


def test_the_options_there_are_have_the_letters_of_the_version() -> None:
    (found,) = [
        each for each in refused("pupil,version,CHOICE\nAnn,B,E\n", VERSIONS) if each.code == "unknown-option"
    ]

    assert (
        "its options: A (two different real roots), B (x = −3), C (x = 3); nothing, or -, for none"
        == found.hint
    )


MARKED = "".join(f"Pupil {number},{number % 3},{number % 4}\n" for number in range(12))
"""Marks of a class, among which one that is none is a slip of the hand."""


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (",CHOICE,ENTRY,pupil\n,2,3,maximum\n,1,2,Ann\n", "CHOICE ENTRY"),
        ("pupil,CHOICE,ENTRY\nAnn,1,2\nmean,1.0,n/a\n", "CHOICE ENTRY"),
        ("pupil,CHOICE,ENTRY\nmaximum,2,3\nAnn,1,2\n", "CHOICE ENTRY"),
        ("pupil,CHOICE,ENTRY\nmaximum,2,3\nAnn,O,2\nBen,1,2\n", "CHOICE ENTRY"),
        ("pupil,CHOICE,ENTRY\nmaximum,2,3\nAnn,b,2\nBen,C,2\nCas,abs,abs\n", "ENTRY"),
        ("pupil,CHOICE,ENTRY\nmaximum,2,3\nAnn,b,x = 2\n", "ENTRY"),
        ("pupil,CHOICE,ENTRY\nAnn,1,2\n", "CHOICE ENTRY"),
        ("pupil,CHOICE,ENTRY\nanswers,,\nAnn,1,2\n", ""),
        ("pupil,CHOICE,ENTRY\nAnn,B,2\nBen,-,\nCas,a,1½\n", "ENTRY"),
        ("pupil,CHOICE,ENTRY\nAnn,B,x = 2\nBen,C,1\n", ""),
        ("pupil,CHOICE,ENTRY\nAnn,B,4 ± √13\nBen,C,1\n", ""),
        ("pupil,CHOICE,ENTRY\nAnn,2,-7\nBen,0,3\n", "CHOICE"),
        ("pupil,CHOICE,ENTRY\nAnn,,\n", ""),
        ("pupil,ENTRY,GRADIENT\nAnn,2,3\nBen,1,m = 2\n", ""),
        ("pupil,CHOICE,SMALL\nAnn,B,2\nBen,C,2\nCas,A,1\n", ""),
        ("pupil,CHOICE,SMALL\nAnn,B,2\nBen,C,0\nCas,A,1\n", "SMALL"),
        ("pupil,CHOICE,SMALL\nmaximum,2,2\nAnn,B,2\nBen,C,2\nCas,A,1\n", "SMALL"),
        ("pupil,ENTRY,ESSAY\nAnn,x = 4,3\nBen,x = 1,0\n", "ESSAY"),
        ("pupil,ENTRY,ESSAY\nanswers,,\nAnn,2,3\n", "ESSAY"),
        ("pupil,ENTRY,ESSAY\nAnn,x = 4,I halve it.\n", ""),
        (f"pupil,CHOICE,ENTRY\n{MARKED}Max,4,1\n", "CHOICE ENTRY"),
        (f"pupil,CHOICE,ENTRY\n{MARKED}Lea,1,01.Feb\n", "CHOICE ENTRY"),
        (f"pupil,CHOICE,ENTRY\n{MARKED}Lea,✓,x\n", "CHOICE ENTRY"),
        (f"pupil,CHOICE,ENTRY\n{MARKED},13,9\n", "CHOICE ENTRY"),
        (f"pupil,CHOICE,ENTRY\n{MARKED}Lea,B,1\n", "ENTRY"),
        (f"pupil,CHOICE,ENTRY\n{MARKED}Lea,1,x = 4 ± √13\n", "CHOICE"),
        ("pupil,CHOICE,ENTRY\nAnn,1/2,3/3\nBen,50 %,0 %\n", "CHOICE ENTRY"),
        ("pupil,GRADIENT,SMALL\nAnn,1/2,1/3\nBen,2/3,1\n", "GRADIENT SMALL"),
    ],
)
def test_columns_of_marks_are_told_from_columns_of_answers_by_their_looks(text: str, expected: str) -> None:
    keys = Keys("A test", (CHOICE, ENTRY, GRADIENT, SMALL, ESSAY))

    found = columns_of_marks(read_table("c.csv", text.encode()), keys)

    assert expected.split() == [keys.questions[place].column for place in sorted(found)]


def test_letters_of_some_questions_stand_beside_marks_of_others() -> None:
    text = 'pupil,CHOICE,SEVERAL,ENTRY,total\nmaximum,2,2,3,7\nAnn,b,A C,2,6\nBen,A,,"1,5",9\nCas,a,a,a,\n'
    table = read_table("c.csv", text.encode())

    keys = Keys("A test", (CHOICE, CHOICES, ENTRY))

    records, doubts = read_chosen(table, keys, Orders(), columns_of_marks(table, keys))
    results = combine(keys, records)

    assert [Fraction(6), Fraction(3, 2)] == [sitting.total for sitting in results.sittings]
    assert ("sign-of-half",) == results.sittings[1].answers[0].slips
    assert 1 == results.absent
    assert [("total-differs", 4)] == [(each.code, each.span.line) for each in doubts if each.span]


def test_that_numbers_beside_letters_are_taken_for_marks_is_told_with_their_questions(tmp_path: Path) -> None:
    """What is written by hand is never typed, and a line of maxima says it: nothing is guessed then."""
    keys = Keys("A test", (CHOICE, ENTRY, ESSAY))
    guessed, said = tmp_path / "guessed.csv", tmp_path / "said.csv"
    guessed.write_text("pupil,CHOICE,ENTRY,ESSAY\nAnn,B,2,3\nBen,C,0,1\n", "utf-8")
    said.write_text("pupil,CHOICE,ENTRY,ESSAY\nmaximum,2,3,3\nAnn,B,2,3\nBen,C,0,1\n", "utf-8")

    results = [read_results(keys, Orders(), [path]) for path in (guessed, said)]

    assert [Fraction(7), Fraction(1)] == [sitting.total for sitting in results[0].sittings]
    assert results[0].sittings == results[1].sittings
    assert ["taken-for-marks"] == [each.code for each in results[0].doubts]
    assert (
        "the numbers of 1 question are taken for marks, not for answers: ENTRY"
        == results[0].doubts[0].message
    )
    assert () == results[1].doubts


def test_another_maximum_and_too_many_marks_beside_letters_are_wrong() -> None:
    table = read_table("c.csv", b"pupil,CHOICE,SEVERAL,ENTRY\nmaximum,2,2,4\nAnn,B,AC,4\nBen,A,B,x\n")

    keys = Keys("A test", (CHOICE, CHOICES, ENTRY))

    with pytest.raises(InputError) as caught:
        read_chosen(table, keys, Orders(), columns_of_marks(table, keys))

    assert ["wrong-maximum", "more-than-maximum", "not-a-mark"] == [
        each.code for each in caught.value.diagnostics
    ]


def test_marks_of_one_file_and_choices_of_another_are_one_answer() -> None:
    chosen, _ = read_chosen(read_table("c.csv", WIDE.encode()), KEYS, Orders())
    told, _ = read_long(read_table("m.csv", b"pupil,item,mark\nCas,ENTRY,1\nAnn,CHOICE,2\n"), KEYS, Orders())

    results = combine(KEYS, [*chosen, *told])
    cas = next(sitting for sitting in results.sittings if sitting.pupil == "Cas")
    assert (Fraction(1), ("sign-of-half",)) == (cas.answers[2].mark, cas.answers[2].names)
    with pytest.raises(InputError, match="stands here"):
        combine(KEYS, [*chosen, *chosen])


@pytest.mark.parametrize(
    ("question", "text", "name"),
    [
        (WHOLE, "0-5, 49", ANOTHER),
        (WHOLE, "-5, 7^2", ANOTHER),
        (WHOLE, "-10/2, 49", ANOTHER),
        (WHOLE, "-5 and sqrt(2401)", ANOTHER),
        (WHOLE, "22 ± 27", ANOTHER),
        (WHOLE, "5 or 0-49", ANOTHER),
        (WHOLE, "-5 & 49", RIGHT),
        (WHOLE, "7/2, √3", "odd"),
        (WHOLE, "3.5, sqrt(3)", "odd"),
        (WHOLE, "3 + 1/2 and √3", ANOTHER),
        (WHOLE, "-5 49", RIGHT),
        (WHOLE, "x₁ = -5; x₂ = 49", RIGHT),
        (WHOLE, "x1 = -5, x_2 = 49", RIGHT),
        (SURDS, "(-7 + sqrt(73))/4, (-7 - sqrt(73))/4", RIGHT),
        (SURDS, "x = (-7+√73)/4; x = (-7-√73)/4", RIGHT),
        (SURDS, "(-7 + sqrt(73))/4", ANOTHER),
        (SURDS, "-7/4 ± √73/4", RIGHT),
        (SURDS, "(-14 ± 2√73)/8", RIGHT),
        (SURDS, "(-14 ± sqrt(292))/8", RIGHT),
        (SURDS, "(-3-4 ± sqrt(73))/4", ANOTHER),
        (ROOT, "6√2", RIGHT),
        (ROOT, "6 × √2", RIGHT),
        (ROOT, "√2·6", RIGHT),
        (ROOT, "12/2 √2", ANOTHER),
        (ROOT, "√72", RIGHT),
        (ROOT, "√6·√12", ANOTHER),
        (ROOT, "12/√2", ANOTHER),
        (ROOT, "6√200000000000000000000000", ANOTHER),
        (ROOT, "sqrt(72000000000000000002)", ANOTHER),
        (BRACKETS, "3(x-2)(x+1)^60", ANOTHER),
        (ROOT, "3√2 + 3√2", ANOTHER),
        (ENDS, "-√5 < x < √5", RIGHT),
        (ENDS, "-√5 < x < √(10/2)", ANOTHER),
        (ROUNDED, "(5 ± sqrt(41))/4", ANOTHER),
        (BRACKETS, "3(x+1)(x-2)", RIGHT),
        (BRACKETS, "-3(2-x)(x+1)", RIGHT),
        (BRACKETS, "3x^2-3x-6", ANOTHER),
        (BRACKETS, "3(x^2-x-2)", ANOTHER),
        (BRACKETS, "(3x-6)(x+1)", RIGHT),
        (BRACKETS, "(2x-4)(x+1)/2", ANOTHER),
        (BRACKETS, "x^2-x-2", ANOTHER),
        (BRACKETS, "(x+1)(x-2)", "lost"),
    ],
)
def test_what_is_typed_has_to_be_worked_out_as_boxes_ask(question: Question, text: str, name: str) -> None:
    assert (name,) == named_in(text, question, {})


def test_signs_that_saving_lost_are_told_once_with_how_many() -> None:
    """√ and − are no letters of Windows-1252: saved in it, `4 ± √13` is `4 ± ?13`."""
    lines = ["pupil,ENTRY", "Ann,4 ± ?13", "Bob,x = \ufffd4", "Cas,?", "Dan,what?", "Eve,4 ± √13"]
    found = read("\n".join(lines) + "\n")

    (told,) = [each for each in found.doubts if each.code == "lost-signs"]
    assert told.span
    assert (2, 5) == (told.span.line, told.span.column)
    assert "may have been lost when it was saved, and so in 1 more: no marks are given" in told.message
    assert [0, 0, 0, 0, 3] == [each.answers[0].mark for each in found.sittings]


def test_what_is_not_worked_out_is_told_once_with_how_many() -> None:
    table = read_table(
        "c.csv", b"pupil,WHOLE\nanswers\nAnn,0-5 and 49\nBen,-5 and 7^2\nCas,3 and 4\nDan,-5 and 49\n"
    )
    records, doubts = read_chosen(table, Keys("", (WHOLE,)), Orders())
    assert [0, 0, 0, 2] == [record.answers[0].mark for record in records]
    told = [each for each in doubts if each.code == "not-worked-out"]
    assert [(3, "1 more")] == [
        (each.span.line, "1 more") for each in told if each.span and "1 more" in each.message
    ]


def test_who_was_absent_has_words_that_say_so_and_no_answer() -> None:
    table = read_table("c.csv", b"pupil,CHOICE,ENTRY\nAnn,absent,\nBen,A,none\nCas,ill,ill\n")
    records, doubts = read_chosen(table, Keys("", (CHOICE, ENTRY)), Orders())

    assert 2 == combine(Keys("", (CHOICE, ENTRY)), records, doubts).absent


@pytest.mark.parametrize(
    ("question", "text", "mark"),
    [
        (ROOT, "6√2", 2),
        (ROOT, "2√18", 1),
        (ROOT, "√72", 1),
        (ROOT, "√6·√12", 0),
        (ROOT, "√74", 0),
        (SURDS, "(-7 ± √73)/4", 2),
        (SURDS, "(-14 ± 2√73)/8", 1),
        (SURDS, "(-14 ± √292)/8", 1),
        (BRACKETS, "3(x+1)(x-2)", 2),
        (BRACKETS, "(3x+3)(x-2)", 1),
        (BRACKETS, "3x^2-3x-6", 0),
        (LINES, "x = -4, y = 1/2", 4),
        (LINES, "x = -4, y = 2/4", 3),
        (LINES, "x = -4, y = 0.5", 4),
        (LINES, "x = -8/2, y = 1/2", 3),
        (LINES, "x = -4, y = 1 - 1/2", 0),
        (WHOLE, "-5, 49", 2),
        (WHOLE, "-10/2, 49", 0),
    ],
)
def test_what_is_equal_and_not_simplified_earns_a_mark_less_as_on_a_platform(
    question: Question, text: str, mark: int
) -> None:
    table = read_table("c.csv", f'pupil,{question.code}\nanswers\nAnn,"{text}"\n'.encode())
    records, _ = read_chosen(table, Keys("", (question,)), Orders())

    assert mark == records[0].answers[0].mark
