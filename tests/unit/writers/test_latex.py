"""Papers as LaTeX: escaping, texts, boxes, documents. Whether TeX takes them is tested under conformance."""

from __future__ import annotations

import re
import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import replace

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
from itembank.items import (
    Blank,
    ChoiceResponse,
    EntryResponse,
    Item,
    Option,
    SolutionLine,
    WrongLineResponse,
)  # fmt: skip
from itembank.writers import latex
from itembank.writers.base import Writer
from itembank.writers.latex.characters import escape, unknown_characters
from itembank.writers.latex.content import blocks, in_line, maths_source
from itembank.writers.latex.responses import answer_boxes, options
from itembank.writers.paper import DOCUMENTS, PaperFacts
from tests import kinds_bank, samples, template_items
from tests.paper_items import FACTS, HARD, HARD_TEXTS, content, paragraph, with_options, with_stem
from tests.qti_items import MORE

ALL = (*samples.ALL, *MORE)
_TOKEN = re.compile(r"\\[A-Za-z]+|\\.|.", re.DOTALL)

# What a printed sign of ASCII is spelled as; written down here, not taken from the writer.
_SPELLED = {
    r"\textbackslash{}": "\\", r"\{": "{", r"\}": "}", r"\$": "$", r"\&": "&", r"\#": "#", r"\%": "%", r"\_": "_",
    r"\textasciicircum{}": "^", r"\textasciitilde{}": "~", r"\textasciigrave\Apart{}": "`", r"\textquotedbl{}": '"',
    r"\textless\Apart{}": "<", r"\textgreater\Apart{}": ">", r"\textbar{}": "|", r"\Apart{}": "",
    r"\allowbreak{}": "",
}  # fmt: skip
_SPELLINGS = re.compile("|".join(re.escape(source) for source in sorted(_SPELLED, key=len, reverse=True)))
_AS_THEY_ARE = re.compile(r"[A-Za-z0-9 .:;()\[\]=+*/!?'@,-]*")


def _document(name: str, *items: Item, facts: PaperFacts = FACTS) -> str:
    return latex.document(name, items, facts)


def _body(document: str) -> str:
    return document[document.index("\\newcommand\\DocumentTitle") :]


def _macros(source: str) -> Counter[str]:
    return Counter(token for token in _TOKEN.findall(source) if token[0] == "\\")


# --- characters


@given(st.text())
def test_every_text_becomes_one_line_of_printable_ascii(text: str) -> None:
    source = escape(text)

    assert source.isascii()
    assert source.isprintable()


@given(st.text())
def test_no_text_opens_what_it_does_not_close_or_begins_a_comment(text: str) -> None:
    depth = 0
    for token in _TOKEN.findall(escape(text)):
        depth += {"{": 1, "}": -1}.get(token, 0)
        assert depth >= 0
        assert token not in {"%", "#", "&", "$", "_", '"', "`", "<", ">", "|"}
    assert 0 == depth


@given(st.text(st.characters(min_codepoint=32, max_codepoint=126)))
def test_printable_ascii_can_be_read_back_from_its_source(text: str) -> None:
    source = escape(text)

    assert text == _SPELLINGS.sub(lambda found: _SPELLED[found[0]], source)
    assert _AS_THEY_ARE.fullmatch(_SPELLINGS.sub("", source))


@given(st.text(st.sampled_from("aeiounAEsz{\\u0301\u0300\u0302\u0323\u0327\u0328éęçő \u200d�ש🎉²½⅓ﬁ")))
def test_a_text_brings_no_macro_but_signs_and_accents(text: str) -> None:
    harmless = {r"\Unknown", r"\Apart", r"\allowbreak", r"\ensuremath", r"\tfrac", r"\textsuperscript"}

    found = set(_macros(escape(text))) - harmless
    assert all(len(macro) == 2 or macro in {r"\textbackslash", r"\textonehalf", r"\i"} for macro in found)


