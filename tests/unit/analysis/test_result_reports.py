"""Result reports of the open standard, as platforms write them."""

from __future__ import annotations

from fractions import Fraction

import pytest

from itembank.analysis.keys import RIGHT, Keys, Offered, Question
from itembank.analysis.response_files import read_results
from itembank.analysis.responses import BLANK, Answer, Record, State, combine
from itembank.analysis.result_reports import is_xml, read_report
from itembank.errors import InputError
from tests.analysis_samples import item_result, report_xml
from tests.qti_schemas import STANDARDS, faults, needs_examples, needs_schemas, schema

CHOICE = Question(
    "K7Q2M", "", "t", "Choose", 2, "choice",
    (Offered("A", "x = 3", slip="sign-of-half"), Offered("B", "x = -3", is_right=True)),
)  # fmt: skip
ENTRY = Question(
    "B4XD9", "", "t", "Enter", 3, "entry",
    (Offered(RIGHT, "x = -5 or x = 3", is_right=True), Offered("sign", "x = 5 or x = -3", slip="sign"),
     Offered("nothing", "none", slip="nothing")),
    blanks=({"unknown": "x", "form": "integer", "boxes": ["value"], "slots": 2},),
)  # fmt: skip
PARTS = (
    Question("TWO22", "a", "t", "Two", 1, "choice", (Offered("A", "u", is_right=True), Offered("B", "v")), parts=2),
    Question(
        "TWO22", "b", "t", "Two", 2, "entry", (Offered(RIGHT, "p = 4", is_right=True),), parts=2,
        blanks=({"unknown": "p", "form": "integer", "boxes": ["value"], "slots": 1},),
    ),
)  # fmt: skip
LINE = Question(
    "LINE7", "", "t", "Line", 1, "wrong-line", (Offered("1", "a"), Offered("2", "b", is_right=True))
)
MATCH = Question(
    "MATCH",
    "",
    "t",
    "Match",
    2,
    "match",
    (Offered("1 A", "u", is_right=True), Offered("1 B", "v")),
    share="1",
)
ORDER = Question(
    "RDER2", "", "t", "Order", 3, "order", (Offered("C A B", "1; 2; 3", is_right=True),), share="1"
)
WRITTEN = Question("WR1TE", "", "t", "Write", 4, "written", (Offered(RIGHT, "x = 1", is_right=True),))
KEYS = Keys("", (CHOICE, ENTRY, *PARTS, LINE, MATCH, ORDER, WRITTEN))


def read(*items: str) -> Record:
    record = read_report("r.xml", report_xml("p-1", items), KEYS, "r")
    assert record is not None
    return record


def answer(item: str, place: int) -> Answer:
    return read(item).answers[place]


@pytest.mark.parametrize(
    ("item", "place", "names", "mark"),
    [
        (item_result("item-K7Q2M", {"RESPONSE": ["B"]}, "2.0"), 0, ("B",), 2),
        (item_result("K7Q2M", {"RESPONSE": ["A"]}), 0, ("A",), 0),
        (item_result("K7Q2M", {"RESPONSE": ["Z"]}, "0"), 0, ("another answer",), 0),
        (item_result("B4XD9", {"BOX_1": ["3"], "BOX_2": ["-5"]}, "3"), 1, (RIGHT,), 3),
        (item_result("B4XD9", {"BOX_1": ["3"], "BOX_2": ["-5"]}), 1, (RIGHT,), 3),
        (item_result("B4XD9", {"BOX_1": ["−3"], "BOX_2": ["5"]}, "0"), 1, ("sign",), 0),
        (item_result("B4XD9", {"BOX_1": ["7"], "BOX_2": []}, "1"), 1, ("another answer",), 1),
        (item_result("B4XD9", {"BOX_1": [], "TICK": ["none"]}, "0"), 1, ("nothing",), 0),
        (item_result("B4XD9", {"BOX_1": ["seven"]}, "0"), 1, ("another answer",), 0),
        (item_result("B4XD9", {"BOX_1": ["6/2"]}, "2", feedback=["F0"]), 1, (RIGHT,), 2),
        (item_result("TWO22", {"RESPONSE_a": ["A"], "BOX_b_1": ["4"]}, "3", more={"SCORE_a": "1", "SCORE_b": "2"}), 2,
         ("A",), 1),
        (item_result("TWO22", {"RESPONSE_a": ["B"], "BOX_b_1": ["4"]}, "2"), 3, (RIGHT,), 2),
        (item_result("LINE7", {"RESPONSE": ["L2"]}, "1"), 4, ("2",), 1),
        (item_result("MATCH", {"RESPONSE": ["R1 A"]}), 5, ("1 A",), 1),
        (item_result("RDER2", {"RESPONSE": ["C", "B", "A"]}), 6, ("C B A",), 1),
        (item_result("WR1TE", {"RESPONSE": ["long"]}, "2.5"), 7, ("another answer",), Fraction(5, 2)),
    ],
)  # fmt: skip
def test_an_answer_is_known_by_identifiers_and_by_value(
    item: str, place: int, names: tuple[str, ...], mark: Fraction
) -> None:
    found = answer(item, place)

    assert (names, Fraction(mark)) == (found.names, found.mark)


