"""The room for working: as the template says, in proportion to the marks, alike in LaTeX, pages and documents."""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import replace
from fractions import Fraction

import pytest
from lxml import etree

from itembank.items import SPACES, EntryResponse, Item, WrittenResponse
from itembank.writers import common_cartridge, latex, pages, qti3, word
from itembank.writers.facts import Looks
from itembank.writers.pictures import STYLE_SHEET
from itembank.writers.qti2 import WRITER_2_1
from itembank.writers.space import lines_apart, space_of, squared_paper
from tests import kinds_bank, samples
from tests.paper_items import FACTS

SHAPES = {"wps": "http://schemas.microsoft.com/office/word/2010/wordprocessingShape"}


def _with_space(item: Item, space: str, marks: int = 2) -> Item:
    part = item.parts[0]
    response = part.response
    assert isinstance(response, EntryResponse | WrittenResponse)
    return replace(item, parts=(replace(part, space=space, response=replace(response, marks=marks)),))


@pytest.mark.parametrize("working", ["blank", "lines"])
def test_the_template_goes_before_the_paper(working: str) -> None:
    looks = Looks(working=working)
    assert working == space_of(samples.surd_entry_item().parts[0], looks).kind
    for kind in SPACES:
        assert kind == space_of(_with_space(samples.surd_entry_item(), kind).parts[0], looks).kind


@pytest.mark.parametrize("kind", SPACES)
def test_room_grows_with_the_marks_and_fits_on_a_page(kind: str) -> None:
    heights = [
        space_of(_with_space(samples.surd_entry_item(), kind, marks).parts[0], Looks()).millimetres
        for marks in range(1, 20)
    ]
    assert heights == sorted(heights)
    assert heights[0] < heights[10]
    assert max(heights) <= 200


@pytest.mark.parametrize("kind", ["grid", "axes"])
def test_squares_are_whole_and_the_same_in_every_format(kind: str) -> None:
    item = _with_space(samples.surd_entry_item(), kind, 4)
    part = item.parts[0]
    space = space_of(part, Looks())
    picture = squared_paper(part, space, FACTS.words)
    lines = space.across + 1 + space.squares + 1 + (2 if kind == "axes" else 0)

    source = latex.document("question-paper", [item], FACTS)
    assert space.squares * 5 == space.millimetres
    assert lines == len(re.findall(r"\\draw\[", source))
    assert r"\usepackage{tikz}" in source

    page = pages.document("question-paper", [item], FACTS)
    assert lines == len(re.findall(r'<path d="M[^"]*" stroke-width', page))
    assert f'aria-label="{FACTS.words("squared-axes" if kind == "axes" else "squared-paper", across=space.across, up=space.squares)}"' in page  # fmt: skip  # noqa: E501

    with zipfile.ZipFile(io.BytesIO(word.document("question-paper", [item], FACTS))) as package:
        root = etree.fromstring(package.read("word/document.xml"))
    paths = root.xpath(".//wps:wsp[not(wps:txbx)]", namespaces=SHAPES)
    assert isinstance(paths, list)
    assert len(paths) == lines + (2 if kind == "axes" else 0)  # an arrow's head is a shape of its own
    assert picture.width < 130


def test_an_answer_in_writing_has_its_lines_or_what_the_template_says() -> None:
    item = kinds_bank.items("in-writing", 1)[0]
    lined, squared = item, _with_space(item, "grid", 4)

    assert 9 == latex.document("question-paper", [lined], FACTS).count(r"\RuledLine") - 1
    assert 1 == latex.document("question-paper", [squared], FACTS).count(r"\RuledLine")
    assert 9 == pages.document("question-paper", [lined], FACTS).count("<i></i>")
    assert "<i></i>" not in pages.document("question-paper", [squared], FACTS)


def test_a_curve_is_sketched_on_axes_that_bear_its_letter() -> None:
    item = kinds_bank.items("curve-to-sketch", 1)[0]
    part = item.parts[0]
    picture = squared_paper(part, space_of(part, Looks()), FACTS.words)

    assert "axes" == part.space
    assert 2 == len(picture.labels)
    assert () == word.document_shortfalls(word.document("question-paper", [item], FACTS))


