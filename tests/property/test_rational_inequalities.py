"""Inequalities with the unknown in a denominator: every road against numbers put in.

Where a divisor is 0 the inequality does not hold.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from itembank.audit import conditions, real_sets
from itembank.audit.latex_reader import read_latex
from itembank.expressions import canonical, numbers, spelling
from itembank.expressions.latex import latex
from itembank.expressions.parser import parse
from itembank.generator import exactly
from itembank.proof import meaning
from itembank.proof.solver import CannotDecide
from itembank.proof.symbolic_numbers import CannotTell, rational
from itembank.proof.symbolic_reading import space
from itembank.proof.symbolic_regions import Stretches, region
from itembank.proof.symbolic_text import piece
from tests.property.test_inequalities import SIGNS, exact, inside
from tests.samples import maths

Linear = tuple[int, int]
_small = st.integers(-5, 5)
linear = st.tuples(_small, _small)
inequalities = st.tuples(linear, linear, st.sampled_from(sorted(SIGNS)), linear, linear)
GRID = tuple(Fraction(n, 12) for n in range(-96, 97))


def text(asked: tuple[Linear, Linear, str, Linear, Linear]) -> str:
    (a, b), (c, d), sign, (e, f), (g, h) = asked
    return f"({a}*x + ({b}))/({c}*x + ({d})) {sign} ({e}*x + ({f}))/({g}*x + ({h}))"


def holds(asked: tuple[Linear, Linear, str, Linear, Linear], x: Fraction) -> bool:
    above, below, sign, other_above, other_below = (
        each if isinstance(each, str) else each[0] * x + each[1] for each in asked
    )
    assert isinstance(below, Fraction)
    assert isinstance(other_below, Fraction)
    if below == 0 or other_below == 0:
        return False
    return SIGNS[str(sign)](Fraction(above) / below, Fraction(other_above) / other_below)


def has_divisors(asked: tuple[Linear, Linear, str, Linear, Linear]) -> bool:
    """Whether some divisor has the letter and all is shown as written: 0/x is tidied to 0, and x/1 to x."""
    return (0, 0) not in asked and any(each[0] for each in (asked[1], asked[4]))


@given(inequalities)
@settings(deadline=None, max_examples=150)
def test_a_number_is_in_the_set_when_it_satisfies_the_inequality(
    asked: tuple[Linear, Linear, str, Linear, Linear],
) -> None:
    assume(has_divisors(asked))
    shown = maths(text(asked))
    found = meaning.region(shown, "x")
    theirs = real_sets.solve(conditions.condition(read_latex(latex(shown))), "x")

    for x in GRID:
        assert holds(asked, x) == inside(found, x)
        place = sum(numbers.compare(x, exact(corner)) > 0 for corner in theirs.corners)
        is_corner = place < len(theirs.corners) and numbers.compare(x, exact(theirs.corners[place])) == 0
        assert holds(asked, x) == (theirs.at[place] if is_corner else theirs.between[place])


@given(inequalities)
@settings(deadline=None, max_examples=100)
def test_the_second_road_finds_the_same(asked: tuple[Linear, Linear, str, Linear, Linear]) -> None:
    assume(has_divisors(asked))
    shown = maths(text(asked))
    first = meaning.region(shown, "x")
    read = piece(spelling.plain(shown))
    second = region(space(("x",)), [read], "x")

    ends = {end for each in first for end in (each.low, each.high) if end is not None}
    assert len(ends) == len(second.corners if isinstance(second, Stretches) else second)
    for x in GRID[::3]:
        assert holds(asked, x) == space(("x",)).holds(read, {"x": rational(x.numerator, x.denominator)})


@given(inequalities)
@settings(deadline=None, max_examples=100)
def test_the_search_finds_the_same(asked: tuple[Linear, Linear, str, Linear, Linear]) -> None:
    assume(has_divisors(asked) and asked[2] != "=")
    found = meaning.region(maths(text(asked)), "x")
    assume(found != meaning.regions.EVERYTHING)

    assert canonical.region(found) == exactly.solution_form(parse(text(asked)), "x", {})


def test_what_cancels_is_no_solution_either() -> None:
    """(x - 1)/(x - 1) is 1 wherever it has a value: everywhere but at 1."""
    found = meaning.region(maths("(x - 1)/(x - 1) > 0"), "x")

    assert "below 1, above 1" == meaning.regions.told(found)


@pytest.mark.parametrize("shown", ["sqrt(x) < 3", "2^x > 8", "1/sqrt(x) < 3"])
def test_roots_and_powers_of_the_unknown_stay_in_equations(shown: str) -> None:
    with pytest.raises(CannotDecide, match="in an equation only"):
        meaning.region(maths(shown), "x")
    with pytest.raises(CannotDecide, match="in an equation only"):
        exactly.solution_form(parse(shown), "x", {})
    with pytest.raises(CannotTell):
        region(space(("x",)), [piece(shown)], "x")
