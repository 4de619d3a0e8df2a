"""Points in boxes: two blanks for the coordinates of each, whatever the number of points."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from itembank.expressions.canonical import NONE, Form
from itembank.generator.boxes import NotInForm, box_groups, box_roles, members
from itembank.generator.distractors import Fate
from itembank.generator.instructions import instruction
from itembank.generator.recipe import PartRecipe
from itembank.generator.unfit import NOTHING_TO_SAY_SO_WITH, NotAnItem
from itembank.items import Blank, BoxValue, EntryResponse, RecognisedEntry, Slip, shares_evenly
from itembank.templates.template import BlankTemplate

Columns = tuple[tuple[tuple[BoxValue, ...], ...], ...]
"""For each coordinate its boxes, one tuple for each point."""


def make_points(
    part: PartRecipe,
    number: int,
    key: Form,
    slips: Sequence[Slip | None],
    found: Sequence[Fate],
    language: str,
) -> EntryResponse:
    """The response of an assignment's points. Raises NotAnItem where the key does not go into the boxes.

    number: of the part; slips, found: of each slip what is said of it and what became of it.
    """
    response = part.template.response
    roles = tuple(
        box_roles(blank.form, part.has_rational_part, part.has_denominator) for blank in response.blanks
    )
    try:
        columns = _columns(response.blanks, roles, key)
    except NotInForm as unfit:
        raise NotAnItem("key-not-in-form", str(unfit), number) from None
    if key == NONE and not response.tick:
        raise NotAnItem("no-tick", NOTHING_TO_SAY_SO_WITH, number)
    count = len(columns[0])
    slots = max(part.slots, count)
    if response.shared and count and not shares_evenly(response.marks, count):
        reason = f"{response.marks} marks cannot be shared over {count} points in quarters of a mark"
        raise NotAnItem("marks-do-not-share", reason, number)
    blanks = tuple(
        Blank(blank.unknown, blank.form, each, values, slots, any_order=True)
        for blank, each, values in zip(response.blanks, roles, columns, strict=True)
    )
    recognised = []
    for slip, fate in zip(slips, found, strict=True):
        if slip is None or fate.forms is None or fate.forms == (NONE,):
            continue
        try:
            wrong = _columns(response.blanks, roles, fate.forms[0])
        except NotInForm:
            continue
        if len(wrong[0]) <= slots:
            recognised.append(RecognisedEntry(wrong, slip))
    return EntryResponse(
        blanks,
        response.marks,
        instruction(response, slots, language=language, has_term=part.has_rational_part),
        response.tick,
        key == NONE,
        tuple(recognised),
        points=True,
        share=Fraction(response.marks, count) if response.shared and count else Fraction(0),
    )


def coordinates(form: Form) -> list[tuple[Form, Form]]:
    """The forms of the coordinates of each point."""
    if form == NONE:
        return []
    found = members(form)
    return list(zip(found[::2], found[1::2], strict=True))


def _columns(blanks: Sequence[BlankTemplate], roles: Sequence[tuple[str, ...]], form: Form) -> Columns:
    points = coordinates(form)
    return tuple(
        tuple(box_groups(blank, each, point[index])[0] for point in points)
        for index, (blank, each) in enumerate(zip(blanks, roles, strict=True))
    )
