"""Rows and their targets: which targets an assignment makes, those of slips included, and how both are printed."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from itembank.content import Content
from itembank.expressions import spelling
from itembank.expressions.canonical import NONE
from itembank.expressions.display import Maths
from itembank.generator.bound import Arguments, Bound, Forms
from itembank.generator.choices import LETTERS
from itembank.generator.distractors import Fate, printed_order
from itembank.generator.filling import Rows, filled, filled_text
from itembank.generator.recipe import PartRecipe, RowRecipe
from itembank.generator.words_fit import value_told, words_misfit
from itembank.items import MatchResponse, MatchRow, MatchTarget, Slip
from itembank.templates.template import MatchTemplate


def _key_of(row: RowRecipe, forms: Forms) -> Forms:
    return tuple(forms[leaf] for leaf in row.key_leaves) or (NONE,)


def extra_targets(
    bound: Bound, number: int, key: Forms, forms: Forms, found: Sequence[Fate]
) -> list[int] | None:
    """The slips that become targets, by place; None where two targets would be equal or there are too few.

    key: of the first row; found: the fate of each slip.
    """
    part = bound.recipe.parts[number]
    if part.words:
        return []
    keys = _keys(part, key, forms)
    if len(set(keys)) < len(keys):
        return None
    wanted = part.template.response.options - len(keys)
    able = [
        index for index, fate in enumerate(found) if fate.word == "offered" and fate.forms not in set(keys)
    ]
    return able[:wanted] if len(able) >= wanted else None


def equal_rows(bound: Bound, number: int, key: Forms, forms: Forms) -> tuple[int, int] | None:
    """The first two rows that have the same target, by place; None where all have their own."""
    keys = _keys(bound.recipe.parts[number], key, forms)
    return next(((keys.index(each), at) for at, each in enumerate(keys) if keys.index(each) < at), None)


def slips_on_rows(
    bound: Bound, number: int, key: Forms, forms: Forms, found: Sequence[Fate]
) -> list[tuple[int, int]]:
    """The slips that come to the target of a row after the first: places of slip and row. found: as `extra_targets`."""
    keys = _keys(bound.recipe.parts[number], key, forms)
    return [
        (index, keys.index(fate.forms))
        for index, fate in enumerate(found)
        if fate.word == "offered" and fate.forms is not None and fate.forms in keys
    ]


def _keys(part: PartRecipe, key: Forms, forms: Forms) -> list[Forms]:
    return [key, *(_key_of(row, forms) for row in part.rows)]


def make_match(
    bound: Bound,
    number: int,
    key: Forms,
    found: Sequence[Fate],
    slips: list[Slip | None],
    forms: Forms,
    arguments: Arguments,
    rows: Rows,
    address: str,
) -> tuple[MatchResponse, list[Slip | None]]:
    """The response, and the slips that are targets. found: the fate of each slip; slips: those that may be used."""
    part = bound.recipe.parts[number]
    problems = [filled(part.problem, forms), *(filled(row.problem, forms) for row in part.rows)]
    order = printed_order(address, len(problems))
    if part.words:
        return _by_words(bound, number, key, problems, order, forms, arguments, rows), [None] * len(slips)
    extra = extra_targets(bound, number, key, forms, found)
    assert extra is not None
    contents: list[tuple[Maths, Slip | None]] = [(_shown_key(part, key, forms), None)]
    contents += [(_shown_row(part, row, forms), None) for row in part.rows]
    for index in extra:
        slip = slips[index]
        assert slip is not None
        contents.append((slip.answer, slip))
    printed = printed_order(f"{address}/targets", len(contents))
    targets = tuple(MatchTarget(LETTERS[at], *contents[index]) for at, index in enumerate(printed))
    letters = {index: LETTERS[at] for at, index in enumerate(printed)}
    made = tuple(MatchRow(f"R{at}", problems[row], letters[row]) for at, row in enumerate(order, start=1))
    used = [slip if index in extra else None for index, slip in enumerate(slips)]
    return MatchResponse(made, targets, *_marks(part)), used


def _marks(part: PartRecipe) -> tuple[int, Fraction]:
    asked = part.template.response
    assert isinstance(asked.more, MatchTemplate)
    share = Fraction(asked.marks, len(part.rows) + 1) if asked.more.shared else Fraction(0)
    return asked.marks, share


def _shown_key(part: PartRecipe, key: Forms, forms: Forms) -> Maths:
    return part.shown(key) if part.key_shown is None else filled(part.key_shown, forms)


def _shown_row(part: PartRecipe, row: RowRecipe, forms: Forms) -> Maths:
    return part.shown(_key_of(row, forms)) if row.key_shown is None else filled(row.key_shown, forms)


def _by_words(
    bound: Bound,
    number: int,
    key: Forms,
    problems: list[Maths],
    order: list[int],
    forms: Forms,
    arguments: Arguments,
    rows: Rows,
) -> MatchResponse:
    part = bound.recipe.parts[number]
    found = []
    for place, answer in enumerate((key, *(_key_of(row, forms) for row in part.rows))):
        right = bound.row(number, answer[0], arguments)
        if right < 0:
            value = value_told(part.template.unknowns, answer[0])
            of = f"{spelling.terminal(problems[place])} ({value})"
            held = bound.rows_held(number, answer[0], arguments)
            raise words_misfit(number, part.template.response.words, held, of)
        found.append(right)
    texts: list[Content] = [filled_text(text, forms, rows) for text in part.words]
    targets = tuple(MatchTarget(LETTERS[index], text) for index, text in enumerate(texts))
    made = tuple(
        MatchRow(f"R{at}", problems[row], LETTERS[found[row]]) for at, row in enumerate(order, start=1)
    )
    conditions = tuple(row.when.node for row in part.template.response.words)
    return MatchResponse(made, targets, *_marks(part), True, conditions)
