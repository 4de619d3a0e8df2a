"""Statements with inequalities or moduli whose solutions are single numbers: asked for as decimals, they are proved."""

from __future__ import annotations

from pathlib import Path

import pytest

from itembank.library import check, draw
from itembank.proof import meaning
from itembank.proof.solver import CannotDecide
from tests.samples import maths

HEAD = "template: decimals\nversion: 1\ntitle: Decimals\ncalculator: yes\nunknowns: [x]\n"
TEMPLATES = {
    "the positive one": HEAD
    + """\
parameters: {k: {from: 2, to: 40}}
constraints: [not is_square(k)]
problem: x^2 = k and x > 0
stem: Find the positive solution of $x^2 = k$, correct to two decimal places.
response: {kind: entry, blanks: {x: {form: decimal, places: 2, tolerance: 0.01}}}
key: x = sqrt(k)
""",
    "a modulus": HEAD
    + """\
parameters: {a: {from: 1, to: 9}, k: {from: 0.5, to: 9.5, places: 1}}
problem: abs(x - a) = k
stem: Solve $problem$.
response: {kind: entry, blanks: {x: {form: decimal, places: 1}}}
key: x = a - k or x = a + k
solution: [{math: abs(x - a) = k, marks: M1}, {math: x = a - k or x = a + k, marks: A1}]
""",
}


@pytest.mark.parametrize("name", TEMPLATES)
def test_decimals_of_such_statements_are_checked_and_proved_on_both_roads(name: str, tmp_path: Path) -> None:
    path = tmp_path / "decimals.yaml"
    path.write_text(TEMPLATES[name], encoding="utf-8")

    assert check(path).ok
    assert 5 == len(list(draw(path, count=5, full_proof=True)))


def test_the_solutions_are_numbers_or_cannot_be_listed() -> None:
    assert {(3,)} == meaning.solutions(maths("x^2 = 9 and x > 0"), ("x",))
    assert {(-1,), (5,)} == meaning.solutions(maths("abs(x - 2) = 3"), ("x",))
    with pytest.raises(CannotDecide, match="whole stretches"):
        meaning.solutions(maths("x^2 < 9"), ("x",))
