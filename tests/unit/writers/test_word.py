"""Word-processing documents: well formed, whole, equal each time; whatever a text holds, it prints as text."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import time
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from itembank.content import Content, Hole, Table, Text, TextShape, of_text
from itembank.errors import DomainError
from itembank.expressions import display
from itembank.expressions.conventions import Conventions
from itembank.expressions.omml import NAMESPACE, omml
from itembank.figures import drawing, in_words
from itembank.items import ChoiceResponse, EntryResponse, Item, SolutionLine
from itembank.writers import word
from itembank.writers.base import Writer
from itembank.writers.facts import Looks, PaperFacts
from itembank.writers.order import versions
from itembank.writers.paper import choices_to_mark, combined_rows, key_rows, total_marks
from itembank.writers.scheme import alternatives, scheme_rows, slip_score_words
from itembank.writers.word import page as word_page
from itembank.writers.word.characters import plain
from itembank.writers.word.parts import NUMBERS, width_of
from tests import kinds_bank, samples, template_items
from tests.paper_items import FACTS, HARD, HARD_TEXTS, content, paragraph, with_stem
from tests.qti_items import MORE, pictured_item

EVERY = (*samples.ALL, *MORE, *HARD)
_W = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"


def _parts(made: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(made)) as package:
        return {name: package.read(name) for name in package.namelist()}


def _text(made: bytes) -> str:
    """Every word and every piece of mathematics of a document, paragraph by paragraph."""
    root = etree.fromstring(_parts(made)["word/document.xml"])
    lines = []
    for line in root.iter(f"{{{_W}}}p"):
        pieces = [
            "\t" if each.tag == f"{{{_W}}}tab" else each.text or ""
            for each in line.iter(f"{{{_W}}}t", f"{{{_W}}}tab", f"{{{NAMESPACE}}}t")
            if each.getparent() is not None and each.getparent().tag != f"{{{_W}}}tabs"
        ]
        lines.append("".join(pieces))
    return "\n".join(lines)


@pytest.mark.parametrize("name", word.DOCUMENTS)
def test_a_document_is_a_package_of_well_formed_parts_and_the_same_each_time(name: str) -> None:
    items = [make() for make in EVERY]
    made = word.document(name, items, FACTS)

    assert made == word.document(name, [make() for make in EVERY], FACTS)
    parts = _parts(made)
    assert "[Content_Types].xml" == next(iter(parts))
    for part, data in parts.items():
        if part.endswith((".xml", ".rels")):
            etree.fromstring(data)
    with zipfile.ZipFile(io.BytesIO(made)) as package:
        assert 1 == len({info.date_time for info in package.infolist()})


@pytest.mark.parametrize("now", [-86_400, 4_354_819_200], ids=["1969", "2108"])
def test_a_document_does_not_ask_what_the_time_is(monkeypatch: pytest.MonkeyPatch, now: int) -> None:
    """A clock that is wrong, as of a machine without a battery, may tell what no container can hold."""
    before = word.document("answer-key", [samples.choice_item()], FACTS)
    monkeypatch.setattr(time, "time", lambda: now)

    assert before == word.document("answer-key", [samples.choice_item()], FACTS)


def test_the_container_is_what_the_library_would_write(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same parts, names and content types, of a document with several papers and pictures."""
    seen = []
    packed = word_page._packed

    def both(document: Any) -> bytes:
        out = io.BytesIO()
        document.save(out)
        made = packed(document)
        seen.append((_parts(out.getvalue()), _parts(made)))
        return made

    monkeypatch.setattr(word_page, "_packed", both)
    word.pupils_papers("question-paper", [(FACTS, [make() for make in EVERY]), (FACTS, [pictured_item()])])

    ((theirs, ours),) = seen
    assert list(theirs.items()) == list(ours.items())


