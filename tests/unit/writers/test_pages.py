"""Papers as HTML pages: escaping, texts, boxes, documents, what a reader with special needs or a printer meets."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from importlib.resources import files
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from itembank.content import (
    BLOCK_KINDS,
    INLINE_KINDS,
    Block,
    Content,
    Emphasis,
    Hole,
    Inline,
    LineBreak,
    Listing,
    Paragraph,
    Table,
    Text,
    TextShape,
    of_text,
)
from itembank.errors import DomainError
from itembank.items import Blank, ChoiceResponse, EntryResponse, Item, Option, SolutionLine
from itembank.writers import pages
from itembank.writers.base import Writer
from itembank.writers.pages.characters import escape
from itembank.writers.pages.content import blocks, in_line, mathematics
from itembank.writers.pages.responses import answer_boxes, columns, room, slip_room
from itembank.writers.paper import DOCUMENTS, Looks, PaperFacts
from tests import samples
from tests.paper_items import (
    FACTS,
    HARD,
    HARD_TEXTS,
    content,
    paragraph,
    parts_item,
    with_options,
    with_stem,
)
from tests.qti_items import MORE

ALL = (*samples.ALL, *MORE)
EVERY = (*ALL, *HARD)
_VOID = {"meta", "br", "mspace"}
STYLE = files("itembank.writers.pages").joinpath("page.css").read_text(encoding="utf-8")


class _Reader(HTMLParser):
    """A page as a reader meets it: its elements with their attributes, its text, and whether they nest."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.texts: list[str] = []
        self.misnested: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in _VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.misnested.append(tag)

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.texts.append(data)

    def all(self, name: str) -> list[dict[str, str]]:
        return [attributes for tag, attributes in self.elements if tag == name]

    @property
    def text(self) -> str:
        return "".join(self.texts)


def _document(name: str, *items: Item, facts: PaperFacts = FACTS) -> str:
    return pages.document(name, items, facts)


def _without_style(page: str) -> str:
    return page.replace(STYLE, "")


# --- characters


@given(
    st.text(st.characters(exclude_categories=("Cc", "Cs"))) | st.text(st.sampled_from("<>&\"'{}%#;a \t\n"))
)
def test_a_browser_reads_back_what_was_escaped(text: str) -> None:
    expected = re.sub("[\u202a-\u202e\u2066-\u2069]", "\ufffd", text)
    noncharacters = [c for c in expected if ord(c) & 0xFFFE == 0xFFFE or 0xFDD0 <= ord(c) <= 0xFDEF]
    for character in noncharacters:
        expected = expected.replace(character, "\ufffd")
    reader = _Reader(f'<p title="{escape(text)}">{escape(text)}</p>')

    assert expected == reader.text
    assert [("p", {"title": expected})] == reader.elements


@pytest.mark.parametrize(
    "character", ["\x00", "\x08", "\x1b", "\x7f", "\x9f", "\ud800", "\ufffe", "\U0010ffff", "\u202e"]
)
def test_what_a_page_may_not_hold_is_replaced_visibly(character: str) -> None:
    assert "a\ufffdb" == escape(f"a{character}b")


@pytest.mark.parametrize("text", ["שלום", "مرحبا", "🎉", "日本語", "é ấ ﬁ ½", "tab\there"])
def test_letters_of_every_script_stay_as_they_are(text: str) -> None:
    assert text == escape(text)


# --- texts

_INLINES: dict[type, tuple[Inline, str]] = {
    Text: (Text("a < b"), "a &lt; b"),
    Emphasis: (Emphasis((Text("a"),)), "<em>a</em>"),
    Hole: (Hole(0), "<msup><mi>x</mi><mn>2</mn></msup>"),
    LineBreak: (LineBreak(), "<br>"),
}
_BLOCKS: dict[type, tuple[Block, str]] = {
    Paragraph: (paragraph(Text("a")), '<p dir="auto">a</p>\n'),
    Listing: (
        Listing(((paragraph(Text("a")),),), 3),
        '<ol start="3">\n<li><p dir="auto">a</p>\n</li>\n</ol>\n',
    ),
    Table: (
        Table(((Text("p"),), (Text("q"),)), (((Text("1"),), (Text("2"),)),), ("right", "")),
        '<div class="wide"><table class="given">\n<thead>\n<tr><th scope="col" class="right">p</th>'
        '<th scope="col">q</th></tr>\n</thead>\n<tbody>\n<tr><td class="right">1</td><td>2</td></tr>\n'
        "</tbody>\n</table></div>\n",
    ),
}