@pytest.mark.parametrize(
    ("text", "source"),
    [
        (r"\input{x}", r"\textbackslash{}input\{x\}"),
        (r"\write18{ls}", r"\textbackslash{}write18\{ls\}"),
        ("a--b", r"a-\Apart{}-b"),
        ("one-way", "one-way"),
        ("a\tb\nc", "a b c"),
        ("naïve", r"na\"{\i{}}ve"),
        ("ą ő ç", r"\k{a} \H{o} \c{c}"),
        ("ẹ\u0302", r"\d{\^{e}}"),
        ("5 − 3 × 2 ≤ √2", r"5 \ensuremath{-} 3 \ensuremath{\times} 2 \ensuremath{\leq} \ensuremath{\surd}2"),
        ("x²", r"x\textsuperscript{2}"),
        ("aₙ ⅓ ﬁ", r"a\textsubscript{n} \ensuremath{\tfrac{1}{3}} fi"),
        ("π", r"\ensuremath{\pi}"),
        ("x ↦ y ∣ z", r"x \ensuremath{\mapsto} y \ensuremath{\mid} z"),
        ("a\u00a0b", "a~b"),
        ("א🎉", r"\Unknown{05D0}\Unknown{1F389}"),
        ("a\u202eb", r"a\Unknown{202E}b"),
        ("\x07\ud800", r"\Unknown{0007}\Unknown{D800}"),
    ],
)
def test_a_character_prints_as_itself_or_as_its_code(text: str, source: str) -> None:
    assert source == escape(text)


def test_a_third_mark_on_a_letter_is_shown_by_its_code() -> None:
    assert r"\'{e}\Unknown{0302}" == escape("e\u0301\u0302")


def test_one_long_word_gets_places_to_break() -> None:
    assert 12 == escape("x" * 300).count(r"\allowbreak{}")
    assert 0 == escape("x" * 24).count(r"\allowbreak{}")


def test_the_characters_a_document_shows_by_code_can_be_listed() -> None:
    assert ("א", "🎉") == unknown_characters(escape("🎉 א 🎉"))


# --- texts

_INLINES: dict[type, tuple[Inline, str]] = {
    Text: (Text("50 %"), r"50 \%"),
    Emphasis: (Emphasis((Text("a"),)), r"\emph{a}"),
    Hole: (Hole(0), r"$x^{2}$"),
    LineBreak: (LineBreak(), r"\LineBreak{}"),
}
_BLOCKS: dict[type, tuple[Block, str]] = {
    Paragraph: (paragraph(Text("a")), "a\\EndBlock\n"),
    Listing: (
        Listing(((paragraph(Text("a")),), (paragraph(Text("b")),)), 3),
        "\\ListItem{3.}{a\\EndBlock\n}\n\\ListItem{4.}{b\\EndBlock\n}\n",
    ),
    Table: (
        Table(((Text("p"),), (Text("q"),)), (((Text("1"),), (Text("2"),)),), ("right", "")),
        "\\Table{rl}{2}{%\n\\HeadCell{p}&\\HeadCell{q}\\tabularnewline\n\\hline\n"
        "\\Cell{1}&\\Cell{2}\\tabularnewline\n}\n",
    ),
}


def _with_hole(block: Block) -> Content:
    return Content(TextShape((block,), 1), (samples.maths("x^2"),))


@pytest.mark.parametrize("kind", INLINE_KINDS)
def test_every_kind_of_inline_is_rendered(kind: type) -> None:
    inline, source = _INLINES[kind]

    assert source == in_line(_with_hole(paragraph(inline)))


@pytest.mark.parametrize("kind", BLOCK_KINDS)
def test_every_kind_of_block_is_rendered(kind: type) -> None:
    block, source = _BLOCKS[kind]

    assert source == blocks(_with_hole(block))


def test_words_in_a_hole_are_escaped_like_any_text() -> None:
    assert r"50 \% \& more" == in_line(Content(TextShape((paragraph(Hole(0)),), 1), ("50 % & more",)))


def test_strong_text_differs_from_stressed_text() -> None:
    assert r"\textbf{a}" == in_line(content(paragraph(Emphasis((Text("a"),), strong=True))))


def test_rows_shorter_or_longer_than_the_header_keep_the_table_whole() -> None:
    cell = (Text("1"),)
    source = blocks(content(Table((cell, cell), ((cell,), (cell, cell, cell)), ())))

    assert 3 == source.count("\\tabularnewline")
    assert 3 * 2 == source.count("&")


