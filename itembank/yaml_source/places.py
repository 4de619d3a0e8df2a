"""Anchors of a scalar: where in the file each stretch of its text stands, style by style.

The parser gives the text and the two ends of a scalar; how the lines between them became that text
(folds, escapes, indentation) is followed here once more, as YAML 1.1 sets it out in its chapters 8 and 9.
Lines and columns count from 0 in the arguments, as in the parser's marks, and from 1 in the anchors.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TypeAlias

from itembank.yaml_source.nodes import Anchor, Style

Position: TypeAlias = tuple[int, int]

_ESCAPES = {
    Style.SINGLE_QUOTED: re.compile("''"),
    Style.DOUBLE_QUOTED: re.compile(r"\\(?:x..|u.{4}|U.{8}|.)"),
}
_TRAILING_BACKSLASHES = re.compile(r"\\*$")


@dataclass(slots=True)
class _Trail:
    """Anchors as they are laid; `offset` is how much of the text has its place."""

    anchors: list[Anchor] = field(default_factory=list)
    offset: int = 0

    def lay(self, line: int, column: int) -> None:
        """Say that the text goes on here (from 0), unless that follows from the last anchor."""
        line, column = line + 1, column + 1
        if self.anchors:
            offset, last_line, last_column = self.anchors[-1]
            if line == last_line and column - last_column == self.offset - offset:
                return
            if offset == self.offset:
                self.anchors.pop()
        self.anchors.append((self.offset, line, column))

    def lay_line_end(self, lines: tuple[str, ...], line: int) -> None:
        """Give the next character of the text, a line end, its place."""
        self.lay(line, len(lines[line]))
        self.offset += 1


def anchors_of(
    style: Style, lines: tuple[str, ...], start: Position, end: Position, text: str
) -> tuple[Anchor, ...]:
    """Return the anchors of a scalar. start, end: of the whole scalar with its quotes or its `|`.

    >>> anchors_of(Style.SINGLE_QUOTED, ("a: 'it''s'",), (0, 3), (0, 10), "it's")
    ((0, 1, 5), (3, 1, 9))
    """
    match style:
        case Style.PLAIN:
            return _flow_anchors(style, lines, start, end)
        case Style.SINGLE_QUOTED | Style.DOUBLE_QUOTED:
            return _flow_anchors(style, lines, (start[0], start[1] + 1), (end[0], end[1] - 1))
        case Style.LITERAL | Style.FOLDED:
            return _block_anchors(style, lines, start, text)


def _flow_anchors(style: Style, lines: tuple[str, ...], start: Position, end: Position) -> tuple[Anchor, ...]:
    trail = _Trail()
    blanks: list[int] = []
    is_joined = True
    for number in range(start[0], end[0] + 1):
        begin, stop, goes_on = _content(style, lines[number], number, start, end)
        if begin == stop and not goes_on and start[0] < number < end[0]:
            blanks.append(number)
            continue
        for blank in blanks:
            trail.lay_line_end(lines, blank)
        if not blanks and not is_joined:
            trail.offset += 1
        _lay_escapes(trail, _ESCAPES.get(style), lines[number], number, begin, stop)
        blanks, is_joined = [], goes_on
    return tuple(trail.anchors)


def _content(style: Style, line: str, number: int, start: Position, end: Position) -> tuple[int, int, bool]:
    """Return where the part of a line that is text begins and stops, and whether a final `\\` joins it on."""
    begin = start[1] if number == start[0] else len(line) - len(line.lstrip(" "))
    if number == end[0]:
        return min(begin, end[1]), end[1], False
    stripped = line.rstrip(" ")
    backslashes = _TRAILING_BACKSLASHES.search(stripped, begin) if style is Style.DOUBLE_QUOTED else None
    if backslashes and len(backslashes[0]) % 2:
        is_join = stripped == line
        return begin, len(stripped) - 1 if is_join else len(stripped) + 1, is_join
    return min(begin, len(stripped)) if number != start[0] else begin, max(begin, len(stripped)), False


def _lay_escapes(
    trail: _Trail, escape: re.Pattern[str] | None, line: str, number: int, begin: int, stop: int
) -> None:
    """Lay one line's text; each escape is one character of the text."""
    trail.lay(number, begin)
    for found in escape.finditer(line, begin, stop) if escape else ():
        trail.offset += found.start() - begin + 1
        begin = found.end()
        trail.lay(number, begin)
    trail.offset += stop - begin


def _block_anchors(style: Style, lines: tuple[str, ...], start: Position, text: str) -> tuple[Anchor, ...]:
    trail = _Trail()
    body = text.rstrip("\n")
    number = start[0] + 1
    if body:
        number = _lay_body(trail, style, lines, number, body)
    elif not text:
        trail.lay(*start)
    else:
        trail.lay_line_end(lines, number)
        number += 1
    _lay_last_line_ends(trail, lines, number, text)
    return tuple(trail.anchors)


def _lay_body(trail: _Trail, style: Style, lines: tuple[str, ...], number: int, body: str) -> int:
    """Lay everything but the line ends at the end; return the number of the line below."""
    indentation = _indentation(lines, number, body)
    above: str | None = None
    blanks: list[int] = []
    while trail.offset < len(body):
        line = lines[number][indentation:]
        if not line:
            blanks.append(number)
        else:
            folds = style is Style.FOLDED and not (above or " ").startswith(" ") and not line.startswith(" ")
            if above is not None and (not folds or not blanks):
                trail.offset += 1
            for blank in blanks:
                trail.lay_line_end(lines, blank)
            trail.lay(number, indentation)
            trail.offset += len(line)
            above, blanks = line, []
        number += 1
    return number


def _indentation(lines: tuple[str, ...], number: int, body: str) -> int:
    """Return how many columns the parser took off: the difference at the first line that is not blank."""
    first = body.lstrip("\n")
    line = lines[number + len(body) - len(first)]
    kept = first.split("\n", 1)[0]
    return len(line) - len(line.lstrip(" ")) - (len(kept) - len(kept.lstrip(" ")))


def _lay_last_line_ends(trail: _Trail, lines: tuple[str, ...], number: int, text: str) -> None:
    """Lay the kept line ends at the end; the end of the text itself has the place of the last of them."""
    if trail.offset == len(text):
        if text.endswith("\n"):
            trail.lay(number - 1, len(lines[number - 1]))
        return
    if not text.endswith("\n" * (len(text) - trail.offset)):
        raise AssertionError("the text of a block goes on after its last line")
    if trail.anchors and trail.offset and text[trail.offset - 1] != "\n":
        trail.offset += 1
    while trail.offset < len(text):
        trail.lay_line_end(lines, number)
        number += 1
    trail.lay(number - 1, len(lines[number - 1]))
