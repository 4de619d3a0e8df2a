"""The items of a template worth a look before it is used: extremes, each sign, each shape, each band."""

from __future__ import annotations

from itertools import islice

from itembank.generator.bound import Arguments, Bound
from itembank.generator.instantiate import Draft, draft
from itembank.generator.space import simplest, walk

LOOKED_AT = 200_000
"""Assignments looked at to find them."""


def corners(bound: Bound) -> list[tuple[str, Draft]]:
    """Items worth a look: smallest, largest, longest, one of each sign of each parameter, fewest slips, each band."""
    drawn = list(islice(walk(bound, 0, LOOKED_AT), 3_000))
    drafts = [d.draft for d in drawn]
    made_simply = (
        made for arguments in simplest(bound, 20_000) if (made := draft(bound, arguments)) is not None
    )
    small = list(islice(made_simply, 1))
    if not drafts and not small:
        return []
    found: list[tuple[str, Draft]] = [("smallest", made) for made in small]
    pool = drafts or small
    found.append(("largest", max(pool, key=lambda d: sum(abs(n) for n in d.arguments))))
    found.append(("longest", max(pool, key=lambda d: sum(len(str(n)) for form in d.forms for n in form[1]))))
    for index, parameter in enumerate(bound.parameters):
        column = bound.first_argument(index)
        for sign, word in ((1, "positive"), (-1, "negative"), (0, "zero")):
            signed = [d for d in pool if (d.arguments[column] > 0) - (d.arguments[column] < 0) == sign]
            if signed and len(signed) < len(pool):
                found.append(
                    (f"{parameter.name} {word}", min(signed, key=lambda d: sum(abs(n) for n in d.arguments)))
                )
    if any(d.fates and d.fates[0] for d in pool):
        found.append(
            (
                "fewest slips",
                min(pool, key=lambda d: sum(f.word == "offered" for fates in d.fates for f in fates)),
            )
        )
    for index, name in enumerate(bound.recipe.bands):
        banded = [d.draft for d in drawn if index in d.bands]
        if banded:
            found.append((f"band {name}", banded[0]))
    kinds: dict[object, Draft] = {}
    for made in pool:
        kinds.setdefault(tuple(form[0] for form in made.forms), made)
    found.extend(("another shape", made) for made in list(kinds.values())[:12])
    first: dict[Arguments, tuple[str, Draft]] = {}
    for word, made in found:
        first.setdefault(made.arguments, (word, made))
    return list(first.values())
