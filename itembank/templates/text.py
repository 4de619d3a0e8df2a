"""The text of stems and sentences: maths is read first, then a small part of CommonMark."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from functools import cache
from typing import TYPE_CHECKING

from itembank.content import (
    Block,
    Emphasis,
    Hole,
    Inline,
    LineBreak,
    Listing,
    Paragraph,
    Table,
    Text,
    TextShape,
)

if TYPE_CHECKING:
    from markdown_it import MarkdownIt
    from markdown_it.token import Token

_FIRST_HOLE = 0xE000
_MOST_HOLES = 0x1800
_PROSE = re.compile(r"^\s|\s$|^$|[^\W\d_]{2,}\s+[^\W\d_]{2,}")
_MARKUP = (
    (
        re.compile(r"</?[A-Za-z][A-Za-z0-9]*(?:\s[^<>\n]*)?/?>"),
        "write *a word* for emphasis, **a word** for a strong one, and leave a line free for a paragraph",
    ),
    (
        re.compile(r"(?<!\\)\\[A-Za-z]{2,}"),
        "LaTeX is not read: write *a word* for emphasis; mathematics stands between two $",
    ),
    (
        re.compile(r"\\\(.+?\\\)|\\\[.+?\\\]", re.DOTALL),
        "mathematics stands between two $, in the expression language: $x^2 - 3$",
    ),
    (
        re.compile(r"!?\[[^\]\n]+\]\([^)\n]+\)"),
        "links and images are not read: write the words alone; a picture is drawn with `figure`",
    ),
    (re.compile(r"`[^`\n]+`"), "code is not marked: write the words alone, mathematics between two $"),
    (re.compile(r"&(?:#[0-9]+|#x[0-9A-Fa-f]+|[A-Za-z][A-Za-z0-9]*);"), "write the character itself"),
)
_BARE = re.compile(
    r"(?<![\w*^\\])(?:[A-Za-z0-9]+|[A-Za-z0-9)]+\))\^[-(]?\w+"
    r"|(?<![\w\\])(?:sqrt|surd)\("
    r"|(?<![\w\\])[A-Za-z]_[0-9a-z](?!\w)"
    r"|(?<![\w*\\])[A-Za-z0-9]\*[A-Za-z0-9](?![\w*])"
    r"|[<>!]="
)
"""Mathematics as it is typed in the expression language, but outside the dollars."""
_UNIT = re.compile(r"(mm|cm|dm|m|km|ft|in|s|units?)\^([23])")
_IN_BRACES = re.compile(r"\{\{?\s*([A-Za-z][A-Za-z0-9_]*)\s*\}\}?")
_CLOSING = re.compile(r"(?<!\\)\$")
_DOLLAR = chr(_FIRST_HOLE + _MOST_HOLES)


class UnclosedMaths(Exception):
    """A `$` without its partner, at `offset`."""

    def __init__(self, offset: int) -> None:
        self.offset = offset
        super().__init__("unclosed $")


def split_maths(text: str) -> tuple[str, list[tuple[int, str]]]:
    r"""The text with a private sign for each `$...$`, and (offset, source) of each piece. `\$` is a dollar.

    >>> split_maths("Solve $x = 3$.")[1]
    [(7, 'x = 3')]
    """
    shown: list[str] = []
    pieces: list[tuple[int, str]] = []
    index = 0
    while index < len(text):
        character = text[index]
        if character == "\\" and text[index + 1 : index + 2] == "$":
            shown.append(_DOLLAR)
            index += 2
        elif character == "$":
            closing = _CLOSING.search(text, index + 1)
            end = closing.end() - 1 if closing else -1
            if end < 0:
                raise UnclosedMaths(_without_partner(text))
            shown.append(chr(_FIRST_HOLE + len(pieces)))
            pieces.append((index + 1, text[index + 1 : end]))
            index = end + 1
        elif _FIRST_HOLE <= ord(character) <= ord(_DOLLAR):
            shown.append("�")
            index += 1
        else:
            shown.append(character)
            index += 1
    return "".join(shown), pieces


def foreign_markup(text: str, names: Collection[str] = ()) -> Iterator[tuple[int, str, str]]:
    """Tags and commands of other languages outside the maths of a text: offset, what is written, what serves here.

    names: those of the template, which do not stand in braces.

    >>> [found[:2] for found in foreign_markup("<b>Solve</b> $a < b$ with {a} or {y}.", ["a"])]
    [(0, '<b>'), (8, '</b>'), (26, '{a}')]
    """
    prose = re.sub(r"(?<!\\)\$[^$]*\$", lambda maths: " " * len(maths[0]), text)
    for pattern, hint in _MARKUP:
        for found in pattern.finditer(prose):
            yield found.start(), found[0], hint
    bare = _BARE.search(prose)
    if bare is not None:
        unit = _UNIT.fullmatch(bare[0])
        yield (
            bare.start(),
            bare[0],
            f"in a unit write the raised digit itself: {unit[1]}{'²³'[unit[2] == '3']}"
            if unit and unit[1] not in names
            else "mathematics stands between two $, as in: Solve $x^2 = 3$.",
        )
    for found in _IN_BRACES.finditer(prose):
        if found[1] in names:
            yield found.start(), found[0], f"what a name stands for is shown between two $: ${found[1]}$"


def _without_partner(text: str) -> int:
    """Which of an odd number of `$` stands alone: the first without which all others enclose formulas, else the last.

    >>> _without_partner("It costs $5; solve $x = 3$ and $x = 4$.")
    9
    """
    places = [found.start() for found in re.finditer(r"(?<!\\)\$", text)]
    for place in places[::2]:
        rest = [each for each in places if each != place]
        inside = [text[first + 1 : last] for first, last in zip(rest[::2], rest[1::2], strict=True)]
        if not any(_PROSE.search(each) for each in inside):
            return place
    return places[-1]


def text_shape(shown: str, holes: int) -> TextShape:
    """The content tree of a text whose maths are private signs."""
    return TextShape(tuple(_blocks(_markdown().parse(shown))), holes)


@cache
def _markdown() -> MarkdownIt:
    from markdown_it import MarkdownIt

    reader = MarkdownIt("commonmark", {"html": False}).enable("table")
    return reader.disable(
        [
            "heading",
            "lheading",
            "code",
            "fence",
            "blockquote",
            "hr",
            "reference",
            "html_block",
            "link",
            "image",
            "autolink",
            "html_inline",
            "backticks",
            "entity",
        ]
    )


def _blocks(tokens: list[Token]) -> list[Block]:
    blocks: list[Block] = []
    index = 0
    while index < len(tokens):
        token = tokens[index]
        end = _closing(tokens, index)
        inner = tokens[index + 1 : end]
        if token.type == "paragraph_open":
            blocks.append(Paragraph(_inlines(inner[0].children or [])))
        elif token.type in {"bullet_list_open", "ordered_list_open"}:
            start = None if token.type.startswith("bullet") else int(token.attrs.get("start", 1))
            blocks.append(Listing(tuple(tuple(_blocks(item)) for item in _items(inner)), start))
        elif token.type == "table_open":
            blocks.append(_table(inner))
        index = end + 1
    return blocks


def _closing(tokens: list[Token], start: int) -> int:
    if tokens[start].nesting != 1:
        return start
    depth = 0
    for index in range(start, len(tokens)):
        depth += tokens[index].nesting
        if depth == 0:
            return index
    return len(tokens) - 1  # pragma: no cover - markdown-it closes what it opens


def _items(tokens: list[Token]) -> list[list[Token]]:
    found: list[list[Token]] = []
    index = 0
    while index < len(tokens):
        end = _closing(tokens, index)
        found.append(tokens[index + 1 : end])
        index = end + 1
    return found


def _table(tokens: list[Token]) -> Table:
    rows: list[tuple[tuple[Inline, ...], ...]] = []
    alignments: list[str] = []
    row: list[tuple[Inline, ...]] = []
    for position, token in enumerate(tokens):
        if token.type == "tr_open":
            row = []
        elif token.type in {"th_open", "td_open"}:
            if token.type == "th_open":
                alignments.append(str(token.attrs.get("style", "")).removeprefix("text-align:"))
            row.append(_inlines(tokens[position + 1].children or []))
        elif token.type == "tr_close":
            rows.append(tuple(row))
    settled = tuple(
        alignment or ("center" if rows[1:] and all(_is_number(row[column]) for row in rows[1:]) else "")
        for column, alignment in enumerate(alignments)
    )
    return Table(rows[0], tuple(rows[1:]), settled)


def _is_number(cell: tuple[Inline, ...]) -> bool:
    """Whether a cell holds a number or a formula, and no more: columns of them are centred unless said."""
    if len(cell) != 1:
        return False
    return isinstance(cell[0], Hole) or (isinstance(cell[0], Text) and bool(_NUMBER.match(cell[0].text)))


_NUMBER = re.compile(r"[-+−]?[0-9][0-9.,/ ]*%?\Z")


def _inlines(tokens: list[Token]) -> tuple[Inline, ...]:
    inlines: list[Inline] = []
    index = 0
    while index < len(tokens):
        token = tokens[index]
        end = _closing(tokens, index)
        if token.type in {"em_open", "strong_open"}:
            inlines.append(Emphasis(_inlines(tokens[index + 1 : end]), token.type == "strong_open"))
        elif token.type == "hardbreak":
            inlines.append(LineBreak())
        elif token.type == "softbreak":
            inlines.append(Text(" "))
        else:
            inlines.extend(_with_holes(token.content))
        index = end + 1
    return tuple(inlines)


def _with_holes(text: str) -> list[Inline]:
    parts: list[Inline] = []
    run = ""
    for character in text:
        code = ord(character) - _FIRST_HOLE
        if 0 <= code < _MOST_HOLES:
            if run:
                parts.append(Text(run))
                run = ""
            parts.append(Hole(code))
        else:
            run += "$" if character == _DOLLAR else character
    if run:
        parts.append(Text(run))
    return parts
