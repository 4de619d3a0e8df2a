"""Answer boxes as LaTeX source: one group of boxes for each value, laid out as the answer is written."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from itembank.expressions.latex import latex
from itembank.items import Blank
from itembank.writers.latex.characters import Source
from itembank.writers.paper import letter

__all__ = ["answer_boxes"]

_NARROW, _USUAL, _WIDE = (rf"\AnswerBox{{{width}mm}}" for width in (10, 14, 22))


@lru_cache(maxsize=4096)
def answer_boxes(blank: Blank) -> Source:
    """The boxes of one blank; groups of boxes for several values are joined by "or"."""
    before = f"{latex(letter(blank.unknown))} = " if blank.unknown else ""
    group = rf"\mbox{{$\displaystyle {before}{_boxes(blank)}$}}"
    return Source(r" \JoinBoxes{or} ".join([group] * blank.slots))


def _boxes(blank: Blank) -> str:
    match blank.form:
        case "fraction":
            return rf"\frac{{{_USUAL}}}{{{_USUAL}}}"
        case "surd":
            return _surd_boxes(blank)
        case "decimal":
            return _WIDE
        case _:
            return _USUAL


def _surd_boxes(blank: Blank) -> str:
    above = "".join(_numerator(blank))
    return rf"\frac{{{above}}}{{{_NARROW}}}" if "s" in blank.boxes else above


def _numerator(blank: Blank) -> Iterator[str]:
    if "p" in blank.boxes:
        yield _NARROW
    if {"q", "r"} & set(blank.boxes):
        yield r" \pm " if blank.pair else " + " if "p" in blank.boxes else ""
    if "q" in blank.boxes:
        yield _NARROW
    if "r" in blank.boxes:
        yield rf"\sqrt{{{_NARROW}}}"
