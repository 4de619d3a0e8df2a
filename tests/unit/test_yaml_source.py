"""YAML with places: raw texts, the place of every character, and each refusal at its line and column.

A test of refusals is a document and the exact list of (line, column, code); both parsers run all of them.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from pathlib import Path

import pytest

from itembank.errors import Diagnostic, DomainError, InputError, Level, Span
from itembank.yaml_source import (
    DEEPEST,
    LARGEST_FILE,
    MOST_NODES,
    Document,
    Mapping,
    Node,
    Scalar,
    Sequence,
    Source,
    Style,
    load,
    parse,
)
from itembank.yaml_source.events import HAS_C_PARSER

PARSERS = [pytest.param(True, id="python-parser")]
if HAS_C_PARSER:
    PARSERS.insert(0, pytest.param(False, id="c-parser"))

both_parsers = pytest.mark.parametrize("pure", PARSERS)


def read(text: str, pure: bool = False) -> Document:
    return parse(text.encode(), "card.yaml", pure=pure)


def told(data: str | bytes, pure: bool = False) -> list[Diagnostic]:
    """Every diagnostic of a document: what stops it, or the doubts of one that is read."""
    given = data.encode() if isinstance(data, str) else data
    try:
        return list(parse(given, "card.yaml", pure=pure).doubts)
    except InputError as error:
        return list(error.diagnostics)


def places(data: str | bytes, pure: bool = False) -> list[tuple[int, int, str]]:
    spans = [(diagnostic.span, diagnostic.code) for diagnostic in told(data, pure)]
    return [(span.line, span.column, code) for span, code in spans if span]


def value(text: str, pure: bool = False) -> Scalar:
    """The scalar under the name `a` of a document."""
    root = read(text, pure).root
    assert isinstance(root, Mapping)
    node = root.get("a")
    assert isinstance(node, Scalar)
    return node


def plain(node: Node) -> object:
    """A tree as dicts, lists and strings, to be compared at a glance."""
    match node:
        case Scalar():
            return node.text
        case Mapping():
            return {key.text: plain(child) for key, child in node.entries}
        case Sequence():
            return [plain(item) for item in node.items]


# Trees


@both_parsers
@pytest.mark.parametrize(
    "written", ["no", "010", "1.10", "12:30", "~", "null", "0x1F", "1e3", "2024-01-31", "=", ".inf", "-9"]
)
def test_a_plain_scalar_stays_as_it_is_written(written: str, pure: bool) -> None:
    assert written == value(f"a: {written}\n", pure).text


@both_parsers
def test_a_document_is_a_tree_of_texts(pure: bool) -> None:
    text = "template: monic\nparameters:\n  h: {from: -9, leaving_out: [0]}\nslips:\n- slip: sign\n- x - h\n"

    expected = {
        "template": "monic",
        "parameters": {"h": {"from": "-9", "leaving_out": ["0"]}},
        "slips": [{"slip": "sign"}, "x - h"],
    }
    assert expected == plain(read(text, pure).root)


@both_parsers
def test_every_node_has_its_place(pure: bool) -> None:
    root = read("h: {from: -9}\nlist:\n  - 'it''s'\n", pure).root

    expected = Mapping(
        (
            (
                Scalar("h", Span("card.yaml", 1, 1, 2), Style.PLAIN, ((0, 1, 1),)),
                Mapping(
                    (
                        (
                            Scalar("from", Span("card.yaml", 1, 5, 9), Style.PLAIN, ((0, 1, 5),)),
                            Scalar("-9", Span("card.yaml", 1, 11, 13), Style.PLAIN, ((0, 1, 11),)),
                        ),
                    ),
                    Span("card.yaml", 1, 4, 14),
                    is_flow=True,
                ),
            ),
            (
                Scalar("list", Span("card.yaml", 2, 1, 5), Style.PLAIN, ((0, 2, 1),)),
                Sequence(
                    (
                        Scalar(
                            "it's",
                            Span("card.yaml", 3, 5, 12),
                            Style.SINGLE_QUOTED,
                            ((0, 3, 6), (3, 3, 10)),
                        ),
                    ),
                    Span("card.yaml", 3, 3),
                ),
            ),
        ),
        Span("card.yaml", 1, 1),
    )
    assert expected == root


@both_parsers
@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("a:\n", (1, 3)),
        ("a:   # a comment\n", (1, 3)),
        ("{a: , b: c}\n", (1, 4)),
        ("? a", (1, 4)),
        ("? a\n# a comment\n", (1, 4)),
        ("b: c\n? a\n", (2, 4)),
    ],
)
def test_a_value_that_is_not_there_stands_after_its_name(
    text: str, place: tuple[int, int], pure: bool
) -> None:
    scalar = value(text, pure)

    assert scalar.is_empty
    assert place == (scalar.span.line, scalar.span.column)


def test_an_empty_text_in_quotes_is_a_text() -> None:
    assert not value("a: ''\n").is_empty


@both_parsers
def test_a_question_mark_may_stand_in_a_text_in_brackets(pure: bool) -> None:
    assert [{"t": "is $x$ even?"}, "no ? b"] == plain(read("[{t: is $x$ even?}, no ? b]\n", pure).root)


def test_a_mapping_finds_values_and_names() -> None:
    root = read("a: b\nc: d\n").root
    assert isinstance(root, Mapping)

    assert root.entries[1][1] is root.get("c")
    assert root.entries[1][0] is root.key("c")
    assert root.get("e") is None
    assert root.key("e") is None


def test_a_document_comes_back_from_a_pickle() -> None:
    document = read("a: |\n  x # y\nb: [1, {c: 'd'}]\n")

    assert document == pickle.loads(pickle.dumps(document))
    assert document.source.line(2) == pickle.loads(pickle.dumps(document)).source.line(2)


def test_a_source_gives_lines_whatever_their_ends() -> None:
    source = Source("card.yaml", "one\r\ntwo\rthree\nfour")

    assert ["one", "two", "three", "four"] == [source.line(number) for number in range(1, 5)]


@pytest.mark.parametrize("number", [0, 3, -1])
def test_a_source_has_no_line_outside_itself(number: int) -> None:
    with pytest.raises(DomainError):
        Source("card.yaml", "one\ntwo").line(number)


# Places inside a scalar


@both_parsers
@pytest.mark.parametrize(
    ("text", "found", "place"),
    [
        pytest.param("a: x + hh\n", "hh", (1, 8), id="plain"),
        pytest.param("a: x +\n   h\n\n\n  + k\n", "k", (5, 5), id="plain on several lines"),
        pytest.param("- [1, {a: x + hh}]\n", "hh", (1, 15), id="plain in brackets"),
        pytest.param("a: 'it''s ''hh'' now'\n", "hh", (1, 13), id="single quotes"),
        pytest.param("a: 'it''s\n\n  a hh'\n", "hh", (3, 5), id="single quotes on two lines"),
        pytest.param('a: "\\u00e9 \\" hh"\n', "hh", (1, 15), id="escapes"),
        pytest.param('a: "x\\\n   \\ y  \n\n  hh"\n', "hh", (4, 3), id="escaped line end"),
        pytest.param("a: |\n  x\n\n    y hh\n  z\n", "hh", (4, 7), id="literal"),
        pytest.param("a: |-\n\n  x\n  hh", "hh", (4, 3), id="literal, stripped"),
        pytest.param("a: |+\n  x\n  hh\n\n\n", "hh", (3, 3), id="literal, kept"),
        pytest.param("a: |1\n   x\n hh\n", "hh", (3, 2), id="literal, indentation given"),
        pytest.param("a: |2-  # a comment\n      \n    hh\n", "hh", (3, 5), id="literal, blanks first"),
        pytest.param("a: >\n  x\n  y\n\n  hh\n", "hh", (5, 3), id="folded"),
        pytest.param("a: >-\n  x\n    y\n\n    z\n  hh\n", "hh", (6, 3), id="folded, indented more"),
        pytest.param("a: |\r\n  é😀\r\n  é hh\r\n", "hh", (3, 5), id="CRLF"),
        pytest.param("\ufeffa: hh\r\n", "hh", (1, 4), id="byte order mark"),
        pytest.param("# é😀\n'é😀': '😀'\na: 😀 hh\n", "hh", (3, 6), id="wide characters"),
    ],
)
def test_a_character_of_a_text_has_its_place_in_the_file(
    text: str, found: str, place: tuple[int, int], pure: bool
) -> None:
    document = read(text, pure)
    scalar = next(node for node in _scalars(document.root) if found in node.text)

    span = scalar.place(scalar.text.index(found), len(found))

    assert (*place, place[1] + len(found)) == (span.line, span.column, span.end_column)
    assert found == document.source.line(span.line)[span.column - 1 : span.end_column - 1]


def _scalars(node: Node) -> list[Scalar]:
    match node:
        case Scalar():
            return [node]
        case Mapping():
            return [scalar for entry in node.entries for child in entry for scalar in _scalars(child)]
        case Sequence():
            return [scalar for item in node.items for scalar in _scalars(item)]


@both_parsers
@pytest.mark.parametrize(
    ("text", "offset", "length", "expected"),
    [
        pytest.param("a: xyz\n", 1, 0, (1, 5, 0), id="no length, no end"),
        pytest.param("a: xyz\n", 3, 0, (1, 7, 0), id="the end of the text"),
        pytest.param('a: "x\\u00e9z"\n', 1, 1, (1, 6, 12), id="an escape is as wide as it is written"),
        pytest.param("a: 'x'''\n", 1, 1, (1, 6, 8), id="a doubled quote is two columns"),
        pytest.param("a: xy\n  z\n", 0, 4, (1, 4, 6), id="several lines end with the first"),
        pytest.param("a: xy  \n  z\n", 2, 1, (1, 6, 7), id="a fold stands where its line ends"),
        pytest.param("a: |\n  xy\n", 2, 1, (2, 5, 6), id="a line end stands where its line ends"),
        pytest.param("a: |\n  xy\n", 3, 0, (2, 5, 0), id="a block ends with its last line"),
        pytest.param("a: |\n  xy\n", 1, 2, (2, 4, 5), id="a last line end adds no column"),
    ],
)
def test_a_stretch_has_its_beginning_and_end(
    text: str, offset: int, length: int, expected: tuple[int, int, int], pure: bool
) -> None:
    span = value(text, pure).place(offset, length)

    assert expected == (span.line, span.column, span.end_column)


@pytest.mark.parametrize(("offset", "length"), [(-1, 0), (4, 0), (0, 4), (2, -1)])
def test_a_place_outside_the_text_is_refused(offset: int, length: int) -> None:
    with pytest.raises(DomainError):
        value("a: xyz\n").place(offset, length)


# What of YAML is refused


@both_parsers
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a: 1\nb: 2\na: 3\n", [(3, 1, "duplicate-key")]),
        ("{a: 1, 'a': 2, \"a\": 3}\n", [(1, 8, "duplicate-key"), (1, 16, "duplicate-key")]),
        ("a: &x b\nc: *x\n", [(1, 4, "yaml-anchor"), (2, 4, "yaml-alias")]),
        ("a: &x\n  b: *y\n", [(1, 4, "yaml-anchor"), (2, 6, "yaml-alias")]),
        ("a: !!str 010\nb: ! c\n", [(1, 4, "yaml-tag"), (2, 4, "yaml-tag")]),
        ("a: &x !t [b]\n", [(1, 4, "yaml-anchor"), (1, 7, "yaml-tag")]),
        ("b: c\n<<: {d: e}\n", [(2, 1, "yaml-merge")]),
        ("? [a]\n: b\n? {c: d}\n: e\n", [(1, 3, "key-not-text"), (3, 3, "key-not-text")]),
        ("'': a\n", [(1, 1, "key-not-text")]),
        ("a: b\n---\nc: d\n", [(2, 1, "several-documents")]),
        ("a: b\n...\nc: d\n", [(3, 1, "several-documents")]),
        ("# a comment\n%YAML 1.1\n---\na: b\n", [(2, 1, "yaml-directive")]),
        ("%WORD\n---\na: b\n", [(1, 1, "yaml-directive")]),
        ("", [(1, 1, "empty-file")]),
        ("\n# a comment\n", [(1, 1, "empty-file")]),
        ("---\n", [(1, 1, "empty-file")]),
        ("a:\n\tb: c\n", [(2, 1, "tab-indentation")]),
        ("a:\n  \tb: c\n\t\td: e\n", [(2, 3, "tab-indentation")]),
        ("a: b\t# c\r\n\td: e\r\n", [(1, 5, "tab-in-text"), (2, 1, "tab-indentation")]),
    ],
)
def test_what_a_bank_may_not_use_is_refused_at_its_place(
    text: str, expected: list[tuple[int, int, str]], pure: bool
) -> None:
    assert expected == places(text, pure)


def test_a_name_given_twice_points_to_the_first() -> None:
    (diagnostic,) = told("a: 1\nb: {a: 2}\na: 3\n")

    assert (Span("card.yaml", 1, 1, 2), "it is given here first") == diagnostic.related


def test_the_same_name_may_stand_in_two_mappings() -> None:
    assert [] == told("- a: 1\n- a: 2\n")


def test_tabs_are_told_once_with_their_number() -> None:
    (diagnostic,) = told("a:\n\tb: c\n\td: e\n\tf: g\n")

    assert "this line is indented with a tab, and 2 more in this file" == diagnostic.message


# Syntax


@both_parsers
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        pytest.param("a: Note: b\n", (1, 8, "unquoted-colon"), id="a colon in a text"),
        pytest.param("- say: x: y\n", (1, 9, "unquoted-colon"), id="a colon in a text of a list"),
        pytest.param("a: $x: y$\n", (1, 6, "unquoted-colon"), id="a colon in mathematics"),
        pytest.param("a: Solve\n  the next: x\n", (2, 11, "unquoted-colon"), id="a colon on the next line"),
        pytest.param("a: {b: c: d}\n", (1, 9, "unquoted-colon"), id="a colon in brackets"),
        pytest.param("a: b\n c: d\n", (2, 2, "wrong-indentation"), id="a name too far in"),
        pytest.param("a:\n    b: c\n  d: e\n", (3, 3, "wrong-indentation"), id="a name half way out"),
        pytest.param("a:\n  - b\n - c\n", (3, 2, "wrong-indentation"), id="a list line half way out"),
        pytest.param("a: b\n- c\n", (2, 1, "wrong-indentation"), id="a list line among names"),
        pytest.param("- a\nb: c\n", (2, 1, "wrong-indentation"), id="a name among list lines"),
        pytest.param("a: |\n    b\n  c\n", (3, 3, "wrong-indentation"), id="a block text half way out"),
        pytest.param("a: |\n   \n  b\n", (3, 3, "wrong-indentation"), id="spaces on the line above a text"),
        pytest.param("a: b\nc\nd: e\n", (2, 1, "missing-colon"), id="no colon"),
        pytest.param("a: b\nc", (2, 1, "missing-colon"), id="no colon at the end of the file"),
        pytest.param("Solve\na: b\n", (1, 1, "missing-colon"), id="no colon on the first line"),
        pytest.param("a:b\nc: d\n", (1, 2, "missing-space"), id="no space after the first colon"),
        pytest.param("a: b\nc:d\ne: f\n", (2, 2, "missing-space"), id="no space after a later colon"),
        pytest.param("- a\n-b\n", (2, 1, "missing-space"), id="no space after a minus sign"),
        pytest.param("[a:]\n", (1, 3, "missing-space"), id="no space before a bracket"),
        pytest.param("{a:[b]}\n", (1, 3, "missing-space"), id="no space before a list"),
        pytest.param("[a:?b]\n", (1, 3, "missing-space"), id="no space before a question mark"),
        pytest.param('a: "b\nc: d\n', (1, 4, "unclosed-quote"), id="a quote never closed"),
        pytest.param('a: "b\nc: "d"\n', (1, 4, "unclosed-quote"), id="a quote closed by the next one"),
        pytest.param('a: "b\\', (1, 4, "unclosed-quote"), id="a quote and a backslash at the end"),
        pytest.param("a: 'b\n---\nc'\n", (1, 4, "unclosed-quote"), id="a quote over a line of dashes"),
        pytest.param("a: [1, 2\nb: c\n", (1, 4, "unclosed-bracket"), id="a bracket never closed"),
        pytest.param("a: {b: c\n", (1, 4, "unclosed-bracket"), id="a bracket open at the end"),
        pytest.param(
            "a:\n  - {b: c\n  - {b: d}\n",
            (2, 5, "unclosed-bracket"),
            id="open before the next entry",
        ),
        pytest.param(
            "a: {b: {c: d}\n\n  - e: f\n", (1, 4, "unclosed-bracket"), id="an open bracket before a list"
        ),
        pytest.param(
            "a: {b: {c: d},\n  - e: f}\n", (1, 4, "unclosed-bracket"), id="an open bracket and a comma"
        ),
        pytest.param("a: [0, 1)\nb: c\n", (1, 4, "unclosed-bracket"), id="an interval"),
        pytest.param("a: {b: [c, d}\n", (1, 8, "unclosed-bracket"), id="the wrong closing bracket"),
        pytest.param("a: [1, 2]]\n", (1, 10, "unmatched-bracket"), id="one bracket too many"),
        pytest.param("a: ]\n", (1, 4, "unmatched-bracket"), id="a closing bracket alone"),
        pytest.param("a: [x in {1, 2}]\n", (1, 10, "split-expression"), id="a set in brackets"),
        pytest.param("a: ['b' c]\n", (1, 9, "missing-comma"), id="no comma"),
        pytest.param("[a,, b]\n", (1, 4, "missing-value"), id="two commas"),
        pytest.param("{: a}\n", (1, 2, "missing-value"), id="no name in brackets"),
        pytest.param("a: 'it's'\n", (1, 8, "text-after-value"), id="an apostrophe"),
        pytest.param('a: "b" or "c"\n', (1, 8, "text-after-value"), id="text after a quote"),
        pytest.param("a: [b] + c\n", (1, 8, "text-after-value"), id="text after a bracket"),
        pytest.param("a: - h\n", (1, 4, "unquoted-sign"), id="a minus sign and a space"),
        pytest.param("[a, - h]\n", (1, 5, "unquoted-sign"), id="a minus sign and a space in brackets"),
        pytest.param("a: >= 3\n", (1, 4, "unquoted-sign"), id="an inequality"),
        pytest.param("a: |x| = 3\n", (1, 4, "unquoted-sign"), id="an absolute value"),
        pytest.param("a: |#\n  b\n", (1, 4, "unquoted-sign"), id="a bar and a number sign"),
        pytest.param("a: ? b\n", (1, 4, "unquoted-sign"), id="a question mark first"),
        pytest.param("a: @b\n", (1, 4, "unquoted-sign"), id="an at sign first"),
        pytest.param("a: %b\n", (1, 4, "unquoted-sign"), id="a per cent sign first"),
        pytest.param("a: b\n%c: d\n", (2, 1, "unquoted-sign"), id="a per cent sign below the first line"),
        pytest.param("- a\n%b\n", (2, 1, "unquoted-sign"), id="a per cent sign below a list"),
        pytest.param(
            "a: b\n\n%c\nd: e\n", (3, 1, "unquoted-sign"), id="a per cent sign on a line of its own"
        ),
        pytest.param("a: |\n  b\n%c\n", (3, 1, "unquoted-sign"), id="a per cent sign below a block"),
        pytest.param("a: *Solve* this.\n", (1, 4, "yaml-alias"), id="emphasis first"),
        pytest.param("a: & b\n", (1, 4, "yaml-anchor"), id="an ampersand first"),
        pytest.param('a: "\\sqrt"\n', (1, 5, "backslash-in-quotes"), id="a backslash without meaning"),
        pytest.param('a: "\\u12"\n', (1, 5, "backslash-in-quotes"), id="half an escape"),
        pytest.param("a: b # c\n  d\n", (1, 6, "comment-cuts-text"), id="a text goes on below a comment"),
    ],
)
def test_a_frequent_syntax_error_has_a_name_and_its_place(
    text: str, expected: tuple[int, int, str], pure: bool
) -> None:
    (diagnostic,) = told(text, pure)
    assert diagnostic.span

    assert expected == (diagnostic.span.line, diagnostic.span.column, diagnostic.code)
    assert Level.WRONG is diagnostic.level
    assert text.splitlines()[expected[0] - 1] == diagnostic.excerpt
    assert diagnostic.hint


@both_parsers
def test_a_syntax_error_comes_after_what_was_found_above_it(pure: bool) -> None:
    text = "a: 1\na: [gcd(a, b) = 1]\nc: *d\ne: f: g\nh: *i\n"

    expected = [
        (2, 1, "duplicate-key"),
        (2, 5, "split-expression"),
        (3, 4, "yaml-alias"),
        (4, 5, "unquoted-colon"),
    ]
    assert expected == places(text, pure)


@both_parsers
def test_a_surrogate_or_too_large_escape_is_refused(pure: bool) -> None:
    assert [(1, 6, "backslash-in-quotes")] == places('a: "x\\ud800"\n', pure)
    assert [(1, 6, "backslash-in-quotes")] == places('a: "x\\UFFFFFFFF"\n', pure)


def test_a_quote_closed_far_below_says_where() -> None:
    (diagnostic,) = told('stem: "Solve\nkey: "x = 1"\n')

    assert (Span("card.yaml", 2, 6), "it is closed here") == diagnostic.related


@pytest.mark.parametrize(
    "word", ["block", "scalar", "token", "node", "alias", "anchor", "parse", "scan", "stream"]
)
def test_no_message_speaks_the_parser_s_language(word: str) -> None:
    texts = [
        *("a: b: c\n", "a: b\nc\n", "a: [b\n", "a: 'b\n", "a: @b\n", "a: *b*\n", "a: &\n", "a: | x\n"),
        *(
            "a: - b\n",
            "a:\n  b: c\n d: e\n",
            "- a\nb: c\n",
            '"\\s"\n',
            "[,]\n",
            "a: ]\n",
            "a: *b\n",
            "a: &b c\n",
        ),
    ]
    messages = [diagnostic.message for text in texts for diagnostic in told(text)]

    assert len(texts) <= len(messages)
    assert [] == [message for message in messages if word in message.lower()]


# Traps in what is legal


@both_parsers
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        pytest.param("a: [gcd(a, b) = 1]\n", [(1, 5, "split-expression")], id="a call in a list"),
        pytest.param("{a: max(a, b), c: d}\n", [(1, 5, "split-expression")], id="a call in a mapping"),
        pytest.param(
            "[gcd(a, b), 1, lcm(a, b)]\n",
            [(1, 2, "split-expression"), (1, 16, "split-expression")],
            id="two calls",
        ),
        pytest.param("[f(a, (b), c)]\n", [(1, 2, "split-expression")], id="one call of three pieces"),
        pytest.param("[a) or (b]\n", [(1, 2, "split-expression")], id="brackets the wrong way round"),
        pytest.param("[a) first]\n", [(1, 2, "split-expression")], id="a closing bracket alone"),
        pytest.param('a: "\\times"\n', [(1, 5, "backslash-in-quotes")], id="a backslash that is a tab"),
        pytest.param(
            'a: "x\\0\\f"\n', [(1, 6, "backslash-in-quotes"), (1, 8, "backslash-in-quotes")], id="NUL"
        ),
    ],
)
def test_a_sure_trap_is_wrong(text: str, expected: list[tuple[int, int, str]], pure: bool) -> None:
    assert expected == places(text, pure)
    assert {Level.WRONG} == {diagnostic.level for diagnostic in told(text, pure)}


@both_parsers
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        pytest.param("[Solve $a, b$ now]\n", [(1, 2, "split-expression")], id="mathematics cut by a comma"),
        pytest.param(
            "[$a, b$, c, $d, e$]\n",
            [(1, 2, "split-expression"), (1, 13, "split-expression")],
            id="mathematics cut twice",
        ),
        pytest.param("a: gcd(x # y)\n", [(1, 10, "comment-cuts-text")], id="a bracket cut by a comment"),
        pytest.param("a: Solve $x\n  + 1 # y$\n", [(2, 7, "comment-cuts-text")], id="mathematics cut"),
        pytest.param(
            "a: |\n  x # y\n  # z\n",
            [(2, 5, "comment-in-block-text"), (3, 3, "comment-in-block-text")],
            id="comments in a block",
        ),
        pytest.param("- Hint for all: x\n", [(1, 15, "unquoted-colon")], id="a name of several words"),
        pytest.param("{a:b, c: d}\n", [(1, 3, "missing-space")], id="no space in brackets"),
        pytest.param("- a\n - b\n", [(2, 2, "wrong-indentation")], id="a list line in the text above"),
    ],
)
def test_a_possible_trap_is_a_doubt_of_a_document_that_is_read(
    text: str, expected: list[tuple[int, int, str]], pure: bool
) -> None:
    doubts = read(text, pure).doubts

    assert expected == [(d.span.line, d.span.column, d.code) for d in doubts if d.span]
    assert {Level.DOUBTFUL} == {doubt.level for doubt in doubts}


@pytest.mark.parametrize(
    "text",
    [
        "a: ['gcd(a, b) = 1']\n",
        "a: [(x - h)^2, f(x)]\n",
        "a: (0, 1]   # a half-open interval\n",
        "a: $x$ costs \\$5   # money\n",
        "a: x#y\n",
        "a: |\n  x#y\n# a comment\n",
        '"a b": c\n',
        "a: http://saltmarsh.example/x\n",
        "a: x^2\n  - 3\n",
        'a: "one\\ntwo"\n',
    ],
)
def test_what_only_looks_like_a_trap_is_passed_over(text: str) -> None:
    assert [] == told(text)


# Bytes and files


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        pytest.param("a: b\n".encode("utf-16"), (1, 1), id="UTF-16"),
        pytest.param("a: b\n".encode("utf-32"), (1, 1), id="UTF-32"),
        pytest.param(b"\xfe\xff\x00a", (1, 1), id="UTF-16, other order"),
        pytest.param("a: b\n".encode("utf-16-le"), (1, 1), id="UTF-16 without a mark"),
        pytest.param("é: 1\r\na: 'très'\n".encode().replace(b"r\xc3\xa8", b"r\xe8"), (2, 7), id="Latin-1"),
        pytest.param(b"a: \xc3", (1, 4), id="half a character"),
        pytest.param("é: x\x1by\n".encode(), (1, 5), id="escape character"),
        pytest.param("a: x\u2028y\n".encode(), (1, 5), id="line separator"),
        pytest.param("a: b\n\ufeffc: d\n".encode(), (2, 1), id="a mark inside the file"),
    ],
)
def test_what_is_not_clean_utf_8_is_refused_at_its_first_bad_character(
    data: bytes, expected: tuple[int, int]
) -> None:
    (diagnostic,) = told(data)
    assert diagnostic.span

    assert (*expected, "wrong-encoding") == (diagnostic.span.line, diagnostic.span.column, diagnostic.code)
    assert "save the file as UTF-8" in diagnostic.hint
    assert diagnostic.excerpt.isprintable() or "\ufffd" in diagnostic.excerpt


def test_an_excerpt_carries_no_control_character() -> None:
    (diagnostic,) = told(b"a: \x1b[31m\x00\n")

    assert "a: \ufffd[31m\ufffd" == diagnostic.excerpt


@both_parsers
def test_a_byte_order_mark_and_crlf_change_no_place(pure: bool) -> None:
    text = "a: 'b'\nc: |\n  d\n  e\nf: [g, {h: i}]\n"

    assert read(text, pure).root == read("\ufeff" + text.replace("\n", "\r\n"), pure).root


def test_a_file_of_the_largest_size_is_read() -> None:
    data = b"a: b\n" + b"#" * (LARGEST_FILE - 5)

    assert {"a": "b"} == plain(parse(data, "card.yaml").root)
    assert [(1, 1, "file-too-large")] == places(data + b"#")


def test_no_more_of_a_large_file_is_read_than_is_needed(tmp_path: Path) -> None:
    path = tmp_path / "large.yaml"
    with path.open("wb") as file:
        file.truncate(1 << 40)  # a sparse file: a terabyte of zeros, no room on the disk

    with pytest.raises(InputError) as caught:
        load(path, "large.yaml")

    assert ["file-too-large"] == [diagnostic.code for diagnostic in caught.value.diagnostics]


@both_parsers
@pytest.mark.parametrize("opening", ["[", "{a: ", "- ", "? "])
def test_deep_nesting_is_refused_at_the_first_level_too_many(opening: str, pure: bool) -> None:
    column = DEEPEST * len(opening) + 1

    assert [(1, column, "too-deep")] == places(opening * 10_000, pure)


@both_parsers
def test_the_deepest_nesting_allowed_is_read(pure: bool) -> None:
    assert [] == told("[" * DEEPEST + "x" + "]" * DEEPEST, pure)


@both_parsers
def test_more_nodes_than_allowed_are_refused(pure: bool) -> None:
    allowed = "- x\n" * (MOST_NODES - 1)

    assert [] == told(allowed, pure)
    assert [(MOST_NODES, 3, "too-many-nodes")] == places(allowed + "- x\n", pure)


def test_a_file_is_read_and_named_as_asked(tmp_path: Path) -> None:
    path = tmp_path / "card.yaml"
    path.write_bytes(b"a: b: c\n")

    with pytest.raises(InputError) as caught:
        load(path, "bank/card.yaml")

    assert [Span("bank/card.yaml", 1, 5, 6)] == [diagnostic.span for diagnostic in caught.value.diagnostics]


def test_a_file_that_is_not_there_is_not_readable(tmp_path: Path) -> None:
    assert ("not-readable", "there is no file `card.yaml`") == _refusal(tmp_path / "card.yaml")
    assert ("not-readable", "there is no file `card.yaml`") == _refusal(Path("a\0b"))


def test_a_folder_is_not_readable(tmp_path: Path) -> None:
    assert ("not-readable", "`card.yaml` is a folder") == _refusal(tmp_path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with names are a Unix matter")
def test_a_pipe_is_refused_without_waiting_for_it(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")

    assert ("not-readable", "`card.yaml` is not an ordinary file") == _refusal(tmp_path / "pipe")


def test_a_file_that_may_not_be_read_is_not_readable(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "card.yaml"
    path.write_bytes(b"a: b\n")

    def refused(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refused)  # the rights of a file do not stop every user

    assert ("not-readable", "`card.yaml` cannot be read: Permission denied") == _refusal(path)


def _refusal(path: Path) -> tuple[str, str]:
    with pytest.raises(InputError) as caught:
        load(path, "card.yaml")
    (diagnostic,) = caught.value.diagnostics
    return diagnostic.code, diagnostic.message


def test_reading_loads_no_library_but_yaml() -> None:
    script = (
        "import sys, itembank.yaml_source as y; y.parse(b'a: b', 'x');"
        "print(sorted({'sympy', 'numpy', 'pydantic', 'lxml', 'lark', 'rich', 'click'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)

    assert "[]" == done.stdout.strip()
