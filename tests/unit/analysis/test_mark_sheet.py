"""Mark sheets as people fill them in and spreadsheets save them."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from itembank.analysis.columns import WHO, question_named, with_second_head
from itembank.analysis.keys import Keys, Offered, Question
from itembank.analysis.mark_sheet import read_mark_sheet
from itembank.analysis.orders import Orders, read_orders
from itembank.analysis.response_files import read_results
from itembank.analysis.responses import Results, State, combine
from itembank.analysis.shown import answer_shown
from itembank.analysis.tables import read_table
from itembank.errors import Diagnostic, InputError
from tests.analysis_samples import keys_of

KEYS = keys_of([2, 1, 3])
HEAD = "pupil,ITEM00,ITEM01,ITEM02,total\nmaximum,2,1,3,6\n"


def read(text: str | bytes, orders: Orders | None = None) -> Results:
    data = text.encode() if isinstance(text, str) else text
    records, doubts = read_mark_sheet(read_table("m.csv", data, WHO), KEYS, orders or Orders())
    return combine(KEYS, records, doubts)


def refused(text: str | bytes) -> tuple[Diagnostic, ...]:
    with pytest.raises(InputError) as raised:
        read(text)
    return raised.value.diagnostics


def states(results: Results, pupil: int = 0) -> list[str]:
    return [answer.state.value for answer in results.sittings[pupil].answers.values()]


def marks(results: Results, pupil: int = 0) -> list[Fraction | None]:
    return [answer.mark for answer in results.sittings[pupil].answers.values()]


@pytest.mark.parametrize(
    "data",
    [
        (HEAD + "Ann,1.5,0,3,4.5\n").encode(),
        ("\ufeff" + HEAD + "Ann,1.5,0,3,4.5\n").encode(),
        (HEAD + "Ann,1.5,0,3,4.5\n").replace(",", ";").replace("1.5", "1,5").replace("4.5", "4,5").encode(),
        (HEAD + "Ann,1.5,0,3,4.5\n").replace(",", "\t").replace("\n", "\r\n").encode("utf-16"),
        ("sep=;\n" + HEAD + "Ann,1.5,0,3,\n").replace(",", ";").encode(),
        (HEAD + '"Ann"," 1.5 ",0,3,4.5\r\n\r\n,,,,\r\n').encode(),
        b"Full Name,Q2 (ITEM01),Sums (ITEM00),ITEM02\nAnn,0,1.5,3",
        ("Unit 4;;;;\n\n" + (HEAD + "Ann,1.5,0,3,4.5\n").replace(",", ";")).encode(),
        ("Unit 4, evening\n" + HEAD + "Ann,1.5,0,3,4.5\n").replace("Unit 4, evening", "Unit 4").encode(),
        b"Family name,First name,ITEM00,ITEM01,ITEM02\nmaximum,,2,1,3\nquestion,,1,2,3\nReed,Ann,1.5,0,3\n",
        (";Part 1;;Part 2\n;;;\n" + (HEAD + "Ann,1.5,0,3,4.5\n").replace(",", ";")).encode(),
        b"No,pupil,ITEM00,ITEM01,ITEM02,total\n,maximum,2,1,3,6\n1,Ann,1.5,0,3,4.5\n",
    ],
    ids=[
        "commas",
        "mark",
        "semicolons",
        "tabs",
        "sep",
        "quoted",
        "titles",
        "above",
        "title",
        "names",
        "headings",
        "second",
    ],
)
def test_every_usual_way_of_saving_a_sheet_is_read(data: bytes) -> None:
    results = read(data)

    assert [Fraction(3, 2), Fraction(0), Fraction(3)] == marks(results)
    assert () == tuple(each for each in results.doubts if each.code != "no-question")


@pytest.mark.parametrize(
    "head",
    [
        "Pupil name",
        "Student Name",
        "NAME",
        "Schüler",
        "Schüler/in",
        "Alumno/a",
        "Nombre y apellidos",
        "Learner",
        '"Name, Vorname"',
        "Teilnehmer/in",
        "Alumnos",
        "Candidate number",
    ],
)
def test_names_of_pupils_stand_below_what_people_call_them(head: str) -> None:
    results = read(HEAD.replace("pupil", head, 1) + "Ann,1,0,3,4\n")

    assert ["Ann"] == [sitting.pupil for sitting in results.sittings]


def test_a_sheet_in_german_is_read() -> None:
    text = (
        "Vorname;Nachname;Klasse;Aufgabe 3;Frage 1;Nr. 2(b);Gesamt\n"
        "Ada;Lind;7b;1,5;0;3;4,5\nBo;Ek;7b;krank;krank;krank;\n"
    )
    printed = KEYS.printed_as(Orders(numbers={"": {0: "3", 1: "1", 2: "2(b)"}}).printed())
    records, doubts = read_mark_sheet(read_table("m.csv", text.encode(), WHO), printed, Orders())
    results = combine(printed, records)

    assert ["Ada Lind"] == [sitting.pupil for sitting in results.sittings]
    assert [Fraction(3, 2), Fraction(0), Fraction(3)] == marks(results)
    assert 1 == results.absent
    assert ["taken-for-numbers"] == [each.code for each in doubts]


def test_codes_in_small_letters_are_the_same_codes() -> None:
    """As some programs export heads; the line of maxima below is no second head."""
    table = with_second_head(read_table("m.csv", (HEAD + "Ann,1,0,3,4\n").lower().encode(), WHO), KEYS)
    records, _ = read_mark_sheet(table, KEYS, Orders())

    assert [Fraction(1), Fraction(0), Fraction(3)] == marks(combine(KEYS, records))


MAXIMA_LINES = [
    "maximum",
    "Max.marks",
    "out of",
    "Marks available",
    "Total possible",
    "Höchstpunktzahl",
    "Puntuación máxima",
]


@pytest.mark.parametrize("label", [*MAXIMA_LINES, "", "Max", "max."])
def test_a_line_of_maxima_is_no_pupil_whatever_it_is_called(label: str, tmp_path: Path) -> None:
    file = tmp_path / "m.csv"
    for text in (f"{label},2,1,3\nAnn,1,0,3\nBen,2,1,2\n", f"Ann,1,0,3\nBen,2,1,2\n{label},2,1,3\n"):
        file.write_text(f"pupil,ITEM00,ITEM01,ITEM02\n{text}", "utf-8")
        results = read_results(KEYS, Orders(), [file])

        assert ["Ann", "Ben"] == [sitting.pupil for sitting in results.sittings]
        told = [each.code for each in results.doubts]
        assert (
            ["summary-line"] if label.lower().startswith("max") and label in ("Max", "max.") else []
        ) == told


def test_a_boy_called_max_is_a_pupil_unless_his_marks_are_the_best_in_every_question(tmp_path: Path) -> None:
    file = tmp_path / "m.csv"
    for head, line, pupils in (
        ("pupil", "Max", ["Ann", "Max", "Ben"]),
        ("pupil", "Min", ["Ann", "Min", "Ben"]),
        ("pupil", "Max Reed", ["Ann", "Max Reed", "Ben"]),
        ("First name,Surname", "Max,Reed", ["Ann Fry", "Max Reed", "Ben Orr"]),
    ):
        rest = ("", "") if "," not in line else (",Fry", ",Orr")
        file.write_text(
            f"{head},ITEM00,ITEM01,ITEM02\nAnn{rest[0]},2,0,2\n{line},1,1,3\nBen{rest[1]},0,0,1\n", "utf-8"
        )
        assert pupils == [each.pupil for each in read_results(KEYS, Orders(), [file]).sittings]
    file.write_text("pupil,ITEM00,ITEM01,ITEM02\nAnn,1,1,2\nBen,0,0,1\nMax,1,1,2\nMin,0,0,1\n", "utf-8")

    best = read_results(KEYS, Orders(), [file])

    assert ["Ann", "Ben"] == [each.pupil for each in best.sittings]
    assert [4, 5] == [each.span.line for each in best.doubts if each.code == "summary-line" and each.span]


def test_a_line_below_the_head_that_names_a_pupil_is_no_second_head() -> None:
    table = read_table("m.csv", b"Name,First one,Second one\nAnn,1,2\n", WHO)

    assert table == with_second_head(table, KEYS.printed_as({0: "1", 1: "2", 2: "3"}))


def test_a_table_with_a_line_for_each_question_is_told_to_be_turned() -> None:
    for head in ("pupil,Ann,Ben", "question,Ann,Ben"):
        (found,) = refused(f"{head}\nITEM00,1,2\nITEM01,0,1\nITEM02,3,2\n")
        assert found.hint.endswith("has to be turned, so that each pupil has a line")


def test_numbers_tell_pupils_apart_where_there_are_no_names() -> None:
    assert ["7", "8"] == [
        each.pupil for each in read("Nr.,ITEM00,ITEM01,ITEM02\n7,1,0,3\n8,0,0,1\n").sittings
    ]
    assert ["Ann"] == [each.pupil for each in read("ID,Name,ITEM00,ITEM01,ITEM02\n7,Ann,1,0,3\n").sittings]


def test_words_at_the_head_of_a_column_are_left_alone_and_near_codes_are_not() -> None:
    results = read("pupil,ITEM00,Comment,Grade\nAnn,1,well done,B\n")

    assert [("no-question", 14), ("no-question", 22)] == [
        (each.code, each.span.column)
        for each in results.doubts
        if each.span and "column" in each.message[:10]
    ]
    assert ["unknown-item"] == [
        each.code for each in refused("pupil,ITEM00,ITEM0I,Grade\nAnn,1,1,B\n") if each.level.value == "wrong"
    ]


def test_maxima_are_no_numbers_of_questions() -> None:
    keys = KEYS.printed_as({0: "1", 1: "2", 2: "3"})
    table = read_table("m.csv", b"pupil,ITEMXX,ITEMYY\nmaximum,1,2\nAnn,1,1\n", WHO)

    assert table == with_second_head(table, keys)


@pytest.mark.parametrize(("letter", "figure"), [("O", 0), ("o", 0), ("l", 1), ("I", 1)])
def test_a_letter_that_looks_like_a_figure_is_told_to_be_one(letter: str, figure: int) -> None:
    (fault,) = refused(f"{HEAD}Ann,1,{letter},3,\n")

    assert ("not-a-mark", f"this is a letter: write the figure {figure}") == (fault.code, fault.hint)


@pytest.mark.parametrize("word", ["Mean", "Durchschnitt", "average:", "TOTAL", "Media", "standard deviation"])
def test_a_line_of_means_is_no_pupil_and_that_is_told(word: str) -> None:
    results = read(HEAD + f"Ann,1,0,3,4\n{word},=AVERAGE(B3),0.5,3,4.5\n")

    assert ["Ann"] == [sitting.pupil for sitting in results.sittings]
    assert [("summary-line", 4)] == [(each.code, each.span.line) for each in results.doubts if each.span]


def test_more_columns_are_left_alone_where_no_question_lacks_one() -> None:
    results = read("pupil,ITEM00,ITEM01,ITEM02,grade\nAnn,1,0,3,B+\n")

    assert [Fraction(1), Fraction(0), Fraction(3)] == marks(results)
    assert ["no-question"] == [each.code for each in results.doubts]


@pytest.mark.parametrize(
    "heads",
    [
        "3,1,2(b)",
        "Q3,Question 1,q2b",
        "No. 3,pregunta 1,2 (b)",
        "Q3 (2),1 /1,2(b) [3 marks]",
        "Response 3,P1,#2b",
    ],
)
def test_columns_may_have_the_numbers_of_the_only_paper(heads: str) -> None:
    printed = KEYS.printed_as(Orders(numbers={"": {0: "3", 1: "1", 2: "2(b)"}}).printed())
    table = read_table("m.csv", f"pupil,{heads}\nmaximum,2,1,3\nAnn,1.5,0,3\n".encode())
    records, doubts = read_mark_sheet(table, printed, Orders())

    assert [Fraction(3, 2), Fraction(0), Fraction(3)] == marks(combine(printed, records))
    assert ["taken-for-numbers"] == [each.code for each in doubts]


def test_a_head_with_another_maximum_is_not_the_question() -> None:
    printed = KEYS.printed_as({0: "3", 1: "1", 2: "2"})
    with pytest.raises(InputError) as raised:
        read_mark_sheet(read_table("m.csv", b"pupil,Q3 (5),Q1\nAnn,1,1\n", WHO), printed, Orders())

    assert ["unknown-item"] == [each.code for each in raised.value.diagnostics if each.level.value == "wrong"]


def test_numbers_of_several_versions_name_no_question() -> None:
    orders = Orders(numbers={"A": {0: "3", 1: "1", 2: "2"}, "B": {0: "1", 1: "2", 2: "3"}})
    printed = KEYS.printed_as(orders.printed())

    assert ["A 3, B 1", "A 1, B 2", "A 2, B 3"] == [question.printed for question in printed.questions]
    assert {} == printed.by_number()
    with pytest.raises(InputError, match="no column is an item"):
        read_mark_sheet(read_table("m.csv", b"pupil,1,2,3\nAnn,1,1,1\n"), printed, orders)


def test_options_are_told_where_they_stand_in_the_only_paper_or_in_each_version() -> None:
    offered = (Offered("A", "x = 2*sqrt(3)", is_right=True), Offered("B", "none"))
    keys = Keys("", (Question("ITEM00", "", "t", "", 1, "choice", offered), KEYS.questions[1]))
    one = Orders(numbers={"": {0: "3(b)", 1: "1"}})
    two = Orders(
        numbers={"A": {0: "3", 1: "1"}, "B": {0: "1", 1: "2"}},
        options={"A": {0: ("A", "B")}, "B": {0: ("B", "A")}},
    )

    told = [
        [
            answer_shown(each)
            for each in keys.printed_as(orders.printed(), orders.printed_options(keys)).questions[0].offered
        ]
        for orders in (Orders(), one, two)
    ]
    assert [
        ["A (x = 2√3)", "B (no real solution)"],
        ["x = 2√3 (on paper 3(b) A)", "no real solution (on paper 3(b) B)"],
        ["x = 2√3 (on paper A 3 A, B 1 B)", "no real solution (on paper A 3 B, B 1 A)"],
    ] == told
    assert {0} == set(two.printed_options(keys))


def test_a_version_that_there_is_not_is_told_at_its_cell() -> None:
    text = "pupil,version,ITEM00,ITEM01,ITEM02\nAnn,C,1,1,1\n"
    with pytest.raises(InputError) as raised:
        read(text, Orders({"A": (0, 1, 2), "B": (2, 1, 0)}))

    assert [("no-version", 2, 5)] == [
        (each.code, each.span.line, each.span.column) for each in raised.value.diagnostics if each.span
    ]


def test_what_nobody_of_several_answered_is_left_out_and_told() -> None:
    lines = [f"P{number},{number % 3},1,,\n" for number in range(5)]

    results = read(HEAD + "".join(lines))
    assert ["ITEM00", "ITEM01"] == [question.column for question in results.questions]
    assert ("ITEM02",) == results.left_out
    assert ["nobody-answered"] == [each.code for each in results.doubts]
    assert 3 == len(read(HEAD + "".join(lines[:4])).questions), "of a few pupils it may be so"
    assert 3 == len(read(HEAD + "".join([*lines[:4], "P4,1,1,-,\n"])).questions), (
        "one is said to have left it out"
    )


def test_a_tick_is_told_to_be_written_as_marks() -> None:
    (found,) = refused(HEAD + "Ann,✓,0,3,\n")

    assert "write 2 where all is right" in found.hint


def test_blanks_at_the_end_are_not_reached_and_others_omitted() -> None:
    results = read(HEAD + "Ann,,1,3,\nBob,1,,,\nCas,-,,-,\nDee,1,-,,\n")

    assert ["omitted", "answered", "answered"] == states(results, 0)
    assert ["answered", "not reached", "not reached"] == states(results, 1)
    assert ["answered", "omitted", "not reached"] == states(results, 2)
    assert 3 == len(results.sittings), "Cas answered nothing at all"
    assert 1 == results.absent
    assert [Fraction(1), Fraction(0), Fraction(0)] == marks(results, 1)


def test_lines_that_number_the_columns_are_no_pupils_and_tell_the_order() -> None:
    sheet = HEAD + "question A,2,3,1,\nquestion B,3(a),1,3(b),\n"
    orders = read_orders("m.csv", sheet.encode(), KEYS)

    assert {"A": (2, 0, 1), "B": (1, 0, 2)} == orders.versions
    assert {"": (1, 0)} == read_orders("m.csv", (HEAD + "question,11,2,,\n").encode(), KEYS).versions
    assert 1 == len(read(sheet + "Ann,1,1,1,\n").sittings)


def test_where_a_pupils_version_is_not_known_blanks_are_omitted_and_that_is_told() -> None:
    results = read(HEAD + "Ann,1,,,\n", Orders({"A": (0, 1, 2), "B": (2, 1, 0)}))

    assert ["answered", "omitted", "omitted"] == states(results)
    assert ["version-unknown"] == [each.code for each in results.doubts]


def test_what_was_reached_follows_the_order_of_the_paper_where_that_is_known() -> None:
    printed = Orders({"A": (2, 0, 1), "B": (1, 0, 2)})
    text = "pupil,version,ITEM00,ITEM01,ITEM02\nAnn,A,,,3\nBob,B,,1,\nCas,B,,,3\n"

    results = read(text, printed)

    assert ["not reached", "not reached", "answered"] == states(results, 0)
    assert ["not reached", "answered", "not reached"] == states(results, 1)
    assert ["omitted", "omitted", "answered"] == states(results, 2)


@pytest.mark.parametrize(
    ("text", "code", "line", "column", "told"),
    [
        (HEAD + "Ann,3,0,3,\n", "more-than-maximum", 3, 5, "at most 2"),
        (HEAD + "Ann,1,x,3,\n", "not-a-mark", 3, 7, "`x`"),
        (HEAD + "Ann,1/2,0,3,\n", "not-a-mark", 3, 5, "`1/2`"),
        (HEAD + "Ann,1,50 %,3,\n", "not-a-mark", 3, 7, "`50 %`"),
        (HEAD + "Ann,1,01-Feb,3,\n", "not-a-mark", 3, 7, "`01-Feb`"),
        (HEAD + "Ann,-1,0,3,\n", "not-a-mark", 3, 5, "`-1`"),
        (HEAD + "Ann,1,0,3,\nann ,1,0,3,\n", "same-pupil-twice", 4, 1, "line 3"),
        (HEAD + ",1,0,3,\n", "no-pupil", 3, 1, "no pupil"),
        (HEAD.replace("ITEM01", "ITEM0I") + "Ann,1,0,3,\n", "unknown-item", 1, 14, "`ITEM0I`"),
        (HEAD.replace("ITEM01", "ITEM00") + "Ann,1,0,3,\n", "same-column-twice", 1, 14, "twice"),
        (HEAD.replace(",2,1,", ",2,4,") + "Ann,1,0,3,\n", "wrong-maximum", 2, 11, "is 1 in the build"),
        ("a,ITEM00\nAnn,1\n", "no-pupil-column", 1, 1, "`pupil`"),
        ("pupil,total\nAnn,1\n", "unknown-item", 1, 1, "no column"),
        (HEAD + "Ann,1,0,3,4,5\n", "too-many-cells", 3, 13, "6 cells"),
        (HEAD + 'Ann,"1,0,3,4\n', "open-quotation", 3, 5, "quotation"),
        ("\n\n", "no-table", 1, 1, "no table"),
        (b"pupil,ITEM00\nJos\xe9,1\n", "not-utf-8", 2, 4, "UTF-8"),
        (HEAD, "no-results", 0, 0, "no pupil"),
        (HEAD + "Ann,,,,\n", "no-results", 3, 1, "no pupil"),
    ],
)
def test_what_is_wrong_is_told_at_its_cell(
    text: str | bytes, code: str, line: int, column: int, told: str
) -> None:
    (found, *more) = [each for each in refused(text) if each.code == code]

    assert [] == more
    assert (line, column) == ((found.span.line, found.span.column) if found.span else (0, 0))
    assert told in found.message
    assert "" == found.excerpt, "a line of results holds a name"


def test_all_that_is_wrong_is_told_at_once() -> None:
    codes = [each.code for each in refused(HEAD + "Ann,3,x,3,\n,1,1,1,\n")]

    assert ["more-than-maximum", "not-a-mark", "no-pupil"] == codes


def test_an_unknown_item_is_told_with_the_nearest() -> None:
    found = refused(HEAD.replace("ITEM01", "ITEM01X") + "Ann,1,0,3,\n")

    assert ["missing-column", "unknown-item"] == [each.code for each in found]
    assert "nearest: ITEM01" == found[1].hint


def test_questions_without_a_column_are_left_out_and_told() -> None:
    results = read("pupil,ITEM00\nAnn,1\nBob,2\n")

    assert ["ITEM00"] == [question.column for question in results.questions]
    assert ("ITEM01", "ITEM02") == results.left_out
    assert ["missing-column"] == [each.code for each in results.doubts]


def test_a_total_that_does_not_fit_is_doubtful() -> None:
    (found,) = read(HEAD + "Ann,1,0,3,5\n").doubts

    assert "total-differs" == found.code
    assert "add up to 4" in found.message


def test_a_name_with_an_apostrophe_of_a_spreadsheet_is_the_same_name() -> None:
    assert "-Jo" == read(HEAD + "'-Jo,1,0,3,\n").sittings[0].pupil


def test_a_table_has_bounds(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("itembank.analysis.tables.MOST_BYTES", 20)
    assert ["too-large"] == [each.code for each in refused(HEAD)]
    monkeypatch.setattr("itembank.analysis.tables.MOST_BYTES", 2000)
    monkeypatch.setattr("itembank.analysis.tables.MOST_CELLS", 5)
    assert ["too-large"] == [each.code for each in refused(HEAD + "Ann,1,0,3,\n")]


def test_states_are_told_apart() -> None:
    assert 5 == len({state.value for state in State})


@pytest.mark.parametrize("line", ["abs,abs,abs,", "Abs.,,,", "absent,ABSENT,absent,abs", "a,a,a,a", ",,,"])
def test_a_line_of_nothing_but_absence_is_a_pupil_who_was_absent(line: str) -> None:
    results = read(f"{HEAD}Ann,2,0,3,5\nBen,{line}\n")

    assert 1 == results.absent
    assert 1 == len(results.sittings)


def test_absence_beside_marks_is_no_number_of_marks() -> None:
    (fault,) = refused(f"{HEAD}Ann,2,abs,3,5\n")

    assert "not-a-mark" == fault.code


def test_cells_that_are_kept_from_a_spreadsheets_hands_are_read_as_what_they_hold() -> None:
    """A platform writes ="2" so that no spreadsheet makes another thing of it."""
    held = "\n".join(
        ",".join(f'"=""{cell}"""' for cell in line.split(",")) for line in (HEAD + "Ann,1,0,3,").split("\n")
    )

    assert [each.answers for each in read(HEAD + "Ann,1,0,3,\n").sittings] == [
        each.answers for each in read(held + "\n").sittings
    ]


