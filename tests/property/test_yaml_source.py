"""Laws of places: a file is written by hand, sign by sign, and every sign is found where it was put."""

from __future__ import annotations

from dataclasses import dataclass, field

from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.errors import InputError
from itembank.yaml_source import Document, Mapping, Scalar, Source, Style, parse

# Signs without a meaning of their own at any place of an unquoted text; one, two, three and four bytes long.
_WORDS = st.text(st.sampled_from("abhkx01é√😀+=^()*/_."), min_size=1, max_size=6).map("x".__add__)
_LINES = st.lists(_WORDS, min_size=1, max_size=4).map(" ".join)
_QUOTED_LINES = st.lists(
    _WORDS | st.sampled_from(["'", '"', "\\", "a'b", "#", ": ", "- x"]), min_size=1, max_size=4
)
_LINE_ENDS = st.sampled_from(["\n", "\r\n"])
_BLANKS = st.integers(0, 2)
_PADDING = st.sampled_from(["", " ", "   "])


@dataclass
class Page:
    """A file as it is written: what stands in it, and the text it should give with the place of each sign."""

    line_end: str
    file: str = ""
    text: str = ""
    places: list[tuple[int, int] | None] = field(default_factory=list)

    def write(self, signs: str) -> None:
        """Write signs that are no part of the text."""
        self.file += signs.replace("\n", self.line_end)

    def give(self, signs: str) -> None:
        """Add to the text what is not written as itself: a fold."""
        self.text += signs
        self.places.extend([None] * len(signs))

    def put(self, sign: str, written: str | None = None) -> None:
        """Write one sign of the text, as itself or as an escape."""
        lines = self.file.split(self.line_end)
        self.text += sign
        self.places.append((len(lines), len(lines[-1]) + 1))
        self.file += sign if written is None else written


@st.composite
def beginnings(draw: st.DrawFn) -> Page:
    """A page with something above, and the name of the text."""
    page = Page(draw(_LINE_ENDS))
    page.write(draw(st.sampled_from(["", "# é😀\n", "first: 'é'\n\n", "first: |\n  x\n\n"])))
    page.write("a: ")
    return page


def _fold(page: Page, blanks: int, blank: str, indentation: str) -> None:
    page.give("\n" * blanks or " ")
    page.write("\n" + (blank + "\n") * blanks + indentation)


@st.composite
def plain_pages(draw: st.DrawFn) -> Page:
    page = draw(beginnings())
    for number, line in enumerate(draw(st.lists(_LINES, min_size=1, max_size=4))):
        if number:
            page.write(draw(_PADDING))
            _fold(page, draw(_BLANKS), draw(_PADDING), " " * draw(st.integers(1, 3)))
        for sign in line:
            page.put(sign)
    page.write(draw(_PADDING) + draw(st.sampled_from(["", "\n", " # a comment\n", "\nlast: b\n"])))
    return page


@st.composite
def quoted_pages(draw: st.DrawFn, quote: str) -> Page:
    page = draw(beginnings())
    page.write(quote)
    for number, words in enumerate(draw(st.lists(_QUOTED_LINES, min_size=1, max_size=4))):
        if number:
            joins = quote == '"' and draw(st.booleans())
            page.write("\\" if joins else draw(_PADDING))
            blanks = draw(_BLANKS)
            if joins:
                page.give("\n" * blanks)
                page.write("\n" * (blanks + 1) + draw(_PADDING))
            else:
                _fold(page, blanks, draw(_PADDING), draw(_PADDING))
        for sign in " ".join(words).strip():
            page.put(sign, draw(_spellings(quote, sign)))
    page.write(quote + draw(st.sampled_from(["", "\n", " # a comment\n"])))
    return page


def _spellings(quote: str, sign: str) -> st.SearchStrategy[str]:
    if quote == "'":
        return st.just("''" if sign == "'" else sign)
    itself = "\\" + sign if sign in '"\\' else sign
    return st.sampled_from([itself, itself, itself, f"\\U{ord(sign):08x}"])


