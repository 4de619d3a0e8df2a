"""Items with one displayed number changed: the two roads agree on every single claim, whatever it has become."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from fractions import Fraction
from itertools import islice
from typing import Any

import pytest

from itembank.expressions.display import Decimal, Maths
from itembank.items import ChoiceResponse, EntryResponse, Item, Part
from itembank.proof.findings import Finding
from itembank.proof.prover import prove
from itembank.proof.symbolic import prove_with_sympy
from itembank.verdicts import Refuted
from tests.quality.demo_bank import TEMPLATES, bound, items

EACH = 4


def replace(thing: Any, **changes: Any) -> Any:
    """A copy of a record with other fields, whichever kind of frozen record it is."""
    if isinstance(thing, tuple):
        return thing._replace(**changes)  # type: ignore[attr-defined]
    return dataclasses.replace(thing, **changes)


def with_each_number_raised(shown: Maths) -> Iterator[Maths]:
    for hole, number in enumerate(shown.numbers):
        if isinstance(number, Decimal):
            raised: int | Decimal = Decimal(number.value + Fraction(1, 10**number.places), number.places)
        else:
            raised = number + 1
        yield Maths(shown.shape, (*shown.numbers[:hole], raised, *shown.numbers[hole + 1 :]))


def put(row: tuple[Any, ...], at: int, thing: Any) -> tuple[Any, ...]:
    return (*row[:at], thing, *row[at + 1 :])


def spoiled_parts(part: Part) -> Iterator[Part]:
    for shown in with_each_number_raised(part.problem.statement):
        yield replace(part, problem=replace(part.problem, statement=shown))
    for shown in with_each_number_raised(part.key):
        yield replace(part, key=shown)
    for at, line in enumerate(part.solution):
        for shown in with_each_number_raised(line.maths) if line.maths is not None else ():
            yield replace(part, solution=put(part.solution, at, replace(line, maths=shown)))
    for response in spoiled_responses(part.response):
        yield replace(part, response=response)


def spoiled_responses(response: ChoiceResponse | EntryResponse) -> Iterator[ChoiceResponse | EntryResponse]:
    if isinstance(response, ChoiceResponse):
        for at, option in enumerate(response.options):
            if isinstance(option.content, Maths):
                for shown in with_each_number_raised(option.content):
                    changed = put(response.options, at, replace(option, content=shown))
                    yield replace(response, options=changed)
        return
    for at, blank in enumerate(response.blanks):
        for index, group in enumerate(blank.values):
            for box, value in enumerate(group):
                values = put(blank.values, index, put(group, box, value + 1))
                yield replace(response, blanks=put(response.blanks, at, replace(blank, values=values)))


def verdicts(findings: tuple[Finding, ...]) -> list[tuple[str, str, int, str]]:
    return [
        (found.code, found.subject, found.place, type(found.verdict).__name__)
        for found in findings
        if found.code not in {"marks", "stem-differs"}  # nothing sympy is asked about
    ]


@pytest.mark.parametrize("name", TEMPLATES)
def test_both_roads_agree_on_items_with_one_number_changed(name: str) -> None:
    spoiled: list[Item] = [
        replace(item, parts=(part,))
        for item in islice(items(bound(name)), EACH)
        for part in spoiled_parts(item.parts[0])
    ]
    refuted = 0
    for item in spoiled:
        second = prove_with_sympy(item)
        refuted += any(isinstance(found.verdict, Refuted) for found in second)

        assert verdicts(prove(item)) == verdicts(second)
    assert len(spoiled) >= 5 * EACH
    assert refuted >= 2
