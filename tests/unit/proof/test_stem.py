"""Stems beside problems: what looks like the problem has to be it."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from itembank.audit.verify import audit_item
from itembank.content import Content, Hole, Paragraph, TextShape
from itembank.expressions.spelling import plain
from itembank.items import Item, Part
from itembank.library import BuildRequest, build, check, draw, verify
from itembank.proof.prover import faults, prove
from itembank.proof.stem import prove_stem
from itembank.proof.symbolic import prove_with_sympy
from itembank.writers.qti3 import item_xml
from tests.kinds_bank import bound_of, walk_items
from tests.samples import maths
from tests.template_items import items

TEMPLATE = Path(__file__).parents[3] / "banks" / "quadratics" / "templates" / "monic-even-surd.yaml"
EQUATION, DISCRIMINANT = "x^2 - 6*x + 2 = 0", "discriminant(x^2 + k*x + 9) < 0"
INEQUALITY, BETWEEN = "x^2 - 6*x + 2 < 0", "-5 < 2*x + 1 and 2*x + 1 <= 9"


@pytest.fixture(scope="module")
def item() -> Item:
    (drawn,) = draw(TEMPLATE, count=1)
    return drawn.item


def _part(item: Item, problem: str, *shown: str) -> Part:
    """The item's part with another problem, and a stem of formulas only."""
    blocks = (Paragraph(tuple(Hole(index) for index in range(len(shown)))),)
    stem = Content(TextShape(blocks, len(shown)), tuple(map(maths, shown)))
    (part,) = item.parts
    key = "x = 3 ± sqrt(7)" if problem == EQUATION else "none"
    return replace(part, problem=replace(part.problem, statement=maths(problem)), stem=stem, key=maths(key))


