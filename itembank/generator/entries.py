"""From an answer to boxes: the response of a part whose answers are entered, and the wrong entries known of it."""

from __future__ import annotations

from collections.abc import Sequence

from itembank.expressions.canonical import NONE, Form
from itembank.expressions.display import Decimal, places_needed
from itembank.generator.bound import Arguments, Bound, Forms
from itembank.generator.boxes import NotInForm, box_groups, box_roles
from itembank.generator.decimals import rounded_answer
from itembank.generator.distractors import Fate
from itembank.generator.filling import Rows
from itembank.generator.instructions import instruction
from itembank.generator.intervals import interval_groups
from itembank.generator.one_of import led_to, words_blank
from itembank.generator.points import make_points
from itembank.generator.recipe import PartRecipe
from itembank.generator.unfit import NOTHING_TO_SAY_SO_WITH, NotAnItem
from itembank.generator.units import stands_first
from itembank.items import Blank, BoxValue, EntryResponse, RecognisedEntry, Slip
from itembank.templates.template import BlankTemplate

__all__ = ["make_entry"]


def make_entry(
    bound: Bound,
    number: int,
    key: Forms,
    slips: Sequence[Slip | None],
    found: Sequence[Fate],
    forms: Forms,
    arguments: Arguments,
    rows: Rows,
) -> EntryResponse:
    """The boxes of a part with what belongs into them, and what each slip would leave there.

    number: of the part. key: its forms. slips, found: what is said of each slip, None for one that is not used, and
    how it fared. forms, arguments: of the item. Raises NotAnItem where the boxes cannot hold the key.
    """
    part, language = bound.recipe.parts[number], bound.recipe.template.about.language
    response = part.template.response
    if response.points:
        return make_points(part, number, key[0], slips, found, language)
    blanks: list[Blank] = []
    try:
        for index, blank in enumerate(response.blanks):
            if blank.words:
                blanks.append(words_blank(bound, number, index, key, forms, arguments, rows))
            else:
                blanks.append(_blank(part, blank, _blank_form(part, key, index), language))
    except NotInForm as unfit:
        raise NotAnItem("key-not-in-form", str(unfit), number) from None
    none = key == (NONE,)
    if none and not response.tick:
        raise NotAnItem("no-tick", NOTHING_TO_SAY_SO_WITH, number)
    if part.one_of and all(blank.words for blank in blanks):
        recognised = _recognised_words(bound, number, slips, found, arguments, blanks)
    else:
        recognised = _recognised(part, slips, found, blanks)
    has_decimals = any(blank.form == "decimal" for blank in blanks)
    held = [blank.values for blank in blanks]
    return EntryResponse(
        tuple(blanks),
        response.marks,
        instruction(
            response,
            part.slots,
            part.has_denominator,
            language,
            part.has_rational_part,
            has_surds=any(blank.form == "surd" and blank.slots > 1 for blank in blanks),
        ),
        response.tick,
        none,
        recognised,
        rounded=rounded_answer(part.template, key, held) if has_decimals else None,
    )


def _blank(part: PartRecipe, blank: BlankTemplate, form: Form, language: str) -> Blank:
    """A blank with what belongs into its boxes. Raises NotInForm where they cannot hold it."""
    shown = f"interval {blank.ends}" if blank.ends else blank.form
    roles = box_roles(shown, part.has_rational_part, part.has_denominator)
    groups, join = _groups(blank, roles, form)
    slots = max(part.slots, len(groups))
    if blank.boxes and len(groups) > blank.boxes:
        raise NotInForm(f"there are {len(groups)} values, and {blank.boxes} boxes")
    pair = False
    if blank.ends:
        slots = 2
    elif blank.form == "brackets":
        slots = max(1, len(groups))
    elif blank.form == "surd":
        slots = max(1, len(groups))  # one for both of p ± q*sqrt(r)
        pair = part.slots > 1 if form == NONE else form[0][0] == "surd" and form[0][4] == "±"
    return Blank(
        blank.unknown, blank.form, roles, groups, slots, blank.any_order or slots > 1, pair,
        blank.places, _tolerance(blank), blank.marks, blank.ends, join, blank.unit, blank.letter,
        unit_first=not blank.ends and stands_first(blank.unit, language),
    )  # fmt: skip


def _blank_form(part: PartRecipe, forms: Forms, index: int) -> Form:
    if forms == (NONE,):
        return NONE
    if part.key.kind == "point" or len(forms) > 1:
        return forms[part.template.unknowns.index(part.template.response.blanks[index].unknown)]
    return forms[0]


def _recognised(
    part: PartRecipe, slips: Sequence[Slip | None], found: Sequence[Fate], blanks: Sequence[Blank]
) -> tuple[RecognisedEntry, ...]:
    recognised = []
    has_decimals = any(blank.form == "decimal" for blank in blanks)
    for slip, fate in zip(slips, found, strict=True):
        if slip is None or fate.forms is None or fate.forms == (NONE,):
            continue
        try:
            found_in = [
                ((), "")
                if template.words
                else _groups(template, blank.boxes, _blank_form(part, fate.forms, index))
                for index, (template, blank) in enumerate(
                    zip(part.template.response.blanks, blanks, strict=True)
                )
            ]
        except NotInForm:
            continue
        values, join = tuple([groups for groups, _ in found_in]), "".join(join for _, join in found_in)
        if all(
            0 < len(groups) <= blank.slots or blank.words
            for groups, blank in zip(values, blanks, strict=True)
        ) and _same_pairs(fate.forms, blanks):
            shown = rounded_answer(part.template, fate.forms, values) if has_decimals else None
            recognised.append(RecognisedEntry(values, slip, join, shown))
    return tuple(recognised)


def _recognised_words(
    bound: Bound,
    number: int,
    slips: Sequence[Slip | None],
    found: Sequence[Fate],
    arguments: Arguments,
    blanks: Sequence[Blank],
) -> tuple[RecognisedEntry, ...]:
    """Of words alone: the first slip that leads to each wrong choice."""
    right = tuple(blank.values for blank in blanks)
    led: dict[tuple[tuple[tuple[BoxValue, ...], ...], ...], Slip] = {}
    for slip, fate in zip(slips, found, strict=True):
        if slip is None or fate.forms is None:
            continue
        names = [led_to(bound, number, place, fate.forms[0], arguments) for place in range(len(blanks))]
        values = tuple(((name,),) for name in names)
        if all(names) and values != right:
            led.setdefault(values, slip)
    return tuple(RecognisedEntry(values, slip) for values, slip in led.items())


def _groups(
    blank: BlankTemplate, roles: tuple[str, ...], form: Form
) -> tuple[tuple[tuple[BoxValue, ...], ...], str]:
    """What goes into a blank's boxes, and what joins two inequalities. Raises NotInForm."""
    if blank.ends:
        return interval_groups(blank, roles, form)
    return box_groups(blank, roles, form), ""


def _same_pairs(forms: Forms, blanks: Sequence[Blank]) -> bool:
    """Whether a slip's surd is of the kind the boxes show: a pair where they show ±, single values elsewhere."""
    return all(
        blank.form != "surd" or (form[0][0] == "surd" and form[0][4] == "±") == blank.pair
        for blank, form in zip(blanks, forms, strict=False)
    )


def _tolerance(blank: BlankTemplate) -> Decimal | None:
    """How far an entry may lie from a decimal, with the places it is written with, one at least."""
    value = blank.tolerance
    return None if value is None else Decimal(value, max(places_needed(value.denominator), 1))