def test_a_column_that_is_no_item_is_told_with_what_columns_may_be_called() -> None:
    printed = KEYS.printed_as({0: "3", 1: "1", 2: "2"})
    with pytest.raises(InputError) as raised:
        read_mark_sheet(read_table("m.csv", b"pupil,Q9,ITEM00\nAnn,1,1\n", WHO), printed, Orders())

    told = next(each for each in raised.value.diagnostics if each.code == "unknown-item")
    assert "items have the codes of staff/mark-sheet.csv, or the numbers of the paper, 1 to 3" == told.hint


@pytest.mark.parametrize(
    "text",
    [
        "pupil,Part 1,,Part 2,total\n,ITEM00,ITEM01,ITEM02,\nmaximum,2,1,3,6\nAnn,1.5,0,3,4.5\n",
        "pupil,Part 1,,Part 2\n,1,2,3\nAnn,1.5,0,3\n",
        "pupil;Part 1;;\n;1;2;3\nAnn;1,5;0;3\n",
        "pupil,Question,,,Mark\n,1,2,3,\nAnn,1.5,0,3,4.5\n",
        "pupil,Question,,,Mark\nName,1,2,3,total\nAnn,1.5,0,3,4.5\n",
    ],
)
def test_names_of_questions_may_stand_below_merged_headings(text: str) -> None:
    keys = KEYS.printed_as({0: "1", 1: "2", 2: "3"})
    records, _ = read_mark_sheet(
        with_second_head(read_table("m.csv", text.encode(), WHO), keys), keys, Orders()
    )

    assert [("Ann", [Fraction(3, 2), 0, 3])] == [
        (each.pupil, [each.answers[place].mark for place in range(3)]) for each in records
    ]


