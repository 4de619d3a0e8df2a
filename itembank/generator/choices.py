"""Options written out, or each a solution: which of them an assignment makes, and in what order they are printed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from itembank.expressions import canonical, spelling
from itembank.expressions.canonical import NONE, Form
from itembank.expressions.display import Maths
from itembank.generator.bound import Arguments, Bound, Forms
from itembank.generator.distractors import Fate, ascending, printed_order
from itembank.generator.filling import Rows, filled, filled_text
from itembank.generator.points import coordinates
from itembank.generator.recipe import PartRecipe
from itembank.generator.runtime import canonical_values
from itembank.generator.unfit import NotAnItem
from itembank.generator.words_fit import value_told, words_misfit
from itembank.items import ChoiceResponse, ChoicesResponse, Option, Slip, shares_evenly
from itembank.templates.template import ChoicesTemplate

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


class Candidate(NamedTuple):
    """An option before it has its letter. slip: the place of the slip that leads here, -1 for a right option.

    value: (n, d) where it is one rational number.
    """

    content: Maths
    slip: int
    value: tuple[int, int] | None = None


def candidates(
    bound: Bound, number: int, key: Forms, forms: Forms, found: Sequence[Fate], arguments: Arguments
) -> list[Candidate] | None:
    """The options of an assignment, the right ones first; None where there are too few that are unlike each other.

    found: the fate of each slip.
    """
    part = bound.recipe.parts[number]
    made = (
        _written_out(bound, part, forms, found, arguments) if part.right else _each_solution(part, key, found)
    )
    right = sum(candidate.slip < 0 for candidate in made)
    options = part.template.response.options
    if not right or right >= options or len(made) < options:
        return None
    return made[:options]


def _written_out(
    bound: Bound, part: PartRecipe, forms: Forms, found: Sequence[Fate], arguments: Arguments
) -> list[Candidate]:
    made = [Candidate(filled(shown, forms), -1) for shown in part.right]
    if len({spelling.plain(each.content) for each in made}) < len(made):
        return []
    for index, (slip, fate) in enumerate(zip(part.slips, found, strict=True)):
        if fate.word == "offered":
            apart = bound.apart_forms(slip, arguments)
            shown = slip.lines[0].maths
            assert apart is not None
            assert shown is not None
            made.append(Candidate(filled(shown, apart), index))
    return made


def _each_solution(part: PartRecipe, key: Forms, found: Sequence[Fate]) -> list[Candidate]:
    if key == (NONE,) or key[0][0][0] == "region":
        return []
    taken = _singles(part, key[0])
    made = [_single(part, form, -1) for form in taken]
    for index, fate in enumerate(found):
        if fate.word != "offered" or fate.forms is None or fate.forms == (NONE,):
            continue
        if fate.forms[0][0][0] == "region":
            continue
        for form in _singles(part, fate.forms[0]):
            if form not in taken:
                taken.append(form)
                made.append(_single(part, form, index))
    return made


def _singles(part: PartRecipe, form: Form) -> list[Form]:
    """Each number, or each point, by its own form."""
    if part.key.kind == "points":
        return [canonical.joined_points([point]) for point in coordinates(form)]
    return [canonical.exact(value) for value in canonical_values(form)]


def _single(part: PartRecipe, form: Form, slip: int) -> Candidate:
    number = None if part.key.kind == "points" else canonical.rational(form)
    return Candidate(part.shown((form,)), slip, number)


def make_choices(
    part: PartRecipe, number: int, made: Sequence[Candidate], slips: Mapping[int, Slip], address: str
) -> ChoicesResponse | ChoiceResponse:
    """The response of options that are mathematics; slips: those that lead to an option, by place.

    A choice has one right option, any other kind several.
    """
    numbers = [each.value for each in made]
    if all(value is not None for value in numbers):
        order = ascending([value for value in numbers if value is not None])
    else:
        order = printed_order(address, len(made))
    options = tuple(
        Option(LETTERS[place], made[index].content, made[index].slip < 0, slips.get(made[index].slip))
        for place, index in enumerate(order)
    )
    if part.template.response.kind == "choice":
        return ChoiceResponse(options, part.template.response.marks)
    sense = "same" if part.right else "solutions"
    return _response(part, number, options, sense)


def make_words(
    bound: Bound,
    number: int,
    key: Forms,
    leads: Mapping[Forms, Slip],
    forms: Forms,
    arguments: Arguments,
    rows: Rows,
) -> ChoicesResponse:
    """The response of rows of words. leads: what a slip comes to -> the slip; a wrong row that it makes true is its."""
    part = bound.recipe.parts[number]
    right = bound.rows_true(number, key[0], arguments)
    if right is None or not any(right) or all(right):
        held = bound.rows_held(number, key[0], arguments)
        answer = value_told(part.template.unknowns, key[0])
        raise words_misfit(number, part.template.response.words, held, answer, several=True)
    reached: dict[int, Slip] = {}
    for led, slip in leads.items():
        for row, holds in enumerate(bound.rows_true(number, led[0], arguments) or ()):
            if holds and not right[row]:
                reached.setdefault(row, slip)
    options = tuple(
        Option(LETTERS[index], filled_text(text, forms, rows), right[index], reached.get(index))
        for index, text in enumerate(part.words)
    )
    conditions = tuple(row.when.node for row in part.template.response.words)
    return _response(part, number, options, "words", conditions)


def _response(
    part: PartRecipe, number: int, options: tuple[Option, ...], sense: str, rows: tuple[object, ...] = ()
) -> ChoicesResponse:
    asked = part.template.response
    right = sum(option.is_key for option in options)
    marks = asked.marks or right
    shared = isinstance(asked.more, ChoicesTemplate) and asked.more.shared
    if shared and not shares_evenly(marks, right):
        reason = f"{marks} marks cannot be shared over {right} right options in quarters of a mark"
        raise NotAnItem("marks-do-not-share", reason, number)
    share = Fraction(marks, right) if shared else Fraction(0)
    return ChoicesResponse(options, marks, sense, share, rows)  # type: ignore[arg-type]
