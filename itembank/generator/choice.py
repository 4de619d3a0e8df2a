"""From a key and its slips to options of which one is right: answers, or words with their conditions."""

from __future__ import annotations

from collections.abc import Sequence

from itembank.expressions import canonical
from itembank.expressions.display import Maths
from itembank.generator.bound import Arguments, Bound, Forms
from itembank.generator.choices import LETTERS
from itembank.generator.distractors import Fate, ascending, printed_order
from itembank.generator.filling import Rows, filled_text
from itembank.generator.recipe import PartRecipe
from itembank.generator.words_fit import value_told, words_misfit
from itembank.items import ChoiceResponse, Option, Slip

__all__ = ["make_choice", "make_choice_of_words"]


def make_choice(
    part: PartRecipe,
    key: Forms,
    shown: Maths,
    slips: Sequence[Slip | None],
    found: Sequence[Fate],
    address: str,
) -> ChoiceResponse:
    """The key and as many slips as asked for; numbers ascend, other options stand in an order by the address.

    key, shown: its forms, and how it stands there. slips, found: what is said of each slip, None for one that is not
    offered, and how it fared.
    """
    wanted = part.template.response.options
    contents: list[tuple[Maths, Slip | None, Forms]] = [(shown, None, key)]
    for slip, fate in zip(slips, found, strict=True):
        if slip is not None and fate.forms is not None and len(contents) < wanted:
            contents.append((slip.answer, slip, fate.forms))
    numbers = [_single_number(forms) for _, _, forms in contents]
    if part.key_shown is None and all(value is not None for value in numbers):
        order = ascending([value for value in numbers if value is not None])
    else:
        order = printed_order(address, len(contents))
    options = tuple(
        Option(LETTERS[place], contents[index][0], index == 0, contents[index][1])
        for place, index in enumerate(order)
    )
    return ChoiceResponse(options, part.template.response.marks)


def make_choice_of_words(
    bound: Bound,
    number: int,
    key: Forms,
    slips: Sequence[Slip | None],
    found: Sequence[Fate],
    forms: Forms,
    arguments: Arguments,
    rows: Rows,
) -> ChoiceResponse:
    """The template's rows of words, each with the first slip that leads to it.

    number: of the part. forms, arguments: of the item. Raises NotAnItem unless the key makes one row true, alone.
    """
    part = bound.recipe.parts[number]
    right = bound.row(number, key[0], arguments)
    if right < 0:
        held = bound.rows_held(number, key[0], arguments)
        answer = value_told(part.template.unknowns, key[0])
        raise words_misfit(number, part.template.response.words, held, answer)
    leads: dict[int, Slip] = {}
    for slip, fate in zip(slips, found, strict=True):
        if slip is not None and fate.forms is not None:
            row = bound.row(number, fate.forms[0], arguments)
            if row >= 0 and row != right:
                leads.setdefault(row, slip)
    options = tuple(
        Option(LETTERS[index], filled_text(text, forms, rows), index == right, leads.get(index))
        for index, text in enumerate(part.words)
    )
    conditions = tuple(row.when.node for row in part.template.response.words)
    return ChoiceResponse(options, part.template.response.marks, True, conditions)


def _single_number(forms: Forms) -> tuple[int, int] | None:
    """(n, d) where an answer is one rational number."""
    return canonical.rational(forms[0]) if len(forms) == 1 else None
