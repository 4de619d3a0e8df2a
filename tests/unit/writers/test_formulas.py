"""Formulas of a finished document as pictures and as LaTeX: what stands there then, and what stays as it was."""

from __future__ import annotations

import base64
import re
import sys
from collections.abc import Callable
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest
from lxml import etree

from itembank.audit.formula import Letter, Relation
from itembank.audit.latex_reader import read_latex
from itembank.content import Content, Paragraph, Text, TextShape
from itembank.errors import DomainError, InputError
from itembank.expressions import tree
from itembank.expressions.display import Maths
from itembank.expressions.latex import latex
from itembank.expressions.layout import lay_out
from itembank.expressions.mathml import mathml
from itembank.expressions.speech import speech
from itembank.expressions.vocabulary import WHOLE_NUMBERS
from itembank.items import Item
from itembank.writers import pages, qti3
from itembank.writers.facts import Looks, PaperFacts
from itembank.writers.formula_pictures import STYLE_SHEET, UNIT, draw, must_be_able_to_draw
from itembank.writers.formulas import (
    DELIMITERS,
    FULL_SIZE,
    MODES,
    Notation,
    in_characters,
    in_package,
    in_page,
)
from itembank.writers.mathml_as_latex import latex_of
from itembank.writers.paper import DOCUMENTS
from tests import samples
from tests.samples import maths

SVG = "{http://www.w3.org/2000/svg}"
MATH = "{http://www.w3.org/1998/Math/MathML}math"
PICTURES, LATEX = Notation("svg"), Notation("latex")
FORMULAS = [
    "x^2 - 8*x + 3 = 0", "x = (-6 ± 2*sqrt(3))/4", "(x - 1)^2*(y + 2) <= 0", "root(x, 3) != 1/2", "alpha*x_1",
    "abs(x - 1)^5", "(x, y) = (2, -3)", "gcd(x, 12) > 1.50", "x = 2 or x = 3 and y < 1", "none", "area*x", "x",
]  # fmt: skip


def with_words(words: str) -> Item:
    """A choice whose stem is words alone."""
    item = samples.choice_item()
    content = Content(TextShape((Paragraph((Text(words),)),), 0))
    (part,) = item.parts
    return replace(item, parts=(replace(part, stem=content),))


# the notation itself


@pytest.mark.parametrize(("mode", "delimiters"), [("png", r"\( \)"), ("latex", "<< >>"), ("", "$ $")])
def test_an_unknown_notation_is_refused(mode: str, delimiters: str) -> None:
    with pytest.raises(DomainError):
        Notation(mode, delimiters)


def test_mathml_is_what_is_written_anyway() -> None:
    document = qti3.item_xml(samples.choice_item())

    assert (document, ()) == in_package(document, Notation())
    assert MODES[0] == Notation().mode


# LaTeX


@pytest.mark.parametrize("source", FORMULAS)
@pytest.mark.parametrize("annotated", [True, False])
def test_the_latex_made_of_mathml_is_the_latex_reading(source: str, annotated: bool) -> None:
    assert latex(maths(source)) == latex_of(mathml(maths(source), annotated=annotated))


def test_a_domain_of_whole_numbers_has_latex_that_the_audit_reads() -> None:
    domain = tree.Relation((tree.Name("n"), tree.Name(WHOLE_NUMBERS)), ("∈",))
    shown = Maths(lay_out(domain, 0))

    assert latex(shown) == latex_of(mathml(shown)) == r"n \in \mathbb{Z}"
    assert read_latex(latex(shown)) == Relation(Letter("n"), "∈", Letter("ℤ"))


@pytest.mark.parametrize("delimiters", DELIMITERS)
def test_latex_stands_between_the_delimiters_escaped_for_xml(delimiters: str) -> None:
    opening, closing = DELIMITERS[delimiters]
    document = f"<p>If {mathml(maths('x^2 < 4'))}, then:</p>"

    shown = in_package(document, Notation("latex", delimiters))

    assert f"<p>If {opening}x^{{2}} &lt; 4{closing}, then:</p>" == shown.document
    assert () == shown.pictures


@pytest.mark.parametrize(
    ("delimiters", "words", "expected"),
    [
        ("$ $", "A ticket is $5, two are $9.", r"A ticket is \$5, two are \$9."),
        ("$$ $$", "$$ is no sum", r"\$\$ is no sum"),
        (r"\( \)", r"a \( b", "a \\\u2060( b"),
        (r"\[ \]", r"a \[ b \( c", "a \\\u2060[ b \\( c"),
        (r"\( \)", "A ticket is $5.", "A ticket is $5."),
    ],
)
def test_words_begin_no_formula(delimiters: str, words: str, expected: str) -> None:
    document = qti3.item_xml(with_words(words))

    assert words in document
    assert expected in in_package(document, Notation("latex", delimiters)).document


