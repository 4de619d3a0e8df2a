"""The solver above degree 2: quadratics in a power, what is left beside rational roots; FLINT is the judge."""

from __future__ import annotations

from fractions import Fraction

import pytest
from flint import fmpq_poly, fmpz_poly
from hypothesis import given
from hypothesis import strategies as st

from itembank.audit.findings import CannotTell
from itembank.audit.polynomials import Polynomial as AuditPolynomial
from itembank.audit.real_sets import roots
from itembank.expressions import numbers, polynomials
from itembank.expressions.numbers import Exact, Surd
from itembank.expressions.polynomials import Polynomial
from itembank.proof.rational_roots import count_real_roots
from itembank.proof.solver import CannotDecide, solve


def polynomial(*coefficients: int) -> Polynomial:
    """From the highest power."""
    x, total = polynomials.letter("x"), polynomials.ZERO
    for coefficient in coefficients:
        total = polynomials.add(polynomials.multiply(total, x), polynomials.number(coefficient))
    return total


@pytest.mark.parametrize("p", range(1, 5))
@pytest.mark.parametrize("r", [-7, -4, 0, 2, 4, 9, 12])
def test_a_quadratic_in_the_square_has_the_roots_of_its_factors(p: int, r: int) -> None:
    coefficients = (1, 0, -(p * p + r), 0, p * p * r)

    found = {value for (value,) in solve([polynomial(*coefficients)], ["x"])}

    _, factors = fmpq_poly(list(reversed(coefficients))).numer().factor()
    real = sum(2 if f.degree() == 2 and f[0] < 0 else f.degree() % 2 for f, _ in factors)
    assert len(found) == real
    for value in found:
        square = numbers.multiply(value, value)
        assert square in {p * p, r}


def test_a_root_of_a_root_is_not_guessed() -> None:
    with pytest.raises(CannotDecide):
        solve([polynomial(1, 0, -2, 0, -1)], ["x"])


def test_powers_that_are_no_squares_are_not_guessed() -> None:
    with pytest.raises(CannotDecide):
        solve([polynomial(1, 0, 0, -9)], ["x"])


def test_the_root_nought_is_kept_beside_the_others() -> None:
    found = {value for (value,) in solve([polynomial(1, 0, -4, 0, 0)], ["x"])}

    assert found == {-2, 0, 2}
    assert not any(isinstance(value, Surd) for value in found)


def _real_roots(made: fmpz_poly) -> int:
    """How many distinct real roots, by FLINT's complex ones."""
    return sum(root.imag.is_zero() or root.imag.contains(0) for root, _ in made.complex_roots())


@given(
    st.lists(st.tuples(st.integers(-9, 9), st.integers(1, 4)), min_size=1, max_size=3),
    st.sampled_from(
        [
            (1,),
            (1, 0, 1),
            (1, -2, -4),
            (2, 2, 1),
            (1, 0, -7),
            (1, 0, -5, 0, 6),
            (1, 3, 7, 6, 4),
            (1, 1, 1, 1, 1),
        ]
    ),
)
def test_rational_roots_are_split_off_and_the_rest_is_solved(
    pairs: list[tuple[int, int]], rest: tuple[int, ...]
) -> None:
    made = fmpz_poly(list(reversed(rest)))
    for n, d in pairs:
        made *= fmpz_poly([-n, d])
    coefficients = [int(value) for value in reversed(list(made))]

    found = [value for (value,) in solve([polynomial(*coefficients)], ["x"])]

    assert len(set(found)) == len(found) == _real_roots(made)
    assert {Fraction(n, d) for n, d in pairs} <= set(found)
    for value in found:
        total: Exact = 0
        for coefficient in coefficients:
            total = numbers.add(numbers.multiply(total, value), coefficient)
        assert total == 0


@pytest.mark.parametrize("coefficients", [(1, 0, 0, -2), (1, 0, -3, 1), (1, 1, 1, 1, 1, 3)])
def test_what_has_no_rational_root_to_split_off_is_not_guessed(coefficients: tuple[int, ...]) -> None:
    with pytest.raises(CannotDecide):
        solve([polynomial(*coefficients)], ["x"])


@given(st.lists(st.lists(st.integers(-9, 9), min_size=1, max_size=4), min_size=1, max_size=3))
def test_real_roots_are_counted_without_being_found(factors: list[list[int]]) -> None:
    made = fmpz_poly([1])
    for factor in factors:
        made *= fmpz_poly([*factor, 1])

    assert _real_roots(made) == count_real_roots([int(value) for value in reversed(list(made))])


@given(st.lists(st.integers(-9, 9), min_size=3, max_size=6))
def test_the_audit_says_that_there_are_no_roots_just_where_there_are_none(below: list[int]) -> None:
    made = fmpz_poly([*below, 1])
    x: AuditPolynomial = {
        (("x", power),) if power else (): value for power, value in enumerate([*below, 1]) if value
    }

    try:
        found = [root for root, _ in roots(x, "x")]
    except CannotTell:
        assert _real_roots(made)
    else:
        assert len(found) == _real_roots(made)


def test_a_quadratic_in_a_cube_has_the_roots_of_its_cubes() -> None:
    assert {(1,), (2,)} == solve([polynomial(1, 0, 0, -9, 0, 0, 8)], ["x"])
