from __future__ import annotations

import subprocess
import sys

import pytest

from itembank.errors import BoundExceeded, DomainError
from itembank.properties import integer_tests
from itembank.properties.integer_tests import FACTOR_BOUND, INTEGER_TESTS, split_square, square_free_part


@pytest.mark.parametrize(
    ("n", "outside", "inside"),
    [(1, 1, 1), (2, 1, 2), (4, 2, 1), (8, 2, 2), (12, 2, 3), (72, 6, 2), (97 * 101, 1, 9797),
     (101**2, 101, 1), (97**3, 97, 97), (10**6, 1000, 1), (10**6 + 1, 1, 1_000_001),
     (2**49, 2**24, 2), (10**15, 10**7, 10)],
)  # fmt: skip
def test_a_radicand_is_split_into_its_square_and_the_rest(n: int, outside: int, inside: int) -> None:
    assert (outside, inside) == split_square(n)
    assert inside == square_free_part(n)


@pytest.mark.parametrize("n", [0, -1, -72])
def test_only_positive_integers_are_split(n: int) -> None:
    with pytest.raises(DomainError, match=f"not {n}"):
        split_square(n)


@pytest.mark.parametrize("n", [FACTOR_BOUND + 1, 10**300])
def test_a_number_above_the_bound_is_refused_and_not_waited_for(n: int) -> None:
    with pytest.raises(BoundExceeded, match="above 10\\^15"):
        split_square(n)


def test_splitting_again_needs_no_second_division() -> None:
    n = 999_999_999_989
    split_square(n)
    hits = split_square.cache_info().hits
    split_square(n)

    assert hits + 1 == split_square.cache_info().hits


@pytest.mark.parametrize("name", ["squarefree", "simplest_surd", "simplifiable_surd"])
def test_fractions_and_negative_numbers_need_no_bound(name: str) -> None:
    assert INTEGER_TESTS[name](-(10**40)) is False
    assert INTEGER_TESTS[name](10**40 + 1, 10) is False


def test_squares_of_any_size_are_told_from_their_neighbours() -> None:
    root = 10**50 + 7

    assert integer_tests.is_square(root * root)
    assert not integer_tests.is_square(root * root + 1)
    assert not integer_tests.is_square(root * root - 1)


def test_coefficients_of_any_size_are_decided_exactly() -> None:
    p, q = 10**40 + 1, 10**40 + 3

    assert integer_tests.factorable(1, -(p + q), p * q)
    assert integer_tests.irrational_roots(1, -(p + q), p * q - 1)
    assert integer_tests.integer_roots(7, -7 * (p + q), 7 * p * q, 13)
    assert integer_tests.repeated_root(1, -2 * p, p * p)
    assert integer_tests.no_real_roots(1, -2 * p, p * p + 1)


def test_fewer_than_two_numbers_cannot_be_asked_to_be_coprime() -> None:
    with pytest.raises(TypeError):
        integer_tests.coprime(3)  # type: ignore[call-arg]


def test_every_test_is_a_public_function_of_the_module_under_its_propertys_name() -> None:
    for name, test in INTEGER_TESTS.items():
        assert test is getattr(integer_tests, name)
        assert name in integer_tests.__all__


def test_search_and_proof_load_neither_each_other_nor_the_heavy_libraries() -> None:
    script = (
        "import sys, itembank.properties.integer_tests as search;"
        "assert not {'numpy', 'sympy', 'itembank.proof.claims'} & sys.modules.keys();"
        "del sys.modules['itembank.properties.integer_tests'], search;"
        "import itembank.proof.claims;"
        "loaded = sys.modules.keys();"
        "assert not {'numpy', 'sympy'} & loaded;"
        "assert not {'itembank.properties.integer_tests', 'itembank.properties.array_tests'} & loaded"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)

    assert not run.stderr
    assert run.returncode == 0