def test_mathematics_is_native_and_words_are_text() -> None:
    text = _text(word.document("question-paper", [samples.surd_entry_item(), samples.choice_item()], FACTS))

    assert "x2" in text
    assert "\\" not in text
    assert FACTS.title in text
    assert "End of questions" in text


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("interval-surd-halves", "x □ ( □ + □ √ □ ) / □ and / or  x □ ( □ + □ √ □ ) / □ ☐ no real solution"),
        ("interval-roots", "x □ □ √ □ and / or  x □ □ √ □ ☐ no real solution"),
        ("brackets", "( □ x + □ ) ( □ x + □ )"),
        ("points", "(x, y) = ( □, □ ) or  (x, y) = ( □, □ )"),
        ("follow-fractions", "t = □ / □ or  t = □ / □"),
    ],
)
def test_what_is_to_be_filled_is_framed_as_the_text_says(name: str, shown: str) -> None:
    """Boxes are framed blanks, which no line parts and which are framed at its end too."""
    made = word.document("question-paper", list(template_items.items(name, 1)), FACTS)
    root = etree.fromstring(_parts(made)["word/document.xml"])
    lines = []
    for line in root.iter(f"{{{_W}}}p"):
        if line.find(f".//{{{_W}}}bdr") is not None:
            pieces = []
            for run in line.iter(f"{{{_W}}}r", f"{{{NAMESPACE}}}r"):
                text = "".join(each.text or "" for each in run.iter(f"{{{_W}}}t", f"{{{NAMESPACE}}}t"))
                framed = run.find(f".//{{{_W}}}bdr") is not None
                assert framed == bool(re.fullmatch("\u2007+", text))
                pieces.append("□" if framed else text)
            lines.append(re.sub(r"[ \u2003]{2,}", " ", "".join(pieces)).replace("\u00a0", " "))

    assert shown in lines
    assert "__" not in _text(made)


def test_what_closes_a_formula_stands_in_it_so_that_no_line_begins_with_it() -> None:
    made = _parts(word.document("question-paper", [samples.choice_item()], FACTS))[
        "word/document.xml"
    ].decode()
    formulas = re.findall(r"<m:oMath.*?</m:oMath>", made, re.DOTALL)

    assert any(re.search(r"<m:nor/>(?:(?!<m:r>).)*>\.</m:t></m:r></m:oMath>$", each) for each in formulas)
    assert not re.search(r"</m:oMath>\s*<w:r>(?:(?!</w:r>).)*<w:t[^>]*>[.,;:?!]", made)


def test_long_mathematics_is_in_pieces_that_a_line_may_end_between() -> None:
    """Some word processors part no formula: what stands behind the margin would be lost."""
    long = samples.maths(" + ".join(f"(x + {n})*(x - {n})/{n}" for n in range(1231, 1236)) + " = 7")
    short = samples.maths("x^2 + 8*x - 3 = 0")
    seen = []
    for shown in (long, short):
        stem = Content(TextShape((paragraph(Hole(0)),), 1), (shown,))
        made = _parts(word.document("question-paper", [with_stem(stem)], FACTS))["word/document.xml"]
        pieces = [
            "".join(text.text or "" for text in each.iter(f"{{{NAMESPACE}}}t"))
            for each in etree.fromstring(made).iter(f"{{{NAMESPACE}}}oMath")
        ]
        seen.append([piece.replace("\u200b", "") for piece in pieces])

    assert [len(pieces) for pieces in seen] == [6, 1]
    assert [piece[0] for piece in seen[0]] == ["(", "+", "+", "+", "+", "="]
    whole = "".join(re.findall("<m:t[^>]*>([^<]*)", omml(long)))
    assert "".join(seen[0]) == whole


def test_marks_stand_at_the_right_and_their_sum_on_the_front() -> None:
    items = [make() for make in samples.ALL]
    text = _text(word.document("question-paper", items, FACTS))

    assert total_marks(items) == sum(int(found) for found in re.findall(r"\t\[(\d+)\]", text))
    assert f"Total marks\t{total_marks(items)}" in text
    assert f"out of {total_marks(items)}" in text


