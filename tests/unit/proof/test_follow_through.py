"""The follow-through is the key where the earlier answers are right: both roads, on items of templates."""

from __future__ import annotations

from dataclasses import replace

import pytest

from itembank.items import Item
from itembank.proof.findings import Finding
from itembank.proof.prover import prove
from itembank.proof.symbolic import prove_with_sympy
from itembank.verdicts import Proved, Refuted
from tests.samples import maths
from tests.template_items import items

ROADS = pytest.mark.parametrize("road", [prove, prove_with_sympy])


def follow_findings(road: object, item: Item) -> list[Finding]:
    return [finding for finding in road(item) if finding.code == "follow-through"]  # type: ignore[operator]


@ROADS
@pytest.mark.parametrize("name", ["follow-through", "follow-fractions"])
def test_it_is_proved_of_every_item(road: object, name: str) -> None:
    for item in items(name, 20):
        found = follow_findings(road, item)
        assert len(item.parts) - 1 == len(found)
        assert all(isinstance(finding.verdict, Proved) for finding in found)


@ROADS
@pytest.mark.parametrize("wrong", ["u = p and v = q", "u = -p and v = q + 1", "u = -q and v = p"])
def test_another_formula_is_refuted(road: object, wrong: str) -> None:
    (item,) = items("follow-through", 1)
    first, second = item.parts
    spoiled = replace(item, parts=(first, replace(second, follow=maths(wrong))))

    (finding,) = follow_findings(road, spoiled)
    assert isinstance(finding.verdict, Refuted)
    assert 1 == finding.part


@ROADS
def test_a_root_of_an_earlier_answer_is_worked_out(road: object) -> None:
    (item,) = items("follow-surds", 1)
    (finding,) = follow_findings(road, item)
    assert isinstance(finding.verdict, Proved)