@pytest.mark.parametrize("text", ["pupil,ITEM00\n1,2\n", "pupil,AB\nAnn,Ben\n", "pupil,AB\n"])
def test_a_head_that_names_questions_or_nothing_stays_as_it_is(text: str) -> None:
    table = read_table("m.csv", text.encode(), WHO)

    assert table == with_second_head(table, KEYS)


def test_a_name_is_looked_up_without_going_over_all_questions() -> None:
    """A build may have tens of thousands of questions, and a table a cell for each."""
    asked: list[str] = []

    class Watched(Question):
        @property
        def column(self) -> str:
            asked.append(self.code)
            return self.code

    keys = Keys("", tuple(Watched(f"ITEM{number:02}", "", "t", "", 1, "entry") for number in range(50)))
    asked.clear()

    assert [7, 9, 11, None] == [
        question_named(text, keys) for text in ("ITEM07", "item09", "Sums (ITEM11)", "ITEM99")
    ]
    assert ((3,), ()) == (keys.of_item("ITEM03"), keys.of_item("ITEM99"))
    assert not asked


@pytest.mark.parametrize("written", ["n/a", "N/A", "na", "n.a."])
def test_a_cell_may_say_that_a_question_was_not_given(written: str) -> None:
    found = read(HEAD + f"Ann,1,{written},3,4\nBob,1,1,3,5\n")

    assert [State.ANSWERED, State.NOT_GIVEN, State.ANSWERED] == [
        found.sittings[0].answer(place).state for place in range(3)
    ]
    assert (4, 5) == (found.sittings[0].total, found.sittings[0].most)


