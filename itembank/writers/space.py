"""The room for working and answers of a part: what it holds and how high it is, the same in every printed format.

Source of all measures: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from itembank.figures import Parabola
from itembank.figures.drawing import Drawing
from itembank.figures.squared import SQUARE, squared
from itembank.items import SPACES, Part, WrittenResponse
from itembank.words import Words
from itembank.writers.facts import Looks
from itembank.writers.paper import working_millimetres

__all__ = ["RULED", "SPACES", "Space", "has_squares", "space_of", "squared_paper", "writes_on_lines"]

RULED: Final = 8
"""Millimetres between ruled lines."""

ACROSS: Final = 22
"""Squares beside one another: what stands between the margins in large print too."""

LEAST_UP: Final = 6
LEAST_WITH_AXES: Final = 14
MOST_UP: Final = 38
PER_MARK: Final = 15
"""Millimetres a mark where answers are written."""


@dataclass(frozen=True, slots=True)
class Space:
    """kind: one of SPACES. millimetres: its height; squares: up the page, 0 unless it holds squares."""

    kind: str
    millimetres: int
    squares: int = 0


def space_of(part: Part, looks: Looks) -> Space:
    """The room below a part, in proportion to its marks; what the template says of it goes before what the paper says.

    An answer in writing has lines of its own unless the template asks for another kind of room.
    """
    kind = part.space or looks.working
    if isinstance(part.response, WrittenResponse):
        if part.space in {"", "lines"}:
            return Space("blank", 0)
        millimetres = min(PER_MARK * part.response.marks, 200)
    else:
        millimetres = working_millimetres(part)
    if kind not in {"grid", "axes"}:
        return Space(kind, millimetres)
    least = LEAST_WITH_AXES if kind == "axes" else LEAST_UP
    squares = min(max(-(-millimetres // int(SQUARE)), least), MOST_UP)
    squares += squares % 2
    return Space(kind, squares * int(SQUARE), squares)


def writes_on_lines(part: Part) -> bool:
    """Whether an answer in writing has its ruled lines, as many as its template says."""
    return isinstance(part.response, WrittenResponse) and part.space in {"", "lines"}


def has_squares(part: Part) -> bool:
    """Whether squared paper is drawn for a part."""
    return part.space in {"grid", "axes"}


def squared_paper(part: Part, space: Space, words: Words) -> Drawing:
    """The squared paper of a part; its axes bear the letters of the curve in its solution, else x and y."""
    drawn = (line.figure for line in part.solution)
    letter = next((figure.letter for figure in drawn if isinstance(figure, Parabola)), "x")
    axes = (letter, "y") if space.kind == "axes" else None
    told = words("squared-axes" if axes else "squared-paper", across=ACROSS, up=space.squares)
    return squared(ACROSS, space.squares, told, axes)