def _with_hole(block: Block) -> Content:
    return Content(TextShape((block,), 1), (samples.maths("x^2"),))


@pytest.mark.parametrize("kind", INLINE_KINDS)
def test_every_kind_of_inline_is_rendered(kind: type) -> None:
    inline, html = _INLINES[kind]

    assert html in in_line(_with_hole(paragraph(inline)))


@pytest.mark.parametrize("kind", BLOCK_KINDS)
def test_every_kind_of_block_is_rendered(kind: type) -> None:
    block, html = _BLOCKS[kind]

    assert html == blocks(_with_hole(block))


def test_a_unit_and_the_sign_after_it_stay_with_their_number() -> None:
    number = samples.maths("209")
    shape = TextShape((Paragraph((Hole(0), Text("\u00a0m²), a width"))),), 1)
    shown = in_line(Content(shape, (number,)))

    assert f'<span class="held">{mathematics(number)}\u00a0m²),</span> a width' == shown


def test_words_in_a_hole_are_escaped_like_any_text() -> None:
    assert "&lt;b&gt; &amp; more" == in_line(Content(TextShape((paragraph(Hole(0)),), 1), ("<b> & more",)))


def test_a_paragraph_that_is_a_formula_stands_at_full_size() -> None:
    (solved,) = (part.key for part in samples.ALL[0]().parts)
    alone = blocks(Content(TextShape((paragraph(Hole(0)),), 1), (solved,)))
    in_words = blocks(Content(TextShape((paragraph(Text("Solve "), Hole(0)),), 1), (solved,)))

    assert alone.startswith('<p dir="auto" class="formula">')
    assert "formula" not in in_words
    assert re.search(r"\.formula math,[^{}]*\{ math-style: normal; \}", STYLE)


def test_strong_text_and_bullets_have_elements_of_their_own() -> None:
    assert "<strong>a</strong>" == in_line(content(paragraph(Emphasis((Text("a"),), strong=True))))
    assert blocks(content(Listing(((paragraph(Text("a")),),)))).startswith("<ul>")


@pytest.mark.parametrize(
    ("text", "stretched"), [("(x + 3)^2 = 5", 0), ("(x + 3/2)^2 = 5", 2), ("(x + 3/2)*(x - 1) = 0", 2)]
)
def test_brackets_grow_only_around_a_fraction(text: str, stretched: int) -> None:
    shown = mathematics(samples.maths(text))

    assert stretched == len(re.findall(r"<mo>[()]</mo>", shown))
    assert len(re.findall(r"<mo[^>]*>\(</mo>", shown)) == len(re.findall(r"<mo[^>]*>\)</mo>", shown))


# --- options and boxes


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (("1", "2", "3", "4"), 4),
        (("a" * 11,) * 4, 4),
        (("a" * 12,) * 4, 2),
        (("a" * 30,) * 4, 2),
        (("a" * 31, "b", "c", "d"), 1),
    ],
)
def test_options_stand_in_as_many_columns_as_the_longest_allows(
    words: tuple[str, ...], expected: int
) -> None:
    response = with_options(*map(of_text, words)).parts[0].response
    assert isinstance(response, ChoiceResponse)

    assert expected == columns(response.options, Looks())


def test_options_of_several_blocks_stand_one_below_the_other() -> None:
    tall = content(paragraph(Text("a")), paragraph(Text("b")))

    assert 1 == columns([Option("A", tall, True), Option("B", of_text("c"), False)], Looks())