@pytest.mark.parametrize(("problem", "shown"), [
    (EQUATION, [EQUATION]), (EQUATION, ["x^2 - 6*x + 2"]), (EQUATION, ["x"]), (EQUATION, ["x^2 - 6*x"]),
    (EQUATION, ["2*x^2 - 12*x + 4 = 0"]), (EQUATION, ["(x - 3)^2 = 7"]), (EQUATION, [EQUATION, "x^2 - 6*x + 3 = 0"]),
    (EQUATION, ["x^2 + 2"]), (DISCRIMINANT, ["x^2 + k*x + 9 = 0"]), (DISCRIMINANT, ["x^2 + k*x + 9"]),
    (INEQUALITY, [INEQUALITY]), (INEQUALITY, [EQUATION]), (EQUATION, [INEQUALITY]),
    (BETWEEN, ["2*x + 1 <= 9"]),
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
    (INEQUALITY, ["x^2 - 6*x + 2 > 0"], 0), (INEQUALITY, ["x^2 - 6*x + 2 <= 0"], 0), (BETWEEN, ["2*x + 1 < 9"], 0),
    (BETWEEN, ["-5 <= 2*x + 1"], 0), (INEQUALITY, ["x > 0"], 0), (INEQUALITY, ["0 > x^2 - 6*x + 3"], 0),
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


@pytest.mark.parametrize("sign", ["<=", ">", ">="])
@pytest.mark.parametrize("name", ["inequality", "interval"])
def test_a_stem_with_another_sign_of_inequality_passes_neither_proof_nor_audit(name: str, sign: str) -> None:
    item = next(items(name, 1))
    (part,) = item.parts
    problem = plain(part.problem.statement)
    (own,) = re.findall("[<>]=?", problem)
    other = maths(problem.replace(own, sign if sign != own else "<"))
    changed = replace(item, parts=(replace(part, stem=part.stem._replace(fillings=(other,))),))

    assert ["stem-differs"] == [finding.code for finding in faults(prove(changed))]
    found = audit_item(item_xml(changed).encode(), "items/X.xml")[1]
    assert ["stem-differs"] == [finding.code for finding in found]


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


ONE = """template: one
version: 1
title: A quadratic that is told in full
topics: [quadratics]
unknowns: [x]
parameters: {h: [2], k: [5]}
problem: (x - h)^2 = k
stem: Solve $x^2 - 2*h*x + value(h^2 - k) = 0$.
response: {kind: entry, blanks: {x: {form: surd, marks: A1}}}
key: x = h ± surd(k)
"""
TWO = """template: two
version: 1
title: A sum and a product
topics: [simultaneous]
unknowns: [x, y]
parameters: {s: [7], p: [12]}
problem: x^2 + p = s*x and x + y = s
stem: Two numbers have $y = s - x$ and $x*y = p$. Which?
response: {kind: entry, points: any-order, marks: 2, blanks: {x: {form: integer}, y: {form: integer}}}
key: (x, y) = (3, 4) or (x, y) = (4, 3)
"""
LATER = (Path(__file__).parents[2] / "templates" / "good" / "follow-surds.yaml").read_text("utf-8")
OTHER_STEMS = {
    "another sign": (ONE, "- 2*h*x", "+ 2*h*x"),
    "another number": (ONE, "value(h^2 - k)", "value(h^2 + k)"),
    "a root more": (ONE, "$x^2 - 2*h*x + value(h^2 - k) = 0$", "$x^3 - 2*h*x^2 + value(h^2 - k)*x = 0$"),
    "another sum": (TWO, "y = s - x", "y = s + x"),
    "another product": (TWO, "x*y = p", "x*y = s"),
    "a later part's sign": (LATER, "solve $z^2 + b*z", "solve $z^2 - b*z"),
    "a later part's number": (LATER, "+ c = 0$.", "+ c + 1 = 0$."),
}


def _made(folder: Path, text: str) -> Item:
    file = folder / "t.yaml"
    file.write_text(text, "utf-8")
    return next(walk_items(bound_of(file)))


@pytest.mark.parametrize("text", [ONE, TWO, LATER])
def test_the_problem_may_be_told_in_another_form(text: str, tmp_path: Path) -> None:
    made = _made(tmp_path, text)

    assert () == faults(prove(made)) == faults(prove_with_sympy(made))
    assert () == audit_item(item_xml(made).encode(), "items/X.xml")[1]


@pytest.mark.parametrize("name", OTHER_STEMS)
def test_an_equation_of_the_stem_that_the_key_does_not_fit_is_told_on_every_road(
    name: str, tmp_path: Path
) -> None:
    text, old, new = OTHER_STEMS[name]
    made = _made(tmp_path, text.replace(old, new))
    where = [("stem-differs", "stem", len(made.parts) - 1)]

    assert text.count(old) == 1
    for found in (prove(made), prove_with_sympy(made)):
        assert [(f.code, f.subject, f.part) for f in faults(found)] == where
    (told,) = audit_item(item_xml(made).encode(), "items/X.xml")[1]
    assert told.code == "stem-differs"

    meant = text.replace(old, new).replace("version: 1", "version: 1\nlint: {stem-differs: on purpose}")
    made = _made(tmp_path, meant)
    assert () == faults(prove(made)) == faults(prove_with_sympy(made))
    assert () == audit_item(item_xml(made).encode(), "items/X.xml")[1]


UNDECIDED = {
    "a value that is told": (ONE, "Solve $x^2", "One value of $x$ is not $x = 9$. Solve $x^2"),
    "the problem stands beside it": (ONE, "Solve $x^2", "As in $x^2 = 4$, solve $problem$, that is $x^2"),
    "functions": (ONE, "Solve $x^2 - 2*h*x", "With $f(x) = x + 1$, solve $f(x) = 9$, or $x^2 - 2*h*x"),
    "other letters": (ONE, "Solve $x^2", "Solve with $y = x^2 + 1$ the equation $x^2"),
}


@pytest.mark.parametrize("name", UNDECIDED)
def test_what_is_no_equation_of_the_unknowns_is_held_to_nothing(name: str, tmp_path: Path) -> None:
    text, old, new = UNDECIDED[name]
    letters = "\nletters: [y]" if "other" in name else ""
    made = _made(tmp_path, text.replace(old, new).replace("unknowns: [x]", f"unknowns: [x]{letters}"))

    assert () == faults(prove(made)) == faults(prove_with_sympy(made))
    assert () == audit_item(item_xml(made).encode(), "items/X.xml")[1]


def test_the_domain_says_which_roots_are_meant(tmp_path: Path) -> None:
    text = ONE.replace("unknowns: [x]", "unknowns: {x: x > 0}").replace("h ± surd(k)", "h + surd(k)")
    made = _made(tmp_path, text.replace("problem: (x - h)^2 = k", "problem: x^2 = 2*h*x - value(h^2 - k)"))

    assert () == faults(prove(made)) == faults(prove_with_sympy(made))
    assert () == audit_item(item_xml(made).encode(), "items/X.xml")[1]
