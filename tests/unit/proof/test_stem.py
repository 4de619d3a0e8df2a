"""Stems beside problems: what looks like the problem has to be it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from itembank.content import Content, Hole, Paragraph, TextShape
from itembank.items import Item, Part
from itembank.library import draw
from itembank.proof.stem import prove_stem
from tests.samples import maths

TEMPLATE = Path(__file__).parents[3] / "banks" / "quadratics" / "templates" / "monic-even-surd.yaml"
EQUATION, DISCRIMINANT = "x^2 - 6*x + 2 = 0", "discriminant(x^2 + k*x + 9) < 0"


@pytest.fixture(scope="module")
def item() -> Item:
    (drawn,) = draw(TEMPLATE, count=1)
    return drawn.item


def _part(item: Item, problem: str, *shown: str) -> Part:
    """The item's part with another problem, and a stem of formulas only."""
    blocks = (Paragraph(tuple(Hole(index) for index in range(len(shown)))),)
    stem = Content(TextShape(blocks, len(shown)), tuple(map(maths, shown)))
    (part,) = item.parts
    return replace(part, problem=replace(part.problem, statement=maths(problem)), stem=stem)


@pytest.mark.parametrize(("problem", "shown"), [
    (EQUATION, [EQUATION]), (EQUATION, ["x^2 - 6*x + 2"]), (EQUATION, ["x"]), (EQUATION, ["x^2 - 6*x"]),
    (EQUATION, ["2*x^2 - 12*x + 4 = 0"]), (EQUATION, ["(x - 3)^2 = 7"]), (EQUATION, [EQUATION, "x^2 - 6*x + 3 = 0"]),
    (EQUATION, ["x^2 + 2"]), (DISCRIMINANT, ["x^2 + k*x + 9 = 0"]), (DISCRIMINANT, ["x^2 + k*x + 9"]),
])  # fmt: skip
def test_what_is_the_problem_a_piece_of_it_or_something_else_may_stand(
    item: Item, problem: str, shown: list[str]
) -> None:
    assert [] == list(prove_stem(_part(item, problem, *shown)))


@pytest.mark.parametrize(("problem", "shown", "place"), [
    (EQUATION, ["x^2 - 6*x + 3 = 0"], 0), (EQUATION, ["x^2 + 6*x + 2 = 0"], 0), (EQUATION, ["x^2 - 6*x - 2 = 0"], 0),
    (EQUATION, ["x", "x^3 - 6*x + 2 = 0"], 1), (EQUATION, ["x^2 - 6*x + 4"], 0),
    (EQUATION, ["f = x^2 - 6*x + 5"], 0), (DISCRIMINANT, ["x^2 + k*x + 9 = 1"], 0),
    (DISCRIMINANT, ["x^2 + k*x + 4 = 0"], 0), (DISCRIMINANT, ["x^2 - k*x + 9 = 0"], 0),
])  # fmt: skip
def test_what_looks_like_it_and_is_another_is_told_at_its_place(
    item: Item, problem: str, shown: list[str], place: int
) -> None:
    (finding,) = prove_stem(_part(item, problem, *shown))

    assert ("stem-differs", "stem", place, False) == (
        finding.code,
        finding.subject,
        finding.place,
        finding.holds,
    )