def test_codes_version_and_name_stand_where_they_are_looked_for() -> None:
    (version,) = versions([make() for make in samples.ALL], 1)
    facts = replace(FACTS, version="C", pupil="Ada Marsh", language="es", date="12 May 2026")
    made = word.document("question-paper", version, facts)
    text, foot = _text(made), _parts(made)["word/footer1.xml"].decode()

    assert all(item.code in text for item in version)
    assert "Ada Marsh" in text
    assert "Versión C" in text
    assert "Versión C" in foot
    assert "Página " in foot
    assert 'w:val="es"' in _parts(made)["word/styles.xml"].decode()
    assert "<dc:language>es</dc:language>" in _parts(made)["docProps/core.xml"].decode()


@pytest.mark.parametrize(
    ("looks", "width"), [(Looks(), "11906"), (Looks(size="letter", large=True), "12240")]
)
def test_the_sheet_and_the_size_of_letters_are_as_asked(looks: Looks, width: str) -> None:
    # Source of the widths in twentieths of a point: ISO 216 (A4, 210 mm), US letter, 8.5 in; rounded as Word does.
    parts = _parts(word.document("question-paper", [], replace(FACTS, looks=looks)))
    found = re.search(rb'w:pgSz [^>]*w:w="(\d+)"', parts["word/document.xml"])

    assert found is not None
    assert abs(int(width) - int(found[1])) <= 4
    assert (b'w:sz w:val="36"' in parts["word/styles.xml"]) == looks.large


@pytest.mark.parametrize("make", samples.ALL)
def test_the_question_paper_holds_no_slip_and_no_address(make: Callable[[], Item]) -> None:
    item = make()
    made = b"".join(_parts(word.document("question-paper", [item], FACTS)).values()).decode(
        "utf-8", "replace"
    )

    assert item.address.template not in made
    assert all(slip.name not in made for slip in item.parts[0].slips)


@settings(max_examples=25)
@given(st.text() | st.sampled_from(HARD_TEXTS))
def test_any_text_prints_as_text_or_is_told(text: str) -> None:
    item = with_stem(of_text(f"before {text} after"))
    made = word.document(
        "question-paper", [item], PaperFacts(text, text, text, instructions=(text,), pupil=text)
    )

    assert f"before {plain(text)} after" in _text(made)
    told = word.document_shortfalls(made)
    assert bool(told) == ("\ufffd" in plain(text))


def _named_papers(looks: Looks) -> list[tuple[PaperFacts, tuple[Item, ...]]]:
    """Papers in two versions, with pictures, for three pupils."""
    pictured = [*(make() for make in samples.ALL), pictured_item(), *kinds_bank.items("curve-to-sketch", 1)]
    both = versions(pictured, 2)
    return [
        (replace(FACTS, version=letter, pupil=name, looks=looks), both["AB".index(letter)])
        for name, letter in (("Ada Marsh", "A"), ("Bo Reed", "B"), ("Cy Teal", "A"))
    ]


def test_papers_of_a_class_are_each_as_if_alone() -> None:
    papers = _named_papers(Looks())
    together = etree.fromstring(_parts(word.pupils_papers("question-paper", papers))["word/document.xml"])
    alone = [_text(word.document("question-paper", items, facts)) for facts, items in papers]

    assert "\n".join(alone) == _text(word.pupils_papers("question-paper", papers))
    pictures = "{http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing}docPr"
    numbers = [each.get("id") for each in together.iter(pictures)]
    assert len(numbers) >= 6
    assert [str(number) for number in range(1, len(numbers) + 1)] == numbers
    starts = [each.get(f"{{{_W}}}start") for each in together.iter(f"{{{_W}}}pgNumType")]
    assert ["1", "1"] == starts


