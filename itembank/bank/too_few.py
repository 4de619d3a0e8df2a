"""Why a template whose lines allow assignments makes no item of them: what is lacking, or what is alike.

A slip that comes to the key is told with it: as often as not it is the key that is wrong.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from itembank.bank.slip_shares import FATES, Tally
from itembank.bank.undefined import in_words
from itembank.errors import Diagnostic, DomainError, Span
from itembank.generator import exactly
from itembank.generator.bound import Arguments, Bound
from itembank.generator.compiler import main_letter
from itembank.generator.counting import Counter
from itembank.generator.distractors import fates
from itembank.generator.enough import may_lack, too_few
from itembank.generator.instantiate import key_forms
from itembank.generator.matches import equal_rows, slips_on_rows
from itembank.generator.orders import equal_numbers
from itembank.proof.solver import CannotDecide
from itembank.templates.template import Expression, MatchTemplate, OrderTemplate, PartTemplate, Template

__all__ = ["lacking"]


def lacking(bound: Bound, counter: Counter, sample: Sequence[Arguments]) -> list[Diagnostic]:
    """What is told of a template none of whose assignments has options or lines enough.

    sample: assignments that fulfil every line, the simplest first; at least one.
    """
    told: list[Diagnostic] = []
    for number, part in enumerate(bound.recipe.parts):
        if may_lack(part):
            told += _of_part(bound, counter, sample, number)
    return told


_CHANGES_NOTHING = (
    "add a slip, or reject such values; derived values follow a change where it does not say what stays, as in "
    "change: {b: -b, c: c}"
)


def _of_part(
    bound: Bound, counter: Counter, sample: Sequence[Arguments], number: int
) -> Iterator[Diagnostic]:
    template = bound.recipe.template
    recipe = bound.recipe.parts[number]
    part = template.parts[number]
    of_slips = counter.slip_fates(sample[:1], number)
    survivors = sum("offered" in tally for tally in of_slips)
    if part.response.kind == "choice" and survivors >= part.response.options - 1:
        return
    example = in_words(bound, sample[0])
    if (alike := _alike(bound, number, sample[0], example)) is not None:
        yield alike
        return
    on_rows = _on_rows(bound, number, sample)
    first_on_rows = on_rows[0] if on_rows else []
    survivors -= len(first_on_rows)
    if part.response.kind == "match" and (
        recipe.words or survivors >= part.response.options - len(recipe.rows) - 1
    ):
        return
    lost = _lost(part, of_slips) if part.response.kind != "wrong-line" else ""
    at_rows = (f"`{part.slips[slip].name}` is the target of row {row + 1}" for slip, row in first_on_rows)
    lost = ", ".join(filter(None, (lost, *at_rows)))
    yield _wrong(
        template,
        "too-few-slips",
        too_few(recipe, survivors, example) + (f": {lost}" if lost else ""),
        part.response.span,
        "add slips, or ask for fewer options" if part.response.kind != "wrong-line" else _CHANGES_NOTHING,
    )
    if part.response.kind == "wrong-line":
        return
    for slip, tally, all_told in zip(part.slips, of_slips, counter.slip_fates(sample, number), strict=True):
        if "equals the key" in tally:
            times = all_told["equals the key"][0]
            yield _equals_the_key(bound, part, slip.name, sample[0], f"{times} of {len(sample)}")
    for index, row in first_on_rows:
        times = sum((index, row) in each for each in on_rows)
        yield _equals_the_key(
            bound, part, part.slips[index].name, sample[0], f"{times} of {len(sample)}", row
        )


def _on_rows(bound: Bound, number: int, sample: Sequence[Arguments]) -> list[list[tuple[int, int]]]:
    """For each assignment the slips of a match that come to a row's target, with the row."""
    if not isinstance(bound.recipe.template.parts[number].response.more, MatchTemplate):
        return []
    found: list[list[tuple[int, int]]] = []
    for arguments in sample:
        forms = bound.forms(*arguments)
        if forms is None:
            found.append([])
            continue
        key = key_forms(bound, number, forms)
        found.append(slips_on_rows(bound, number, key, forms, fates(bound, number, key, arguments)))
    return found


def _lost(part: PartTemplate, of_slips: Sequence[Tally]) -> str:
    """The slips that do not survive, and why."""
    return ", ".join(
        f"`{slip.name}` {FATES[word]}"
        for slip, tally in zip(part.slips, of_slips, strict=True)
        for word in tally
        if word in FATES
    )


def _equals_the_key(
    bound: Bound, part: PartTemplate, slip: str, arguments: Arguments, share: str, row: int = 0
) -> Diagnostic:
    """The key and a slip that comes to it, with what is known of which of them is wrong. row: of a match."""
    template = bound.recipe.template
    problem, key = part.problem, part.key
    if row and isinstance(part.response.more, MatchTemplate):
        problem, key = part.response.more.rows[row - 1]
    right = _is_solved(bound, part, problem, key, arguments)
    if right is None:
        remedy = "one of them is wrong: the key gives exactly the problem's solutions, a slip does not"
    elif right:
        remedy = "the key solves the problem, so that the slip is to be another"
    else:
        remedy = "the key does not solve the problem, and has to give exactly its solutions"
    span = key.span() if isinstance(key, Expression) else part.key_span
    which = f"the key of row {row + 1}" if row else "the key"
    message = f"{which} equals the slip `{slip}` at {in_words(bound, arguments)}, as in {share} assignments looked at"
    return _wrong(template, "key-equals-slip", message, span, remedy)


def _is_solved(
    bound: Bound, part: PartTemplate, problem: Expression, key: Expression | None, arguments: Arguments
) -> bool | None:
    """Whether a key has just a problem's solutions at an assignment; None where that is not told here."""
    if key is None or not part.unknowns:
        return None
    values = bound.values(arguments)
    letter = main_letter(bound.recipe.template, part)
    try:
        wanted, given = (
            exactly.solution_set(node, part.unknowns, for_every, values, letter)
            for node, for_every in ((problem.node, part.for_every), (key.node, ()))
        )
    except (DomainError, CannotDecide):
        return None
    return wanted == given


def _alike(bound: Bound, number: int, arguments: Arguments, example: str) -> Diagnostic | None:
    """Two rows of a match with one target, or two numbers to be ordered that are equal."""
    template = bound.recipe.template
    part = template.parts[number]
    more = part.response.more
    if isinstance(more, OrderTemplate) and more.values:
        if (pair := equal_numbers(bound, number, arguments)) is None:
            return None
        first, second = (more.values[place] for place in pair)
        message = f"`{first.text}` and `{second.text}` are equal at {example}"
        return _wrong(template, "equal-numbers", message, second.span(), _APART)
    forms = bound.forms(*arguments)
    if not isinstance(more, MatchTemplate) or forms is None or bound.recipe.parts[number].words:
        return None
    if (rows := equal_rows(bound, number, key_forms(bound, number, forms), forms)) is None:
        return None
    keys = [part.key, *(key for _, key in more.rows)]
    first_key, second_key = (keys[place] for place in rows)
    shown = [f"`{key.text}`" if key is not None else "`none`" for key in (first_key, second_key)]
    message = f"rows {rows[0] + 1} and {rows[1] + 1} have the same target at {example}: {' and '.join(shown)}"
    span = second_key.span() if second_key is not None else part.key_span
    return _wrong(template, "equal-targets", message, span, _APART)


_APART = "write one of them otherwise, or reject such values by a constraint"


def _wrong(template: Template, code: str, message: str, span: Span, hint: str) -> Diagnostic:
    return Diagnostic(code, message, span, excerpt=template.excerpt(span), hint=hint)
