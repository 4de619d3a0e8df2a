"""The space of a template's values: walked in its order for draws, counted exactly, and explained when it is thin."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from itembank.errors import Diagnostic, InputError
from itembank.generator.bound import Arguments, Bound
from itembank.generator.instantiate import Draft, draft

MOST_FRUITLESS = 2_000_000
MOST_FRUITLESS_DRAFTS = 200_000
"""So many rejected assignments in a row end a walk, and so many that fulfil every line but make no item."""


class Allowed(NamedTuple):
    """A position of the walk whose assignment fulfils constraints and guarantees; bands: indices of those it is in."""

    position: int
    arguments: Arguments
    bands: tuple[int, ...]


class Drawn(NamedTuple):
    """A feasible position of the walk: allowed, and with enough unequal slips."""

    position: int
    draft: Draft
    bands: tuple[int, ...]


def allowed(bound: Bound, seed: int, positions: int | None = None) -> Iterator[Allowed]:
    """The allowed positions in order, the same for any count asked. positions: look at so many at most.

    Raises InputError where MOST_FRUITLESS assignments in a row are rejected: the search is bounded, not waited for.
    """
    order = bound.order(seed)
    at, assignment, feasible = order.at, bound.assignment, bound.feasible
    bands = bound.bands
    end = bound.size if positions is None else min(bound.size, positions)
    for start in range(0, end, MOST_FRUITLESS):
        is_fruitless = True
        for position in range(start, min(start + MOST_FRUITLESS, end)):
            arguments = assignment(at(position))
            if feasible(*arguments):
                is_fruitless = False
                yield Allowed(
                    position, arguments, tuple([i for i, band in enumerate(bands) if band(*arguments)])
                )
        if is_fruitless and start + MOST_FRUITLESS < end:
            raise _too_rare(bound, f"none of {MOST_FRUITLESS} assignments in a row fulfils every line")


def walk(bound: Bound, seed: int, positions: int | None = None) -> Iterator[Drawn]:
    """The feasible positions in order. Raises InputError as `allowed` does, and where none has enough slips."""
    fruitless = 0
    for found in allowed(bound, seed, positions):
        made = draft(bound, found.arguments, checked=True)
        if made is not None:
            fruitless = 0
            yield Drawn(found.position, made, found.bands)
            continue
        fruitless += 1
        if fruitless >= MOST_FRUITLESS_DRAFTS:
            raise _too_rare(bound, f"none of {fruitless} assignments in a row has enough unequal slips")


def _too_rare(bound: Bound, message: str) -> InputError:
    template = bound.recipe.template
    lines = (*template.constraints, *template.guarantees)
    span = lines[0].span() if lines else bound.parameters[0].span
    return InputError(
        Diagnostic(
            "too-rare",
            message,
            span,
            excerpt=template.excerpt(span),
            hint="make the ranges smaller, or derive values so that fewer assignments are rejected",
        )
    )


def simplest(bound: Bound, limit: int) -> Iterator[Arguments]:
    """Assignments from the simplest on: small magnitudes first, positive before negative; at most `limit`."""
    columns = [
        [index for _, index in sorted((_complexity(value), i) for i, value in enumerate(p.values))]
        for p in bound.parameters
    ]
    sizes = [len(column) for column in columns]
    given = 0
    for total in range(sum(size - 1 for size in sizes) + 1):
        for ranks in _ranks(sizes, total):
            yield bound.chosen([column[rank] for column, rank in zip(columns, ranks, strict=True)])
            given += 1
            if given >= limit:
                return


def _complexity(value: int | Fraction) -> tuple[int, Fraction, bool]:
    exact = Fraction(value)
    return exact.denominator, abs(exact), exact < 0


def _ranks(sizes: list[int], total: int) -> Iterator[list[int]]:
    """All ways to pick one rank in each column with a given sum."""
    if not sizes:
        if total == 0:
            yield []
        return
    most_after = sum(size - 1 for size in sizes[1:])
    for rank in range(max(0, total - most_after), min(sizes[0] - 1, total) + 1):
        for rest in _ranks(sizes[1:], total - rank):
            yield [rank, *rest]
