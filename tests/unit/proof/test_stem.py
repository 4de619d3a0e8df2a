"""Stems beside problems: what looks like the problem has to be it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from itembank.content import Content, Hole, Paragraph, TextShape
from itembank.items import Item, Part
from itembank.library import BuildRequest, build, check, draw, verify
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


@pytest.mark.parametrize("problem", ["15", "-6", "3/4", "-(7/2)"])
def test_any_number_may_stand_beside_a_problem_that_is_one(item: Item, problem: str) -> None:
    """As where a term of a sequence is asked for, whose first terms the stem shows."""
    assert [] == list(prove_stem(_part(item, problem, "1", "-3", "5/2", "8")))


@pytest.mark.parametrize(("problem", "shown"), [("sqrt(12)", "sqrt(18)"), ("3*sqrt(2)", "3*sqrt(5)")])
def test_more_than_a_number_is_still_compared(item: Item, problem: str, shown: str) -> None:
    assert 1 == len(list(prove_stem(_part(item, problem, shown))))


MEETING = """template: meeting
version: 1
title: How often a line meets a curve
topics: [simultaneous]
demand: reason
calculator: no
unknowns: [D]
letters: [x, y]
parameters:
  b: {from: 1, to: 6}
  c: {from: 1, to: 6}
  m: {from: -4, to: -1}
problem: D = discriminant(x^2 + (b - m)*x + c)
stem: How often does the line $y = m*x$ meet the curve $y = x^2 + b*x + c$?
response:
  kind: choice
  words:
    - {text: twice, when: D > 0}
    - {text: once, when: D = 0}
    - {text: not at all, when: D < 0}
key: D = (b - m)^2 - 4*c
"""


def test_other_formulas_stand_in_a_stem_whose_author_says_so(tmp_path: Path) -> None:
    (tmp_path / "b" / "templates").mkdir(parents=True)
    (tmp_path / "b" / "bank.yaml").write_text("bank: stems\ntitle: Stems\nlicence: MIT\n", "utf-8")
    file = tmp_path / "b" / "templates" / "t.yaml"
    file.write_text(MEETING, "utf-8")
    assert "stem-differs" in {d.code for d in check(tmp_path / "b").diagnostics}

    file.write_text(
        MEETING.replace("stem: How", "lint: {stem-differs: the curve is shown}\nstem: How"), "utf-8"
    )
    build(
        BuildRequest(
            tmp_path / "b", tmp_path / "out", count=12, formats=("qti3", "qti21", "cc"), full_proof=True
        )
    )

    assert [] == [
        d.code for d in check(tmp_path / "b").diagnostics if d.code in {"stem-differs", "unknown-rule"}
    ]
    assert all(report.ok for report in verify(tmp_path / "out"))