@pytest.mark.parametrize("looks", [Looks(), Looks("letter", front="heading")])
def test_papers_of_a_class_are_printed_with_their_own_pages(looks: Looks, tmp_path: Path) -> None:
    papers = _named_papers(looks)
    pages = _printed(word.pupils_papers("question-paper", papers), tmp_path)

    first = [number for number, page in enumerate(pages) if "Question paper" in page]
    assert 3 == len(first)
    for (facts, _), start, end in zip(papers, first, [*first[1:], len(pages)], strict=True):
        assert end - start >= 2
        for number, page in enumerate(pages[start:end], 1):
            foot = f"{facts.title}, Version {facts.version}, {facts.pupil} Page {number}"
            assert foot == " ".join(page.strip().splitlines()[-1].split())


def _pretty(made: bytes) -> str:
    """The body of a document, an element on each line; what it stands in is the library's."""
    root = etree.fromstring(_parts(made)["word/document.xml"])
    body = etree.fromstring(etree.tostring(root[0]), etree.XMLParser(remove_blank_text=True))
    etree.indent(body, " ")
    etree.cleanup_namespaces(body)
    return etree.tostring(body, encoding="unicode") + "\n"


@pytest.mark.parametrize("name", word.DOCUMENTS)
def test_a_small_paper_looks_as_it_was_read_by_eye(
    name: str, same_as_golden: Callable[[str, str], None]
) -> None:
    items = (samples.choice_item(), samples.surd_entry_item(), samples.rewrite_item())

    same_as_golden(f"word/{name}.xml", _pretty(word.document(name, items, FACTS)))


def test_the_last_words_of_a_paper_stand_in_the_row_of_its_last_question() -> None:
    root = etree.fromstring(
        _parts(word.document("question-paper", [samples.choice_item()], FACTS))["word/document.xml"]
    )
    rows = list(root.iter(f"{{{_W}}}tr"))

    assert "End of questions" in "".join(rows[-1].itertext())


def test_the_box_to_tick_and_its_words_move_to_a_new_line_together() -> None:
    (item,) = template_items.items("none", 1)

    assert "☐\u00a0no\u00a0real\u00a0solution" in _text(word.document("question-paper", [item], FACTS))


def test_the_line_below_a_picture_has_the_room_it_needs() -> None:
    pictured = pictured_item()
    made = _parts(word.document("worked-solutions", [pictured], FACTS))["word/document.xml"]
    tables = list(etree.fromstring(made).iter(f"{{{_W}}}tbl"))
    shown = [line for line in pictured.parts[0].solution if line.figure]
    cells = [
        cell
        for table in tables[-len(shown) :]
        for cell in table.iter(f"{{{_W}}}tc")
        if cell.find(f".//{{{NAMESPACE}}}oMath") is not None
    ]
    widths = [int(cell.find(f".//{{{_W}}}tcW").get(f"{{{_W}}}w")) for cell in cells]  # type: ignore[union-attr]

    for line, width in zip(shown, widths[-len(shown) :], strict=True):
        assert line.maths is not None
        assert width >= int(width_of(line.maths, FACTS) * 1440 / 25.4) - 1


def test_names_of_functions_are_words() -> None:
    root = etree.fromstring(omml(samples.maths("gcd(x, y)")))
    run = next(each for each in root.iter(f"{{{NAMESPACE}}}r") if "gcd" in "".join(each.itertext()))

    assert run.find(f".//{{{NAMESPACE}}}nor") is not None


def test_a_table_of_a_stem_stands_below_its_text_and_stays_with_it() -> None:
    rows = ((Text("2"),), (Text("3"),))
    table = Table(((Text("x"),), (Text("=1+1"),)), (rows, rows), ("right", "center"))
    item = with_stem(content(paragraph(Text("See")), table, paragraph(Text("Solve it."))))
    millimetre = 1440 / 25.4
    for name, start in (("worked-solutions", NUMBERS), ("question-paper", 0.0)):
        root = etree.fromstring(_parts(word.document(name, [item], FACTS))["word/document.xml"])
        tables = root.xpath("//w:tbl[.//w:t = '=1+1' and not(.//w:tbl)]", namespaces={"w": _W})
        assert isinstance(tables, list)
        (found,) = tables
        (indent,) = found.iter(f"{{{_W}}}tblInd")
        widths = [int(each.get(f"{{{_W}}}w", "")) for each in found.iter(f"{{{_W}}}gridCol")]

        assert int(indent.get(f"{{{_W}}}w", "")) == pytest.approx(start * millimetre, abs=1)
        assert sum(widths) + start * millimetre <= (210 - 36) * millimetre + 2
        assert 6 == len(list(found.iter(f"{{{_W}}}keepNext")))
        assert 3 * ["right", "center"] == [each.get(f"{{{_W}}}val") for each in found.iter(f"{{{_W}}}jc")]