@pytest.mark.parametrize("make", samples.ALL)
def test_a_document_in_latex_holds_no_other_formulas(make: Callable[[], Item]) -> None:
    document = qti3.item_xml(make())
    root = etree.fromstring(in_package(document, LATEX).document.encode())

    assert [] == list(root.iter(MATH))
    assert document.count("<math ") == "".join(map(str, root.itertext())).count(r"\(")


def test_html_written_as_characters_is_turned_too() -> None:
    formula = mathml(maths("x < 4"))
    hidden = f"a $ {formula} <b>if</b>".replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    text = f'<mattext texttype="text/html">{hidden}</mattext>'

    assert text == in_characters(text, Notation()).document
    assert (
        r'<mattext texttype="text/html">a \$ $x &amp;lt; 4$ &lt;b&gt;if&lt;/b&gt;</mattext>'
        == in_characters(text, Notation("latex", "$ $")).document
    )


def test_html_written_as_characters_shows_pictures_that_say_how_they_stand() -> None:
    formula = mathml(maths("x < 4"))
    hidden = f"a {formula}".replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    shown = in_characters(f'<mattext texttype="text/html">{hidden}</mattext>', PICTURES, "base/")
    (image,) = etree.fromstring(f"<p>{etree.fromstring(shown.document).text}</p>")

    assert [f"base/formulas/{each.name}" for each in shown.pictures] == [image.get("src")]
    assert "x is less than 4" == image.get("alt")
    assert shown.pictures[0].style == image.get("style")


def test_mathml_of_another_house_has_no_latex() -> None:
    with pytest.raises(DomainError):
        latex_of("<math><mover><mi>x</mi><mo>^</mo></mover></math>")
    with pytest.raises(DomainError):
        latex_of("<math><mo>∇</mo></math>")


# pictures


@pytest.mark.parametrize("source", FORMULAS)
def test_a_picture_is_a_drawing_with_the_formula_itself_as_metadata(source: str) -> None:
    markup = mathml(maths(source))
    picture = draw(markup)
    svg = etree.fromstring(picture.svg)

    assert f"{SVG}svg" == svg.tag
    assert len(list(svg.iter(f"{SVG}path"))) >= 1
    (held,) = svg.iter(MATH)
    assert etree.tostring(etree.fromstring(markup)) == etree.tostring(held, with_tail=False)
    assert ["white"] == [each.get("fill") for each in svg if each.tag == f"{SVG}rect"][:1]


@pytest.mark.parametrize("source", FORMULAS)
def test_the_line_goes_through_a_picture_where_its_classes_say(source: str) -> None:
    picture = draw(mathml(maths(source)))
    _, top, width, height = map(float, re.findall(r'viewBox="([^"]*)"', picture.svg)[0].split())

    assert (width, height) == (picture.width, picture.height)
    assert top + height == picture.depth >= 0
    for name in picture.classes.split()[1:]:
        assert f"img.{name} {{" in STYLE_SHEET
    assert f"height: {picture.height / UNIT:g}em" in STYLE_SHEET
    assert f"height:{picture.height / UNIT:g}em;" in picture.style


def test_taller_mathematics_is_a_taller_picture_on_the_same_line() -> None:
    plain, fraction = draw(mathml(maths("x + 1"))), draw(mathml(maths("(x + 1)/(x - 1)")))

    assert plain.height < fraction.height
    assert plain.depth < fraction.depth


def test_equal_formulas_share_a_picture_and_the_same_markup_draws_the_same_bytes() -> None:
    first, other = mathml(maths("x^2 = 9")), mathml(maths("x^2 = 16"))

    before = draw(first)
    draw.cache_clear()

    assert before == draw(first)
    assert before.name != draw(other).name
    assert re.fullmatch(r"f[0-9a-f]{20}\.svg", before.name)


