"""Statements with moduli, each read twice, on every road: numbers put in, and worked examples of a textbook."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from lxml import etree

from itembank.audit import conditions, real_sets
from itembank.audit.content_reader import read_content
from itembank.errors import DomainError
from itembank.expressions import canonical, numbers, spelling
from itembank.expressions.mathml import content
from itembank.expressions.parser import parse
from itembank.generator import exactly
from itembank.proof import identity, meaning, regions
from itembank.proof.solver import CannotDecide
from itembank.proof.symbolic_reading import space
from itembank.proof.symbolic_regions import region
from itembank.proof.symbolic_text import piece
from tests.audit_samples import MATHML
from tests.property.test_inequalities import SIGNS, exact, inside
from tests.samples import maths

_small = st.integers(-5, 5)
_signs = st.sampled_from(sorted(SIGNS))
Side = Callable[[Fraction], Fraction]


@st.composite
def sides(draw: st.DrawFn) -> tuple[str, Side]:
    """An expression with at most two moduli, as text and as a function."""
    a, b, c = draw(st.tuples(_small, _small, _small))
    match draw(st.integers(0, 4)):
        case 0:
            return f"({a})*x + ({b})", lambda x: a * x + b
        case 1:
            return f"abs(({a})*x + ({b}))", lambda x: abs(a * x + b)
        case 2:
            return f"({c}) + ({b})*abs(x - ({a}))", lambda x: c + b * abs(x - a)
        case 3:
            return f"abs(x^2 + ({b})*x + ({c}))", lambda x: abs(x * x + b * x + c)
        case _:
            return f"abs(abs(x) - ({a}))", lambda x: abs(abs(x) - a)


def tried(found: regions.Region) -> list[Fraction]:
    """Quarters around the origin, and the rational ends themselves."""
    ends = [end for each in found for end in (each.low, each.high) if isinstance(end, int | Fraction)]
    return [*(Fraction(n, 4) for n in range(-45, 46)), *map(Fraction, ends)]


@given(sides(), _signs, sides())
@settings(deadline=None, max_examples=200)
def test_every_road_finds_the_numbers_that_satisfy_it(
    left: tuple[str, Side], sign: str, right: tuple[str, Side]
) -> None:
    shown = maths(f"{left[0]} {sign} {right[0]}")
    try:
        first = meaning.region(shown, "x")
    except CannotDecide:  # above the second degree, or a coefficient that has no plain root
        return
    second = region(space(("x",)), [piece(spelling.plain(shown))], "x")
    audited = read_content(etree.fromstring(f'<x xmlns="{MATHML}">{content(shown)}</x>')[0])
    third = real_sets.solve(conditions.condition(audited), "x")

    finite = regions.points(first)
    assert (finite is None) == (third.points is None) == (not isinstance(second, frozenset))
    if finite is not None and third.points is not None and isinstance(second, frozenset):
        assert len(finite) == len(third.points) == len(second)
    for x in tried(first):
        holds = SIGNS[sign](left[1](x), right[1](x))
        assert holds == inside(first, x)
        place = sum(numbers.compare(x, exact(corner)) > 0 for corner in third.corners)
        is_corner = place < len(third.corners) and numbers.compare(x, exact(third.corners[place])) == 0
        assert holds == (third.at[place] if is_corner else third.between[place])


@given(sides(), _signs, sides())
@settings(deadline=None, max_examples=100)
def test_a_key_or_slip_with_moduli_comes_out_as_what_the_proof_finds(
    left: tuple[str, Side], sign: str, right: tuple[str, Side]
) -> None:
    text = f"{left[0]} {sign} {right[0]}"
    assume("abs" in text)
    try:
        found = meaning.region(maths(text), "x")
    except CannotDecide:
        return
    if found == regions.EVERYTHING:
        with pytest.raises(DomainError, match="every number is a solution"):
            exactly.solution_form(parse(text), "x", {})
    else:
        assert canonical.region(found) == exactly.solution_form(parse(text), "x", {})


TEXTBOOK = {
    "abs(6*x + 4) = 8": "x = -2 or x = 2/3",
    "abs(3*x + 4) = -9": "none",
    "abs(3*x - 5) - 4 = 6": "x = -5/3 or x = 5",
    "abs(-5*x + 10) = 0": "x = 2",
    "abs(x - 5) <= 4": "1 <= x <= 9",
    "abs(2*x - 5) < 7": "-1 < x < 6",
    "abs(3*x - 4) >= 5": "x <= -1/3 or x >= 3",
}
"""Source: OpenStax, College Algebra, sections on absolute value equations and inequalities (from memory)."""


@pytest.mark.parametrize("problem", TEXTBOOK)
def test_worked_examples_come_out(problem: str) -> None:
    key = maths(TEXTBOOK[problem]) if TEXTBOOK[problem] != "none" else None
    found = identity.of_solutions(maths(problem), ("x",))

    assert found == (identity.EMPTY if key is None else identity.of_solutions(key, ("x",)))


@pytest.mark.parametrize(
    ("problem", "key"),
    [
        ("abs(x - 3) = 5", "x = 8"),
        ("abs(x - 3) = 5", "x = -8 or x = 2"),
        ("abs(x - 3) < 5", "x < 8"),
        ("abs(x - 3) < 5", "-2 <= x <= 8"),
        ("2*abs(x - 1) = abs(x + 4)", "x = 6"),
    ],
)
def test_what_is_not_the_solution_set_differs(problem: str, key: str) -> None:
    assert identity.of_solutions(maths(problem), ("x",)) != identity.of_solutions(maths(key), ("x",))


def test_too_many_moduli_are_not_waited_for() -> None:
    many = " + ".join(f"abs(x - {n})" for n in range(1, 7))

    with pytest.raises(CannotDecide, match="moduli"):
        meaning.region(maths(f"{many} = 30"), "x")


def test_a_modulus_of_two_unknowns_is_told() -> None:
    with pytest.raises(CannotDecide, match="one unknown only"):
        meaning.solutions(maths("abs(x + y) = 3 and x = y"), ("x", "y"))
