"""The solver on quadratics in a power of the unknown, beside FLINT's factors of the same polynomial."""

from __future__ import annotations

import pytest
from flint import fmpq_poly

from itembank.expressions import numbers, polynomials
from itembank.expressions.numbers import Surd
from itembank.expressions.polynomials import Polynomial
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
        solve([polynomial(1, 0, 0, -8)], ["x"])


def test_the_root_nought_is_kept_beside_the_others() -> None:
    found = {value for (value,) in solve([polynomial(1, 0, -4, 0, 0)], ["x"])}

    assert found == {-2, 0, 2}
    assert not any(isinstance(value, Surd) for value in found)
