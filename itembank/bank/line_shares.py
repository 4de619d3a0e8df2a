"""What each line of a template rejects, and which lines cannot hold together: exact counts of the whole box."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from itembank.errors import BoundExceeded, Span
from itembank.expressions import tree
from itembank.generator.bound import Bound
from itembank.generator.counting import Counter
from itembank.templates.template import Expression

__all__ = ["LineShare", "cannot_hold_together", "line_shares", "percent", "shares_told"]

SHARES_UP_TO = 20_000_000
"""Largest box for which the share of each line is counted; above, it is left out."""


@dataclass(frozen=True, slots=True)
class LineShare:
    """What a line rejects: of the whole box alone, and of what the lines above it leave; counts, not rounded."""

    text: str
    span: Span
    kind: str
    alone: int
    after: int
    before: int


def line_shares(bound: Bound, counter: Counter) -> list[LineShare]:
    """The shares of constraints, then of guarantees, in their order; [] of a box too large to count."""
    if bound.size > SHARES_UP_TO:
        return []
    try:
        return _counted(bound, counter)
    except BoundExceeded:
        return []


def _counted(bound: Bound, counter: Counter) -> list[LineShare]:
    template = bound.recipe.template
    lines = [("constraint", line) for line in template.constraints]
    lines += [("guarantee", line) for line in template.guarantees]
    before_nodes = list(counter.left_out)
    before = counter.number(before_nodes)
    shares = []
    for kind, line in lines:
        alone = bound.size - counter.number([line.node])
        left = counter.number([*before_nodes, line.node])
        shares.append(LineShare(line.text, line.span(), kind, alone, before - left, before))
        before_nodes.append(line.node)
        before = left
    return shares


def cannot_hold_together(bound: Bound, counter: Counter) -> list[Expression]:
    """As few lines as no assignment fulfils together, of a template whose lines nothing fulfils; in their order."""
    template = bound.recipe.template
    lines = [*template.constraints, *template.guarantees]
    needed = lines
    for line in lines:
        fewer = [other for other in needed if other is not line]
        if fewer and _is_empty(bound, counter, [other.node for other in fewer]):
            needed = fewer
    return needed


def _is_empty(bound: Bound, counter: Counter, conditions: list[tree.Node]) -> bool:
    """Whether nothing fulfils the conditions; False where it is too much to count."""
    try:
        return bound.size <= SHARES_UP_TO and counter.number([*counter.left_out, *conditions]) == 0
    except BoundExceeded:
        return False


def shares_told(shares: Sequence[LineShare], size: int) -> list[str]:
    """One line for each share, in whole percent, never rounded to 0 or 100 where it is not."""
    told = []
    for share in shares:
        if share.alone == 0:
            told.append(f"{share.text}  rejects nothing: it holds by construction")
            continue
        after = percent(share.after, share.before)
        told.append(
            f"{share.text}  rejects {percent(share.alone, size)} alone, {after} after the lines above"
        )
    return told


def percent(part: int, whole: int) -> str:
    """A share in whole percent; "under 1 %" and "over 99 %" where it is neither none nor all.

    >>> percent(1, 1000), percent(0, 5), percent(5, 5)
    ('under 1 %', '0 %', '100 %')
    """
    if whole == 0 or part == 0:
        return "0 %"
    if part == whole:
        return "100 %"
    rounded = (200 * part + whole) // (2 * whole)
    return "under 1 %" if rounded == 0 else "over 99 %" if rounded == 100 else f"{rounded} %"