@pytest.mark.parametrize("large", [False, True])
def test_the_key_has_every_part_with_its_letters_and_marks(large: bool) -> None:
    items = [make() for make in EVERY]
    facts = replace(FACTS, looks=Looks(large=large))
    rows = _rows(word.document("answer-key", items, facts), 4 if large else 5)

    assert [facts.words("number"), facts.words("marks")] == [rows[0][0], rows[0][-1]]
    assert [row.option for row in key_rows(items)] == [row[-2] for row in rows[1:-1]]
    assert [str(row.marks) for row in key_rows(items)] == [row[-1] for row in rows[1:-1]]
    assert [row.question + row.code for row in key_rows(items)] == [
        row[0] if large else row[0] + row[1] for row in rows[1:-1]
    ]
    assert str(total_marks(items)) == rows[-1][-1]


@pytest.mark.parametrize(("looks", "together"), [(Looks(), 3), (Looks(large=True), 2)])
def test_the_key_to_all_versions_tells_of_each_where_an_item_stands_and_what_is_right(
    looks: Looks, together: int
) -> None:
    every = versions([*(make() for make in EVERY), *kinds_bank.items("order-of-surds", 1)], 5)
    made = word.combined_key(every, "ABCDE", replace(FACTS, looks=looks))
    told = list(combined_rows(every))

    for number, start in enumerate(range(0, 5, together)):
        letters = "ABCDE"[start : start + together]
        rows = _rows(made, len(letters) + 3, number)
        assert list(letters) == rows[0][1:-2]
        assert [row.key.code for row in told] == [row[0] for row in rows[1:-1]]
        assert [str(row.key.marks) for row in told] == [row[-1] for row in rows[1:-1]]
        places = [
            [f"{name}  {option}" for name, option in row.places[start : start + together]] for row in told
        ]
        assert places == [row[1:-2] for row in rows[1:-1]]
        assert str(total_marks(every[0])) == rows[-1][-1]
    assert not word.document_shortfalls(made)


def _rows(made: bytes, columns: int, number: int = 0) -> list[list[str]]:
    """What stands in each cell of a table, the first unless said, without the formulas."""
    root = etree.fromstring(_parts(made)["word/document.xml"])
    tables = root.xpath("//w:tbl", namespaces={"w": _W})
    assert isinstance(tables, list)
    rows = [
        ["".join(cell.xpath(".//w:t/text()", namespaces={"w": _W})) for cell in row.iter(f"{{{_W}}}tc")]
        for row in tables[number].iter(f"{{{_W}}}tr")
    ]
    assert {columns} == set(map(len, rows))
    return rows


@pytest.mark.parametrize("make", EVERY)
def test_the_mark_scheme_has_every_mark_what_else_is_accepted_and_what_slips_score(
    make: Callable[[], Item],
) -> None:
    item = make()
    text = _text(word.document("mark-scheme", [item], FACTS))

    for part in item.parts:
        for row in scheme_rows(part):
            assert " ".join(map(str, row.marks)) in text
        for one in alternatives(part, FACTS.words):
            assert one.sentence in text
        for slip in part.slips:
            assert slip_score_words(part, slip, FACTS.words) in text
            assert plain(slip.called) in text