def _boxes(form: str, roles: str = "", *, pair: bool = True, slots: int = 1) -> str:
    html = answer_boxes(Blank("x", form, tuple(roles), (), slots, pair=pair))
    return re.sub(r'<mtext class="box" aria-label="<!empty-box>">\s*</mtext>', "B", html)


@pytest.mark.parametrize(
    ("roles", "pair", "html"),
    [
        ("pqrs", True, "<mfrac><mrow>B<mo>±</mo>B<msqrt>B</msqrt></mrow>B</mfrac>"),
        ("pqr", True, "B<mo>±</mo>B<msqrt>B</msqrt>"),
        ("pqr", False, "B<mo>+</mo>B<msqrt>B</msqrt>"),
        ("qr", True, "<mo>±</mo>B<msqrt>B</msqrt>"),
        ("qr", False, "B<msqrt>B</msqrt>"),
        ("qrs", False, "<mfrac><mrow>B<msqrt>B</msqrt></mrow>B</mfrac>"),
    ],
)
def test_surd_boxes_are_laid_out_as_the_surd_is_written(roles: str, pair: bool, html: str) -> None:
    shown = _boxes("surd", roles, pair=pair)

    assert shown.endswith(f"<mi>x</mi><mo>=</mo>{html}</math>")


def test_a_fraction_has_a_box_above_and_a_box_below_the_bar() -> None:
    assert "<mfrac>BB</mfrac>" in _boxes("fraction")


def test_several_values_are_joined_by_or() -> None:
    assert 2 == _boxes("integer", slots=2).count("B")
    assert 1 == _boxes("integer", slots=2).count("><!or><")


def test_every_box_has_a_name() -> None:
    reader = _Reader(_document("question-paper", *(make() for make in ALL)))
    boxes = [attributes for attributes in reader.all("mtext") if attributes.get("class") == "box"]

    assert len(boxes) > 20
    assert {"empty box"} == {attributes["aria-label"] for attributes in boxes}


LONG = "9" * 28


@pytest.mark.parametrize(
    ("last", "below"),
    [
        ("x = 2", (False, False)),
        ("x = -25 or x = -2 or x = 2 or x = 25", (False, True)),
        (f"x = {LONG}*y + {LONG}*z + {LONG}", (True, True)),
    ],
)
def test_marks_stand_below_a_last_option_that_leaves_them_no_room(
    last: str, below: tuple[bool, bool]
) -> None:
    item = samples.choice_item()
    (part,) = item.parts
    assert isinstance(part.response, ChoiceResponse)
    long = part.response.options[-1]._replace(content=samples.maths(last))
    wide = part.response.options[0]._replace(content=samples.maths(f"x = {LONG}*y + {LONG}"))
    options = (wide, *part.response.options[1:-1], long)
    item = replace(item, parts=(replace(part, response=replace(part.response, options=options)),))

    for looks, expected in zip((Looks(), Looks(large=True)), below, strict=True):
        page = pages.document("question-paper", [item], replace(FACTS, looks=looks))
        assert expected == ('class="asked below"' in page)


NINES = "9" * 24


def test_lines_too_long_for_a_column_get_room_of_their_own() -> None:
    assert "" == room(samples.choice_item().parts[0], Looks())
    assert " stacked small" == room(parts_item().parts[0], Looks())
    assert " stacked aligned" == room(samples.choice_item().parts[0], Looks(large=True))
    assert "" == slip_room(samples.choice_item().parts[0].slips[0], Looks())
    assert ' class="long small"' == slip_room(parts_item().parts[0].slips[0], Looks())


@pytest.mark.parametrize(
    ("answer", "expected"),
    [
        ("x = 2", ""),
        (f"x = {NINES} + 7", ' class="long"'),
        (f"x = {NINES}*y + {NINES}*z + {NINES}", ' class="long small"'),
    ],
)
def test_formulas_of_slips_are_smaller_only_where_a_line_is_too_short_for_them(
    answer: str, expected: str
) -> None:
    slip = samples.choice_item().parts[0].slips[0]._replace(answer=samples.maths(answer))

    assert expected == slip_room(slip, Looks())


