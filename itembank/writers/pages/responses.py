"""Options, answer boxes and the room of lines as HTML; boxes are laid out in MathML as the answer is written."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from typing import Final

from itembank.expressions.conventions import USUAL, Conventions
from itembank.expressions.display import Maths
from itembank.expressions.mathml import NAMESPACE, presentation
from itembank.expressions.spelling import terminal
from itembank.figures.svg import rendered
from itembank.items import Blank, Option, Part, Slip, WrongLineResponse
from itembank.words import Words
from itembank.writers.facts import Looks
from itembank.writers.pages.characters import Source, escape
from itembank.writers.pages.content import in_line, mathematics
from itembank.writers.paper import KeyRow, columns_to_try, letter, one_line, printed_options, worked_rows
from itembank.writers.points import PointBlank, pair
from itembank.writers.space import space_of, squared_paper

__all__ = [
    "answer_boxes", "answer_room", "columns", "longest", "marks_room", "option", "room", "ruled", "slip_room",
    "working",
]  # fmt: skip

# About how many characters stand in a line of the printed page, less a letter and a gap for each option.
_LINE: Final = 76
_BESIDE: Final = 8
# Words between relations stand wider apart than their letters tell.
_ROUND_WORDS: Final = 3
# How long a line of a solution may be beside its words, and below them.
_COLUMN: Final = 44
_LONGEST_LINE: Final = 80
# What marks beside a line take of it, and how much wider the letters of large print and of wide spacing are.
_MARKS: Final = 6
_LARGE: Final = Fraction(18, 10)
_WIDE: Final = Fraction(12, 10)
# How long an option may be beside the marks.
_BESIDE_MARKS: Final = 80
# How long the answer of a slip may be beside what is said of it.
_BESIDE_WORDS: Final = 26
# How long an answer may be in a column of answers.
_ANSWER: Final = 30


def room(part: Part, looks: Looks, *, with_marks: bool = False) -> str:
    """The classes of a solution's table by its longest lines: a browser breaks no line of mathematics.

    In large print no words have room beside lines. Lines below their words meet at the relation sign, unless their
    sides are too long for common columns; small: some line is too long by itself.

    with_marks: whether a column of marks stands beside the lines.
    """
    rows = [(row.left, row.right) for row in worked_rows(part)]
    left = max((len(terminal(left)) for left, right in rows if left and right), default=0)
    right = max((len(terminal(right)) for _, right in rows if right), default=0)
    alone = max((sum(len(terminal(side)) for side in row if side) for row in rows), default=0)
    in_columns = max(left + right, *(len(terminal(left)) for left, right in rows if left and not right), 0)
    if not looks.large and in_columns <= _COLUMN - (_MARKS if with_marks else 0):
        return ""
    most = _longest_line(looks)
    if in_columns <= most:
        return " stacked aligned"
    return " stacked" if alone <= most else " stacked small"


def _longest_line(looks: Looks) -> Fraction:
    return _LONGEST_LINE / (_LARGE if looks.large else Fraction(1))


def answer_room(row: KeyRow) -> Source:
    """The attribute of an answer at the end of a worksheet: one too long for a column has the whole line."""
    is_long = (
        isinstance(row.answer, Maths)
        and len(terminal(row.answer)) + len(row.option) + len(row.unit) > _ANSWER
    )
    return Source(' class="long"' if is_long else "")


def working(part: Part, looks: Looks, words: Words) -> Source:
    """The room for working: empty, ruled, framed, or squared paper."""
    space = space_of(part, looks)
    if space.squares:
        drawn = rendered(squared_paper(part, space, words))
        return Source(f'<div class="picture squared">{drawn}</div>')
    lines = ruled(space.lines) if space.kind == "lines" else ""
    return Source(f'<div class="working {space.kind}" style="--space: {space.millimetres}mm">{lines}</div>')


def ruled(lines: int) -> Source:
    """So many lines to write on, drawn as borders: a printer may leave fine lines of a background out."""
    return Source("<i></i>" * lines)


def slip_room(slip: Slip, looks: Looks) -> Source:
    """The attribute of a slip's row: its answer stands above the words where there is no room beside them.

    small: it is too long for the line by itself.
    """
    long = len(terminal(slip.answer))
    if not looks.large and long <= _BESIDE_WORDS:
        return Source()
    return Source(' class="long small"' if long > _longest_line(looks) else ' class="long"')


def columns(options: Sequence[Option], looks: Looks) -> int:
    """Into how many columns of a printed page the options fit side by side, by the length of the longest."""
    line = _LINE / ((_LARGE if looks.large else 1) * (_WIDE if looks.wide else 1))
    each = max(map(_length, options)) + _BESIDE
    return next(n for n in columns_to_try(len(options)) if n == 1 or each * n <= line)


def longest(options: Sequence[Option], looks: Looks) -> int:
    """About how many letters the longest option has: on a narrow screen two stand side by side where they fit."""
    return math.ceil(max(map(_length, options)) * (_WIDE if looks.wide else 1))


def marks_room(part: Part, looks: Looks) -> Source:
    """What is added to the class of a question whose marks have no room beside its last line: they stand below."""
    last: Option | None = None
    if isinstance(part.response, WrongLineResponse):
        last = Option("", part.response.lines[-1].maths, False)
    elif shown := printed_options(part):
        last = shown[-1] if columns(shown, looks) == 1 else None
    if last is None or not isinstance(last.content, Maths):
        return Source()
    line = _BESIDE_MARKS / (_LARGE if looks.large else 1)
    return Source(" below" if _length(last) + _BESIDE > line else "")


def _length(option: Option) -> int:
    if isinstance(option.content, Maths):
        shown = terminal(option.content)
        return len(shown) + _ROUND_WORDS * (shown.count(" or ") + shown.count(" and "))
    if not one_line(option.content):
        return _LINE
    words = (
        filling if isinstance(filling, str) else terminal(filling) for filling in option.content.fillings
    )
    return sum(map(len, words)) + _text_length(option.content.shape.blocks)


def _text_length(nodes: object) -> int:
    match nodes:
        case tuple():
            return sum(map(_text_length, nodes))
        case str():
            return len(nodes)
        case _:
            return sum(
                _text_length(getattr(nodes, name)) for name in ("inlines", "text") if hasattr(nodes, name)
            )


def option(found: Option, conventions: Conventions = USUAL) -> Source:
    """What an option says."""
    if isinstance(found.content, Maths):
        return mathematics(found.content, conventions)
    return in_line(found.content, conventions)


def answer_boxes(blank: Blank | PointBlank) -> Source:
    """The boxes of one blank; groups of boxes for several values are joined by "or", inequalities by either word."""
    if isinstance(blank, PointBlank):
        first, second = ((each.unknown, each.form, each.boxes) for each in blank)
        return Source(' <span class="or"><!or></span> '.join([_point(first, second)] * blank.first.slots))
    if blank.words:
        listed = " / ".join(f"<em>{escape(word.text)}</em>" for word in blank.words)
        return Source(f"{escape(blank.before)} [{listed}]" if blank.before else f"[{listed}]")
    sign = blank.unit if blank.unit_first else ""
    group = _group(blank.unknown, blank.ends or blank.form, blank.boxes, blank.pair, blank.letter, sign)
    unit = f' <span class="unit">{escape(blank.unit)}</span>' if blank.unit and not sign else ""
    word = "<!and-or>" if blank.ends else "<!or>"
    return Source(f' <span class="or">{word}</span> '.join([group + unit] * max(blank.slots, 1)))


@cache
def _point(first: tuple[str, str, tuple[str, ...]], second: tuple[str, str, tuple[str, ...]]) -> str:
    """(x, y) = and the boxes of both coordinates in brackets."""
    inner = "<mo><!pair></mo>".join(
        f"<mrow>{_boxes(form, roles, pair=False)}</mrow>" for _, form, roles in (first, second)
    )
    before = presentation(pair(first[0], second[0])).replace("<mo>,</mo>", "<mo><!pair></mo>")
    boxes = f"<mrow><mo>(</mo>{inner}<mo>)</mo></mrow>"
    return f'<math xmlns="{NAMESPACE}"><mrow>{before}</mrow><mo>=</mo>{boxes}</math>'


@cache
def _group(unknown: str, form: str, roles: tuple[str, ...], pair: bool, named: str, sign: str) -> str:
    before = presentation(letter(unknown)) if unknown else ""
    if "sign" in roles:
        before += _box(1)
    elif unknown:
        before += "<mo>=</mo>"
    if sign:
        before += f"<mtext>{escape(sign)}</mtext>"
    shown = _brackets(named, roles) if named else _boxes(form, roles, pair)
    return f'<math xmlns="{NAMESPACE}">{before}{shown}</math>'


def _brackets(named: str, roles: tuple[str, ...]) -> str:
    linear = f"<mo>(</mo>{_box(2)}{presentation(letter(named))}<mo>+</mo>{_box(2)}<mo>)</mo>"
    return (_box(2) if "k" in roles else "") + linear * 2


def _boxes(form: str, roles: tuple[str, ...], pair: bool) -> str:
    match form:
        case "fraction":
            return f"<mfrac>{_box(3)}{_box(3)}</mfrac>"
        case "surd":
            return _surd_boxes(roles, pair)
        case "decimal":
            return _box(5)
        case _:
            return _box(3)


def _surd_boxes(roles: tuple[str, ...], pair: bool) -> str:
    above = _box(2) if "p" in roles else ""
    if "q" in roles or "r" in roles:
        sign = "±" if pair else "+" if "p" in roles else ""
        above += f"<mo>{sign}</mo>" if sign else ""
    above += _box(2) if "q" in roles else ""
    above += f"<msqrt>{_box(2)}</msqrt>" if "r" in roles else ""
    return f"<mfrac><mrow>{above}</mrow>{_box(2)}</mfrac>" if "s" in roles else above


def _box(width: int) -> str:
    """An empty box about so many ems wide: spaces, since not every browser sets a width in mathematics."""
    return f'<mtext class="box" aria-label="<!empty-box>">{escape(chr(0x2003) * width)}</mtext>'
