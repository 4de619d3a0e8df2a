"""Options and answer boxes as LaTeX source; boxes are laid out as the answer is written."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from itembank.expressions.display import Maths
from itembank.expressions.latex import latex
from itembank.figures.tikz import rendered
from itembank.items import Blank, Item, Option, Part, ShownLine
from itembank.words import Words
from itembank.writers.facts import Looks
from itembank.writers.latex.characters import Source, escape
from itembank.writers.latex.content import displayed, in_line
from itembank.writers.paper import (
    Answer,
    KeyRow,
    circled,
    columns_to_try,
    key_rows,
    letter,
    one_line,
    question_name,
)
from itembank.writers.points import PointBlank, pair
from itembank.writers.space import space_of, squared_paper

__all__ = [
    "answer_boxes", "answers_by_columns", "circles_by_columns", "match_rows", "options", "ruled", "shown_lines",
    "working",
]  # fmt: skip

_SMALL, _NARROW, _USUAL, _WIDE = (rf"\AnswerBox{{{width}\U}}" for width in (7, 10, 14, 22))

_ROOMS = {"blank": "WorkingBlank", "lines": "WorkingRuled", "box": "WorkingFramed"}


def working(part: Part, looks: Looks, words: Words) -> Source:
    """The room for working: empty, ruled, framed, or squared paper."""
    space = space_of(part, looks)
    if space.squares:
        drawn = rendered(squared_paper(part, space, words), escape)
        return Source(f"\\SquaredPaper{{%\n{drawn}}}")
    name = _ROOMS[part.space] if part.space else "Working"
    return Source(rf"\{name}{{{space.millimetres}mm}}")


def options(found: Sequence[Option]) -> Source:
    """The options with their letters; TeX takes the most columns in which the widest of them fits."""
    columns = columns_to_try(len(found)) if all(_may_share_a_line(option) for option in found) else (1,)
    listed = "%\n".join(rf"\Option{{{escape(option.identifier)}}}{{{_option(option)}}}" for option in found)
    return Source(f"\\Options{{{','.join(map(str, columns))}}}{{%\n{listed}}}")


def answers_by_columns(items: Sequence[Item]) -> Source:
    """The answers to all parts, each with its question, in two columns; TeX gives a wide one a line of its own."""
    listed = "%\n".join(
        rf"\{_answer_macro(row.answer)}{{{escape(row.question)}}}"
        rf"{{{_lettered(row.option)}{_shown(row.answer)}{_with_unit(row)}}}"
        for row in key_rows(items)
    )
    return Source(f"\\Answers{{%\n{listed}}}")


def _answer_macro(answer: Answer) -> str:
    return "Answer" if _is_narrow(answer) else "WideAnswer"


def _with_unit(row: KeyRow) -> str:
    return f"~{escape(row.unit)}" if row.unit else ""


def _lettered(option: str) -> str:
    return rf"\textbf{{{escape(option)}}}\enspace " if option else ""


def circles_by_columns(items: Sequence[Item]) -> Source:
    """A row of circled letters for each choice, with its question."""
    listed = "%\n".join(
        rf"\Option{{{escape(question_name(number, part))}}}{{{_circles(part)}}}"
        for number, item in enumerate(items, 1)
        for part in item.parts
        if circled(part)
    )
    return Source(f"\\Options{{3,2,1}}{{%\n{listed}}}") if listed else Source()


def _circles(part: Part) -> str:
    return "".join(rf"\Circle{{{escape(label)}}}" for label in circled(part))


def _option(option: Option) -> Source:
    return _shown(option.content)


def _shown(content: Answer) -> Source:
    return displayed(content) if isinstance(content, Maths) else in_line(content)


def _may_share_a_line(option: Option) -> bool:
    return _is_narrow(option.content)


def _is_narrow(content: Answer) -> bool:
    return isinstance(content, Maths) or one_line(content)


def match_rows(found: Sequence[tuple[str, Maths]]) -> Source:
    """Numbered rows, each with a box for the letter that belongs to it."""
    listed = "%\n".join(
        rf"\Option{{{number}}}{{{displayed(maths)}\quad\hfill\hbox{{${_NARROW}$}}}}"
        for number, maths in found
    )
    return Source(f"\\Options{{1}}{{%\n{listed}}}")


def ruled(lines: int) -> Source:
    """Lines to write on."""
    return Source("\\RuledLine" * lines)


def shown_lines(found: Sequence[ShownLine]) -> Source:
    """Numbered lines of working, one below the other: what is said, then what is written."""
    listed = "%\n".join(
        rf"\Option{{{number}}}{{{_shown_line(line)}}}" for number, line in enumerate(found, start=1)
    )
    return Source(f"\\Options{{1}}{{%\n{listed}}}")


def _shown_line(line: ShownLine) -> Source:
    written = displayed(line.maths)
    return Source(f"{in_line(line.say)}\\LineBreak{{}}{written}") if line.say is not None else written


def answer_boxes(blank: Blank | PointBlank) -> Source:
    """The boxes of one blank; groups of boxes for several values are joined by "or", inequalities by either word."""
    if isinstance(blank, PointBlank):
        before = latex(pair(blank.first.unknown, blank.second.unknown))
        point = rf"\left({_boxes(blank.first)},\;{_boxes(blank.second)}\right)"
        group = rf"\mbox{{$\displaystyle {before} = {point}$}}"
        return Source(r" \JoinBoxes{\OrWord} ".join([group] * blank.first.slots))
    if blank.words:
        return _words(blank)
    before = latex(letter(blank.unknown)) if blank.unknown else ""
    if "sign" in blank.boxes:
        before += rf"\;{_SMALL}\;"
    elif blank.unknown:
        before += " = "
    unit = rf"\mbox{{{escape(blank.unit)}}}" if blank.unit else ""
    left, right = (rf"{unit}\,", "") if blank.unit_first else ("", rf"\,{unit}" if unit else "")
    group = rf"\mbox{{$\displaystyle {before}{left}{_boxes(blank)}{right}$}}"
    word = r"\AndOrWord" if blank.ends else r"\OrWord"
    return Source(rf" \JoinBoxes{{{word}}} ".join([group] * max(blank.slots, 1)))


def _words(blank: Blank) -> Source:
    """Words to choose from, to be circled."""
    listed = r"~/ ".join(rf"\mbox{{\emph{{{escape(word.text)}}}}}" for word in blank.words)
    before = f"{escape(blank.before)} " if blank.before else ""
    return Source(f"{before}[{listed}]")


def _boxes(blank: Blank) -> str:
    match blank.ends or blank.form:
        case "fraction":
            return rf"\frac{{{_USUAL}}}{{{_USUAL}}}"
        case "brackets":
            linear = rf"\left({_NARROW}\,{latex(letter(blank.letter))} + {_NARROW}\right)"
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
