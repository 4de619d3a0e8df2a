"""Leaving out items that were used before, while items are drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from itembank.bank.bank import Bank, LeaveOut
from itembank.bank.making import made
from itembank.build.staff_text import plain_text
from itembank.errors import Diagnostic, InputError, Level, NotEnoughItems
from itembank.expressions import spelling
from itembank.generator.bound import Bound
from itembank.generator.instantiate import Draft, Instantiator
from itembank.items import Item, MatchResponse, OrderResponse, Part
from itembank.store.items import asked

if TYPE_CHECKING:
    from itembank.store.before import Before

__all__ = ["Unused", "asks", "unused"]


class Unused:
    """Whether an item may be taken, as it was not used before. passed_over: how many were not.

    doubts: what is doubtful in what was asked for. What was used of a template that the bank has no longer counts by
    what it asks, from whatever template: it may have been renamed, or parted in two.
    """

    def __init__(
        self,
        bank: Bank,
        bounds: Sequence[Bound],
        seed: int,
        before: Before,
        doubts: tuple[Diagnostic, ...] = (),
    ) -> None:
        self.doubts = doubts
        self.passed_over = 0
        self._before = before
        gone = before.templates - {entry.recipe.template.name for entry in bank.entries}
        self._of_gone = {asks for template, asks in before.questions if template in gone}
        self._makers = [
            Instantiator(bound, seed, entry.weights)
            if self._of_gone or bound.recipe.template.name in before.templates
            else None
            for bound, entry in zip(bounds, bank.used(), strict=True)
        ]

    def __call__(self, entry: int, position: int, draft: Draft) -> bool:
        maker = self._makers[entry]
        if maker is None:
            return True
        is_free = str(maker.address(position)) not in self._before.addresses
        if is_free:
            asked_now = asks(made(maker, position, draft, ""))
            is_free = (maker.template.name, asked_now) not in self._before.questions
            is_free = is_free and asked_now not in self._of_gone
        self.passed_over += not is_free
        return is_free

    def told(self, failed: InputError) -> InputError:
        """An error where there are too few items, which tells too that some are left out."""
        if not self.passed_over:
            return failed
        told = f"{self.passed_over} items that were used before are left out"
        hint = "let fewer groups, a later day or more uses count, widen the ranges of templates, or take --used-too"
        if isinstance(failed, NotEnoughItems):
            first = failed.diagnostics[0]
            return NotEnoughItems(
                replace(first, message=f"{first.message}; {told}", hint=hint), failed.possible
            )
        doubt = Diagnostic("used-before", told, None, Level.DOUBTFUL, hint=hint)
        return InputError([*failed.diagnostics, doubt])


def unused(
    bank: Bank, bounds: Sequence[Bound], seed: int, rule: LeaveOut, not_again: Sequence[Path]
) -> Unused | None:
    """What may be taken; None where nothing is to be left out, and the record is not looked at.

    rule: of the bank's record; not_again: folders of earlier builds. Raises InputError for what is damaged in the
    record or no folder of a build.
    """
    if not rule.times and not not_again:
        return None
    from itembank.store.before import built_before, recorded_before

    before, doubts = recorded_before(Path(bank.folder), rule)
    return Unused(bank, bounds, seed, before | built_before(not_again), doubts)


def asks(item: Item) -> str:
    """What an item asks, as `store.items.asked` tells it of its entry in `staff/items.json`."""
    return asked(map(_part, item.parts))


def _part(part: Part) -> dict[str, object]:
    response = part.response
    shown: dict[str, object] = {
        "problem": {"plain": spelling.plain(part.problem.statement)},
        "stem": plain_text(part.stem),
    }
    if isinstance(response, OrderResponse):
        return {**shown, "things": [{"plain": spelling.plain(thing.maths)} for thing in response.things]}
    if isinstance(response, MatchResponse):
        return {**shown, "rows": [{"plain": spelling.plain(row.statement)} for row in response.rows]}
    return shown
