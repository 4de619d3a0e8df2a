"""Counts by arrays are the counts by going through the box one by one in fractions, tile by tile and loop by loop."""

from __future__ import annotations

import operator
from collections.abc import Callable, Mapping
from fractions import Fraction
from itertools import product
from typing import NamedTuple

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from itembank.generator import counting
from itembank.generator.bound import Bound
from itembank.generator.compiler import make_recipe
from itembank.generator.counting import Counter
from itembank.templates.loader import read_template
from itembank.templates.slips import NO_SLIPS
from itembank.yaml_source import parse

TEMPLATE = """\
template: counted
version: 1
title: Counted
demand: use
calculator: no
unknowns: [x]
parameters:
{PARAMETERS}
derived: {e: a*b - c, s: a + c}
constraints: [{CONSTRAINTS}]
bands: {low: a < 1, high: a >= 1}
problem: x - a = b + c
stem: Solve $x - a = b + c$.
response: {kind: entry, blanks: {x: {form: fraction}}}
key: x = a + b + c
solution: [{math: x = a + b + c}]
"""

NAMES = ("a", "b", "c")
Values = Mapping[str, Fraction]


class Line(NamedTuple):
    """A condition as it is written, and as it is worked out here."""

    text: str
    holds: Callable[[Values], bool]


SIGNS = {
    "<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge, "=": operator.eq, "!=": operator.ne,
}  # fmt: skip
TERMS: dict[str, Callable[[Values], Fraction]] = {
    "a": lambda v: v["a"],
    "b": lambda v: v["b"],
    "c": lambda v: v["c"],
    "e": lambda v: v["a"] * v["b"] - v["c"],
    "a + b": lambda v: v["a"] + v["b"],
    "s - 2*b": lambda v: v["a"] + v["c"] - 2 * v["b"],
    "a*c": lambda v: v["a"] * v["c"],
    "b^2 - 4*c": lambda v: v["b"] ** 2 - 4 * v["c"],
    "abs(c - a)": lambda v: abs(v["c"] - v["a"]),
}


@st.composite
def lines(draw: st.DrawFn) -> Line:
    left, right = draw(st.sampled_from(sorted(TERMS))), draw(st.sampled_from([*sorted(TERMS), "", ""]))
    sign, number = draw(st.sampled_from(sorted(SIGNS))), draw(st.integers(-6, 9))

    def holds(v: Values) -> bool:
        beyond = TERMS[right](v) if right else Fraction(0)
        return bool(SIGNS[sign](TERMS[left](v), beyond + number))

    return Line(f"{left} {sign} {right} + ({number})" if right else f"{left} {sign} {number}", holds)


@st.composite
def boxes(draw: st.DrawFn) -> tuple[list[Fraction], ...]:
    """The values of the parameters, whole ones or halves, 2000 assignments and more; a parameter may have only one."""
    lengths = draw(st.sampled_from([(13, 13, 13), (1, 41, 50), (47, 1, 45), (60, 35, 1), (2, 20, 51)]))
    steps = st.sampled_from([Fraction(1), Fraction(1, 2)])
    found = []
    for length in lengths:
        step = draw(steps)
        first = draw(st.integers(-length, 3)) * step
        found.append([first + index * step for index in range(length)])
    return tuple(found)


@given(
    boxes(),
    st.lists(lines(), min_size=1, max_size=3, unique_by=lambda line: line.text),
    st.sampled_from([(1 << 20, 1 << 14), (700, 64), (60, 7)]),
)
@settings(
    max_examples=30,
    phases=[Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
def test_arrays_find_the_assignments_that_fulfil_every_line(
    monkeypatch: pytest.MonkeyPatch,
    box: tuple[list[Fraction], ...],
    conditions: list[Line],
    sizes: tuple[int, int],
) -> None:
    monkeypatch.setattr(counting, "BLOCK", sizes[0])
    monkeypatch.setattr(counting, "TILE", sizes[1])
    parameters = "\n".join(
        f"  {name}: {{values: [{', '.join(map(str, values))}]}}"
        for name, values in zip(NAMES, box, strict=True)
    )
    told = ", ".join(f'"{line.text}"' for line in conditions)
    text = TEMPLATE.replace("{PARAMETERS}", parameters).replace("{CONSTRAINTS}", told)
    bound = Bound(make_recipe(read_template(parse(text.encode(), "counted.yaml"), NO_SLIPS).template))
    counter = Counter(bound)
    by_hand = [
        values
        for values in product(*box)
        if all(line.holds(dict(zip(NAMES, values, strict=True))) for line in conditions)
    ]

    found = [
        tuple(bound.values(arguments)[name] for name in NAMES)
        for block in counter.survivors()
        for arguments in block
    ]

    assert counter._arrays(counter.conditions) is not None
    assert sorted(by_hand) == sorted(found)
    assert len(by_hand) == counter.number()
    count = counter.count()
    assert (len(by_hand), len(by_hand)) == (count.allowed, count.feasible)
    assert (sum(a < 1 for a, _, _ in by_hand), sum(a >= 1 for a, _, _ in by_hand)) == count.bands
