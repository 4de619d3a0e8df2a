"""What the parser could not read, in words for the person who wrote it: the table, and the single signs."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TypeAlias

from itembank.errors import Diagnostic
from itembank.yaml_source import explain_brackets, explain_lines
from itembank.yaml_source.events import NotYaml
from itembank.yaml_source.nodes import Scalar, Source
from itembank.yaml_source.slips import QUOTE_OR_BLOCK
from itembank.yaml_source.stops import Stop, stop_of

_Explanation: TypeAlias = Callable[[Stop], Diagnostic]


def explained(source: Source, slip: NotYaml, last: Scalar | None) -> Diagnostic:
    """Return the diagnostic for what a parser could not read. last: the last scalar read before, if any."""
    stop = stop_of(source, slip, last)
    for pattern, explanation in _TABLE:
        if pattern.search(f"{slip.context}: {slip.problem}"):
            return explanation(stop)
    return _unknown(stop)


def _unknown(stop: Stop) -> Diagnostic:
    return stop.tell(
        "yaml-syntax",
        "from here on the file cannot be read",
        stop.place,
        "look for a bracket or quote that is not closed, or a line indented unlike its neighbours",
    )


def _unclosed_quote(stop: Stop) -> Diagnostic:
    quote = stop.source.lines[stop.began[0]][stop.began[1]]
    return stop.tell(
        "unclosed-quote",
        f"the quote {quote} that opens here is never closed",
        stop.began,
        f"close it with another {quote}, or write the text without quotes",
        length=1,
    )


def _backslash(stop: Stop) -> Diagnostic:
    line, column = stop.place
    start = stop.line.rfind("\\", 0, column)
    if start + 1 == len(stop.line):
        return _unclosed_quote(stop)
    return stop.tell(
        "backslash-in-quotes",
        f'inside "double quotes" `{stop.line[start : start + 2]}` has no meaning',
        (line, start),
        "use 'single quotes' or none, where a backslash is a backslash; or write it twice",
        length=2,
    )


def _alias(stop: Stop) -> Diagnostic:
    return _special_sign(stop, "yaml-alias", "`*` means that another place is repeated")


def _anchor(stop: Stop) -> Diagnostic:
    return _special_sign(stop, "yaml-anchor", "`&` means that a name for this place follows")


def _tag(stop: Stop) -> Diagnostic:
    return _special_sign(stop, "yaml-tag", "`!` means that a type follows")


def _block_sign(stop: Stop) -> Diagnostic:
    sign = stop.source.lines[stop.began[0]][stop.began[1]]
    meaning = f"`{sign}` means that the text follows on the lines below"
    return _special_sign(stop, "unquoted-sign", meaning)


def _special_sign(stop: Stop, code: str, meaning: str) -> Diagnostic:
    return stop.tell(
        code,
        f"at the beginning of an unquoted text {meaning}",
        stop.began,
        "put the whole text in 'single quotes'",
        length=1,
    )


def _impossible_sign(stop: Stop) -> Diagnostic:
    return stop.tell(
        "unquoted-sign",
        f"an unquoted text cannot begin with `{stop.character}`",
        stop.place,
        "put the whole text in 'single quotes'",
        length=1,
    )


def _list_sign(stop: Stop) -> Diagnostic:
    return stop.tell(
        "unquoted-sign",
        "a minus sign with a space after it begins a line of a list, and none can begin here",
        stop.place,
        "write a negative value without the space (-h) or in 'single quotes'; give a list lines of its own",
        length=1,
    )


def _question_sign(stop: Stop) -> Diagnostic:
    return stop.tell(
        "unquoted-sign",
        "a question mark with a space after it cannot begin an unquoted text",
        stop.place,
        QUOTE_OR_BLOCK,
        length=1,
    )


_TABLE: tuple[tuple[re.Pattern[str], _Explanation], ...] = tuple(
    (re.compile(pattern), explanation)
    for pattern, explanation in (
        ("scanning an alias", _alias),
        ("scanning an anchor", _anchor),
        ("(scanning|parsing) a tag|tag handle", _tag),
        ("scanning a block scalar", _block_sign),
        ("found unknown escape|escape sequence of|escape code", _backslash),
        ("found unexpected end of stream|document (separator|indicator)", _unclosed_quote),
        ("that cannot start any token", _impossible_sign),
        ("sequence entries are not allowed", _list_sign),
        ("mapping keys are not allowed", _question_sign),
        ("mapping values are not allowed", explain_lines.stray_colon),
        ("could not find expected ':'", explain_lines.line_without_colon),
        ("directive|expected <block end>|expected '<document start>'", explain_lines.line_out_of_place),
        ("found unexpected ':'", explain_brackets.crammed_colon),
        ("parsing a flow (sequence|mapping)", explain_brackets.broken_list),
        ("expected the node content", explain_brackets.missing_value),
    )
)
