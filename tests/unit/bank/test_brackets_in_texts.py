"""Brackets that an author writes around a whole formula of a text are seen, where more than a number is inside."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.audit.verify import audit_item
from itembank.items import Item
from itembank.library import draw, plain_text
from itembank.proof.prover import faults, prove
from itembank.proof.symbolic import prove_with_sympy
from itembank.writers.qti3 import item_xml

TEMPLATE = """\
template: brackets
version: 1
title: Show that a bracket is a factor
letters: [x]
unknowns: [v]
parameters: {p: [0, 3], q: [5, 7]}
problem: v = p^2 + q
stem: SAID
response: {kind: written, marks: 1}
key: v = p^2 + q
solution: [{math: v = p^2 + q, marks: A1}]
"""


def items_of(folder: Path, said: str) -> list[Item]:
    path = folder / "brackets.yaml"
    path.write_text(TEMPLATE.replace("SAID", said), "utf-8")
    return [drawn.item for drawn in draw(path, count=4)]


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("Say of $(x - p)$ what is $p$, $q$.", "Say of (x - 3) what is 3, 5."),
        ("It is $( x - p )$ and $q$.", "It is (x - 3) and 5."),
        ("It is $(x + p)*(x - q)$.", "It is (x + 3)*(x - 5)."),
        ("It is $((x + p)*(x - q))$.", "It is ((x + 3)*(x - 5))."),
        ("It is $(p + sqrt(q))$ cm.", "It is (3 + sqrt(5)) cm."),
        ("It is $(p + q)$ and $p$.", "It is 8 and 3."),
        ("It is the point $(p, q)$.", "It is the point (3, 5)."),
        ("It is $(x = p)$, and $q$.", "It is x = 3, and 5."),
    ],
)
def test_what_is_inside_decides(said: str, shown: str, tmp_path: Path) -> None:
    assert shown in [plain_text(item.parts[0].stem) for item in items_of(tmp_path, said)]


def test_nothing_but_a_letter_is_left_without(tmp_path: Path) -> None:
    stems = {plain_text(item.parts[0].stem) for item in items_of(tmp_path, "Of $(x - p)$, $q$.")}
    assert {"Of x, 5.", "Of x, 7.", "Of (x - 3), 5.", "Of (x - 3), 7."} == stems


def test_both_roads_and_the_audit_read_them(tmp_path: Path) -> None:
    for item in items_of(tmp_path, "Show that $(x - p)$ leaves $(sqrt(q) + p)$."):
        assert not faults((*prove(item), *prove_with_sympy(item)))
        assert () == audit_item(item_xml(item).encode(), "items/X.xml", thorough=True)[1]
