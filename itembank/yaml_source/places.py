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
    """Return where the text on a line begins and stops, and whether a final `\\` joins the next line on."""
    begin = start[1] if number == start[0] else len(line) - len(line.lstrip(" "))
    if number == end[0]:
        return begin, end[1], False
    stop = max(begin, len(line.rstrip(" ")))
    backslashes = stop - begin - len(line[begin:stop].rstrip("\\"))
    if style is Style.DOUBLE_QUOTED and backslashes % 2:
        is_join = stop == len(line)
        return begin, stop - 1 if is_join else stop + 1, is_join
    return begin, stop, False


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
    """Follow a `|` or `>` text; its very end has the place of its last line end."""
    trail = _Trail()
    if not text:
        trail.lay(*start)
    body = text.rstrip("\n")
    last = _lay_body(trail, style, lines, start[0] + 1, body) if body else start[0] + 1
    for line in range(last, last + len(text) - len(body)):
        trail.lay_line_end(lines, line)
        last = line
    if text.endswith("\n"):
        trail.lay(last, len(lines[last]))
    return tuple(trail.anchors)


def _lay_body(trail: _Trail, style: Style, lines: tuple[str, ...], number: int, body: str) -> int:
    """Lay everything but the line ends at the end; return the number of the last line laid."""
    indentation = _indentation(lines, number, body)
    above = ""
    blanks: list[int] = []
    while True:
        line = lines[number][indentation:]
        if not line:
            blanks.append(number)
        else:
            folds = style is Style.FOLDED and above != "" and " " not in (above[0], line[0])
            if above and not (folds and blanks):
                trail.offset += 1
            for blank in blanks:
                trail.lay_line_end(lines, blank)
            trail.lay(number, indentation)
            trail.offset += len(line)
            above, blanks = line, []
        if trail.offset >= len(body):
            return number
        number += 1


def _indentation(lines: tuple[str, ...], number: int, body: str) -> int:
    """Return how many columns the parser took off: the difference at the first line that is not blank."""
    first = body.lstrip("\n")
    line = lines[number + len(body) - len(first)]
    kept = first.split("\n", 1)[0]
    return len(line) - len(line.lstrip(" ")) - (len(kept) - len(kept.lstrip(" ")))


def end_before(lines: tuple[str, ...], position: Position) -> Position:
    """Return the place just after the last character before a position that is not a space.

    >>> end_before(("key:  ", "", ""), (2, 0))
    (0, 4)
    """
    line, column = min(position[0], len(lines) - 1), position[1]
    while line > 0 and not lines[line][:column].strip(" "):
        line -= 1
        column = len(lines[line])
    return line, len(lines[line][:column].rstrip(" "))