@pytest.mark.parametrize("half", [".5", ",5", "0.5", "½"])
def test_half_a_mark_is_read_as_it_is_written(half: str) -> None:
    assert [Fraction(1, 2), 0, 3] == marks(read(f"pupil;ITEM00;ITEM01;ITEM02\nAnn;{half};0;3\n"))


def test_a_table_of_an_older_program_may_be_read_in_its_encoding() -> None:
    """In the bytes of Windows-1252 as the WHATWG Encoding Standard lists them (from memory)."""
    table = read_table("m.csv", b"pupil;ITEM00\nJos\xe9 \x8a;1\n", WHO, older=True)

    assert table.is_older
    assert "José Š" == table.rows[0][0].text
    assert not read_table("m.csv", "pupil;ITEM00\nJosé;1\n".encode(), WHO, older=True).is_older


@pytest.mark.parametrize("data", [b"pupil;ITEM00\nJos\xc3\xa9 \xe9;1\n", b"pupil;ITEM00\nJos\x81;1\n"])
def test_what_is_damaged_is_no_table_of_an_older_program(data: bytes) -> None:
    with pytest.raises(InputError) as raised:
        read_table("m.csv", data, WHO, older=True)

    assert ["not-utf-8"] == [each.code for each in raised.value.diagnostics]
