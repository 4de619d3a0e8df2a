"""From slips to options: which survive, and in what order they are printed.

A slip is not offered where it is undefined, equals the key, or equals an earlier slip (as decimals are marked); of
lines with a slip in them, one at the same line. Where it has no real solution it is offered only if the template's own
key can be `none`, or where options are shown as written: an equation without solutions is one among others. The first
survivors in the author's order are used.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import NamedTuple

from itembank.expressions.canonical import NONE
from itembank.generator.bound import Arguments, Bound, Forms
from itembank.generator.boxes import Marked, as_marked, marked_alike


class Fate(NamedTuple):
    """What becomes of a slip for one assignment, and its forms where it has any.

    word: `offered`, `undefined`, `no real solution`, `equals the key` or `equals an earlier slip`.
    shown: the forms of what is shown, where that is not the same as what is compared.
    """

    word: str
    forms: Forms | None = None
    shown: Forms = ()


def fates(bound: Bound, number: int, key: Forms, arguments: Arguments) -> list[Fate]:
    """The fate of each slip of a part, in the author's order."""
    part = bound.recipe.parts[number]
    none_allowed = part.template.key is None or bool(part.right)
    response = part.template.response
    has_decimals = any(blank.form == "decimal" for blank in response.blanks)
    right = as_marked(part.template, key) if has_decimals else None
    entered: list[Marked] = []
    taken: set[tuple[int, Forms]] = set()
    found: list[Fate] = []
    for index, slip in enumerate(part.slips):
        forms = bound.slip_forms(number, index, slip, arguments)
        shown: Forms = ()
        if slip.plan is not None and forms is not None:
            width = len(slip.answer.leaves)
            forms, shown = forms[:width], forms[width:]
        if forms is None:
            found.append(Fate("undefined"))
        elif forms == (NONE,) and not none_allowed and slip.answer.kind != "none":
            found.append(Fate("no real solution"))
        elif forms == key:
            found.append(Fate("equals the key", forms))
        elif (slip.template.at, forms) in taken:
            found.append(Fate("equals an earlier slip", forms))
        else:
            marked = as_marked(part.template, forms) if has_decimals else None
            if marked is not None:
                if right is not None and marked_alike(part.template, marked, right):
                    found.append(Fate("equals the key", forms))
                    continue
                if any(marked_alike(part.template, marked, each) for each in entered):
                    found.append(Fate("equals an earlier slip", forms))
                    continue
                entered.append(marked)
            taken.add((slip.template.at, forms))
            found.append(Fate("offered", forms, shown))
    return found


def printed_order(address: str, count: int) -> list[int]:
    """The order of options: a shuffle keyed by the item's address.

    >>> sorted(printed_order("surds/1/1/7", 4))
    [0, 1, 2, 3]
    """
    digest = hashlib.blake2b(address.encode(), digest_size=2 * count).digest()
    return sorted(range(count), key=lambda i: digest[2 * i : 2 * i + 2] + bytes([i]))


def ascending(values: Sequence[tuple[int, int]]) -> list[int]:
    """The order by value of fractions (n, d), d >= 1."""
    from functools import cmp_to_key

    def compare(i: int, j: int) -> int:
        left, right = values[i][0] * values[j][1], values[j][0] * values[i][1]
        return (left > right) - (left < right)

    return sorted(range(len(values)), key=cmp_to_key(compare))