def test_nothing_is_nothing_and_what_waits_for_a_marker_is_unmarked() -> None:
    assert BLANK == answer(item_result("K7Q2M", {"RESPONSE": []}, "0"), 0)
    assert BLANK == answer(item_result("K7Q2M", {"RESPONSE": [""]}, "0"), 0)
    assert BLANK == answer(item_result("K7Q2M", {"RESPONSE": ["A"]}, status="initial"), 0)
    waiting = answer(item_result("WR1TE", {"RESPONSE": ["long"]}, "0", status="pendingExternalScoring"), 7)
    assert (State.UNMARKED, None) == (waiting.state, waiting.mark)
    assert State.UNMARKED is answer(item_result("WR1TE", {"RESPONSE": ["long"]}), 7).state


def test_the_last_attempt_counts() -> None:
    found = read(
        item_result("K7Q2M", {"RESPONSE": ["B"]}, "2", when="2026-03-02T10:05:00"),
        item_result("K7Q2M", {"RESPONSE": ["A"]}, "0", when="2026-03-02T10:01:00"),
    )

    assert ("B",) == found.answers[0].names
    assert [0] == list(found.answers), "other items were not given"


def test_an_attempt_that_was_opened_and_left_as_it_was_hides_no_answer() -> None:
    opened = item_result("K7Q2M", {"RESPONSE": []}, "0", when="2026-03-02T10:05:00", status="initial")
    found = read(item_result("K7Q2M", {"RESPONSE": ["A"]}, "0", when="2026-03-02T10:01:00"), opened)

    assert ("A",) == found.answers[0].names
    assert State.OMITTED is read(opened).answers[0].state


def test_an_identifier_is_known_in_small_letters_and_behind_other_words() -> None:
    found = read(item_result("bank-item-k7q2m", {"RESPONSE": ["B"]}, "2"))

    assert ("B",) == found.answers[0].names


def test_what_was_not_reached_follows_the_order_of_the_report() -> None:
    found = read(
        item_result("LINE7", {"RESPONSE": ["L1"]}, "0"),
        item_result("K7Q2M", {"RESPONSE": []}, "0"),
        item_result("B4XD9", {"BOX_1": []}, "0"),
    )
    states = [each.state.value for each in combine(KEYS, [found]).sittings[0].answers.values()]

    assert (4, 0, 1) == found.order
    assert ["not reached", "not reached", "answered"] == states


@pytest.mark.parametrize("version", ["2p1", "2p2", "3p0"])
def test_every_version_of_the_standard_is_read(version: str) -> None:
    data = report_xml(
        "p-1",
        [item_result("K7Q2M", {"RESPONSE": ["B"]})],
        f"http://www.imsglobal.org/xsd/imsqti_result_v{version}",
    )

    record = read_report("r.xml", b"\xef\xbb\xbf" + data, KEYS, "r")
    assert record is not None
    assert ("p-1", ("B",)) == (record.pupil, record.answers[0].names)
    assert is_xml(data)
    assert (
        read_report("r.xml", data.replace(b"imsqti_result", b"other").replace(b"xsd/", b""), KEYS, "r")
        is None
    )


