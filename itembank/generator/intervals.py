"""From a region to the inequalities that go into an interval's boxes: a ray, or two rays joined by `and` or `or`."""

from __future__ import annotations

from dataclasses import replace

from itembank.expressions.canonical import Form, Kind
from itembank.generator.boxes import NotInForm, box_groups, width
from itembank.items import BoxValue
from itembank.templates.template import BlankTemplate

Groups = tuple[tuple[BoxValue, ...], ...]


def interval_groups(blank: BlankTemplate, roles: tuple[str, ...], form: Form) -> tuple[Groups, str]:
    """The inequalities of a region, each a sign's word and its end, and what joins two. Raises NotInForm.

    roles: of one inequality, the sign first.
    """
    if form[0][0] == "none":
        return (), ""
    rays, join = _rays(form)
    ends = replace(blank, form=blank.ends)
    return tuple((sign, *box_groups(ends, roles[1:], end)[0]) for sign, end in rays), join


def _rays(form: Form) -> tuple[list[tuple[str, Form]], str]:
    kind, numbers = form
    if kind[0] != "region":
        raise NotInForm("the answer is single values, no interval")
    rays: list[tuple[str, Form]] = []
    used = 0
    pieces = [piece for piece in kind[1:] if isinstance(piece, tuple)]
    for piece in pieces:
        if len(piece) == 1:
            raise NotInForm("the answer has a single value beside an interval")
        for end, inside, words in ((piece[0], piece[1], ("gt", "ge")), (piece[2], piece[3], ("lt", "le"))):
            if end is not None:
                held: Kind = end
                rays.append((words[bool(inside)], (held, numbers[used : used + width(held)])))
                used += width(held)
    if not rays or len(rays) > 2:
        raise NotInForm(
            "the answer takes more than two inequalities" if rays else "every number is an answer"
        )
    return rays, "" if len(rays) == 1 else "and" if len(pieces) == 1 else "or"
