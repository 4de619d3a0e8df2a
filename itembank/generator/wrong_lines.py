"""Working with one slip in it: which of a template's slips is made, and what its lines then are."""

from __future__ import annotations

from collections.abc import Sequence

from itembank.content import Content
from itembank.expressions.display import Maths
from itembank.generator.bound import Arguments, Bound, Forms
from itembank.generator.distractors import Fate, printed_order
from itembank.generator.filling import Rows, filled, filled_text
from itembank.generator.recipe import LineRecipe
from itembank.items import ShownLine, Slip, WrongLineResponse


def chosen_slip(found: Sequence[Fate], address: str) -> int:
    """The place of the slip that is made: one of those offered, by the item's address."""
    offered = [index for index, fate in enumerate(found) if fate.word == "offered"]
    return offered[printed_order(address, len(offered))[0]]


def make_wrong_line(
    bound: Bound,
    number: int,
    index: int,
    sentences: tuple[Content | None, Content | None],
    forms: Forms,
    arguments: Arguments,
    rows: Rows,
) -> WrongLineResponse:
    """The response with the slip at a place of the list. sentences: for the pupil, and for the teacher."""
    part = bound.recipe.parts[number]
    slip = part.slips[index]
    wrong = slip.template.at - 1
    apart = bound.apart_forms(slip, arguments)
    assert apart is not None
    lines = [_line(line, forms, rows) for line in part.solution[:wrong]]
    lines += [_line(line, apart, rows) for line in slip.lines]
    made = Slip(slip.template.name, lines[wrong].maths, *sentences, slip.template.title)
    return WrongLineResponse(tuple(lines), wrong, made, part.template.response.marks)


def _line(line: LineRecipe, forms: Forms, rows: Rows) -> ShownLine:
    assert line.maths is not None
    maths: Maths = filled(line.maths, forms)
    return ShownLine(filled_text(line.say, forms, rows) if line.say else None, maths)
