"""Traps: what is legal YAML and yet not, or perhaps not, what its author meant.

WRONG where it can mean nothing else in a bank, DOUBTFUL where it might be meant.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from itembank.errors import Diagnostic, Level
from itembank.yaml_source.intake import CONTROLS
from itembank.yaml_source.nodes import Mapping, Node, Scalar, Sequence, Source, Style
from itembank.yaml_source.refusals import shortened

_CONTROLS_OF_ESCAPES = re.compile(CONTROLS.pattern + "|[\t\r]")
_COMMENT = re.compile(r" +(#.*)")
_NUMBERED = re.compile(r" +#\d")
_LONE_HASH = re.compile(r"(?:^|(?<= ))#(?= |$)", re.MULTILINE)
_DOLLAR = re.compile(r"(?<!\\)\$")

QUOTE_OR_BLOCK = (
    "put the whole text in 'single quotes', or write `|` after the name and the text indented below it"
)
QUOTE_EACH = "put each text in 'single quotes', or write the list without brackets, one `- ` line per text"


def in_scalar(source: Source, scalar: Scalar) -> Iterator[Diagnostic]:
    """Yield the traps that show in one scalar."""
    match scalar.style:
        case Style.PLAIN:
            yield from _comment_cuts_text(source, scalar)
        case Style.DOUBLE_QUOTED:
            yield from _control_escapes(source, scalar)
        case Style.LITERAL | Style.FOLDED:
            yield from _comment_in_block_text(source, scalar)
        case Style.SINGLE_QUOTED:
            pass


def in_collection(source: Source, node: Mapping | Sequence) -> Iterator[Diagnostic]:
    """Yield the traps that show in a mapping or list, whatever stands deeper left aside."""
    match node:
        case Mapping():
            children = [child for entry in node.entries for child in entry]
            yield from _text_as_name(source, node)
        case Sequence():
            children = list(node.items)
            yield from _swallowed_list_line(source, node)
    if node.is_flow:
        yield from _split_expressions(source, children)


def _comment_cuts_text(source: Source, scalar: Scalar) -> Iterator[Diagnostic]:
    """x: (a # b) reads `(a`. A comment after a text is common; a text broken off inside a bracket is not, nor is #1."""
    end = scalar.place(len(scalar.text))
    line, start = source.line(end.line), end.column - 1
    comment = _COMMENT.match(line, start)
    if comment and (
        _is_unbalanced(scalar.text)
        or _has_lone_dollar(scalar.text)
        or (_NUMBERED.match(line, start) and any(character.isalpha() for character in scalar.text))
    ):
        yield source.diagnostic(
            "comment-cuts-text",
            f"from ` #` on this is a comment, and the text ends as `{shortened(scalar.text)}`",
            source.span(end.line, comment.start(1) + 1, comment.end(1) + 1),
            hint="put the text in 'single quotes' if the # belongs to it, else close its brackets and $",
            level=Level.DOUBTFUL,
        )


def _comment_in_block_text(source: Source, scalar: Scalar) -> Iterator[Diagnostic]:
    """Inside `|` and `>` nothing is a comment."""
    for found in _LONE_HASH.finditer(scalar.text):
        yield source.diagnostic(
            "comment-in-block-text",
            "this `#` is part of the text, not the beginning of a comment",
            scalar.place(found.start(), 1),
            hint="move a comment above the name of the text; write \\# where the sign itself is meant",
            level=Level.DOUBTFUL,
        )


def _control_escapes(source: Source, scalar: Scalar) -> Iterator[Diagnostic]:
    r"""\times in double quotes reads as a tab and `imes`."""
    for found in _CONTROLS_OF_ESCAPES.finditer(scalar.text):
        span = scalar.place(found.start(), 1)
        written = source.line(span.line)[span.column - 1 : span.end_column - 1]
        yield source.diagnostic(
            "backslash-in-quotes",
            f'`{written}` inside "double quotes" stands for an invisible character',
            span,
            hint="use 'single quotes' or none, where a backslash is a backslash; or write it twice",
        )


def _text_as_name(source: Source, mapping: Mapping) -> Iterator[Diagnostic]:
    """`- Note: solve it` is a mapping; `{a:b}` is the name `a:b` without a value."""
    for key, value in mapping.entries:
        if key.style is not Style.PLAIN:
            continue
        end = key.place(len(key.text))
        if mapping.is_flow and ":" in key.text and isinstance(value, Scalar) and value.is_empty:
            yield source.diagnostic(
                "missing-space",
                f"without a space after this colon, `{shortened(key.text)}` is one name without a value",
                key.place(key.text.index(":"), 1),
                hint="write a space after the colon, or put the text in 'single quotes'",
                level=Level.DOUBTFUL,
            )
        elif " " in key.text and source.line(end.line)[end.column - 1 :].lstrip().startswith(":"):
            yield source.diagnostic(
                "unquoted-colon",
                f"this colon makes `{shortened(key.text)}` a name and the rest its value",
                end,
                hint=f"if it is all one text, {QUOTE_OR_BLOCK}",
                level=Level.DOUBTFUL,
            )


def _swallowed_list_line(source: Source, sequence: Sequence) -> Iterator[Diagnostic]:
    """A `- ` line that is indented more than the one above goes on with that one's text."""
    for item in sequence.items:
        if not isinstance(item, Scalar) or item.style is not Style.PLAIN:
            continue
        for offset, line, column in item.anchors[1:]:
            if item.text.startswith("- ", offset):
                yield source.diagnostic(
                    "wrong-indentation",
                    "this `- ` line is indented more than the one above, so it goes on with that one's text",
                    source.span(line, column, column + 1),
                    hint="give every `- ` line of a list the same indentation",
                    level=Level.DOUBTFUL,
                )


def _split_expressions(source: Source, children: Iterable[Node]) -> Iterator[Diagnostic]:
    """[gcd(a, b) = 1] is a list of `gcd(a` and `b) = 1`: told once, at the first piece."""
    depth = 0
    dollar: Scalar | None = None
    for piece in children:
        if not isinstance(piece, Scalar) or piece.style is not Style.PLAIN:
            continue
        if depth == 0 and _is_unbalanced(piece.text):
            yield _split(source, piece, "bracket", Level.WRONG)
        elif depth == 0 and _has_lone_dollar(piece.text):
            if dollar:
                yield _split(source, dollar, "$", Level.DOUBTFUL)
            dollar = None if dollar else piece
        depth = max(depth + _balance(piece.text), 0)


def _split(source: Source, piece: Scalar, what: str, level: Level) -> Diagnostic:
    return source.diagnostic(
        "split-expression",
        f"`{shortened(piece.text)}` became a text of its own here, with a {what} that has no partner",
        piece.place(0, len(piece.text)),
        hint=f"inside brackets every comma begins a new text: {QUOTE_EACH}",
        level=level,
    )


def _has_lone_dollar(text: str) -> bool:
    return len(_DOLLAR.findall(text)) % 2 == 1


def _balance(text: str) -> int:
    return sum((character in "([{") - (character in ")]}") for character in text)


def _is_unbalanced(text: str) -> bool:
    """A bracket is not closed or not opened; `(0, 1]` is balanced."""
    depth = 0
    for character in text:
        depth += (character in "([{") - (character in ")]}")
        if depth < 0:
            return True
    return depth != 0