def test_a_formula_that_begins_an_item_stays_in_the_line_of_its_bullet() -> None:
    (solved,) = (part.key for part in samples.ALL[0]().parts)
    items = ((paragraph(Hole(0)), paragraph(Hole(1))),)
    source = blocks(Content(TextShape((Listing(items),), 2), (solved, solved)))

    assert source.startswith("\\ListItem{}{{\\everymath{\\displaystyle}$")
    assert 2 == source.count("\\AroundFormula")


def test_deep_lists_stop_being_set_further_in() -> None:
    block: Block = paragraph(Text("a"))
    for _ in range(6):
        block = Listing(((block,),))

    assert (4, 2) == tuple(blocks(content(block)).count(macro) for macro in ("\\ListItem", "\\DeepItem"))


# --- options and boxes


def test_options_in_a_line_are_offered_as_many_columns_as_fit() -> None:
    response = samples.choice_item().parts[0].response
    assert isinstance(response, ChoiceResponse)

    assert options(response.options).startswith("\\Options{4,2,1}{%\n\\Option{A}{$\\displaystyle x = 8 \\pm ")


def test_an_option_of_several_blocks_stands_in_a_column_of_its_own() -> None:
    tall = content(paragraph(Text("a")), paragraph(Text("b")))

    assert options([Option("A", tall, True), Option("B", of_text("c"), False)]).startswith("\\Options{1}{")


def _boxes(form: str, roles: str = "", *, pair: bool = True, slots: int = 1) -> str:
    source = answer_boxes(Blank("x", form, tuple(roles), (), slots, pair=pair))
    return re.sub(r"\\AnswerBox\{\d+\\U\}", "B", source)


@pytest.mark.parametrize(
    ("roles", "pair", "source"),
    [
        ("pqrs", True, r"x = \frac{B \pm B\sqrt{B}}{B}"),
        ("pqr", True, r"x = B \pm B\sqrt{B}"),
        ("pqr", False, r"x = B + B\sqrt{B}"),
        ("qr", True, r"x =  \pm B\sqrt{B}"),
        ("qr", False, r"x = B\sqrt{B}"),
        ("qrs", False, r"x = \frac{B\sqrt{B}}{B}"),
    ],
)
def test_surd_boxes_are_laid_out_as_the_surd_is_written(roles: str, pair: bool, source: str) -> None:
    assert rf"\mbox{{$\displaystyle {source}$}}" == _boxes("surd", roles, pair=pair)


def test_a_fraction_has_a_box_above_and_a_box_below_the_bar() -> None:
    assert r"\frac{B}{B}" in _boxes("fraction")


def test_several_values_are_joined_by_or() -> None:
    assert 1 == _boxes("integer", slots=2).count(r"\JoinBoxes{\OrWord}")


# --- documents


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_document_is_plain_latex_with_packages_of_every_distribution(name: str) -> None:
    source = _document(name, *(make() for make in ALL))

    assert source.isascii()
    assert "{article}" in source.splitlines()[0]
    packages = set(re.findall(r"\\usepackage(?:\[[^]]*\])?\{([^}]*)\}", source))
    drawing = {"tikz"} if name in {"question-paper", "worksheet", "worked-solutions"} else set()
    assert {"fontenc", "lmodern", "textcomp", "amsmath", "longtable", "geometry"} | drawing == packages


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_document_without_pictures_needs_no_package_for_them(name: str) -> None:
    assert "tikz" not in _document(name, *(make() for make in samples.ALL))


def test_another_document_than_ours_is_refused() -> None:
    with pytest.raises(DomainError, match="poster"):
        _document("poster")


@pytest.mark.parametrize("name", DOCUMENTS)
def test_the_same_items_give_the_same_source(name: str) -> None:
    first = _document(name, *(make() for make in ALL))

    assert first == _document(name, *(make() for make in ALL))


def _filled_with(name: str, text: str) -> str:
    """A document whose every word of an author is this text."""
    stem = Content(TextShape((paragraph(Text(text), Hole(0)),), 1), (text,))
    item = with_options(*([of_text(text)] * 4))
    said = SolutionLine("main", of_text(text), None)
    item = replace(item, code=text, parts=(replace(item.parts[0], stem=stem, solution=(said,)),))
    facts = PaperFacts(text, f"by {text}", f"under {text}", instructions=(text,))
    # what the file says of itself goes by the digits of its codes, which have a test of their own
    return re.sub(r"\\def\\FileFacts.*", "", _document(name, item, facts=facts))