def test_a_worksheet_has_every_question_and_its_answer_on_a_page_after_them() -> None:
    items = [make() for make in samples.ALL]
    root = etree.fromstring(_parts(word.document("worksheet", items, FACTS))["word/document.xml"])
    text = _text(word.document("worksheet", items, FACTS))
    questions, answers = text.split("\nAnswers\n")
    (head,) = (line for line in root.iter(f"{{{_W}}}p") if "Answers" == "".join(line.itertext()))

    assert head.find(f"{{{_W}}}pPr/{{{_W}}}pageBreakBefore") is not None
    assert all(item.code in questions for item in items)
    assert "End of questions" not in text
    assert [row.question for row in key_rows(items)] == re.findall(
        r"^(\d+(?:\([a-z]\))?)\t", answers, re.MULTILINE
    )
    assert all(f"\t{row.option}  " in answers for row in key_rows(items) if row.option)


def test_an_answer_that_no_line_may_part_has_a_row_of_its_own() -> None:
    short, long = samples.choice_item(), samples.choice_item()
    (part,) = long.parts
    assert isinstance(part.response, ChoiceResponse)
    wide = samples.maths(" + ".join(["x^2*y^2"] * 12) + " = 7")
    options = tuple(each._replace(content=wide) if each.is_key else each for each in part.response.options)
    long = replace(long, parts=(replace(part, response=replace(part.response, options=options)),))
    root = etree.fromstring(
        _parts(word.document("worksheet", [short, short, long], FACTS))["word/document.xml"]
    )
    table = list(root.iter(f"{{{_W}}}tbl"))[-1]

    assert [2, 1] == [len(row.findall(f"{{{_W}}}tc")) for row in table.iter(f"{{{_W}}}tr")]


def test_an_answer_sheet_has_a_circle_for_whatever_can_be_marked() -> None:
    items = [*(make() for make in samples.ALL), *kinds_bank.items("find-the-slip", 2)]
    marked = [(name, marks) for name, marks in choices_to_mark(items)]
    text = _text(word.document("answer-sheet", items, replace(FACTS, version="B")))

    assert len(marked) > 2
    assert sum(len(marks) for _, marks in marked) == text.count("○")
    for name, marks in marked:
        assert "\t".join([name, *(f"{mark}\u00a0○" for mark in marks)]) in text
    assert "Answer sheet\tVersion B" in text


def test_answer_sheets_of_a_class_have_the_names_of_its_pupils() -> None:
    items = [samples.choice_item()]
    made = word.pupils_papers("answer-sheet", [(replace(FACTS, pupil=name), items) for name in ("Ada", "Bo")])

    assert ["Ada", "Bo"] == re.findall(r"^Name  (\w+)$", _text(made), re.MULTILINE)
    assert all(name in _parts(made)[f"word/footer{at}.xml"].decode() for at, name in ((1, "Ada"), (2, "Bo")))


@pytest.mark.parametrize("large", [False, True])
def test_a_mark_sheet_has_a_column_for_each_part_and_its_head_on_every_page(large: bool) -> None:
    items = [make() for make in samples.ALL] * 4
    facts = replace(FACTS, looks=Looks(large=large))
    root = etree.fromstring(
        _parts(word.document("mark-sheet", items, facts, ["Ada", "Bo"]))["word/document.xml"]
    )
    heads, most = [], []
    for table in root.iter(f"{{{_W}}}tbl"):
        rows = list(table.iter(f"{{{_W}}}tr"))
        told = [["".join(cell.itertext()) for cell in row.iter(f"{{{_W}}}tc")] for row in rows]
        assert ["Pupil", "Maximum", "Ada", "Bo"] == [row[0] for row in told]
        assert [True, True, False, False] == [row.find(f".//{{{_W}}}tblHeader") is not None for row in rows]
        assert len(told[0]) <= 1 + (7 if large else 14) + 1
        heads += told[0][1:]
        most += told[1][1:]

    assert [*(row.question for row in key_rows(items)), "Total"] == heads
    assert str(total_marks(items)) == most[-1]
    assert total_marks(items) == sum(map(int, most[:-1]))


