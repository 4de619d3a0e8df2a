"""Where a parser stopped, with what is around that place: the material for the words in `explain*.py`."""

from __future__ import annotations

from dataclasses import dataclass

from itembank.errors import Diagnostic, Span
from itembank.yaml_source.events import NotYaml
from itembank.yaml_source.nodes import Scalar, Source
from itembank.yaml_source.places import Position, end_before


@dataclass(frozen=True, slots=True)
class Stop:
    """One syntax error. Lines and columns count from 0.

    place: where the parser could not go on, at the end of the last text where that is the end of the file.
    began: where the thing it was reading begins. last: the last scalar that was read before.
    """

    source: Source
    problem: str
    context: str
    place: Position
    began: Position
    last: Scalar | None

    @property
    def line(self) -> str:
        """The line of `place`."""
        return self.source.lines[self.place[0]]

    @property
    def before(self) -> str:
        """What stands before `place` on its line."""
        return self.line[: self.place[1]]

    @property
    def character(self) -> str:
        """The character at `place`; "" at the end of a line."""
        return self.line[self.place[1] : self.place[1] + 1]

    @property
    def is_at_line_start(self) -> bool:
        """Nothing but spaces stands before `place`."""
        return not self.before.strip()

    def above(self) -> int | None:
        """Return the number of the nearest line above `place` that is neither blank nor a comment."""
        for number in range(self.place[0] - 1, -1, -1):
            line = self.source.lines[number].strip()
            if line and not line.startswith("#"):
                return number
        return None

    def span(self, position: Position, length: int = 0) -> Span:
        """Return a place of the file as people count."""
        line, column = position[0] + 1, position[1] + 1
        return self.source.span(line, column, column + length if length else 0)

    def tell(
        self,
        code: str,
        message: str,
        position: Position,
        hint: str,
        *,
        length: int = 0,
        related: tuple[Position, str] | None = None,
    ) -> Diagnostic:
        """Return a diagnostic at a position."""
        other = (self.span(related[0]), related[1]) if related else None
        return self.source.diagnostic(code, message, self.span(position, length), hint=hint, related=other)


def stop_of(source: Source, slip: NotYaml, last: Scalar | None) -> Stop:
    """Return a stop whose place is a real one: at the end of a file the parsers point below the last line."""
    line, column = slip.place
    is_at_end = line >= len(source.lines) or not any(
        rest.strip() for rest in (source.lines[line][column:], *source.lines[line + 1 :])
    )
    place = end_before(source.lines, slip.place) if is_at_end else slip.place
    return Stop(source, slip.problem, slip.context, place, slip.began, last)


def indentation(line: str) -> int:
    """Return how many spaces stand before the first other character.

    >>> indentation("  key: x")
    2
    """
    return len(line) - len(line.lstrip(" "))
