"""Which positions of which templates make the items of a build: the bank's count shared out, bands in turn."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple, TypeAlias
from zlib import crc32

from itembank.bank.bank import Bank, Entry
from itembank.errors import Diagnostic, DomainError, NotEnoughItems, Span
from itembank.garbage import collect_seldom
from itembank.generator.bound import Bound
from itembank.generator.instantiate import Draft, draft
from itembank.generator.recipe import Recipe
from itembank.generator.space import Allowed, allowed

MANY = 5_000
"""From so many items on, workers look for them too."""
MOST_DRAFTS = 1_000
"""Drafts kept of each template; more would fill the memory, and are quickly made again from their positions."""


class Selected(NamedTuple):
    """A position chosen for an item. entry: number of the template among those used; band: its name, "" for none."""

    entry: int
    position: int
    band: str
    draft: Draft | None


IsFree: TypeAlias = Callable[[int, int, Draft], bool] | None
"""Whether the item of a template (its number among those used) at a position may be taken; None for all."""


@dataclass(slots=True)
class _Supply:
    """One template's walk, and what it still owes: all of it together (`open`), or band by band."""

    bound: Bound
    drawn: Iterator[Allowed]
    wanted: dict[str, int]
    flexible: bool
    taken: list[Selected]
    waiting: deque[Allowed]
    is_free: IsFree
    ended: bool = False


def select(
    bank: Bank, bounds: list[Bound], seed: int, count: int | None, workers: int = 1, is_free: IsFree = None
) -> list[Selected]:
    """The positions of a build, template by template, each in the order of its walk.

    count: the total, shared evenly over the templates; None: what the bank file says. workers: processes that look for
    many, where all may be taken; the result is the same. Raises NotEnoughItems where there are fewer, with
    the number that is possible, DomainError for a total below 1.
    """
    if count is not None and count < 1:
        raise DomainError(f"there are 1 or more items in a build, not {count}")
    entries = bank.used()
    shares = _shares(bank, entries, count)
    if workers > 1 and is_free is None and sum(sum(wanted.values()) for wanted, _ in shares) >= MANY:
        together = _in_parallel(bounds, seed, shares, workers)
        if together is not None:
            return together
    supplies = [
        _Supply(bounds[i], allowed(bounds[i], seed), wanted, flexible, [], deque(), is_free)
        for i, (wanted, flexible) in enumerate(shares)
    ]
    short = 0
    for number, supply in enumerate(supplies):
        missing = _fill(number, supply)
        if missing and not supply.flexible:
            raise _too_many(
                bank, entries[number], sum(supply.wanted.values()) + len(supply.taken), len(supply.taken)
            )
        short += missing
    while short:
        able = [
            i for i, supply in enumerate(supplies) if supply.flexible and (supply.waiting or not supply.ended)
        ]
        if not able:
            possible = sum(len(supply.taken) for supply in supplies)
            raise _too_many(bank, None, possible + short, possible)
        asked, short = short, 0
        for rank, number in enumerate(able):
            more = asked // len(able) + (rank < asked % len(able))
            supplies[number].wanted = {"": more}
            short += _fill(number, supplies[number])
    return [selected for supply in supplies for selected in sorted(supply.taken, key=lambda s: s.position)]


def pool(
    bank: Bank, bounds: list[Bound], seed: int, of_each: Sequence[int], is_free: IsFree = None
) -> list[Selected]:
    """Positions of templates to choose from, the bands of each in turn, in the order of its walk.

    of_each: how many of each template at most.
    """
    found: list[Selected] = []
    for number, (entry, most) in enumerate(zip(bank.used(), of_each, strict=True)):
        wanted = _in_turn(entry.recipe, most)
        supply = _Supply(bounds[number], allowed(bounds[number], seed), wanted, True, [], deque(), is_free)
        _fill(number, supply)
        found.extend(sorted(supply.taken, key=lambda selected: selected.position))
    return found


def _in_parallel(
    bounds: list[Bound], seed: int, shares: list[tuple[dict[str, int], bool]], workers: int
) -> list[Selected] | None:
    """What each template gives by itself, without drafts; None where one has too little and others must help out."""
    from itembank.worker_pool import worker_pool

    jobs = [(bound.recipe, seed, *share) for bound, share in zip(bounds, shares, strict=True)]
    with worker_pool(workers) as pool:
        found = list(pool.map(_alone, jobs))
    if None in found:
        return None
    return [
        Selected(number, position, band, None)
        for number, taken in enumerate(found)
        for position, band in taken or ()
    ]