def test_words_of_a_solution_without_a_line_have_the_room_of_one() -> None:
    item = samples.choice_item()
    words = SolutionLine("main", of_text("It is zero at both ends."), None)
    both = SolutionLine("main", of_text("Solve it."), samples.maths("x = 2"))
    item = replace(item, parts=(replace(item.parts[0], solution=(words, both)),))
    page = _document("worked-solutions", item)

    assert 1 == page.count(
        '<div class="words alone" role="cell" aria-colspan="3" dir="auto">It is zero at both ends.</div>'
    )
    assert 1 == page.count('<div class="words" role="cell" dir="auto">Solve it.</div>')
    assert 1 == page.count('<div class="left" role="cell">')


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (("x^2 + 8*x = 20", "x = 2"), ""),
        ((f"x + {NINES} + {NINES} = 7", "x = 2"), " stacked aligned"),
        ((f"x + {NINES} + {NINES} = 7", f"x = {NINES} + {NINES}"), " stacked"),
        ((f"x + {NINES} + {NINES} = {NINES} + {NINES}",), " stacked small"),
    ],
)
def test_lines_below_their_words_meet_at_the_relation_unless_common_columns_are_too_wide(
    lines: tuple[str, ...], expected: str
) -> None:
    part = samples.choice_item().parts[0]
    solution = tuple(SolutionLine("main", None, samples.maths(line)) for line in lines)

    assert expected == room(replace(part, solution=solution), Looks())


# --- documents


def test_another_document_than_ours_is_refused() -> None:
    with pytest.raises(DomainError, match="poster"):
        _document("poster")


@pytest.mark.parametrize("name", DOCUMENTS)
def test_the_same_items_give_the_same_page(name: str) -> None:
    first = _document(name, *(make() for make in ALL))

    assert first == _document(name, *(make() for make in ALL))


@pytest.mark.parametrize("name", DOCUMENTS)
def test_elements_nest_whatever_the_items_say(name: str) -> None:
    facts = PaperFacts(*HARD_TEXTS[:3], instructions=HARD_TEXTS)
    reader = _Reader(_document(name, *(make() for make in EVERY), facts=facts))

    assert [] == reader.misnested
    assert [] == reader.open


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_paragraph_holds_no_block(name: str) -> None:
    page = _without_style(_document(name, *(make() for make in EVERY)))

    assert re.search(r"<p[ >]", page)
    assert not re.search(
        r"<p(?: [^>]*)?>(?:(?!</p>).)*<(?:p|div|ul|ol|table|section|h\d)[ >]", page, re.DOTALL
    )


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_page_runs_nothing_and_fetches_nothing(name: str) -> None:
    page = _document(
        name, *(make() for make in EVERY), facts=PaperFacts(*HARD_TEXTS[:3], instructions=HARD_TEXTS)
    )
    reader = _Reader(page)

    found = {tag for tag, _ in reader.elements}
    assert not found & {
        "script",
        "link",
        "img",
        "iframe",
        "object",
        "embed",
        "form",
        "base",
        "image",
        "video",
    }
    attributes = {attribute for _, given in reader.elements for attribute in given}
    assert not {attribute for attribute in attributes if attribute.startswith("on")}
    assert not attributes & {"src", "href", "srcset", "data", "action", "background"}
    assert not re.search(r"url\(|@import|expression\(", STYLE)
    assert "default-src 'none'" in next(
        meta["content"] for meta in reader.all("meta") if "http-equiv" in meta
    )


@pytest.mark.parametrize("name", DOCUMENTS)
def test_headings_are_real_and_leave_out_no_level(name: str) -> None:
    reader = _Reader(_document(name, *(make() for make in EVERY)))
    levels = [int(tag[1]) for tag, _ in reader.elements if re.fullmatch(r"h\d", tag)]

    assert 1 == levels[0]
    assert 1 == levels.count(1)
    assert all(after - before <= 1 for before, after in pairwise(levels))
    others = {"question-paper": 1, "worksheet": 1}
    if name not in {"answer-key", "mark-sheet", "answer-sheet"}:
        assert len(EVERY) + others.get(name, 0) == levels.count(2)


