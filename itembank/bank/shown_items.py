"""Items of a template to look at: a few drawn ones, or those at its corners, each proved as in a build."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import NamedTuple

from itembank.bank import making
from itembank.bank.bank import Entry
from itembank.bank.corners import Corner, corners
from itembank.errors import Diagnostic, InputError, Span
from itembank.generator.bound import Bound
from itembank.generator.instantiate import Draft, Instantiator
from itembank.generator.item_codes import OPEN_SECRET, item_code
from itembank.generator.space import walk
from itembank.items import Item
from itembank.proof.findings import Finding

__all__ = ["USUAL_COUNT", "ShownItem", "shown_items"]

USUAL_COUNT = 3


class ShownItem(NamedTuple):
    """An item with its proof. corner: the extreme it shows, None for one that was drawn."""

    corner: Corner | None
    item: Item
    findings: tuple[Finding, ...]


def shown_items(entry: Entry, seed: int, count: int, at_corners: bool) -> Iterator[ShownItem]:
    """Items of a template. count: how many are drawn; at_corners: its extremes instead, however many there are.

    Raises InputError `no-values` where it makes none, and as `making.made` and `making.proof_of`.
    """
    bound = Bound(entry.recipe)
    instantiator = Instantiator(bound, seed, entry.weights)
    chosen: list[tuple[Corner | None, int, Draft]]
    if at_corners:
        chosen = [(corner, 0, made) for corner, made in corners(bound)]
    else:
        chosen = [(None, drawn.position, drawn.draft) for drawn in islice(walk(bound, seed), count)]
    if not chosen:
        message = "this template makes no item"
        raise InputError(
            Diagnostic("no-values", message, Span(entry.path, 1, 1), hint="`itembank check` says why")
        )
    for corner, position, made in chosen:
        code = item_code(instantiator.address(position), OPEN_SECRET)
        item = making.made(instantiator, position, made, code)
        yield ShownItem(corner, item, making.proof_of(entry.recipe.template, item))
