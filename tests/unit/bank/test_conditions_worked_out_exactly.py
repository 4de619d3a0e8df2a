"""Conditions that the search cannot compile whole, and those that it looks through with arrays."""

from __future__ import annotations

from collections.abc import Callable
from math import gcd, lcm

import pytest

from itembank.bank.bank import Entry
from itembank.bank.review import review
from itembank.generator.compiler import make_recipe
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.yaml_source import parse

TEMPLATE = """\
template: halves
version: 1
title: Add one
parameters: {e: {from: 0, to: 2, denominators: [1, 2]}}
constraints:
  - e != 1
  - CONDITION
problem: e + 1
stem: Work out $problem$.
response: {kind: written, marks: 1}
key: value(e + 1)
solution: [{math: value(e + 1), marks: M1}]
"""


@pytest.mark.parametrize(
    ("condition", "left"),
    [
        ("e > 0 and sqrt(e) < 1", 1),
        ("e = 0 or sqrt(e) > 1", 3),
        ("e > 0 and (e < 1 or sqrt(2*e) > 1) and e < 2", 2),
        ("integer_valued(e) and max(sqrt(e), 1) = 1", 1),
    ],
)
def test_a_condition_compiled_half_way_leaves_nothing_behind(condition: str, left: int) -> None:
    text = TEMPLATE.replace("CONDITION", condition)
    template = read_template(parse(text.encode(), "halves.yaml"), NO_SLIPS).template

    assert left == review(Entry(make_recipe(template), "", "halves.yaml")).count.feasible


WIDE = """\
template: wide
version: 1
title: Add one
parameters: {a: {from: -29, to: 30}, b: {from: -19, to: 20}}
constraints: [CONDITION]
problem: keep(a + b)
stem: Work out $problem$.
response: {kind: written, marks: 1}
key: value(a + b)
solution: [{math: value(a + b), marks: M1}]
"""


@pytest.mark.parametrize(
    ("condition", "holds"),
    [
        ("gcd(a, b) = 3", lambda a, b: gcd(a, b) == 3),
        ("lcm(a, b) < 30", lambda a, b: lcm(a, b) < 30),
        ("lcm(6, 4) > a", lambda a, b: a < 12),
        ("min(a, b, 0) = max(a, b) - 5", lambda a, b: min(a, b, 0) == max(a, b) - 5),
        ("mod(a, 7) = abs(b)", lambda a, b: a % 7 == abs(b)),
        ("round(a/4) = b", lambda a, b: (2 * abs(a) + 4) // 8 * (1 if a > 0 else -1) == b),
        ("numerator(a/6) < denominator(a/6)", lambda a, b: a < 6),
    ],
)
def test_every_function_says_the_same_in_a_box_that_is_searched_whole(
    condition: str, holds: Callable[[int, int], bool]
) -> None:
    """Boxes of some thousand assignments are looked through with arrays, against Python's own functions here."""
    text = WIDE.replace("CONDITION", f"'{condition}'")
    template = read_template(parse(text.encode(), "wide.yaml"), NO_SLIPS).template
    expected = sum(holds(a, b) for a in range(-29, 31) for b in range(-19, 21))

    assert expected == review(Entry(make_recipe(template), "", "wide.yaml")).count.allowed


@pytest.mark.parametrize("conditions", ["a > 30, a < 5", "a > 30, b < 5", "1/(b - b) > 0, a < 5, b < 5"])
def test_a_box_of_which_one_condition_leaves_nothing_is_told(conditions: str) -> None:
    text = WIDE.replace("CONDITION", conditions)
    template = read_template(parse(text.encode(), "wide.yaml"), NO_SLIPS).template

    found = review(Entry(make_recipe(template), "", "wide.yaml"))

    assert 0 == found.count.allowed
    assert "no-values" in {each.code for each in found.diagnostics}