@pytest.mark.parametrize(
    ("language", "of_page", "of_title"),
    [("en", "en", None), ("en-GB", "en-GB", None), ("de", "de", None), ("fr", "en", "fr")],
)
def test_the_language_of_the_page_is_that_of_its_own_words(
    language: str, of_page: str, of_title: str | None
) -> None:
    reader = _Reader(_document("question-paper", facts=PaperFacts("a", language=language)))

    assert of_page == reader.all("html")[0]["lang"]
    assert of_title == reader.all("h1")[0].get("lang")


def test_an_item_in_another_language_says_so() -> None:
    item = samples.choice_item()
    other = replace(item, about=item.about._replace(language="cy"))
    articles = _Reader(_document("question-paper", item, other)).all("article")

    assert [None, "cy"] == [attributes.get("lang") for attributes in articles]


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_table_names_its_columns(name: str) -> None:
    reader = _Reader(_document(name, *(make() for make in ALL)))
    heads = reader.all("th")

    assert all(attributes.get("scope") in {"col", "row"} for attributes in heads)
    if name == "answer-key":
        assert 5 == sum(attributes["scope"] == "col" for attributes in heads)


@pytest.mark.parametrize("make", samples.ALL)
def test_the_question_paper_holds_no_address_and_no_slip(make: Callable[[], Item]) -> None:
    item = make()
    page = _document("question-paper", item)

    assert item.code in page
    assert item.address.template not in page
    for slip in item.parts[0].slips:
        assert slip.name not in page
        assert slip.name.replace("-", " ") not in page
    assert "Reteach" not in page


def test_the_question_paper_is_the_same_whichever_option_is_the_key() -> None:
    item = samples.choice_item()
    response = item.parts[0].response
    assert isinstance(response, ChoiceResponse)
    moved = tuple(Option(o.identifier, o.content, o.identifier == "A") for o in response.options)
    other = replace(
        item, parts=(replace(item.parts[0], response=replace(response, options=moved), slips=()),)
    )

    assert _document("question-paper", item) == _document("question-paper", other)


@pytest.mark.parametrize(
    "make", [make for make in ALL if isinstance(make().parts[0].response, EntryResponse)]
)
def test_the_question_paper_is_the_same_whatever_belongs_in_the_boxes(make: Callable[[], Item]) -> None:
    item = make()
    part = item.parts[0]
    assert isinstance(part.response, EntryResponse)
    emptied = tuple(replace(blank, values=(), tolerance=None) for blank in part.response.blanks)
    response = replace(part.response, blanks=emptied, recognised=(), tick_is_right=False)
    other = replace(part, response=response, key=samples.maths("none"), slips=(), solution=())

    assert _document("question-paper", item) == _document(
        "question-paper", replace(item, parts=(other, *item.parts[1:]))
    )


def _filled_with(name: str, text: str) -> str:
    """A page whose every word of an author is this text."""
    stem = Content(TextShape((paragraph(Text(text), Hole(0)),), 1), (text,))
    item = with_options(*([of_text(text)] * 4))
    said = SolutionLine("main", of_text(text), None)
    item = replace(item, code=text, parts=(replace(item.parts[0], stem=stem, solution=(said,)),))
    facts = PaperFacts(text, f"by {text}", f"under {text}", instructions=(text,))
    # the foot of a printed page goes by codes, which have a test of their own
    page = re.sub("@bottom-left {[^}]*}", "", _document(name, item, facts=facts))
    return re.sub('across-[124]" style="--longest: [0-9]+', "across", page)


@pytest.mark.parametrize("name", DOCUMENTS)
@given(text=st.text() | st.sampled_from(HARD_TEXTS))
def test_an_authors_text_changes_nothing_around_it(name: str, text: str) -> None:
    around = _filled_with(name, "Saltmarsh")

    assert around.replace("Saltmarsh", escape(text)) == _filled_with(name, text)


