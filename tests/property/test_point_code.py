"""Points by integer code: the form is that of the exact reading, whatever the numbers."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.errors import DomainError
from itembank.expressions.canonical import point_set
from itembank.expressions.numbers import add, multiply
from itembank.generator.runtime import meeting
from itembank.proof.solver import CannotDecide, quadratic_roots

NUMBERS = st.integers(-12, 12)
BELOW = st.integers(1, 4)


@given(
    NUMBERS, NUMBERS, NUMBERS, st.tuples(NUMBERS, BELOW), st.tuples(NUMBERS, BELOW), st.sampled_from([0, 1])
)
@settings(deadline=None, max_examples=800)
def test_points_of_a_line_and_a_curve(
    a: int, b: int, c: int, start: tuple[int, int], slope: tuple[int, int], at: int
) -> None:
    try:
        roots = quadratic_roots(a, b, c)
    except (CannotDecide, DomainError):
        try:
            meeting(a, b, c, *start, *slope, at)
        except DomainError:
            return
        raise AssertionError("every number is a solution") from None
    pairs = [(t, add(Fraction(*start), multiply(Fraction(*slope), t))) for t in roots]

    assert point_set([(x, y) if at else (y, x) for x, y in pairs]) == meeting(a, b, c, *start, *slope, at)