@st.composite
def block_pages(draw: st.DrawFn, sign: str) -> Page:
    """A block: lines indented alike, some indented more, blank lines between them, any end."""
    page = draw(beginnings())
    chomping = draw(st.sampled_from(["", "-", "+"]))
    is_given = draw(st.booleans())
    width = draw(st.integers(1, 4))
    page.write(f"{sign}{width if is_given else ''}{chomping}{draw(st.sampled_from(['', ' # a comment']))}\n")
    lines = draw(st.lists(st.tuples(_BLANKS, _PADDING, _LINES), min_size=1, max_size=4))
    above: str | None = None
    for blanks, more, line in lines:
        # Without a given width the first line is what the width is taken from.
        extra = more if above is not None or is_given else ""
        if above is not None:
            folds = sign == ">" and not above and not extra
            page.give(("\n" * blanks or " ") if folds else "\n" * (blanks + 1))
            page.write("\n")
        else:
            page.give("\n" * blanks)
        page.write((draw(st.sampled_from(["", " " * width])) + "\n") * blanks + " " * width)
        for character in extra + line:
            page.put(character)
        above = extra
    after = draw(_BLANKS)
    page.give({"": "\n", "-": "", "+": "\n" * (after + 1)}[chomping])
    page.write("\n" * (after + 1) + draw(st.sampled_from(["", "last: b\n", "# a comment\n"])))
    return page


def _scalar(document: Document) -> Scalar:
    assert isinstance(document.root, Mapping)
    node = document.root.get("a")
    assert isinstance(node, Scalar)
    return node


def _check(page: Page, style: Style, mark: str) -> None:
    data = (mark + page.file).encode()
    document = parse(data, "card.yaml")
    scalar = _scalar(document)

    assert (style, page.text) == (scalar.style, scalar.text)
    for offset, expected in enumerate(page.places):
        if expected:
            span = scalar.place(offset, 1)
            assert expected == (span.line, span.column)
            written = document.source.line(span.line)[span.column - 1 : span.end_column - 1]
            assert page.text[offset] == written or written[:1] in "\\'"
    assert document.root == parse(data, "card.yaml", pure=True).root


_MARKS = st.sampled_from(["", "\ufeff"])


@given(plain_pages(), _MARKS)
@settings(max_examples=150, deadline=None)
def test_every_sign_of_a_plain_text_is_found_where_it_stands(page: Page, mark: str) -> None:
    _check(page, Style.PLAIN, mark)


@given(quoted_pages("'"), _MARKS)
@settings(max_examples=150, deadline=None)
def test_every_sign_in_single_quotes_is_found_where_it_stands(page: Page, mark: str) -> None:
    _check(page, Style.SINGLE_QUOTED, mark)


@given(quoted_pages('"'), _MARKS)
@settings(max_examples=150, deadline=None)
def test_every_sign_in_double_quotes_is_found_where_it_stands(page: Page, mark: str) -> None:
    _check(page, Style.DOUBLE_QUOTED, mark)


@given(block_pages("|"), _MARKS)
@settings(max_examples=150, deadline=None)
def test_every_sign_of_a_literal_text_is_found_where_it_stands(page: Page, mark: str) -> None:
    _check(page, Style.LITERAL, mark)


@given(block_pages(">"), _MARKS)
@settings(max_examples=150, deadline=None)
def test_every_sign_of_a_folded_text_is_found_where_it_stands(page: Page, mark: str) -> None:
    _check(page, Style.FOLDED, mark)


_SIGNS = [
    *"a[]{}'\"\\ ()$@é😀",
    "b: ",
    "key: ",
    "- ",
    "? ",
    ": ",
    ", ",
    "''",
    "\\n",
    "# ",
    " # c",
    "*a",
    "<<",
]
_STARTS = ["\n", "\n  ", "\n    ", "\n\n", "\r\n", "---\n", "|\n  ", ">-\n  "]
_SCRAPS = st.lists(st.sampled_from(_SIGNS) | st.sampled_from(_STARTS), max_size=16).map("".join)


def _outcome(text: str, pure: bool) -> object:
    try:
        document = parse(text.encode(), "card.yaml", pure=pure)
    except InputError as error:
        return error.diagnostics
    return document.root, document.doubts


@given(_SCRAPS)
@settings(max_examples=400, deadline=None)
def test_both_parsers_give_the_same_tree_or_the_same_diagnostics(text: str) -> None:
    assert _outcome(text, pure=True) == _outcome(text, pure=False)


@given(_SCRAPS | st.binary(max_size=40))
@settings(max_examples=300, deadline=None)
def test_every_diagnostic_has_a_place_inside_the_file(data: str | bytes) -> None:
    given_bytes = data.encode() if isinstance(data, str) else data
    source = Source("card.yaml", given_bytes.removeprefix(b"\xef\xbb\xbf").decode("utf-8", errors="replace"))
    try:
        found = parse(given_bytes, "card.yaml").doubts
    except InputError as error:
        found = error.diagnostics

    for diagnostic in found:
        assert diagnostic.span
        line = source.line(diagnostic.span.line)
        assert 1 <= diagnostic.span.column <= len(line) + 1
        assert diagnostic.span.end_column <= len(line) + 1
        assert diagnostic.hint
