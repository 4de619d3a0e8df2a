"""Options and answer boxes as LaTeX source; boxes are laid out as the answer is written."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from itembank.expressions.display import Maths
from itembank.expressions.latex import latex
from itembank.items import Blank, Option, ShownLine
from itembank.writers.latex.characters import Source, escape
from itembank.writers.latex.content import displayed, in_line
from itembank.writers.paper import columns_to_try, letter, one_line

__all__ = ["answer_boxes", "options", "shown_lines"]

_SMALL, _NARROW, _USUAL, _WIDE = (rf"\AnswerBox{{{width}mm}}" for width in (7, 10, 14, 22))


def options(found: Sequence[Option]) -> Source:
    """The options with their letters; TeX takes the most columns in which the widest of them fits."""
    columns = columns_to_try(len(found)) if all(_may_share_a_line(option) for option in found) else (1,)
    listed = "%\n".join(rf"\Option{{{escape(option.identifier)}}}{{{_option(option)}}}" for option in found)
    return Source(f"\\Options{{{','.join(map(str, columns))}}}{{%\n{listed}}}")


def _option(option: Option) -> Source:
    return displayed(option.content) if isinstance(option.content, Maths) else in_line(option.content)


def _may_share_a_line(option: Option) -> bool:
    return isinstance(option.content, Maths) or one_line(option.content)


def shown_lines(found: Sequence[ShownLine]) -> Source:
    """Numbered lines of working, one below the other: what is said, then what is written."""
    listed = "%\n".join(
        rf"\Option{{{number}}}{{{_shown_line(line)}}}" for number, line in enumerate(found, start=1)
    )
    return Source(f"\\Options{{1}}{{%\n{listed}}}")


def _shown_line(line: ShownLine) -> Source:
    written = displayed(line.maths)
    return Source(f"{in_line(line.say)}\\LineBreak{{}}{written}") if line.say is not None else written


def answer_boxes(blank: Blank) -> Source:
    """The boxes of one blank; groups of boxes for several values are joined by "or", inequalities by either word."""
    before = latex(letter(blank.unknown)) if blank.unknown else ""
    if "sign" in blank.boxes:
        before += rf"\;{_SMALL}\;"
    elif blank.unknown:
        before += " = "
    unit = rf"\,\mbox{{{escape(blank.unit)}}}" if blank.unit else ""
    group = rf"\mbox{{$\displaystyle {before}{_boxes(blank)}{unit}$}}"
    word = "and / or" if blank.ends else "or"
    return Source(rf" \JoinBoxes{{{word}}} ".join([group] * max(blank.slots, 1)))


def _boxes(blank: Blank) -> str:
    match blank.ends or blank.form:
        case "fraction":
            return rf"\frac{{{_USUAL}}}{{{_USUAL}}}"
        case "brackets":
            linear = rf"({_NARROW}\,{latex(letter(blank.letter))} + {_NARROW})"
            return (_NARROW if "k" in blank.boxes else "") + linear * 2
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
