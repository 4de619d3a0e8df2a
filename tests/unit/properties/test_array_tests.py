from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from itembank.errors import BoundExceeded, DomainError
from itembank.properties import array_tests, integer_tests
from itembank.properties.array_tests import ARRAY_TESTS, NUMBER_BOUND, POLYNOMIAL_BOUND
from itembank.properties.catalogue import PROPERTIES
from itembank.properties.integer_tests import INTEGER_TESTS

ONE_INPUT = {"polynomial": (1, 2, 3), "number": (3,), "integers": (3, 4), "fraction": (3, 4)}
EMPTY_INPUT = {kind: tuple([] for _ in values) for kind, values in ONE_INPUT.items()}
BOUND = dict.fromkeys(ONE_INPUT, NUMBER_BOUND) | {"polynomial": POLYNOMIAL_BOUND}


@pytest.mark.parametrize("name", ARRAY_TESTS)
def test_numbers_alone_give_an_array_without_dimensions(name: str) -> None:
    found = ARRAY_TESTS[name](*ONE_INPUT[PROPERTIES[name].takes])

    assert isinstance(found, np.ndarray)
    assert (np.bool_, ()) == (found.dtype, found.shape)


@pytest.mark.parametrize("name", ARRAY_TESTS)
def test_no_inputs_give_no_answers(name: str) -> None:
    found = ARRAY_TESTS[name](*EMPTY_INPUT[PROPERTIES[name].takes])

    assert (np.bool_, (0,)) == (found.dtype, found.shape)


@pytest.mark.parametrize("name", [name for name, entry in PROPERTIES.items() if entry.takes == "polynomial"])
def test_a_column_and_a_row_give_a_table(name: str) -> None:
    b, c = np.arange(-5, 6)[:, None], np.arange(-7, 8)
    expected = [[INTEGER_TESTS[name](2, int(p), int(q), 2) for q in c] for p in b[:, 0]]

    assert expected == ARRAY_TESTS[name](2, b, c, 2).tolist()


@pytest.mark.parametrize("name", ARRAY_TESTS)
@pytest.mark.parametrize("sign", [1, -1])
def test_the_bound_is_allowed_and_one_more_is_refused(name: str, sign: int) -> None:
    takes = PROPERTIES[name].takes
    largest = sign * BOUND[takes]
    _, *others = ONE_INPUT[takes]
    if sign == 1 and name in ("squarefree", "simplest_surd", "simplifiable_surd"):
        others = [10**9]

    assert INTEGER_TESTS[name](largest, *others) is ARRAY_TESTS[name](largest, *others).item()
    with pytest.raises(BoundExceeded, match=str(BOUND[takes])):
        ARRAY_TESTS[name](largest + sign, *others)


@pytest.mark.parametrize("beyond", [2**63, 2**64, -(2**63) - 1, 10**40])
def test_integers_that_do_not_fit_64_bits_are_refused_and_do_not_wrap_round(beyond: int) -> None:
    with pytest.raises(BoundExceeded):
        array_tests.is_square([4, beyond])


@pytest.mark.parametrize("values", [[1.0, 4.0], [True, False], ["4"], [None], [1, 2**70, 0.5]])
def test_what_is_no_integer_is_refused(values: list[object]) -> None:
    with pytest.raises(DomainError, match="take integers"):
        array_tests.is_square(values)  # type: ignore[arg-type]


@pytest.mark.parametrize("kind", [np.int8, np.int16, np.uint8, np.int32, np.uint64, object])
def test_narrow_unsigned_and_object_integers_are_widened_first(kind: type) -> None:
    b, c = np.array([100, 20, 0], dtype=kind), np.array([99, 100, 1], dtype=kind)
    expected = [True, True, False]

    assert expected == array_tests.factorable(1, b, c).tolist()


@pytest.mark.parametrize("name", [name for name, entry in PROPERTIES.items() if entry.takes == "polynomial"])
def test_discriminants_at_the_bound_do_not_overflow(name: str) -> None:
    edge = [-POLYNOMIAL_BOUND, 1 - POLYNOMIAL_BOUND, -1, 0, 1, POLYNOMIAL_BOUND - 1, POLYNOMIAL_BOUND]
    inputs = list(product(edge, edge, edge, [1, POLYNOMIAL_BOUND]))
    expected = [INTEGER_TESTS[name](*values) for values in inputs]

    assert expected == ARRAY_TESTS[name](*zip(*inputs, strict=True)).tolist()


def test_squares_are_told_from_their_neighbours_over_the_whole_range() -> None:
    roots = np.array([*range(3000), *(2**k for k in range(12, 30)), *(10**9 - k for k in range(500))])
    around = [roots * roots + shift for shift in (-1, 0, 1)]
    for numbers in (values[values <= NUMBER_BOUND] for values in around):
        expected = [integer_tests.is_square(int(n)) for n in numbers]

        assert len(expected) > 3500
        assert expected == array_tests.is_square(numbers).tolist()


def test_squarefree_numbers_within_and_above_the_table_agree_with_single_tests() -> None:
    numbers = np.concatenate(
        [np.arange(-3, 3000), np.arange(10**7 - 50, 10**7 + 50), np.arange(10**12, 10**12 + 60)]
    )
    for name in ("squarefree", "simplest_surd", "simplifiable_surd"):
        expected = [INTEGER_TESTS[name](int(n)) for n in numbers]

        assert expected == ARRAY_TESTS[name](numbers).tolist()


def test_repeated_large_numbers_keep_their_places_in_a_table() -> None:
    numbers = np.array([[10**9 + 7, 4 * (10**9 + 7), 6], [4 * (10**9 + 7), 12, 10**9 + 7]])
    expected = [[True, False, True], [False, False, True]]

    assert expected == array_tests.squarefree(numbers).tolist()


def test_the_arrays_given_are_left_as_they_were() -> None:
    a, b, c = given = np.array([[1, 2], [-4, 5], [4, 3]])
    before = given.tolist()
    for name in ("integer_roots", "perfect_square", "factorable"):
        ARRAY_TESTS[name](a, b, c)
    for name in ("is_square", "simplifiable_surd", "terminating_decimal"):
        ARRAY_TESTS[name](b, a)

    assert before == given.tolist()


def test_an_answer_may_be_written_to_without_spoiling_the_next_one() -> None:
    for name in ("is_square", "squarefree"):
        first = ARRAY_TESTS[name]([4, 5])
        expected = first.tolist()
        first[:] = ~first

        assert expected == ARRAY_TESTS[name]([4, 5]).tolist()