@pytest.mark.parametrize("name", DOCUMENTS)
@given(text=st.text() | st.sampled_from(HARD_TEXTS))
def test_an_authors_text_changes_nothing_around_it(name: str, text: str) -> None:
    around = _filled_with(name, "Saltmarsh")

    assert around.replace("Saltmarsh", escape(text)) == _filled_with(name, text)


@pytest.mark.parametrize("make", samples.ALL)
def test_the_question_paper_holds_no_address_and_no_slip(make: Callable[[], Item]) -> None:
    item = make()
    source = _document("question-paper", item)

    assert item.code in source
    assert item.address.template not in source
    for slip in item.parts[0].slips:
        assert slip.name not in source
        assert slip.name.replace("-", " ") not in source
    assert "Reteach" not in source


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


def test_marks_stand_in_brackets_and_their_sum_at_the_top() -> None:
    source = _document("question-paper", *(make() for make in samples.ALL))

    assert ["1", "3", "2", "1", "2", "1", "2"] == re.findall(r"\\Marks\{(\d+)\}", _body(source))
    assert "and is worth 12 marks." in source
    assert r"\FactRow{Total marks}{12}" in source


def test_one_mark_is_no_marks() -> None:
    source = _document("question-paper", samples.words_item())

    assert "This paper has 1 question and is worth 1 mark." in source


@pytest.mark.parametrize(
    ("item", "rule"),
    [(samples.choice_item(), "circle the letter"), (samples.surd_entry_item(), "no real solution")],
)
def test_a_paper_says_how_to_answer(item: Item, rule: str) -> None:
    assert rule in _document("question-paper", item)


def test_the_key_tells_how_far_a_decimal_may_lie_from_the_answer() -> None:
    decimals = next(make() for make in MORE if make.__name__ == "decimals_item")

    assert r"allow \ensuremath{\pm} 0.005 for $x$" in _document("answer-key", decimals)


def test_a_paper_in_another_language_is_not_hyphenated_as_english() -> None:
    assert r"\hyphenpenalty=2000" in _document("question-paper", facts=PaperFacts("a", language="en-GB"))
    assert r"\hyphenpenalty=10000" in _document("question-paper", facts=PaperFacts("a", language="fr"))
    assert r"\language=\l@ngerman" in _document("question-paper", facts=PaperFacts("a", language="de-AT"))


def test_what_is_lost_of_an_item_is_told() -> None:
    assert () == latex.shortfalls(samples.choice_item())
    assert ("the usual TeX fonts have no sign for U+05D0: printed as framed codes",) == latex.shortfalls(
        with_stem(of_text("א"))
    )


def test_of_a_whole_alphabet_a_few_characters_are_named_and_where_to_turn_is_said() -> None:
    (told,) = latex.shortfalls(with_stem(of_text("אבגדהוזחט")))
    assert "U+05D0, U+05D1" in told
    assert "U+05D8" not in told
    assert "and 3 more: printed as framed codes; the formats html and docx" in told


def test_and_before_the_letter_y_is_a_macro_of_its_own() -> None:
    assert r"\AndBeforeY y" in maths_source(samples.maths("x = 2 and y = 3"))
    assert r"\AndWord x" in maths_source(samples.maths("y = 2 and x = 3"))
    for language, word in (("es", "e"), ("en", "and"), ("fr", "and"), ("de", "und")):
        paper = _document("question-paper", facts=PaperFacts("a", language=language))
        assert rf"\newcommand\AndBeforeY{{\ \text{{{word}}}" in paper


def test_the_module_is_a_writer() -> None:
    writer: Writer = latex  # type: ignore[assignment]

    assert "latex" == writer.FORMAT


def test_templates_are_loaded_only_when_a_paper_is_written() -> None:
    script = (
        "import sys\n"
        "from itembank.writers import latex, pages\n"
        "from itembank.writers.paper import PaperFacts\n"
        "assert 'jinja2' not in sys.modules\n"
        "for writer in (latex, pages): writer.document('answer-key', (), PaperFacts('a'))\n"
        "assert 'jinja2' in sys.modules\n"
    )

    assert 0 == subprocess.run([sys.executable, "-c", script], check=False).returncode


