"""Keys of any number of points: which parts have them, and what is wrong with one before anything is made."""

from __future__ import annotations

from itembank.errors import Diagnostic, InputError
from itembank.expressions import tree
from itembank.generator.answers import branches, explicit_points
from itembank.templates.template import ChoicesTemplate, MatchTemplate, PartTemplate, Template


def has_points(part: PartTemplate) -> bool:
    """Whether a part's answers are any number of points: its boxes ask for points, or an answer has several.

    So are the options of a choice whose key is written as a point: (x, y) = (2, 5) is shown so, not as x and y.
    """
    if len(part.unknowns) < 2 or part.for_every:
        return False
    more = part.response.more
    each_an_option = isinstance(more, ChoicesTemplate) and not more.right and not part.response.words
    if part.response.points or part.key is None or each_an_option:
        return len(part.unknowns) == 2
    if part.response.offers_answers and tree.coordinates(part.key.node):
        return len(part.unknowns) == 2
    rows = more.rows if isinstance(more, MatchTemplate) else ()
    return any(_is_several(key.node, part) for key in (part.key, *(row for _, row in rows)))


def _is_several(node: tree.Node, part: PartTemplate) -> bool:
    """Whether a statement joins several answers by `or`, or has them by a ±."""
    return isinstance(node, tree.Or) or (
        tree.has_plus_minus(node) and explicit_points(node, part.unknowns) is not None
    )


def check_points(template: Template, part: PartTemplate) -> None:
    """Raises InputError for a key of points that cannot be one, at the key."""
    key = part.key
    if key is None:
        return
    message, hint = "", ""
    said = explicit_points(key.node, part.unknowns)
    first, *rest = part.unknowns
    both = f"({first} = ... and {rest[0]} = ...)"
    if len(part.unknowns) != 2:
        message = f"several answers are read in two unknowns only, as points; here are {len(part.unknowns)}"
        hint = "ask for the unknowns in parts, or choose numbers for which there is one answer"
    elif said is None and any(
        not set(part.unknowns) <= set(tree.names(branch)) for branch in branches(key.node)
    ):
        message = f"each point of the key must say {first} and {rest[0]}"
        hint = f"write {both} or {both}, or ({first}, {rest[0]}) = (..., ...) for a point"
    elif part.response.kind == "entry" and not part.response.points:
        message = "the key may have several points, but its boxes take one"
        hint = "add `points: any-order` to the response"
    if message:
        span = key.span()
        raise InputError(
            Diagnostic("key-not-explicit", message, span, hint=hint, excerpt=template.excerpt(span))
        )
