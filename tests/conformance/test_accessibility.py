"""What WCAG 2.2 (level AA) asks, as far as an item or a page of ours can keep it: a test for each testable rule.

Source: W3C, Web Content Accessibility Guidelines 2.2; each test bears the number of its success criterion. What depends
on the platform (focus seen, time limits, target size, status messages) is not ours and not tested. Passing is no claim
of conformance.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest
from lxml import etree, html

from itembank.items import EntryResponse, Item
from itembank.writers import pages, qti3
from itembank.writers.dialects import DIALECTS
from itembank.writers.facts import Looks, PaperFacts
from itembank.writers.formulas import Notation, in_package
from itembank.writers.paper import DOCUMENTS
from itembank.writers.qti2 import translate
from tests import qti_items, samples

ITEMS = (*samples.ALL, *qti_items.MORE)
QTI = "{http://www.imsglobal.org/xsd/imsqtiasi_v3p0}"
MATH = "{http://www.w3.org/1998/Math/MathML}math"
LANGUAGE = "{http://www.w3.org/XML/1998/namespace}lang"
NOTATIONS = (Notation(), Notation("svg"), Notation("latex"))
every_item = pytest.mark.parametrize("make", ITEMS, ids=lambda make: make.__name__)
every_page = pytest.mark.parametrize("name", DOCUMENTS)


def item_root(item: Item, notation: Notation = NOTATIONS[0]) -> etree._Element:
    return etree.fromstring(in_package(qti3.item_xml(item), notation).document.encode())


def of_language(item: Item, language: str) -> Item:
    return replace(item, about=item.about._replace(language=language))


@cache
def page_text(name: str, notation: Notation = NOTATIONS[0]) -> str:
    facts = PaperFacts("Evening algebra", looks=Looks(notation=notation))
    return pages.document(name, [make() for make in ITEMS], facts)


def page_root(name: str, notation: Notation = NOTATIONS[0]) -> html.HtmlElement:
    return html.fromstring(page_text(name, notation))


# 1.1.1 Non-text content


@every_item
def test_1_1_1_every_formula_and_every_picture_of_an_item_is_said_in_words(make: Callable[[], Item]) -> None:
    formulas = list(item_root(make()).iter(MATH))
    pictures = list(item_root(make(), NOTATIONS[1]).iter(f"{QTI}img"))

    assert len(formulas) == sum("formula" in each.get("class", "").split() for each in pictures) >= 4
    spoken = [*((each, "alttext") for each in formulas), *((each, "alt") for each in pictures)]
    for element, attribute in spoken:
        words = element.get(attribute, "")
        is_formula = attribute == "alttext" or "formula" in element.get("class", "").split()
        assert re.fullmatch("[a-z0-9 ,]+", words) if is_formula else words.strip()


@every_page
def test_1_1_1_every_formula_and_every_box_of_a_page_has_words(name: str) -> None:
    for math in page_root(name).iter("math"):
        boxes = [each.get("aria-label") for each in math.iter("mtext") if each.get("class") == "box"]
        assert (math.get("alttext") or "").strip() or boxes
        assert all(boxes)
    for picture in page_root(name, NOTATIONS[1]).iter("img"):
        assert picture.get("alt", "").strip()
    for each in page_root(name).xpath("//*[@role='img']"):
        assert each.get("aria-label", "").strip()


# 1.3.1 Info and relationships, 1.3.2 Meaningful sequence


@every_page
def test_1_3_1_header_cells_say_what_they_head_and_headings_skip_no_level(name: str) -> None:
    root = page_root(name)

    assert all(cell.get("scope") in {"col", "row"} for cell in root.iter("th"))
    assert all(list(table.iter("th")) for table in root.iter("table"))
    levels = [int(each.tag[1]) for each in root.iter("h1", "h2", "h3", "h4", "h5", "h6")]
    assert 1 == levels[0]
    assert 1 == levels.count(1)
    assert all(after <= before + 1 for before, after in pairwise(levels))


@every_page
def test_1_3_1_rows_stand_in_tables_and_cells_in_rows(name: str) -> None:
    above = {"row": {"table"}, "cell": {"row"}, "columnheader": {"row"}}
    for each in page_root(name).xpath("//*[@role]"):
        parent = each.getparent()
        assert parent is not None
        assert each.get("role") not in above or parent.get("role") in above[each.get("role")]
        assert each.get("role") in {*above, "table", "img"}


def test_1_3_1_tables_of_an_item_have_header_cells() -> None:
    from itembank.content import Content, Table, Text, TextShape

    table = Table(((Text("n"),), (Text("n + 1"),)), (((Text("1"),), (Text("2"),)),), ("", ""))
    item = samples.choice_item()
    (part,) = item.parts
    with_table = replace(item, parts=(replace(part, stem=Content(TextShape((table,), 0))),))

    cells = list(item_root(with_table).iter(f"{QTI}th"))
    assert ["col", "col"] == [cell.get("scope") for cell in cells]


@every_item
def test_1_3_2_what_is_asked_comes_before_where_it_is_answered(make: Callable[[], Item]) -> None:
    order = [
        (each.get("data-part", ""), each.get("data-role") == "stem", etree.QName(each).localname)
        for each in item_root(make()).find(f"{QTI}qti-item-body").iter()  # type: ignore[union-attr]
        if each.get("data-role") == "stem" or each.get("response-identifier")
    ]
    assert order[0][1]
    stems = [index for index, (_, is_stem, _) in enumerate(order) if is_stem]
    assert all(index + 1 < len(order) and not order[index + 1][1] for index in stems)


# 1.4.3 Contrast, 1.4.4 Resize text


def luminance(colour: str) -> float:
    """Relative luminance, as WCAG 2.2 defines it."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(first: str, second: str) -> float:
    lighter, darker = sorted((luminance(first), luminance(second)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_contrast_of_black_on_white_is_21_as_the_guidelines_say() -> None:
    assert 21 == round(contrast("#000000", "#ffffff"), 6)
    assert contrast("#777777", "#ffffff") < 4.5 < contrast("#767676", "#ffffff")


def test_1_4_3_text_of_a_page_stands_out_from_its_ground() -> None:
    style = re.findall(r"<style>(.*?)</style>", page_text("question-paper"), re.DOTALL)[0]
    grounds = re.findall(r"background(?:-color)?:\s*([^;}]+)", style)
    colours = re.findall(r"(?<![-a-z])color:\s*([^;}]+)", style)

    assert {"#ffffff"} == {each for each in grounds if "gradient" not in each}  # rules to write on, no text
    assert colours
    assert all(contrast(colour.strip(), "#ffffff") >= 4.5 for colour in colours)


def test_1_4_3_pictures_of_formulas_bring_their_own_ground() -> None:
    for picture in in_package(qti3.item_xml(samples.choice_item()), NOTATIONS[1]).pictures:
        rectangles = re.findall(r'<rect [^>]*fill="([a-z]+)"', picture.svg)
        assert "white" == rectangles[0]
        assert {"black"} >= set(rectangles[1:])


def test_1_4_4_text_and_pictures_grow_with_the_readers_type() -> None:
    style = re.findall(r"<style>(.*?)</style>", page_text("question-paper"), re.DOTALL)[0]
    screen = style.partition("@media print")[0]

    assert not re.findall(r"font(?:-size)?:[^;}]*\b[0-9.]+(?:px|pt)", screen)
    assert "user-scalable" not in page_text("question-paper")
    assert "maximum-scale" not in page_text("question-paper")
    assert re.search(r'style="height:[0-9.]+em;', page_text("question-paper", NOTATIONS[1]))


# 2.4.2 Page titled, 2.4.3 Focus order, 2.4.6 Headings and labels


@every_page
def test_2_4_2_a_page_has_a_title_that_tells_it_from_the_others(name: str) -> None:
    titles = [page_root(each).findtext(".//title") for each in DOCUMENTS]

    assert len(DOCUMENTS) == len(set(titles))
    assert "Evening algebra" in (page_root(name).findtext(".//title") or "")


@every_item
def test_2_4_2_an_item_has_a_title(make: Callable[[], Item]) -> None:
    assert item_root(make()).get("title", "").strip()


@every_item
def test_2_4_3_boxes_come_in_reading_order_and_nothing_changes_it(make: Callable[[], Item]) -> None:
    root = item_root(make())
    numbers = [
        int(each.get("response-identifier", "").rpartition("_")[2])
        for each in root.iter(f"{QTI}qti-text-entry-interaction")
    ]
    by_part: dict[str, list[int]] = {}
    for each, number in zip(root.iter(f"{QTI}qti-text-entry-interaction"), numbers, strict=True):
        by_part.setdefault(each.get("response-identifier", "").rpartition("_")[0], []).append(number)

    assert all(part == list(range(1, len(part) + 1)) for part in by_part.values())
    assert not [each for each in root.iter() if each.get("tabindex") or each.get("accesskey")]


@every_item
def test_2_4_6_every_place_to_answer_says_what_belongs_there(make: Callable[[], Item]) -> None:
    item = make()
    root = item_root(item)
    body = root.find(f"{QTI}qti-item-body")
    assert body is not None
    labels: dict[str, list[str]] = {}
    for each in body.iter(f"{QTI}qti-text-entry-interaction"):
        part = each.get("response-identifier", "").rpartition("_")[0]
        labels.setdefault(part, []).append(each.get("aria-label", ""))
    for of_part in labels.values():
        assert all(of_part)
        assert len(of_part) == len(set(of_part))
    for choice in body.iter(f"{QTI}qti-choice-interaction"):
        alone = len(list(choice.iter(f"{QTI}qti-simple-choice"))) == 1  # a tick says itself what it means
        assert alone or choice.get("aria-label") or choice.find(f"{QTI}qti-prompt") is not None


# 3.1.1 Language of page, 3.1.2 Language of parts


@every_item
@pytest.mark.parametrize("language", ["en-GB", "cy"])
def test_3_1_an_item_says_its_language_and_that_of_what_is_in_another(
    make: Callable[[], Item], language: str
) -> None:
    root = item_root(of_language(make(), language))
    english = {each for marked in root.iter() if marked.get(LANGUAGE) == "en" for each in marked.iter()}
    ours = {"That is right.", "or", "Problem:", "Key:", "There is no real solution."}

    assert language == root.get(LANGUAGE)
    if language == "en-GB":
        assert not english
        return
    assert all(math in english for math in root.iter(MATH))
    assert all(
        each in english
        for each in root.iter()
        if (each.text or "").strip() in ours and each.tag != f"{QTI}qti-value"
    )


@every_page
def test_3_1_a_page_says_its_language_and_that_of_its_items_and_formulas(name: str) -> None:
    facts = PaperFacts("Algebra gyda'r nos", language="cy")
    items = [of_language(samples.choice_item(), "cy"), samples.surd_entry_item()]
    root = html.fromstring(pages.document(name, items, facts))

    assert "en" == root.get("lang")
    assert ["cy"] == [each.get("lang") for each in root.iter("h1")]
    for math in root.iter("math"):
        marked = [each.get("lang") for each in (math, *math.iterancestors()) if each.get("lang")]
        assert not math.get("alttext") or "en" == marked[0]


@pytest.mark.parametrize("dialect", [name for name in DIALECTS if name != "qti3"])
def test_older_dialects_keep_words_and_languages(dialect: str) -> None:
    item = of_language(samples.integer_entry_item(), "cy")
    old = etree.fromstring(translate(qti3.item_xml(item), DIALECTS[dialect]).document.encode())

    assert "cy" == old.get(LANGUAGE)
    assert all(math.get("alttext") and math.get(LANGUAGE) == "en" for math in old.iter(MATH))


# 3.3.2 Labels or instructions


@every_item
def test_3_3_2_where_something_is_typed_it_is_said_how(make: Callable[[], Item]) -> None:
    item = make()
    told = [each for each in item_root(item).iter(f"{QTI}div") if each.get("class") == "instruction"]
    typed = [part for part in item.parts if isinstance(part.response, EntryResponse)]

    assert len(told) == len(typed)
    assert all("".join(map(str, each.itertext())).strip() for each in told)


# 4.1.2 Name, role, value


@every_page
@pytest.mark.parametrize("notation", NOTATIONS, ids=str)
def test_4_1_2_no_name_stands_twice_in_a_page(name: str, notation: Notation) -> None:
    names = [each.get("id") for each in page_root(name, notation).iter() if each.get("id")]

    assert len(names) == len(set(names))


@every_item
def test_4_1_2_no_name_stands_twice_in_an_item(make: Callable[[], Item]) -> None:
    names = [each.get("id") for each in item_root(make()).iter() if each.get("id")]

    assert len(names) == len(set(names))
