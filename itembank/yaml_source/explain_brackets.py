"""Syntax errors inside `[...]` and `{...}`, and closing brackets that nothing opened."""

from __future__ import annotations

from dataclasses import replace

from itembank.errors import Diagnostic
from itembank.yaml_source.places import Position
from itembank.yaml_source.slips import QUOTE_EACH, QUOTE_OR_BLOCK
from itembank.yaml_source.stops import Stop

_PARTNER = {"[": "]", "{": "}"}


def crammed_colon(stop: Stop) -> Diagnostic:
    """[a:], {a:[b]}: one parser reads a name, the other refuses; it is refused."""
    return stop.tell(
        "missing-space",
        "a space is missing after this colon",
        stop.place,
        "write a space after the colon, or put the text in 'single quotes'",
        length=1,
    )


def broken_list(stop: Stop) -> Diagnostic:
    """A comma or the closing bracket was expected."""
    opening = stop.source.lines[stop.began[0]][stop.began[1]]
    is_same_line = stop.place[0] == stop.began[0] and bool(stop.character)
    match stop.character:
        case "[" | "{" if stop.place[0] > stop.began[0] and _begins_an_entry(stop):
            return _unclosed(stop, opening, "not closed", "the list is still open here")
        case "[" | "{" if _follows_text(stop):
            return _bracket_in_text(stop)
        case "]" | "}":
            return _unclosed(stop, opening, f"closed by `{stop.character}`", "it is closed here")
        case ":" if is_same_line:
            return stop.tell(
                "unquoted-colon",
                "inside brackets, a colon and a space in a text must be in quotes",
                stop.place,
                QUOTE_EACH,
                length=1,
            )
        case _ if is_same_line:
            return stop.tell(
                "missing-comma",
                f"a comma or `{_PARTNER.get(opening, ']')}` is missing before this",
                stop.place,
                f"write a comma between two texts; {QUOTE_EACH}",
            )
    return _unclosed(stop, opening, "not closed", "the list is still open here")


def _begins_an_entry(stop: Stop) -> bool:
    """Whether the line looks like the next entry of a list without brackets: `- ` and what follows."""
    return stop.before.strip() in ("", "-")


def _open_bracket(stop: Stop) -> Position | None:
    """The nearest bracket on a line above that nothing closes before `place`."""
    closed = 0
    for number in range(stop.place[0] - 1, -1, -1):
        line = stop.source.lines[number]
        for column in range(len(line) - 1, -1, -1):
            if line[column] in "]}":
                closed += 1
            elif line[column] in "[{":
                if not closed:
                    return number, column
                closed -= 1
    return None


def _follows_text(stop: Stop) -> bool:
    return stop.before.rstrip()[-1:] not in ("", ",", "[", "{", ":", '"', "'", "]", "}")


def _bracket_in_text(stop: Stop) -> Diagnostic:
    return stop.tell(
        "split-expression",
        f"inside brackets an unquoted text cannot hold a `{stop.character}`",
        stop.place,
        QUOTE_EACH,
        length=1,
    )


def _unclosed(stop: Stop, opening: str, how: str, there: str) -> Diagnostic:
    return stop.tell(
        "unclosed-bracket",
        f"the bracket `{opening}` that opens here is {how}",
        stop.began,
        f"close it with `{_PARTNER.get(opening, ']')}`; an interval or other mathematics that begins with a "
        "bracket must be in 'single quotes'",
        length=1,
        related=(stop.place, there),
    )


def missing_value(stop: Stop) -> Diagnostic:
    """A value was expected, and a sign that cannot begin one was found."""
    match stop.character:
        case "]" | "}":
            return unmatched_bracket(stop)
        case ",":
            return stop.tell(
                "missing-value",
                "before this comma a value is missing",
                stop.place,
                "write the value or delete the comma; a comma that begins a text must be in 'single quotes'",
                length=1,
            )
        case "-" if stop.is_at_line_start and (begun := _open_bracket(stop)):
            opening = stop.source.lines[begun[0]][begun[1]]
            return _unclosed(replace(stop, began=begun), opening, "not closed", "the list is still open here")
        case "-":
            return stop.tell(
                "unquoted-sign",
                "inside brackets an unquoted text cannot begin with a minus sign and a space",
                stop.place,
                "write a negative value without the space, or in 'single quotes'",
                length=1,
            )
        case _:
            return stop.tell(
                "missing-value",
                "a name or a value is missing here",
                stop.place,
                f"write `name: value`; if it is all one text, {QUOTE_OR_BLOCK}",
            )


def unmatched_bracket(stop: Stop) -> Diagnostic:
    """A closing bracket that nothing opened."""
    return stop.tell(
        "unmatched-bracket",
        f"this `{stop.character}` closes a bracket that was not opened",
        stop.place,
        "delete it, or open the bracket; mathematics with brackets of its own must be in 'single quotes'",
        length=1,
    )