def _alone(job: tuple[Recipe, int, dict[str, int], bool]) -> list[tuple[int, str]] | None:
    recipe, seed, wanted, flexible = job
    collect_seldom()
    bound = Bound(recipe)
    supply = _Supply(bound, allowed(bound, seed), wanted, flexible, [], deque(), None)
    if _fill(0, supply):
        return None
    return sorted([(selected.position, selected.band) for selected in supply.taken])


def _shares(bank: Bank, entries: tuple[Entry, ...], count: int | None) -> list[tuple[dict[str, int], bool]]:
    own: Mapping[str, dict[str, int]] = {}
    if count is None and bank.facts.uses is not None:
        own = {name: dict(counts) for name, counts in bank.facts.uses if counts}
    given = sum(sum(counts.values()) for counts in own.values())
    free = [entry for entry in entries if entry.recipe.template.name not in own]
    total = (
        count
        if count is not None
        else bank.facts.count
        if bank.facts.count is not None
        else 10 * len(free) + given
    )
    left = max(total - given, 0)
    shares: list[tuple[dict[str, int], bool]] = []
    rank = 0
    for entry in entries:
        name = entry.recipe.template.name
        if name in own:
            shares.append((own[name], False))
            continue
        share = left // len(free) + (rank < left % len(free))
        rank += 1
        shares.append((_in_turn(entry.recipe, share), True))
    return shares


def _in_turn(recipe: Recipe, share: int) -> dict[str, int]:
    """So many of each band. What is left over begins at a band that the template's name decides: where templates
    have few items each, the bank has the first bands no more often than the others, and a template that comes or
    goes changes none of another's."""
    bands = recipe.bands
    if not bands:
        return {"": share}
    even, left = divmod(share, len(bands))
    first = crc32(recipe.template.name.encode())
    return {band: even + ((index - first) % len(bands) < left) for index, band in enumerate(bands)}


def _fill(number: int, supply: _Supply) -> int:
    """Takes what is wanted from the walk; returns how many were not to be had.

    A band that runs dry is made good from the template's other bands, so that thin bands do not thin the bank.
    """
    names = supply.bound.recipe.bands
    still = sum(supply.wanted.values())
    any_band = "" in supply.wanted
    while still and not supply.ended:
        drawn = next(supply.drawn, None)
        if drawn is None:
            supply.ended = True
            break
        band = _fitting(drawn, names, supply.wanted, any_band)
        if band is None:
            if drawn.bands:
                supply.waiting.append(drawn)
            continue
        if _take(number, supply, drawn, band):
            supply.wanted[band if not any_band else ""] -= 1
            still -= 1
    while still and supply.flexible and supply.waiting:
        drawn = supply.waiting.popleft()
        still -= _take(number, supply, drawn, names[drawn.bands[0]] if drawn.bands else "")
    supply.wanted = {}
    return still


def _take(number: int, supply: _Supply, drawn: Allowed, band: str) -> bool:
    """Takes a position if enough unequal slips make it feasible, and it is free."""
    made = draft(supply.bound, drawn.arguments, checked=True)
    if made is None or (supply.is_free is not None and not supply.is_free(number, drawn.position, made)):
        return False
    kept = made if len(supply.taken) < MOST_DRAFTS else None
    supply.taken.append(Selected(number, drawn.position, band, kept))
    return True


def _fitting(drawn: Allowed, names: tuple[str, ...], wanted: dict[str, int], any_band: bool) -> str | None:
    """The band a position is taken for; None where it is not wanted."""
    if any_band:
        return names[drawn.bands[0]] if drawn.bands else "" if not names else None
    for index in drawn.bands:
        if wanted.get(names[index], 0) > 0:
            return names[index]
    return None


def _too_many(bank: Bank, entry: Entry | None, asked: int, possible: int) -> NotEnoughItems:
    where = entry.path if entry else f"{bank.folder}/bank.yaml"
    what = f"`{entry.recipe.template.name}`" if entry else "the bank"
    return NotEnoughItems(
        Diagnostic(
            "not-enough-items",
            f"{asked} items were asked for, but {what} can make {f'only {possible}' if possible else 'none'}",
            Span(where, 1, 1),
            hint=f"ask for {possible} or fewer, or widen the ranges of its templates"
            if possible
            else f"`itembank check {where.removesuffix('/bank.yaml')}` tells why",
        ),
        possible,
    )