def test_rules_to_write_on_end_within_the_frame_and_a_known_name_needs_none() -> None:
    root = etree.fromstring(
        _parts(word.document("question-paper", [samples.choice_item()], FACTS))["word/document.xml"]
    )
    frame = next(root.iter(f"{{{_W}}}tbl"))
    edge = int(frame.find(f".//{{{_W}}}gridCol").get(f"{{{_W}}}w")) - 2 * 108
    stops = [int(stop.get(f"{{{_W}}}pos")) for stop in frame.iter(f"{{{_W}}}tab") if stop.get(f"{{{_W}}}pos")]
    named = _text(word.document("question-paper", [samples.choice_item()], replace(FACTS, pupil="Ada Marsh")))

    assert stops
    assert max(stops) < edge
    assert "Name \t" in _text(word.document("question-paper", [samples.choice_item()], FACTS))
    assert "Name  Ada Marsh\n" in named


def test_words_of_a_solution_without_a_line_have_the_room_of_one() -> None:
    item = samples.choice_item()
    words = SolutionLine("main", of_text("It is zero at both ends."), None)
    both = SolutionLine("main", of_text("Solve it."), samples.maths("x = 2"))
    item = replace(item, parts=(replace(item.parts[0], solution=(words, both)),))
    root = etree.fromstring(_parts(word.document("worked-solutions", [item], FACTS))["word/document.xml"])
    cells = {"".join(cell.itertext()): cell.find(f".//{{{_W}}}gridSpan") for cell in root.iter(f"{{{_W}}}tc")}

    assert "3" == cells["It is zero at both ends."].get(f"{{{_W}}}val")
    assert cells["Solve it."] is None


def test_another_document_is_refused() -> None:
    with pytest.raises(DomainError, match="poster"):
        word.document("poster", [], FACTS)


def test_the_module_is_a_writer() -> None:
    writer: Writer = word  # type: ignore[assignment]

    assert "docx" == writer.FORMAT
    assert () == word.shortfalls(samples.choice_item())


# --- the reading


@pytest.mark.parametrize(
    ("text", "marked"),
    [
        ("x^2 - 8*x + 3 = 0", "sSup"), ("(1 + sqrt(13))/2", "f rad"), ("x_1 = root(3, 8)", "sSub rad"),
        ("abs(x) < 3", "d"), ("x = 1 or x = -2", "nor"), ("none", "nor"), ("(1/2, 2)", "d"),
        ("(x + sqrt(2))^2", "sSup d"),
    ],
)  # fmt: skip
def test_each_node_has_its_element(text: str, marked: str) -> None:
    root = etree.fromstring(omml(samples.maths(text)))

    names = {etree.QName(each).localname for each in root.iter()}
    assert set(marked.split()) <= names
    assert "".join(root.itertext()).strip()


@pytest.mark.parametrize("text", ["(x + 1)*(x - 2)", "(x + 3)^2 = 5", "(1, -2)", "gcd(x, y)"])
def test_brackets_around_what_is_no_higher_than_a_line_are_plain_characters(text: str) -> None:
    root = etree.fromstring(omml(samples.maths(text)))
    shown = "".join(root.itertext())

    assert root.find(f".//{{{NAMESPACE}}}d") is None
    assert text.count("(") == shown.count("(") == shown.count(")")


def test_every_kind_of_display_is_read() -> None:
    texts = (
        "x^2 - 8*x + 3 = 0", "3*4/5 + sqrt(2)", "x_1 = (x + 1)*(x - 2)", "abs(x)", "gcd(x, y)", "(1, 2)",
        "x = 1 or x = 2", "none", "x < 3",
    )  # fmt: skip
    seen: set[type] = set()

    def look(node: display.Display) -> None:
        seen.add(type(node))
        for part in display.parts(node):
            look(part)

    for text in texts:
        maths = samples.maths(text)
        look(maths.shape.display)
        etree.fromstring(omml(maths))
    assert {kind.__name__ for kind in display.DISPLAY_KINDS} - {kind.__name__ for kind in seen} <= {"Nothing"}


