"""The one form in which all options of a choice are printed: with ±, or each solution by itself."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.audit.verify import audit_item
from itembank.expressions.display import Maths
from itembank.expressions.spelling import plain
from itembank.items import ChoiceResponse, Item
from itembank.library import draw
from itembank.proof.prover import faults, prove
from itembank.proof.symbolic import prove_with_sympy
from itembank.writers.qti3 import item_xml

TEMPLATE = """
template: in-one-form
version: 1
title: In one form
unknowns: [x]
parameters: {h: [-2, 3], k: [5, 12]}
derived: {b: -2*h, c: h^2 - k}
problem: x^2 + b*x + c = 0
stem: Solve $problem$.
response: {kind: choice, options: 3FORM}
key: x = h ± surd(k)
slips:
  - {slip: sign-of-half, value: x = -h ± surd(k), teacher: Sign., source: none}
  - {slip: one-of-them, value: x = h + k, teacher: No root., source: none}
solution: [{math: x = h ± surd(k)}]
"""


def _items(form: str, folder: Path) -> dict[tuple[object, object], Item]:
    path = folder / "in-one-form.yaml"
    path.write_text(TEMPLATE.replace("FORM", form), "utf-8")
    return {(each.item.values["h"], each.item.values["k"]): each.item for each in draw(path, count=4)}


def _options(item: Item) -> set[str]:
    response = item.parts[0].response
    assert isinstance(response, ChoiceResponse)
    return {plain(o.content) for o in response.options if isinstance(o.content, Maths)}


@pytest.mark.parametrize("form", ["", ", form: surd"])
def test_two_solutions_are_one_pair_unless_said(form: str, tmp_path: Path) -> None:
    assert {"x = 3 ± 2*sqrt(3)", "x = -3 ± 2*sqrt(3)", "x = 15"} == _options(_items(form, tmp_path)[3, 12])


def test_each_solution_stands_by_itself_where_values_are_asked_for(tmp_path: Path) -> None:
    items = _items(", form: values", tmp_path)

    assert {
        "x = 3 - 2*sqrt(3) or x = 3 + 2*sqrt(3)",
        "x = -3 - 2*sqrt(3) or x = -3 + 2*sqrt(3)",
        "x = 15",
    } == _options(items[3, 12])
    assert {
        "x = -2 - sqrt(5) or x = -2 + sqrt(5)",
        "x = 2 - sqrt(5) or x = 2 + sqrt(5)",
        "x = 3",
    } == _options(items[-2, 5])
    for item in items.values():
        assert not faults((*prove(item), *prove_with_sympy(item)))
        assert () == audit_item(item_xml(item).encode(), "items/X.xml")[1]
