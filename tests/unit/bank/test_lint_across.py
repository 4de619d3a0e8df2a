"""Rules across the templates of a bank: pairs they speak of, and pairs where they are silent."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.bank.bank import Entry
from itembank.bank.lint import ACROSS, Asked, across
from itembank.bank.review import review
from itembank.generator.compiler import make_recipe
from itembank.templates.loader import load_template

SOLVE = """template: solve
version: 1
title: Solve
demand: use
unknowns: [x]
parameters:
  p: {from: 1, to: 9}
  q: {from: 1, to: 9}
problem: x - p = q
stem: Solve $problem$.
response: {kind: entry, blanks: {x: {form: integer, marks: 1}}}
key: x = p + q
"""
SOLVE_AGAIN = SOLVE.replace("template: solve", "template: solve-again").replace("p: {from: 1", "p: {from: 2")
FACTORISE = """template: factorise
version: 1
title: Factorise
demand: use
parameters:
  p: {from: 1, to: 9}
  q: {from: 1, to: 9}
constraints: [p < q]
problem: x^2 + value(p + q)*x + p*q
letters: [x]
stem: Factorise $problem$.
response: {kind: entry, blanks: {answer: {form: brackets, marks: 1}}}
key: (x + p)*(x + q)
"""
ROOTS = """template: smaller-root
version: 1
title: Roots
demand: use
unknowns: [m]
letters: [x]
parameters:
  p: {from: 1, to: 9}
  q: {from: 1, to: 9}
constraints: [p < q]
problem: m + q = 0
stem: You know that $x^2 + value(p + q)*x + p*q$ is $(x + p)*(x + q)$. Find its smaller root $m$.
response: {kind: entry, blanks: {m: {form: integer, marks: 1}}}
key: m = -q
"""


def sample(tmp_path: Path, text: str) -> Asked:
    path = tmp_path / "t.yaml"
    path.write_text(text, "utf-8")
    found = review(Entry(make_recipe(load_template(path, "t.yaml", {}).template), "", "t.yaml"))
    assert [d for d in found.diagnostics if d.level.name == "WRONG"] == []
    assert found.asked is not None
    return found.asked


def codes(tmp_path: Path, *texts: str) -> list[str]:
    return [d.code for d in across([sample(tmp_path, text) for text in texts])]


def test_two_templates_that_ask_the_same_problems_are_told(tmp_path: Path) -> None:
    assert ["templates-alike"] == codes(tmp_path, SOLVE, SOLVE_AGAIN)


@pytest.mark.parametrize(
    "other",
    [
        SOLVE_AGAIN.replace("demand: use", "demand: reason"),
        SOLVE_AGAIN.replace("form: integer", "form: fraction"),
        SOLVE_AGAIN.replace("x - p = q", "x - p = q + 20").replace("x = p + q", "x = p + q + 20"),
    ],
    ids=["another demand", "another form", "other numbers"],
)
def test_templates_that_differ_are_not(tmp_path: Path, other: str) -> None:
    assert [] == codes(tmp_path, SOLVE, other)


def test_a_stem_with_problem_and_key_of_another_template_is_told_once(tmp_path: Path) -> None:
    assert ["stem-gives-key-of-another"] == codes(tmp_path, FACTORISE, ROOTS)


def test_a_stem_with_the_key_alone_is_not(tmp_path: Path) -> None:
    assert [] == codes(tmp_path, FACTORISE, ROOTS.replace("$x^2 + value(p + q)*x + p*q$ is", "there is"))


def test_either_of_two_templates_silences_a_rule(tmp_path: Path) -> None:
    reason = "lint: {%s: both are wanted}\n"

    for first, second, rule in (
        (SOLVE, SOLVE_AGAIN, "templates-alike"), (FACTORISE, ROOTS, "stem-gives-key-of-another"),
    ):  # fmt: skip
        assert [] == codes(tmp_path, first + reason % rule, second)
        assert [] == codes(tmp_path, first, second + reason % rule)


def test_every_rule_has_a_source() -> None:
    assert all(ACROSS.values())