def test_two_options_stand_side_by_side_on_a_narrow_screen_only_where_the_longest_fits() -> None:
    page = _document(
        "question-paper", with_options(*(of_text(text) for text in ("a" * 7, "b" * 3, "c", "d")))
    )

    assert '<ol class="options across-4" style="--longest: 7">' in page
    narrow = page[page.index("@media screen and (max-width") :]
    assert re.search(r"\.options:not\(\.across-1\) \{[^}]*auto-fill[^}]*var\(--longest\)", narrow)


def test_the_total_at_the_top_is_the_sum_of_the_marks_in_brackets() -> None:
    text = _Reader(_document("question-paper", *(make() for make in ALL))).text
    marks = [int(found) for found in re.findall(r"\[(\d+) marks?\]", text)]

    assert len(marks) >= len(ALL)
    assert f"and is worth {sum(marks)} marks." in text


def test_working_space_is_in_proportion_to_the_marks() -> None:
    page = _document(
        "question-paper", samples.surd_entry_item(), samples.rewrite_item(), samples.choice_item()
    )

    assert ["45", "30", "8"] == re.findall(r"--space: (\d+)mm", page)


def test_the_key_tells_how_far_a_decimal_may_lie_from_the_answer() -> None:
    decimals = next(make() for make in MORE if make.__name__ == "decimals_item")

    assert "allow ± 0.005 for x" in _Reader(_document("answer-key", decimals)).text


def test_what_is_lost_of_an_item_is_told() -> None:
    assert () == pages.shortfalls(samples.choice_item())
    assert () == pages.shortfalls(with_stem(of_text("שלום 🎉")))
    assert 1 == len(pages.shortfalls(with_stem(of_text("a\x07"))))


def test_the_module_is_a_writer() -> None:
    writer: Writer = pages  # type: ignore[assignment]

    assert "html" == writer.FORMAT


# --- the style sheet


def _luminance(colour: str) -> float:
    channels = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _contrast(first: str, second: str) -> float:
    """Source: W3C, Web Content Accessibility Guidelines 2.2, contrast ratio and relative luminance."""
    lighter, darker = sorted((_luminance(first), _luminance(second)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_formula_of_contrast_gives_the_known_values() -> None:
    assert 21.0 == round(_contrast("#000000", "#ffffff"), 4)
    assert 4.5422 == round(_contrast("#767676", "#ffffff"), 4)
    assert 4.4781 == round(_contrast("#777777", "#ffffff"), 4)


def test_every_text_is_well_set_off_from_the_white_page() -> None:
    assert ["#ffffff"] == re.findall(r"background: (#\w+)", STYLE)
    colours = re.findall(r"(?<![\w-])color: (#[0-9a-f]{6})", STYLE)

    assert 2 <= len(colours)
    assert all(_contrast(colour, "#ffffff") >= 4.5 for colour in colours)
    assert not re.search(r"(?<![\w-])color: (?!#[0-9a-f]{6};)", STYLE)


def test_boxes_and_lines_to_write_on_are_seen() -> None:
    drawn = re.findall(
        r"^(?:math )?\.(?:box|tick|rule|pupil) \{[^}]*border[^:]*: 1px solid (#\w+)", STYLE, re.MULTILINE
    )

    assert 4 == len(drawn)
    assert all(_contrast(colour, "#ffffff") >= 3 for colour in drawn)


def test_sizes_of_text_follow_the_readers_own_outside_print() -> None:
    screen, _, paper = STYLE.partition("@media print {")

    assert not re.search(r"font(?:-size)?: [^;]*\d(?:px|pt|mm)", screen)
    assert "size: A4" in _document("question-paper")
    assert "size: letter" in _document("question-paper", facts=PaperFacts("a", looks=Looks(size="letter")))
    assert "break-inside: avoid" in paper


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_small_paper_looks_as_it_was_read_by_eye(
    name: str, same_as_golden: Callable[[str, str], None]
) -> None:
    items = (samples.choice_item(), samples.surd_entry_item(), samples.rewrite_item())

    same_as_golden(f"pages/{name}.html", _without_style(_document(name, *items)))
