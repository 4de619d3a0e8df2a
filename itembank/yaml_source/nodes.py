"""The frozen tree of a YAML file: every scalar as raw text, every node with its place.

Nothing here knows how a file is read, or what a template is.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass, field
from enum import Enum
from operator import itemgetter
from typing import TypeAlias

from itembank.errors import Diagnostic, DomainError, Level, Span

LINE_END = re.compile(r"\r\n|\n|\r")

Anchor: TypeAlias = tuple[int, int, int]
"""Offset in the text, line, column: from this offset on, characters stand side by side in the file."""


class Style(Enum):
    """How a scalar is written; the value is the sign that opens it."""

    PLAIN = ""
    SINGLE_QUOTED = "'"
    DOUBLE_QUOTED = '"'
    LITERAL = "|"
    FOLDED = ">"


@dataclass(frozen=True, slots=True)
class Source:
    """A text and the path it is shown under; gives the lines for excerpts.

    >>> Source("bank.yaml", "bank: quadratics\\nseed: 1\\n").line(2)
    'seed: 1'
    """

    path: str
    text: str
    lines: tuple[str, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "lines", tuple(LINE_END.split(self.text)))

    def line(self, number: int) -> str:
        """Return a line without its line end. number: from 1; DomainError for a line that is not there."""
        if not 1 <= number <= len(self.lines):
            raise DomainError(f"{self.path} has no line {number}")
        return self.lines[number - 1]

    def span(self, line: int, column: int, end_column: int = 0) -> Span:
        """Return a place of this source; lines and columns from 1."""
        return Span(self.path, line, column, end_column)

    def diagnostic(
        self,
        code: str,
        message: str,
        span: Span,
        *,
        hint: str = "",
        level: Level = Level.WRONG,
        related: tuple[Span, str] | None = None,
    ) -> Diagnostic:
        """Return a diagnostic at a place of this source, with the line there as its excerpt."""
        return Diagnostic(code, message, span, level, self.line(span.line), hint, related)


@dataclass(frozen=True, slots=True)
class Scalar:
    """A text as its author wrote it, folds and escapes resolved, never read as a number or truth value.

    span: the whole scalar with its quotes; for one of several lines only the beginning.
    anchors: ordered by offset, the first at offset 0; what `place` needs, and no more.
    """

    text: str
    span: Span
    style: Style
    anchors: tuple[Anchor, ...] = field(repr=False)

    @property
    def is_empty(self) -> bool:
        """Nothing at all was written, as after `key:`; quotes with nothing in them are a text."""
        return self.style is Style.PLAIN and not self.text

    def place(self, offset: int, length: int = 0) -> Span:
        """Return where in the file the characters text[offset:offset + length] stand.

        offset, length: at least 0, their sum at most len(text); DomainError otherwise. With length 0 only
        the beginning is given. A stretch over several lines ends with its first line. A space or line end
        that stands for a fold has its place where the folded line ends.

        >>> text = Scalar("x + 1", Span("a.yaml", 3, 8, 13), Style.PLAIN, ((0, 3, 8),))
        >>> text.place(4, 1)
        Span(path='a.yaml', line=3, column=12, end_column=13)
        """
        if not (offset >= 0 and length >= 0 and offset + length <= len(self.text)):
            raise DomainError(f"no characters {offset} to {offset + length} in a text of {len(self.text)}")
        line, column = self._at(offset)
        return Span(self.span.path, line, column, self._end(offset, offset + length) if length else 0)

    def _at(self, offset: int) -> tuple[int, int]:
        start, line, column = self.anchors[bisect_right(self.anchors, offset, key=itemgetter(0)) - 1]
        return line, column + offset - start

    def _end(self, offset: int, stop: int) -> int:
        line, column = self._at(offset)
        index = bisect_right(self.anchors, line, key=itemgetter(1))
        next_line = self.anchors[index][0] if index < len(self.anchors) else len(self.text) + 1
        if stop < next_line:
            return max(self._at(stop)[1], column + 1)
        is_fold = self.text[next_line - 1] in " \n"
        return max(self._at(next_line - 1)[1] + (not is_fold), column + 1)


@dataclass(frozen=True, slots=True)
class WrittenOut(Scalar):
    """A text that stands for something shorter in the file: all of it has the place of that."""

    def place(self, offset: int, length: int = 0) -> Span:
        """Return where the shorter thing stands."""
        return self.span


@dataclass(frozen=True, slots=True)
class Mapping:
    """Names and what stands under them, in the author's order; no name twice.

    span: from `{` to `}` on one line, else only the beginning. is_flow: written with brackets.
    """

    entries: tuple[tuple[Scalar, Node], ...]
    span: Span
    is_flow: bool = False

    def get(self, key: str) -> Node | None:
        """Return what stands under a name, None where the name is not there."""
        return next((node for name, node in self.entries if name.text == key), None)

    def key(self, name: str) -> Scalar | None:
        """Return the name itself with its place, None where it is not there."""
        return next((key for key, _ in self.entries if key.text == name), None)


@dataclass(frozen=True, slots=True)
class Sequence:
    """Nodes one after the other. span and is_flow as in Mapping, with `[` and `]`."""

    items: tuple[Node, ...]
    span: Span
    is_flow: bool = False


Node: TypeAlias = Scalar | Mapping | Sequence


@dataclass(frozen=True, slots=True)
class Document:
    """One file, read: its source, its tree, and what was doubtful about it (ordered by place)."""

    source: Source
    root: Node
    doubts: tuple[Diagnostic, ...] = ()
