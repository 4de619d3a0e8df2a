"""Where a line of a template, or something it shows, has no value: told, not passed over in silence.

The search takes what is undefined for not fulfilled; here the exact reading says why.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from itembank.errors import Diagnostic, DomainError
from itembank.expressions import exact, tree
from itembank.expressions.numbers import Exact
from itembank.expressions.plan import Leaf
from itembank.generator import exactly
from itembank.generator.bound import Arguments, Bound
from itembank.generator.instantiate import Draft
from itembank.generator.recipe import Shown, TextRecipe
from itembank.proof.guarantees import plain_number
from itembank.proof.solver import CannotDecide
from itembank.templates.template import Expression, MatchTemplate, Template, TextTemplate


def line_without_value(
    bound: Bound, lines: tuple[Expression, ...], arguments: Arguments
) -> tuple[Expression, str] | None:
    """The first of the lines that is undefined for an assignment, if those above it hold, and why."""
    template = bound.recipe.template
    values = bound.values(arguments)
    if any(values[p.name] in p.left_out for p in bound.parameters):
        return None
    for line in lines:
        try:
            if not exact.truth(line.node, values, exactly.holds, bound.recipe.main_letter):
                return None
        except DomainError as undefined:
            derived = _derived(template, line.node, values)
            return line, derived[1] if derived else str(undefined)
    return None


def shown_without_value(bound: Bound, arguments: Arguments) -> tuple[Expression, str] | None:
    """The first expression shown that has no value for an assignment, and why; None where all have one.

    Where that lies with a derived value, the expression is the one that it is derived by.
    """
    template = bound.recipe.template
    values = bound.values(arguments)
    for expression, leaves, _ in _shown(bound):
        for leaf in leaves:
            derived = _derived(template, leaf.source, values)
            if derived is not None:
                return derived
            try:
                exactly.worked_out(leaf, values)
            except (DomainError, CannotDecide) as undefined:
                return expression, str(undefined)
    return None


def not_showable(bound: Bound, made: Draft, reason: str) -> Diagnostic:
    """What is said where an item's numbers are known but cannot be laid out, as for 0^0; at the first such place."""
    template = bound.recipe.template
    span = template.parts[0].problem.span()
    for expression, _, shown in _shown(bound):
        if shown is not None:
            try:
                shown.plan.fill(tuple(made.forms[leaf] for leaf in shown.leaves))
            except DomainError as impossible:
                span, reason = expression.span(), str(impossible)
                break
    return Diagnostic(
        "cannot-be-shown",
        f"{reason} (at {in_words(bound, made.arguments)})",
        span,
        excerpt=template.excerpt(span),
        hint="leave such values out, or reject them by a constraint"
        if "division by zero" in reason
        else "constrain the parameters, or write it another way",
    )


def in_words(bound: Bound, arguments: Arguments) -> str:
    """An assignment in words, to stand behind "at"."""
    values = bound.values(arguments)
    told = [f"{p.name} = {plain_number(values[p.name])}" for p in bound.parameters]
    return ", ".join(told) or "the only item"


def _shown(bound: Bound) -> Iterator[tuple[Expression, tuple[Leaf, ...], Shown | None]]:
    """Everything the template shows, with its leaves."""
    for recipe in bound.recipe.parts:
        part = recipe.template
        yield part.problem, recipe.problem.plan.leaves, recipe.problem
        yield from _text(part.stem, recipe.stem)
        if part.key is not None:
            yield part.key, recipe.key.leaves, None
            if recipe.key_shown is not None:
                yield part.key, recipe.key_shown.plan.leaves, recipe.key_shown
        for written, shown in zip(part.response.written_out, recipe.right, strict=True):
            yield written, shown.plan.leaves, shown
        if isinstance(part.response.more, MatchTemplate):
            for (problem, _), made_row in zip(part.response.more.rows, recipe.rows, strict=True):
                yield problem, made_row.problem.plan.leaves, made_row.problem
        for line, made in zip(part.solution, recipe.solution, strict=True):
            if made.forms:
                continue
            yield from _text(line.say, made.say)
            if line.maths is not None and made.maths is not None:
                yield line.maths, made.maths.plan.leaves, made.maths
        for row, text in zip(part.response.words, recipe.words, strict=True):
            yield from _text(row.text, text)
        for blank, words in zip(part.response.blanks, recipe.one_of, strict=False):
            for row, when in zip(blank.words, words.shown if words is not None else (), strict=False):
                if when is not None:
                    yield row.when, when.plan.leaves, when


def _text(
    text: TextTemplate | None, recipe: TextRecipe | None
) -> Iterator[tuple[Expression, tuple[Leaf, ...], Shown | None]]:
    if text is None or recipe is None:
        return
    for hole, shown in zip(text.holes, recipe.holes, strict=True):
        if isinstance(hole, Expression) and isinstance(shown, Shown):
            yield hole, shown.plan.leaves, shown


def _derived(
    template: Template, node: tree.Node, values: Mapping[str, Exact]
) -> tuple[Expression, str] | None:
    """Which derived value that a tree names has none itself, and why; None where all have one."""
    named = set(tree.names(node))
    for derived in reversed(template.derived):
        if derived.name in named:
            named |= set(tree.names(derived.expression.node))
    for derived in template.derived:
        if derived.name in named and derived.name not in values:
            try:
                exact.number(derived.expression.node, values)
            except DomainError as undefined:
                return derived.expression, f"`{derived.name}` has no value: {undefined}"
    return None
