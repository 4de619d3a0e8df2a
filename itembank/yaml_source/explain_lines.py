"""Syntax errors that come from a line's shape: its colon, its indentation, what goes on after a value."""

from __future__ import annotations

import re

from itembank.errors import Diagnostic
from itembank.yaml_source.explain_brackets import unmatched_bracket
from itembank.yaml_source.nodes import Style
from itembank.yaml_source.places import Position
from itembank.yaml_source.refusals import several_documents
from itembank.yaml_source.slips import QUOTE_OR_BLOCK
from itembank.yaml_source.stops import Stop, indentation

_CRAMMED = re.compile(r" *(?:- +)*[\w-]+(:)[^\s/:]")
_NAME = re.compile(r"[\w-]+ *")
_SAME_INDENTATION = "give it the same indentation as the lines it belongs with"
_QUOTED = (Style.SINGLE_QUOTED, Style.DOUBLE_QUOTED)


def stray_colon(stop: Stop) -> Diagnostic:
    """A colon where no name can end: inside a text, or on a line that goes on with the text above."""
    above = stop.above()
    if re.search(r":\s", stop.before) or above is None:
        return _colon_in_text(stop)
    start = indentation(stop.line)
    line_above = stop.source.lines[above]
    if crammed := _CRAMMED.match(line_above):
        return _missing_space(stop, (above, crammed.start(1)))
    if start > indentation(line_above) and not _NAME.fullmatch(stop.before.strip()):
        return _colon_in_text(stop)
    if start > indentation(line_above):
        return stop.tell(
            "wrong-indentation",
            "this line is indented more than the one above, so it goes on with that one's text",
            (stop.place[0], start),
            f"{_SAME_INDENTATION}; if it is part of the text above, {QUOTE_OR_BLOCK}",
        )
    return _missing_colon(stop, (above, indentation(line_above)))


def _colon_in_text(stop: Stop) -> Diagnostic:
    return stop.tell(
        "unquoted-colon",
        "a colon with a space after it cannot stand in an unquoted text",
        stop.place,
        QUOTE_OR_BLOCK,
        length=1,
    )


def line_without_colon(stop: Stop) -> Diagnostic:
    """A line that must be `name: value` and has no such colon."""
    if crammed := _CRAMMED.match(stop.source.lines[stop.began[0]]):
        return _missing_space(stop, (stop.began[0], crammed.start(1)))
    if re.match(r"-[^\s-]", stop.source.lines[stop.began[0]][stop.began[1] :]):
        return stop.tell(
            "missing-space",
            "this line should be `name: value`, or a line of a list with a space after the minus sign",
            stop.began,
            "write `- ` at the beginning of a line of a list",
            length=1,
        )
    return _missing_colon(stop, stop.began)


def _missing_space(stop: Stop, position: Position) -> Diagnostic:
    return stop.tell(
        "missing-space",
        "a space is missing after this colon",
        position,
        "write `name: value` with a space after the colon",
        length=1,
    )


def _missing_colon(stop: Stop, position: Position) -> Diagnostic:
    return stop.tell(
        "missing-colon",
        "this line should be `name: value`, and there is no colon with a space after it",
        position,
        "write the colon and a space; a line that goes on with the text above must be indented more than the "
        "name of that text",
    )


def line_out_of_place(stop: Stop) -> Diagnostic:
    """Something stands where the next line of a mapping or list was expected."""
    if slip := _per_cent_line(stop) or _runaway_quote(stop):
        return slip
    if not stop.is_at_line_start:
        if stop.character in ("]", "}"):
            return unmatched_bracket(stop)
        return _text_after_value(stop)
    if cut := _after_comment(stop):
        return cut
    above = stop.above()
    if above is not None and stop.source.lines[above].startswith("..."):
        return several_documents(stop.source, stop.span(stop.place))
    if stop.line.lstrip().startswith("- "):
        message = "a `- ` line of a list cannot stand here, among `name: value` lines or at this indentation"
        hint = "a list stands below a name that has no value of its own, all its `- ` lines indented alike"
    elif stop.last and stop.last.style in (Style.LITERAL, Style.FOLDED):
        message = "this line is indented less than the text above, so it is not part of that text"
        hint = "indent all lines of the text alike, its first line and blank lines before it included"
    else:
        message = "by its indentation or its beginning, this line goes with none of the lines above"
        hint = f"{_SAME_INDENTATION}; among `- ` lines, a line of the list begins with `- `"
    return stop.tell("wrong-indentation", message, stop.place, hint)


def _per_cent_line(stop: Stop) -> Diagnostic | None:
    """A `%` at the very beginning of a line is read as an instruction to the parser, wherever it stands."""
    for number in (stop.place[0], stop.above()):
        if number is not None and stop.source.lines[number].startswith("%"):
            return stop.tell(
                "unquoted-sign",
                "a line cannot begin with `%`",
                (number, 0),
                "indent the line if it belongs to the text above, else put the text in 'single quotes'",
                length=1,
            )
    return None


def _runaway_quote(stop: Stop) -> Diagnostic | None:
    """A quote that was not closed on its line is closed by the next quote of the file, lines below."""
    last = stop.last
    if last is None or last.style not in _QUOTED:
        return None
    end = last.place(len(last.text))
    if last.span.line == end.line or end.line - 1 != stop.place[0]:
        return None
    return stop.tell(
        "unclosed-quote",
        f"the quote {last.style.value} that opens here is closed only on line {end.line}",
        (last.span.line - 1, last.span.column - 1),
        f"close it with another {last.style.value} where the text ends",
        length=1,
        related=((end.line - 1, end.column - 1), "it is closed here"),
    )


def _text_after_value(stop: Stop) -> Diagnostic:
    after = stop.before.rstrip()[-1:]
    what = "quote" if after in ("'", '"') else "bracket"
    apostrophe = "; an apostrophe inside 'single quotes' is written twice" if after == "'" else ""
    return stop.tell(
        "text-after-value",
        f"the text goes on after the closing {what}",
        stop.place,
        f"put the whole text in 'single quotes'{apostrophe}",
    )


def _after_comment(stop: Stop) -> Diagnostic | None:
    """A text of several lines ends at the first ` #`."""
    above = stop.above()
    if above is None or stop.last is None or stop.last.style is not Style.PLAIN:
        return None
    end = stop.last.place(len(stop.last.text))
    rest = stop.source.line(end.line)[end.column - 1 :]
    if end.line - 1 != above or not rest.lstrip().startswith("#"):
        return None
    position = (above, end.column - 1 + rest.index("#"))
    return stop.tell(
        "comment-cuts-text",
        "from ` #` on this is a comment, so the text cannot go on below",
        position,
        "put the whole text in 'single quotes', or move the comment to a line above",
        length=1,
        related=(stop.place, "the text goes on here"),
    )
