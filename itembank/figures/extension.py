"""What a picture of an extension must supply: the numbers it is drawn of, a drawing, and a check of these."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from itembank.errors import guarded, no_functions
from itembank.figures.drawing import Description, Drawing
from itembank.figures.pen import Pen, told

__all__ = ["FigureExtension", "OtherFigure", "admit", "draw", "figure_keys"]


@dataclass(frozen=True, slots=True)
class OtherFigure:
    """A picture of an extension's kind: the numbers it is drawn of, in the order of its keys."""

    kind: str
    numbers: tuple[Fraction, ...]


@dataclass(frozen=True, slots=True)
class FigureExtension:
    """A kind of picture, named in `figure: {kind: ..., with: {key: value}}`.

    keys: the keys below `with`, each an expression with a value; what each is for.
    draw: the numbers, by key -> the marks, made with the house's pen, and what is seen, in words with mathematics.
    Raises DomainError with the reason where there is no picture. Equal numbers give equal marks.
    check: for `verify`, on the file alone: the numbers the file tells, by key, and the picture's words -> what
    disagrees, in plain words. It works everything out anew and does not call `draw`. language: of the picture's words.
    """

    name: str
    keys: Mapping[str, str]
    draw: Callable[[Mapping[str, Fraction], Pen], Description]
    check: Callable[[Mapping[str, Fraction], str], Iterable[str]]
    language: str = "en"

    def misshapen(self) -> str:
        """What is wrong with it that needs no trial, in words after its name; "" where nothing is."""
        if not isinstance(self.keys, Mapping):
            return "has `keys` that are no mapping of each to what it is for"
        return no_functions(draw=self.draw, check=self.check)


_KINDS: dict[str, tuple[FigureExtension, str]] = {}


def admit(extension: FigureExtension, whose: str) -> None:
    """The picture of an extension is known from now on. whose: its package and version, which the file tells."""
    _KINDS[extension.name] = extension, whose


def figure_keys(kind: str) -> Mapping[str, str]:
    """The keys of a kind that was admitted, and what each is for."""
    return _KINDS[kind][0].keys


def language_of(figure: OtherFigure) -> str:
    """The language of the words of a kind that was admitted."""
    return _KINDS[figure.kind][0].language


def draw(figure: OtherFigure) -> Drawing:
    """The picture."""
    extension, whose = _KINDS[figure.kind]
    pen = Pen()
    words = guarded(figure.kind, extension.draw)(dict(zip(extension.keys, figure.numbers, strict=True)), pen)
    return pen.finished(
        *words, facts={"kind": figure.kind, "numbers": told(*figure.numbers), "extension": whose}
    )
