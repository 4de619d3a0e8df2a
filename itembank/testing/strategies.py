"""Items of a template as a hypothesis strategy."""

from __future__ import annotations

from itertools import islice
from pathlib import Path

from hypothesis import strategies
from hypothesis.strategies import SearchStrategy

from itembank.bank.bank import Entry
from itembank.bank.sources import entries_of
from itembank.errors import Diagnostic, InputError, Span
from itembank.generator.bound import Bound
from itembank.generator.instantiate import Draft, Instantiator, draft
from itembank.generator.item_codes import OPEN_SECRET, item_code
from itembank.generator.space import simplest, walk
from itembank.items import Item

__all__ = ["items_of"]

MOST = 2_000
"""Different items a strategy knows of, unless more are asked for."""

_SIMPLE = 100
_LOOKED_AT = 200_000


def items_of(path: str | Path, *, seed: int = 1, most: int = MOST) -> SearchStrategy[Item]:
    """A strategy that draws finished items of the template in a file, not yet proved.

    path: a template file, by itself or in a bank, whose slips it then knows. seed: of the addresses, which choose
    words and the order of options. most: how many different items there are to draw from. A failing example shrinks
    towards the smallest numbers. Raises InputError with everything that is wrong with the template.

        from hypothesis import given
        from itembank.testing import items_of

        @given(items_of("banks/quadratics/templates/vertex-form.yaml"))
        def test_every_item_has_marks(item):
            assert item.marks >= 1
    """
    entries, _, _ = entries_of(Path(path))
    if len(entries) != 1:
        raise ValueError(f"{path} is no single template: {len(entries)} are there")
    bound = Bound(entries[0].recipe)
    found = _drafts(entries[0], bound, seed, most)
    instantiator = Instantiator(bound, seed, entries[0].weights)

    def made(number: int) -> Item:
        position, feasible = found[number]
        code = item_code(instantiator.address(position), OPEN_SECRET)
        return instantiator.item(position, feasible, code)

    return strategies.integers(0, len(found) - 1).map(made)


def _drafts(entry: Entry, bound: Bound, seed: int, most: int) -> list[tuple[int, Draft]]:
    """Feasible drafts with their positions, those of the simplest numbers first."""
    drawn = [(each.position, each.draft) for each in islice(walk(bound, seed, _LOOKED_AT), most)]
    if not drawn:
        raise InputError(
            Diagnostic(
                "no-values",
                "this template makes no item",
                Span(entry.path, 1, 1),
                hint="`itembank check` says why",
            )
        )
    places = {feasible.arguments: position for position, feasible in drawn}
    first = []
    for arguments in islice(simplest(bound, _LOOKED_AT), 10 * _SIMPLE):
        feasible = draft(bound, arguments) if arguments in places else None
        if feasible is not None:
            first.append((places[arguments], feasible))
        if len(first) == _SIMPLE:
            break
    known = {feasible.arguments for _, feasible in first}
    return [*first, *(each for each in drawn if each[1].arguments not in known)]