def test_frames_and_lines_stand_in_every_format() -> None:
    framed, lined = (_with_space(samples.surd_entry_item(), kind, 2) for kind in ("box", "lines"))

    assert r"\WorkingFramed{30mm}" in latex.document("question-paper", [framed], FACTS)
    assert r"\WorkingRuled{30mm}" in latex.document("question-paper", [lined], FACTS)
    assert 'class="working box" style="--space: 30mm"' in pages.document("question-paper", [framed], FACTS)
    assert 3 == pages.document("question-paper", [lined], FACTS).count("<i></i>")
    for item, mark, count in ((framed, 'w:hRule="exact"', 1), (lined, "<w:pBdr>", 3)):
        with zipfile.ZipFile(io.BytesIO(word.document("question-paper", [item], FACTS))) as package:
            assert count == package.read("word/document.xml").decode().count(mark)


@pytest.mark.parametrize("kind", ["grid", "axes"])
@pytest.mark.parametrize("marks", [1, 4, 19])
def test_squares_and_the_letters_of_axes_grow_with_large_print(kind: str, marks: int) -> None:
    item = _with_space(samples.surd_entry_item(), kind, marks)
    part = item.parts[0]
    usual, large = space_of(part, Looks()), space_of(part, Looks(large=True))

    assert Fraction(3, 2) == large.scale
    assert large.squares * Fraction(15, 2) == large.millimetres <= 200
    assert usual.squares * 5 == usual.millimetres <= 200
    assert 0 == large.across % 2 == large.squares % 2
    # between the narrowest margins of a large page, less the column of numbers
    assert squared_paper(part, large, FACTS.words).width * large.scale < 154

    facts = replace(FACTS, looks=Looks(large=True))
    assert r"\Enlarged" in latex.document("question-paper", [item], facts)
    page = pages.document("question-paper", [item], facts)
    assert ".large .picture svg, .large .pictures svg { zoom: 1.5; }" in page
    assert f"{large.across} by {large.squares}" in page
    widths = [squared_paper(part, space, FACTS.words).width * space.scale for space in (usual, large)]
    assert _picture_width(item, Looks(large=True)) / _picture_width(item, Looks()) == pytest.approx(
        float(widths[1] / widths[0]), rel=0.001
    )


def _picture_width(item: Item, looks: Looks) -> int:
    made = word.document("question-paper", [item], replace(FACTS, looks=looks))
    with zipfile.ZipFile(io.BytesIO(made)) as package:
        text = package.read("word/document.xml").decode()
    (found,) = re.findall(r'<wp:extent cx="(\d+)"', text)
    return int(found)


@pytest.mark.parametrize("kind", ["blank", "lines", "box"])
def test_room_and_the_lines_in_it_grow_with_large_print(kind: str) -> None:
    for marks in range(1, 20):
        part = _with_space(samples.surd_entry_item(), kind, marks).parts[0]
        usual, large = space_of(part, Looks()), space_of(part, Looks(large=True))
        assert min(usual.millimetres * 3 // 2, 200) == large.millimetres
        assert usual.lines == usual.millimetres // 8
        assert large.lines == large.millimetres // 12
    assert (8, 9) == (lines_apart(Looks()), lines_apart(Looks(), written=True))
    assert (12, Fraction(27, 2)) == (
        lines_apart(Looks(large=True)),
        lines_apart(Looks(large=True), written=True),
    )


def test_that_a_platform_has_no_room_for_a_drawing_is_told_of_every_package() -> None:
    (sketch, *_), (text, *_) = kinds_bank.items("curve-to-sketch", 1), kinds_bank.items("in-writing", 1)
    for told in (qti3.shortfalls, WRITER_2_1.shortfalls, common_cartridge.shortfalls):
        assert any("a drawing is asked for" in each for each in told(sketch))
        assert not any("a drawing is asked for" in each for each in told(text))


def test_an_item_with_a_picture_has_a_style_sheet_by_which_it_shrinks_with_the_screen() -> None:
    (sketch, *_), (text, *_) = kinds_bank.items("curve-to-sketch", 1), kinds_bank.items("in-writing", 1)
    made = qti3.item_xml(sketch)
    assert '<qti-stylesheet href="figures/figures.css" type="text/css"/><qti-item-body>' in made
    assert '<stylesheet href="figures/figures.css" type="text/css"/><itemBody>' in WRITER_2_1.item_xml(sketch)
    assert STYLE_SHEET.startswith(".picture img { max-width: 100%;")
    assert '<p class="picture"><img ' in made
    assert "stylesheet" not in qti3.item_xml(text)


def test_a_picture_of_a_cartridge_shrinks_with_the_screen() -> None:
    (sketch, *_) = kinds_bank.items("curve-to-sketch", 1)
    (question,) = common_cartridge.written(sketch).items
    assert re.search(r'&lt;img [^>]*style="max-width:100%;height:auto"', question)
