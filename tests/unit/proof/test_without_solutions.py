"""Lines of problems without solutions: solution sets, all empty, cannot tell them apart; every road compares them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from itembank.audit.verify import audit_item
from itembank.expressions.display import Maths
from itembank.expressions.spelling import plain
from itembank.items import Item
from itembank.proof.prover import faults, prove
from itembank.proof.symbolic import prove_with_sympy
from itembank.writers.qti3 import item_xml
from tests.kinds_bank import bound_of, walk_items
from tests.samples import maths


def template(unknowns: str, problem: str, *lines: str) -> str:
    """A template of one assignment whose key is none, for an answer in writing."""
    return "\n".join([
        "template: nothing", "version: 1", "title: Nothing to be found", "topics: [quadratics]",
        f"unknowns: [{unknowns}]",
        "parameters: {a: [2], b: [3], c: [7], d: [5], h: [6]}", f"problem: {problem}",
        "stem: Solve $problem$.", "response: {kind: written, lines: 6, marks: 1}", "key: none", "solution:",
        *(f"  - {line if ': ' in line else f'math: {line}'}" for line in lines),
        "  - {math: none, marks: A1}",
    ])  # fmt: skip


MISS = template(
    "x, y", "y = x^2 + a*x + c and y = b*x + d",
    "x^2 + a*x + c = b*x + d", "x^2 - value(b - a)*x + value(c - d) = 0",
    "y = x^2 + a*x + c and x^2 + a*x + c = b*x + d", "(y - d)^2/value(b^2) + a*(y - d)/b + c = y",
    "aside: discriminant(x^2 - value(b - a)*x + value(c - d)) < 0",
)  # fmt: skip
CIRCLE = template(
    "x, y", "x^2 + y^2 = a and x + y = c", "aside: y = c - x", "x^2 + (c - x)^2 = a",
    "2*x^2 - value(2*c)*x + value(c^2 - a) = 0",
)  # fmt: skip
PARALLEL = template(
    "x, y", "a*x + b*y = c and h*x + value(3*b)*y = d",
    "h*x + value(3*b)*y = value(3*c) and h*x + value(3*b)*y = d", "aside: y = value(c/b) - value(a/b)*x",
)  # fmt: skip
NEVER = template(
    "x", "x^2 - h*x + value(h^2/4 + d) < 0", "(x - value(h/2))^2 + d < 0", "(x - value(h/2))^2 < -d"
)
LETTER = template(
    "x", "x^4 + h*x^2 + value(h^2/4 + d) = 0", "let: u = x^2", "u^2 + h*u + value(h^2/4 + d) = 0",
    "(u + value(h/2))^2 = -d",
)  # fmt: skip
SIDE = template(
    "x", "x^2 - h*x + value(h^2/4 + d) = 0", "aside: x^2 - h*x = (x - value(h/2))^2 - value(h^2/4)",
    "aside: discriminant(x^2 - h*x + value(h^2/4 + d)) = value(-4*d)", "(x - value(h/2))^2 = -d",
)  # fmt: skip
QUARTIC = template(
    "x", "(x^2 + a)*(x^2 + d) = 0", "x^4 + value(a + d)*x^2 + value(a*d) = 0", "x^2 + a = 0 or x^2 + d = 0"
)
EVERY = {"miss": MISS, "circle": CIRCLE, "parallel": PARALLEL, "never": NEVER, "letter": LETTER, "side": SIDE,
         "quartic": QUARTIC}  # fmt: skip


@pytest.fixture
def made(request: pytest.FixtureRequest, tmp_path: Path) -> Item:
    file = tmp_path / "t.yaml"
    file.write_text(EVERY[request.param], "utf-8")
    return next(walk_items(bound_of(file)))


def spoiled(given: Item) -> Iterator[tuple[int, Item]]:
    """(line, the item with one number of it one more)."""
    (part,) = given.parts
    for at, line in enumerate(part.solution):
        if line.maths is None or line.kind == "let" or (line.kind == "aside" and "<" in plain(line.maths)):
            continue  # what is less than 0 may be so with another number too
        numbers = line.maths.numbers
        for hole, number in enumerate(numbers):
            assert isinstance(number, int | Fraction)
            shown = Maths(line.maths.shape, (*numbers[:hole], number + 1, *numbers[hole + 1 :]))
            lines = (*part.solution[:at], line._replace(maths=shown), *part.solution[at + 1 :])
            yield at, replace(given, parts=(replace(part, solution=lines),))


@pytest.mark.parametrize("made", EVERY, indirect=True)
def test_what_follows_passes_on_every_road(made: Item) -> None:
    assert () == faults(prove(made)) == faults(prove_with_sympy(made))
    assert () == audit_item(item_xml(made).encode(), "items/X.xml")[1]


@pytest.mark.parametrize("made", EVERY, indirect=True)
def test_a_changed_number_of_a_line_is_seen_on_every_road(made: Item) -> None:
    tried = 0
    for at, changed in spoiled(made):
        told = changed.parts[0].solution[at].maths
        for prover in (prove, prove_with_sympy):
            assert [("solution-line", at)] == [(f.code, f.place) for f in faults(prover(changed))], told
        assert [f"line {at + 1}"] == [
            fault.place for fault in audit_item(item_xml(changed).encode(), "items/X.xml")[1]
        ], told
        tried += 1
    assert tried >= 3


@pytest.mark.parametrize(("made", "line"), [
    ("miss", "y = x^2 + 2*x + 7 or y = 3*x + 5"), ("miss", "y^2 = x^2 + 12"), ("parallel", "7/3 - 2/3*x = 5/9 - 2/3*x"),
    ("quartic", "(x^2 + 2)*(x^2 + 5)*(x^2 + 1) = 0"), ("side", "(x - 3)^4 = -1"),
], indirect=["made"])  # fmt: skip
def test_what_cannot_be_compared_is_held_to_nothing(made: Item, line: str) -> None:
    (part,) = made.parts
    shown = (part.solution[0]._replace(kind="main", maths=maths(line)), *part.solution[1:])
    changed = replace(made, parts=(replace(part, solution=shown),))

    first, second = (
        [type(f.verdict).__name__ for f in faults(prover(changed)) if "another" in str(f.verdict)]
        for prover in (prove, prove_with_sympy)
    )
    assert [] == first == second