@pytest.mark.parametrize("make", HARD)
@pytest.mark.parametrize("name", DOCUMENTS)
def test_hard_items_keep_groups_and_environments_closed(name: str, make: Callable[[], Item]) -> None:
    source = _document(name, make())
    tokens = Counter(_TOKEN.findall(source))
    macros = _macros(source)

    assert tokens["{"] == tokens["}"]
    assert macros[r"\begin"] == macros[r"\end"]


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_small_paper_looks_as_it_was_read_by_eye(
    name: str, same_as_golden: Callable[[str, str], None]
) -> None:
    items = (samples.choice_item(), samples.surd_entry_item(), samples.rewrite_item())

    same_as_golden(f"latex/{name}.tex", _body(_document(name, *items)))


def test_a_paragraph_that_is_a_formula_stands_at_full_size() -> None:
    (solved,) = (part.key for part in samples.ALL[0]().parts)
    alone = blocks(Content(TextShape((paragraph(Hole(0)),), 1), (solved,)))
    in_words = blocks(Content(TextShape((paragraph(Text("Solve "), Hole(0)),), 1), (solved,)))

    assert alone.startswith(r"\AroundFormula{\everymath{\displaystyle}$")
    assert alone.rstrip().endswith(r"\AroundFormula")
    assert "displaystyle" not in in_words


@pytest.mark.parametrize(
    ("kind", "said"), [("order-of-steps", r"order~[A-E]"), ("equations-and-solutions", r"pairs~1[A-E]")]
)
def test_letters_that_are_the_whole_answer_stand_where_it_would(kind: str, said: str) -> None:
    (item,) = kinds_bank.items(kind, 1)

    assert re.search(rf"\\textbf\{{Answer\}}\\quad\{{\}}{said}", _document("worked-solutions", item))
    assert re.search(r"\\textbf\{Answer\}\\quad\{\}[1A-E]", _document("mark-scheme", item))


def test_the_scheme_says_that_a_number_is_that_of_a_line() -> None:
    (item,) = kinds_bank.items("find-the-slip", 1)
    response = item.parts[0].response
    assert isinstance(response, WrongLineResponse)

    assert f"line~{response.wrong + 1} only" in _document("mark-scheme", item)


@pytest.mark.parametrize("kind", ["all-solutions", "order-of-steps", "equations-and-solutions"])
def test_one_answer_is_not_promised_where_a_question_asks_for_letters_otherwise(kind: str) -> None:
    alone = _document("question-paper", samples.choice_item())
    together = _document("question-paper", samples.choice_item(), *kinds_bank.items(kind, 1))

    assert "the one right answer." in alone
    assert escape("the one right answer, unless the question says otherwise.") in together


def test_brackets_are_as_high_as_the_boxes_in_them() -> None:
    blank = Blank(
        unknown="", form="brackets", boxes=("a", "b", "c", "d"), values=((1, 2, 1, 3),), slots=1, letter="x"
    )

    assert 2 == answer_boxes(blank).count(r"\left(\AnswerBox") == answer_boxes(blank).count(r"\right)")


def test_no_line_of_words_to_choose_from_begins_with_a_stroke() -> None:
    (item,) = template_items.items("one-of", 1)
    blanks = (blank for part in item.parts for blank in part.response.blanks)  # type: ignore[union-attr]
    source = next(answer_boxes(blank) for blank in blanks if blank.words)

    assert source.count("/") == source.count("~/ ") >= 1


def test_functions_are_called_as_the_language_of_the_paper_calls_them() -> None:
    item = samples.choice_item()
    part = item.parts[0]
    line = part.solution[0]._replace(maths=samples.maths("gcd(a, b) = max(a, c)"))
    item = replace(item, parts=(replace(part, solution=(line, *part.solution[1:])),))

    for language, called in (("en", r"\mathrm{gcd}"), ("es", r"\text{mcd}"), ("es", r"\text{m\'{a}x}")):
        assert called in latex.document("worked-solutions", [item], PaperFacts("Surds", language=language))