def test_conventions_change_signs_and_words_only() -> None:
    spanish = Conventions(",", "⋅", ";", "o", "y", "sin solución real")
    text = "".join(etree.fromstring(omml(samples.maths("x = 1.5 or x = keep(3*4)"), spanish)).itertext())

    assert "x=1,5 o x=3⋅4" == text.replace("  ", " ")
    assert omml(samples.maths("x = 2")) == omml(samples.maths("x = 2"), spanish)


def _printed(made: bytes, folder: Path) -> list[str]:
    """The words of each page that a word processor prints."""
    if shutil.which("soffice") is None or shutil.which("pdftotext") is None:
        pytest.skip("soffice or pdftotext is not installed: the document was not printed")
    (folder / "paper.docx").write_bytes(made)
    command = [
        "soffice", f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to", "pdf",
        "--outdir", str(folder), str(folder / "paper.docx"),
    ]  # fmt: skip
    done = subprocess.run(command, capture_output=True, check=False, timeout=300)
    assert 0 == done.returncode
    assert b"Error" not in done.stderr
    text = ["pdftotext", "-layout", folder / "paper.pdf", "-"]
    return subprocess.run(text, capture_output=True, check=True).stdout.decode().split("\f")[:-1]


def test_a_word_processor_opens_it_and_prints_it_without_complaint(tmp_path: Path) -> None:
    if shutil.which("soffice") is None or shutil.which("pdftotext") is None:
        pytest.skip("soffice or pdftotext is not installed: the documents were not opened")
    items = [*(make() for make in samples.ALL), pictured_item(), *kinds_bank.items("curve-to-sketch", 1)]
    for name in word.DOCUMENTS:
        (tmp_path / f"{name}.docx").write_bytes(word.document(name, items, FACTS))
        command = [
            "soffice", f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to", "pdf",
            "--outdir", str(tmp_path), str(tmp_path / f"{name}.docx"),
        ]  # fmt: skip
        done = subprocess.run(command, capture_output=True, check=False, timeout=300)
        assert 0 == done.returncode
        assert b"Error" not in done.stderr
        pdf = tmp_path / f"{name}.pdf"
        text = subprocess.run(["pdftotext", pdf, "-"], capture_output=True, check=True).stdout.decode()
        assert FACTS.title in text
        assert name.endswith("-sheet") or all(item.code in text for item in items)
        # the shapes are drawn: the words that stand for them elsewhere are not there
        assert "[Area model" not in text
        assert "squared paper" not in text


# --- pictures


def test_pictures_are_drawn_as_shapes_with_their_description_and_numbers_of_their_own() -> None:
    made = word.document("worked-solutions", [pictured_item(), pictured_item()], FACTS)
    root = etree.fromstring(_parts(made)["word/document.xml"])
    drawn = "{http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing}docPr"
    told = list(root.iter(drawn))

    figures = [line.figure for line in pictured_item().parts[0].solution if line.figure]
    stem = pictured_item().parts[0].figure
    wanted = [in_words(drawing(figure)) for figure in (stem, *figures) if figure]
    assert wanted * 2 == [each.get("descr") for each in told]
    assert [str(number) for number in range(1, len(told) + 1)] == [each.get("id") for each in told]
    assert () == word.document_shortfalls(made)
    assert not [name for name in _parts(made) if "media" in name]


def test_words_to_choose_from_stand_in_the_answer_line() -> None:
    item = next(template_items.items("one-of", 1))
    response = item.parts[0].response
    assert isinstance(response, EntryResponse)
    (blank,) = [each for each in response.blanks if each.words]
    text = _text(word.document("question-paper", [item], FACTS))

    assert f"[{' / '.join(each.text for each in blank.words)}]" in text