@pytest.mark.parametrize("make", samples.ALL)
def test_every_formula_of_an_item_becomes_an_image_that_says_it(make: Callable[[], Item]) -> None:
    document = qti3.item_xml(make())
    spoken = [math.get("alttext") for math in etree.fromstring(document.encode()).iter(MATH)]
    shown = in_package(document, PICTURES)
    root = etree.fromstring(shown.document.encode())
    images = list(root.iter("{*}img"))

    assert [] == list(root.iter(MATH))
    assert spoken == [image.get("alt") for image in images]
    assert {f"formulas/{picture.name}" for picture in shown.pictures} == {each.get("src") for each in images}
    assert len(shown.pictures) == len({picture.name for picture in shown.pictures})
    assert all(int(each.get("width", "0")) > 0 and int(each.get("height", "0")) > 0 for each in images)
    assert ["formulas/formulas.css"] == [each.get("href") for each in root.iter("{*}qti-stylesheet")]


def test_an_item_in_another_language_says_what_its_pictures_are_described_in() -> None:
    item = samples.choice_item()
    welsh = qti3.item_xml(replace(item, about=item.about._replace(language="cy")))
    images = list(etree.fromstring(in_package(welsh, PICTURES).document.encode()).iter("{*}img"))

    assert {"en"} == {each.get("{http://www.w3.org/XML/1998/namespace}lang") for each in images}
    assert in_package(welsh, PICTURES).pictures == in_package(qti3.item_xml(item), PICTURES).pictures


def test_without_the_library_the_error_names_the_extra(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ziamath", None)

    with pytest.raises(InputError) as refused:
        must_be_able_to_draw()
    assert "pip install 'itembank[svg]'" in refused.value.diagnostics[0].hint


# pages


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_page_with_pictures_is_whole_in_itself(name: str) -> None:
    items = [make() for make in samples.ALL]
    facts = PaperFacts("Evening algebra")
    page = pages.document(name, items, replace(facts, looks=Looks(notation=PICTURES)))
    alts = re.findall(r'<img class="formula"[^>]* alt="([^"]*)"', page)

    assert re.findall(r'alttext="([^"]*)"', pages.document(name, items, facts)) == alts
    assert "alttext" not in page
    assert "img-src data:" in page
    assert not re.findall(r'src="(?!data:)', page)
    data = re.findall(r'src="data:image/svg\+xml;base64,([^"]*)"', page)
    assert all(etree.fromstring(base64.b64decode(each)).tag == f"{SVG}svg" for each in data)


def test_fractions_in_pictures_have_the_size_that_the_style_sheet_gives_to_formulas() -> None:
    """In lines of a solution, keys and options; in sentences they stay at the size of the line."""
    style = (Path(pages.__file__).parent / "page.css").read_text("utf-8")
    named = re.findall(r"^(.*) \{ math-style: normal; \}$", style, re.MULTILINE)
    assert {f".{name} math" for name in FULL_SIZE} == {part for line in named for part in line.split(", ")}

    half = maths("x = 1/2")
    markup = mathml(half)
    large = draw(markup.replace("<math ", '<math displaystyle="true" ', 1))
    for place, height in (
        (f"<p>a<br>{markup}</p>", draw(markup).height),
        (f'<td class="line key"><p>{markup}</p></td>', large.height),
        (f'<p class="solution">a</p><img alt=""><p>{markup}</p>', draw(markup).height),
    ):
        assert f"height:{height / UNIT:g}em" in in_page(f"<main>{place}</main>", PICTURES)
    assert large.height > draw(markup).height


def test_a_page_in_latex_shows_the_latex_reading() -> None:
    facts = PaperFacts("Evening algebra", looks=Looks(notation=LATEX))
    page = pages.document("question-paper", [samples.choice_item()], facts)

    assert r"""solve <span class="held">\(x^{2} - 8x + 3 = 0\).</span>""" in unescape(page)
    assert "img-src" not in page
    assert in_page(page, Notation()) == page


@pytest.mark.parametrize("notation", [PICTURES, LATEX], ids=str)
def test_a_page_in_another_language_is_turned_with_its_own_signs(notation: Notation) -> None:
    facts = PaperFacts("Álgebra", language="es", looks=Looks(notation=notation))
    item = samples.choice_item()
    page = pages.document("question-paper", [replace(item, about=item.about._replace(language="es"))], facts)

    assert "<math" not in page.partition("<main>")[2]
    if notation is LATEX:
        assert r"\(\text{sin solución real}\)" in page
    else:
        images = re.findall("<img [^>]*>", page)
        assert any('alt="x es igual a ' in image for image in images)
        assert not any("lang=" in image for image in images)


def test_what_is_spoken_of_a_picture_is_the_spoken_reading() -> None:
    markup = mathml(maths("x >= 1/2"))

    assert f'alt="{speech(maths("x >= 1/2"))}"' in in_package(f"<p>{markup}</p>", PICTURES).document
