"""The order of items in a paper, and the versions of one paper. Every order is a function of addresses and letters.

Demand, level and marks rise through a paper, or the predicted difficulty does; within a step the templates are mixed.
A version puts the items of a
step, and the options of an item, in another order; its keys fall evenly on the positions.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cache
from itertools import groupby
from typing import Final, Literal, TypeAlias, TypeVar

from itembank.errors import DomainError
from itembank.expressions.display import Compared, Display, Letter, Maths, Numeral, Over, Shape, Terms, parts
from itembank.items import ChoiceResponse, ChoicesResponse, Item, Option, Part

__all__ = ["LETTERS", "Steps", "in_order", "versions"]

LETTERS: Final = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_DEMANDS: Final = ("know", "use", "reason", "")
Steps: TypeAlias = Literal["demand", "difficulty"]
"""What rises through a paper: demand, then level, then marks; or the predicted difficulty."""
_Step: TypeAlias = tuple[int, tuple[tuple[int, int, str], ...], int]
_HALF_A_LOGIT: Final = 500
"""Thousandths: how far apart items of one step may be where versions put them in another order."""
_Chosen = TypeVar("_Chosen", ChoiceResponse, ChoicesResponse)
_Place: TypeAlias = tuple[str, int]


def in_order(items: Iterable[Item], salt: str = "", by: Steps = "demand", width: int = 1) -> tuple[Item, ...]:
    """Items by demand, level and marks, ascending; within a step by a hash of address and salt, templates mixed.

    by: `difficulty` for the predicted one instead, in steps so many thousandths of a logit wide; items without a
    prediction come last. Two items of one template follow each other only where the step has nothing else left.
    Numbers in the words of a level are compared as numbers.
    """

    def step_of(item: Item) -> _Step:
        return _difficulty(item, width) if by == "difficulty" else _step(item)

    ordered = sorted(items, key=lambda item: (step_of(item), _hash(str(item.address), salt)))
    found: list[Item] = []
    for _, step in groupby(ordered, key=step_of):
        waiting = list(step)
        while waiting:
            before = found[-1].address.template if found else ""
            found.append(waiting.pop(_next(waiting, before)))
    return tuple(found)


def _next(waiting: Sequence[Item], before: str) -> int:
    """The next item: of the template with the most left, if not the one before; else the first that differs."""
    left: dict[str, int] = {}
    for item in waiting:
        left[item.address.template] = left.get(item.address.template, 0) + 1
    most, count = max(left.items(), key=lambda entry: entry[1])
    if most != before and 2 * count > len(waiting):
        return next(i for i, item in enumerate(waiting) if item.address.template == most)
    return next((i for i, item in enumerate(waiting) if item.address.template != before), 0)


def _step(item: Item) -> _Step:
    demand = _DEMANDS.index(item.about.demand) if item.about.demand in _DEMANDS else len(_DEMANDS)
    return demand, _natural(item.about.level), item.marks


def _difficulty(item: Item, width: int) -> _Step:
    return (1, (), 0) if item.difficulty is None else (0, (), item.difficulty.thousandths // width)


def _natural(text: str) -> tuple[tuple[int, int, str], ...]:
    pieces = re.findall(r"[0-9]+|[^0-9]+", text)
    return tuple((0, int(piece), "") if piece.isdecimal() else (1, 0, piece) for piece in pieces)


def _hash(*pieces: str) -> bytes:
    return hashlib.blake2b("\0".join(pieces).encode(), digest_size=16).digest()


def versions(
    items: Sequence[Item], count: int, salt: str = "", by: Steps = "demand"
) -> tuple[tuple[Item, ...], ...]:
    """The items of each version A, B, ...; together they hold the same items with the same options.

    count: 1 to 26. by: what rises through each; of difficulty, items less than half a logit apart change places. In
    each version the keys of the items with equally many freely ordered options fall on each position equally often,
    or once more; an item's key stands elsewhere in every version as long as it has places. Options that are numbers
    alone stay ascending or descending. Raises DomainError for another count.
    """
    if not 1 <= count <= len(LETTERS):
        raise DomainError(f"there are 1 to {len(LETTERS)} versions, not {count}")
    home = _homes(items, salt)
    return tuple(
        in_order(
            (_rearranged(item, home, number, salt) for item in items), f"{salt}\0{letter}", by, _HALF_A_LOGIT
        )
        for number, letter in enumerate(LETTERS[:count])
    )


def _homes(items: Sequence[Item], salt: str) -> dict[_Place, int]:
    """Where the key of each freely ordered choice stands in version A: spread evenly over the positions."""
    by_size: dict[int, list[_Place]] = {}
    for item in items:
        for index, part in enumerate(item.parts):
            if isinstance(part.response, ChoiceResponse) and not _numbers_alone(part.response.options):
                by_size.setdefault(len(part.response.options), []).append((str(item.address), index))
    homes: dict[_Place, int] = {}
    for size, places in by_size.items():
        shuffled = sorted(places, key=lambda place: _hash(place[0], str(place[1]), salt, "home"))
        homes |= {place: rank % size for rank, place in enumerate(shuffled)}
    return homes


def _rearranged(item: Item, home: dict[_Place, int], number: int, salt: str) -> Item:
    address = str(item.address)
    changed = tuple(
        _part(part, home.get((address, index)), number, f"{address}\0{index}\0{salt}")
        for index, part in enumerate(item.parts)
    )
    return replace(item, parts=changed)


def _part(part: Part, home: int | None, number: int, key: str) -> Part:
    response = part.response
    if isinstance(response, ChoicesResponse) and not _numbers_alone(response.options):
        order = sorted(range(len(response.options)), key=lambda index: _hash(key, str(number), str(index)))
        return replace(part, response=_permuted(response, order))
    if not isinstance(response, ChoiceResponse):
        return part
    size = len(response.options)
    if home is None:
        order = list(range(size))
        if (number + _hash(key, "way")[0]) % 2:
            order.reverse()
    else:
        right = next(index for index, option in enumerate(response.options) if option.is_key)
        others = [index for index in range(size) if index != right]
        others.sort(key=lambda index: _hash(key, str(number), str(index)))
        place = (home + number) % size
        order = [*others[:place], right, *others[place:]]
    return replace(part, response=_permuted(response, order))


def _permuted(response: _Chosen, order: Sequence[int]) -> _Chosen:
    options = tuple(
        response.options[index]._replace(identifier=LETTERS[rank]) for rank, index in enumerate(order)
    )
    rows = tuple(response.rows[index] for index in order) if response.rows else ()
    return replace(response, options=options, rows=rows)


def _numbers_alone(options: Sequence[Option]) -> bool:
    return all(isinstance(option.content, Maths) and _is_number(option.content.shape) for option in options)


@cache
def _is_number(shape: Shape) -> bool:
    display = shape.display
    if isinstance(display, Compared) and isinstance(display.operands[0], Letter) and display.signs == ("=",):
        display = display.operands[1]
    return _one_number(display)


def _one_number(display: Display) -> bool:
    match display:
        case Numeral():
            return True
        case Terms(terms):
            return len(terms) == 1 and terms[0][0] != "±" and _one_number(terms[0][1])
        case Over():
            return all(map(_one_number, parts(display)))
        case _:
            return False