@pytest.mark.parametrize(
    ("data", "code", "line"),
    [
        (report_xml("p", [item_result("K7Q2M", {"RESPONSE": ["B"]}, "3")]), "more-than-maximum", 2),
        (report_xml("p", [item_result("K7Q2M", {"RESPONSE": ["B"]}, "-1")]), "not-a-mark", 2),
        (report_xml("p", [item_result("K7Q2M", {"RESPONSE": ["B"]}, "NaN")]), "not-a-mark", 2),
        (report_xml("p", [item_result("OTHER", {"RESPONSE": ["B"]}, "1")]), "unknown-item", 2),
        (report_xml("p", []).replace(b"<context", b"<contex", 1)[:-4], "not-well-formed", 2),
        (b'<?xml version="1.0"?>\n<!DOCTYPE a SYSTEM "file:///etc/passwd"><a/>', "document-type", 1),
        (report_xml("p\xe9", []).decode().encode("latin-1"), "not-utf-8", 2),
        (report_xml("p", []).decode().encode("utf-16"), "not-utf-8", 1),
    ],
)
def test_what_is_wrong_is_told_at_its_line(data: bytes, code: str, line: int) -> None:
    with pytest.raises(InputError) as raised:
        read_report("r.xml", data, KEYS, "r")
    (found,) = raised.value.diagnostics

    assert code == found.code
    assert found.span
    assert line == found.span.line


def test_the_number_and_the_size_of_reports_have_bounds(
    tmp_path: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    from pathlib import Path

    from itembank.analysis.orders import Orders

    folder = Path(str(tmp_path))
    for number in range(3):
        (folder / f"{number}.xml").write_bytes(
            report_xml(f"p{number}", [item_result("K7Q2M", {"RESPONSE": ["B"]})])
        )
    assert 3 == len(read_results(KEYS, Orders(), [folder]).sittings)
    monkeypatch.setattr("itembank.analysis.response_files.MOST_REPORTS", 2)
    with pytest.raises(InputError, match="more than 2 files"):
        read_results(KEYS, Orders(), [folder])
    monkeypatch.setattr("itembank.analysis.response_files.REPORT_BYTES", 100)
    monkeypatch.setattr("itembank.analysis.response_files.MOST_REPORTS", 9)
    with pytest.raises(InputError, match="larger than"):
        read_results(KEYS, Orders(), [folder])


@needs_schemas
def test_the_reports_of_these_tests_are_as_the_schema_wants_them() -> None:
    from lxml import etree

    data = report_xml("p-1", [item_result("K7Q2M", {"RESPONSE": ["B"]}, "2", feedback=["F0"])])

    assert [] == faults(schema("qti-3.0/imsqti_resultv3p0_v1p0.xsd"), etree.fromstring(data))


@needs_examples
def test_the_official_example_with_several_attempts_is_read_as_it_says() -> None:
    """Its comment: the last response to the choice is B C (1 mark), to the order B A D C (1 mark).

    The file as published closes its first element at once, which is mended here.
    """
    options = tuple(Offered(f"choice_{letter}", letter, is_right=letter != "C") for letter in "ABC")
    keys = Keys(
        "",
        (
            Question("item-1-choice", "", "t", "", 3, "choices", options),
            Question("item-2-order", "", "t", "", 1, "order", (Offered("B A D C", "", is_right=True),)),
        ),
    )
    path = STANDARDS / "qti-examples" / "qtiv3-examples" / "results" / "full-example.xml"
    head, _, rest = path.read_bytes().partition(b'_resultv3p0_v1p0.xsd"/>')
    found = read_report(str(path), head + b'_resultv3p0_v1p0.xsd">' + rest, keys, "r")

    assert found is not None
    assert "i5f6079370572f11078000ad90e617188f4" == found.pupil
    assert (("choice_B", "choice_C"), Fraction(1)) == (found.answers[0].names, found.answers[0].mark)
    assert Fraction(1) == found.answers[1].mark


@needs_examples
def test_the_official_example_with_two_attempts_is_read_as_it_says() -> None:
    options = tuple(Offered(letter, letter, is_right=letter == "A") for letter in "ABCD")
    path = STANDARDS / "qti-examples" / "qtiv3-examples" / "results" / "report.xml"
    found = read_report(
        str(path), path.read_bytes(), Keys("", (Question("Q01", "", "t", "", 1, "choice", options),)), "r"
    )

    assert found is not None
    assert ("johnsmith1", ("B",), Fraction(0)) == (found.pupil, found.answers[0].names, found.answers[0].mark)
