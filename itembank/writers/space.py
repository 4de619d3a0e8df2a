"""The room for working and answers of a part: what it holds and how high it is, the same in every printed format.

In large print pupils write larger too: lines stand further apart, squares and the room itself grow.
Source of all measures: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from itembank.figures import Parabola
from itembank.figures.drawing import Drawing
from itembank.figures.squared import SQUARE, squared
from itembank.items import SPACES, Part, WrittenResponse
from itembank.words import Words
from itembank.writers.facts import Looks
from itembank.writers.paper import working_millimetres

__all__ = ["SPACES", "Space", "enlarged", "lines_apart", "space_of", "squared_paper", "writes_on_lines"]

ENLARGED: Final = Fraction(3, 2)
"""How much larger pictures, squares and what is written are in large print."""
RULED: Final = 8
"""Millimetres between ruled lines for working."""
WRITTEN: Final = 9
"""Millimetres between the lines of an answer in writing."""

ACROSS: Final = 22
ACROSS_LARGE: Final = 16
"""Squares beside one another: as many as stand between the margins of either sheet."""

LEAST_UP: Final = 6
LEAST_WITH_AXES: Final = 14
MOST: Final = 200
"""Millimetres: a room never needs more than a page."""
MOST_SQUARES: Final = 190
PER_MARK: Final = 15
"""Millimetres a mark where answers are written."""


@dataclass(frozen=True, slots=True)
class Space:
    """kind: one of SPACES. millimetres: its height. lines: how many it holds if it is ruled. squares: up the page and
    across, 0 unless it holds squares. scale: how much larger than usual it is.
    """

    kind: str
    millimetres: int
    lines: int = 0
    squares: int = 0
    across: int = 0
    scale: Fraction = Fraction(1)


def space_of(part: Part, looks: Looks) -> Space:
    """The room below a part, in proportion to its marks; what the template says of it goes before what the paper says.

    An answer in writing has lines of its own unless the template asks for another kind of room.
    """
    kind = part.space or looks.working
    if isinstance(part.response, WrittenResponse):
        if part.space in {"", "lines"}:
            return Space("blank", 0)
        usual = PER_MARK * part.response.marks
    else:
        usual = working_millimetres(part)
    scale = enlarged(looks)
    if kind not in {"grid", "axes"}:
        millimetres = min(int(usual * scale), MOST)
        return Space(kind, millimetres, int(millimetres // lines_apart(looks)), scale=scale)
    least = LEAST_WITH_AXES if kind == "axes" else LEAST_UP
    squares = max(-(-min(usual, MOST) // int(SQUARE)), least)
    squares = min(squares + squares % 2, int(MOST_SQUARES / (2 * SQUARE * scale)) * 2)
    across = ACROSS if scale == 1 else ACROSS_LARGE
    return Space(kind, int(squares * SQUARE * scale), 0, squares, across, scale)


def enlarged(looks: Looks) -> Fraction:
    """How much larger than usual what a pupil writes in is."""
    return ENLARGED if looks.large else Fraction(1)


def lines_apart(looks: Looks, *, written: bool = False) -> Fraction:
    """Millimetres between lines for working, or between those of an answer in writing."""
    return (WRITTEN if written else RULED) * enlarged(looks)


def writes_on_lines(part: Part) -> bool:
    """Whether an answer in writing has its ruled lines, as many as its template says."""
    return isinstance(part.response, WrittenResponse) and part.space in {"", "lines"}


def squared_paper(part: Part, space: Space, words: Words) -> Drawing:
    """The squared paper of a part; its axes bear the letters of the curve in its solution, else x and y."""
    drawn = (line.figure for line in part.solution)
    letter = next((figure.letter for figure in drawn if isinstance(figure, Parabola)), "x")
    axes = (letter, "y") if space.kind == "axes" else None
    told = words("squared-axes" if axes else "squared-paper", across=space.across, up=space.squares)
    return squared(space.across, space.squares, told, axes)
