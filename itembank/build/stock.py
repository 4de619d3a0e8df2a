"""What can be drawn from a bank: builds, test forms and practice begin with it alike."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from itembank.bank.bank import Bank, LeaveOut
from itembank.bank.draw import Selected, pool
from itembank.bank.lock import changed
from itembank.build.production import Maker, Wanted
from itembank.build.used_before import Unused, unused
from itembank.errors import Diagnostic, InputError, Level
from itembank.generator.bound import Bound

__all__ = ["Stock", "stock_of"]


@dataclass(frozen=True, slots=True)
class Stock:
    """Where the items of each template lie, from a seed, and which of them may be taken.

    free: tells of each item whether it was used before, None where all may be taken.
    """

    bank: Bank
    seed: int
    bounds: list[Bound]
    free: Unused | None

    def pool(self, of_each: Sequence[int]) -> list[Selected]:
        """So many items of each template, as far as there are; see `bank.draw.pool`."""
        return pool(self.bank, self.bounds, self.seed, of_each, self.free)

    def maker(self, secret: bytes, wanted: Wanted, bank: Bank | None = None) -> Maker:
        """What makes items of it. bank: what they say of their bank, where that is only a part of this one."""
        return Maker(bank or self.bank, self.seed, secret, wanted, self.bounds)

    @property
    def passed_over(self) -> int | None:
        """How many items were left out since they were used before, None where that was not asked."""
        return None if self.free is None else self.free.passed_over

    @property
    def doubts(self) -> tuple[Diagnostic, ...]:
        """What is doubtful in the bank, and in what was asked to be left out."""
        return self.bank.doubts + (() if self.free is None else self.free.doubts)

    def told(self, failed: InputError) -> InputError:
        """An error where there are too few items, which tells too what was left out."""
        return failed if self.free is None else self.free.told(failed)


def stock_of(bank: Bank, seed: int, rule: LeaveOut, not_again: Sequence[Path]) -> Stock:
    """What can be drawn from a bank.

    rule: which items of the bank's record are left out; not_again: folders of builds whose items are, too. Raises
    InputError for a template whose content changed under its version, and for what is wrong with the folders.
    """
    used = bank.used()
    stale = changed(bank, used, Level.WRONG)
    if stale:
        raise InputError(stale)
    bounds = [Bound(entry.recipe) for entry in used]
    return Stock(bank, seed, bounds, unused(bank, bounds, seed, rule, not_again))
