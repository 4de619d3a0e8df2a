"""Every property of the catalogue, four times over: search, counting, proof, and brute force.

The oracles here enumerate from the definitions: they multiply linear factors out, look for sign changes on a
fine grid, try every divisor. They know no discriminant, no integer root and no gcd.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import cache
from itertools import product

import flint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.errors import BoundExceeded
from itembank.proof.arithmetic import factorise, floor_root
from itembank.proof.claims import CLAIMS, prove
from itembank.properties import array_tests, integer_tests
from itembank.properties.array_tests import ARRAY_TESTS
from itembank.properties.catalogue import DEGENERATE_INPUTS, PROPERTIES
from itembank.properties.integer_tests import INTEGER_TESTS, split_square, square_free_part
from itembank.verdicts import Proved, Refuted, Verdict

Numbers = tuple[int, ...]

exactly = settings(derandomize=True, deadline=None, max_examples=300)

# ---- the full small grids ---------------------------------------------------------------------------------

POLYNOMIAL_PROPERTIES = [name for name, entry in PROPERTIES.items() if entry.takes == "polynomial"]

POLYNOMIALS = list(product(range(-4, 5), range(-8, 9), range(-8, 9), range(1, 5)))
NUMBERS = list(product(range(-60, 201), range(1, 7)))
PAIRS = list(product(range(-12, 13), repeat=2))
TRIPLES = list(product(range(-6, 7), repeat=3))
GRIDS: dict[str, list[list[Numbers]]] = {
    "polynomial": [POLYNOMIALS],
    "number": [NUMBERS],
    "integers": [PAIRS, TRIPLES],
    "fraction": [PAIRS],
}

# ---- oracles: polynomials with |a| <= 4, |b|, |c| <= 8 ----------------------------------------------------

RATIONALS = sorted({Fraction(p, q) for p in range(-8, 9) for q in range(1, 5)})
PRODUCTS = {
    (p * r, p * s + q * r, q * s)
    for p, r in product([n for n in range(-4, 5) if n], repeat=2)
    for q, s in product(range(-8, 9), repeat=2)
}
SQUARES = {
    (first * first, 2 * first * second, second * second)
    for first in {Fraction(u, v) for u in range(1, 9) for v in range(1, 5)}
    for second in {Fraction(u, v) for u in range(-12, 13) for v in range(1, 5)}
}


@cache
def rational_zeros(a: int, b: int, c: int) -> list[Fraction]:
    """All rational zeros of a non-constant polynomial: p divides c (or b, where c = 0), q divides a or b."""
    wide = RATIONALS if a else [Fraction(p, q) for p in range(-8, 9) for q in range(1, 9)]
    ratios = {(r.numerator, r.denominator) for r in wide}
    return sorted(Fraction(p, q) for p, q in ratios if a * p * p + b * p * q + c * q * q == 0)


@cache
def crosses_the_axis(a: int, b: int, c: int) -> bool:
    """Whether a quadratic takes both signs: its zeros lie within -9..9, two of them at least 1/4 apart."""
    values = (a * k * k + 8 * b * k + 64 * c for k in range(-80, 81))
    return any(value < 0 if a > 0 else value > 0 for value in values)


def splits(a: int, b: int, c: int, zeros: list[Fraction], *, twice: bool = False) -> bool:
    """Whether a (t - r)(t - s) is the polynomial for some r, s among the zeros (r = s where asked)."""
    pairs = ((r, r) for r in zeros) if twice else product(zeros, repeat=2)
    return any((-a * (r + s), a * r * s) == (b, c) for r, s in pairs)


def distinct(a: int, b: int, c: int, d: int) -> bool:
    return a != 0 and crosses_the_axis(a, b, c)


def repeated(a: int, b: int, c: int, d: int) -> bool:
    return a != 0 and splits(a, b, c, rational_zeros(a, b, c), twice=True)


def real(a: int, b: int, c: int, d: int) -> bool:
    return (a == 0 and b != 0) or distinct(a, b, c, d) or repeated(a, b, c, d)


def rational(a: int, b: int, c: int, d: int) -> bool:
    return b != 0 if a == 0 else splits(a, b, c, rational_zeros(a, b, c))


def whole(a: int, b: int, c: int, d: int) -> bool:
    if a == 0:
        return b != 0 and any(b * r + c == 0 for r in range(-8, 9))
    return splits(a, b, c, [r for r in rational_zeros(a, b, c) if r in range(-8, 9)])


def leading_one(a: int, b: int, c: int, d: int) -> bool:
    leading = [n for n in (a, b) if n][:1]
    return leading == [d]


def no_common_factor(values: Numbers) -> bool:
    return not any(all(value % k == 0 for value in values) for k in range(2, 14))


def integer_coefficients_without_common_factor(a: int, b: int, c: int, d: int) -> bool:
    values = [Fraction(n, d) for n in (a, b, c)]
    return all(v in range(-8, 9) for v in values) and no_common_factor(tuple(int(v) for v in values))


# ---- oracles: numbers from -60 to 200, integers up to 12 in size ------------------------------------------


def integer_of(n: int, d: int) -> int | None:
    return next((k for k in range(-60, 201) if k * d == n), None)


def without_square_factor(n: int) -> bool:
    return not any(n % (k * k) == 0 for k in range(2, 15))


SIMPLIFIABLE = {s * s * r for s in range(2, 15) for r in range(2, 51) if without_square_factor(r)}


def is_squarefree(n: int, d: int, least: int) -> bool:
    value = integer_of(n, d)
    return value is not None and value >= least and without_square_factor(value)


def long_division_ends(n: int, d: int) -> bool:
    rest = abs(n) % d
    for _ in range(d):
        rest = 10 * rest % d
    return rest == 0


ORACLES: dict[str, Callable[..., bool]] = {
    "real_roots": real,
    "no_real_roots": lambda a, b, c, d: (a, b, c) != (0, 0, 0) and not real(a, b, c, d),
    "distinct_roots": distinct,
    "repeated_root": repeated,
    "rational_roots": rational,
    "irrational_roots": lambda a, b, c, d: distinct(a, b, c, d) and rational_zeros(a, b, c) == [],
    "integer_roots": whole,
    "factorable": lambda a, b, c, d: (a, b, c) in PRODUCTS,
    "not_factorable": lambda a, b, c, d: a != 0 and (a, b, c) not in PRODUCTS,
    "perfect_square": lambda a, b, c, d: (Fraction(a, d), Fraction(b, d), Fraction(c, d)) in SQUARES,
    "monic": leading_one,
    "even_linear_coefficient": lambda a, b, c, d: a != 0 and Fraction(b, d) in range(-8, 9, 2),
    "primitive": integer_coefficients_without_common_factor,
    "integer_valued": lambda n, d: integer_of(n, d) is not None,
    "is_square": lambda n, d: any(k * k * d == n for k in range(15)),
    "squarefree": lambda n, d: is_squarefree(n, d, 1),
    "simplest_surd": lambda n, d: is_squarefree(n, d, 2),
    "simplifiable_surd": lambda n, d: integer_of(n, d) in SIMPLIFIABLE,
    "terminating_decimal": long_division_ends,
    "coprime": lambda *values: no_common_factor(values),
    "reduced": lambda n, d: d > 0 and no_common_factor((n, d)),
}


# ---- conformance ------------------------------------------------------------------------------------------


def exact(takes: str, values: Numbers) -> tuple[int | Fraction, ...]:
    """The arguments of a proof, from those of an integer test."""
    if takes == "polynomial":
        *coefficients, d = values
        return tuple(Fraction(n, d) for n in coefficients)
    return (Fraction(*values),) if takes == "number" else values


def decided(verdict: Verdict) -> bool | None:
    return True if isinstance(verdict, Proved) else False if isinstance(verdict, Refuted) else None


def disagreements(
    name: str, inputs: list[Numbers]
) -> Iterator[tuple[Numbers, bool, bool, bool, bool | None]]:
    """(input, brute force, integer test, array test, claim) wherever the four are not one."""
    takes = PROPERTIES[name].takes
    counted = ARRAY_TESTS[name](*zip(*inputs, strict=True)).tolist()
    for values, by_array in zip(inputs, counted, strict=True):
        found = (INTEGER_TESTS[name](*values), by_array, decided(prove(name, *exact(takes, values))))
        expected = ORACLES[name](*values)
        if any(answer is not expected for answer in found):
            yield values, expected, *found


def test_every_property_has_its_integer_test_array_test_claim_and_oracle() -> None:
    names = PROPERTIES.keys()

    assert len(names) >= 21
    assert names == INTEGER_TESTS.keys()
    assert names == ARRAY_TESTS.keys()
    assert names == CLAIMS.keys()
    assert names == ORACLES.keys()


@pytest.mark.parametrize("name", PROPERTIES)
def test_search_counting_and_proof_agree_with_brute_force_on_the_full_grid(name: str) -> None:
    for inputs in GRIDS[PROPERTIES[name].takes]:
        assert not list(disagreements(name, inputs))[:5]


@pytest.mark.parametrize("name", PROPERTIES)
def test_the_grid_holds_many_inputs_on_either_side_of_a_property(name: str) -> None:
    inputs = [values for grid in GRIDS[PROPERTIES[name].takes] for values in grid]
    holding = sum(ORACLES[name](*values) for values in inputs)

    assert len(inputs) >= 600
    assert holding >= 10
    assert len(inputs) - holding >= 100


DEGENERATE = [
    pytest.param(name, values, entry.degenerate[edge], id=f"{name}: {edge}")
    for name, entry in PROPERTIES.items()
    for edge, values in DEGENERATE_INPUTS[entry.takes].items()
]


def test_more_than_two_hundred_degenerate_cases_are_collected() -> None:
    assert len(DEGENERATE) > 200


@pytest.mark.parametrize(("name", "values", "stated"), DEGENERATE)
def test_a_degenerate_input_gives_what_the_catalogue_states(name: str, values: Numbers, stated: bool) -> None:
    claim = prove(name, *exact(PROPERTIES[name].takes, values))

    assert stated is INTEGER_TESTS[name](*values)
    assert stated is ARRAY_TESTS[name](*values).item()
    assert stated is decided(claim)


# ---- overlaps ---------------------------------------------------------------------------------------------


def overlaps(values: Numbers) -> Iterator[tuple[str, bool]]:
    holds = {name: INTEGER_TESTS[name](*values) for name in POLYNOMIAL_PROPERTIES}
    a, b, c, _ = values
    if (a, b, c) != (0, 0, 0):
        yield "no_real_roots is not real_roots", holds["no_real_roots"] is not holds["real_roots"]
    if a:
        yield "not_factorable is not factorable", holds["not_factorable"] is not holds["factorable"]
        yield "a quadratic with rational roots factorises", holds["rational_roots"] is holds["factorable"]
        yield (
            "one of repeated_root, distinct_roots, no_real_roots",
            holds["repeated_root"] + holds["distinct_roots"] + holds["no_real_roots"] == 1,
        )
    yield (
        "irrational_roots is distinct_roots and not_factorable",
        holds["irrational_roots"] is (holds["distinct_roots"] and holds["not_factorable"]),
    )
    yield "integer_roots are rational_roots", holds["integer_roots"] <= holds["rational_roots"]
    yield "rational_roots are real_roots", holds["rational_roots"] <= holds["real_roots"]
    yield "a perfect_square has a repeated_root", holds["perfect_square"] <= holds["repeated_root"]
    yield "a repeated_root factorises", holds["repeated_root"] <= holds["factorable"]


def test_overlapping_polynomial_properties_say_the_same() -> None:
    checked = [(values, law, holds) for values in POLYNOMIALS for law, holds in overlaps(values)]

    assert len(checked) > 80_000
    assert not [(values, law) for values, law, holds in checked if not holds][:5]


def test_an_integer_from_2_is_a_square_or_a_simplest_surd_or_a_simplifiable_one() -> None:
    kinds = (integer_tests.is_square, integer_tests.simplest_surd, integer_tests.simplifiable_surd)

    assert not [n for n in range(2, 20_000) if sum(kind(n) for kind in kinds) != 1]
    assert not [n for n in range(-50, 2) if kinds[1](n) or kinds[2](n)]


# ---- beyond the grid --------------------------------------------------------------------------------------


@st.composite
def built_polynomials(draw: st.DrawFn, *, most: int = 10**12, part: int = 10**4) -> Numbers:
    """Polynomials of every kind: from coefficients, from two rational zeros, or from a square and a shift.

    most: the largest coefficient drawn as such; part: the largest number that products are made of.
    """
    d = draw(st.integers(1, 10**6))
    kind = draw(st.sampled_from(["coefficients", "zeros", "square"]))
    if kind == "coefficients":
        a, b, c = (draw(st.integers(-most, most)) for _ in range(3))
        return a, b, c, d
    p, q, r, s, k = (draw(st.integers(-part, part)) for _ in range(5))
    if kind == "zeros":
        return k * p * r, k * (p * s + q * r), k * q * s, d
    return k * p * p, 2 * k * p * q, k * q * q + draw(st.integers(-1, 1)), d


@exactly
@given(built_polynomials())
def test_search_and_proof_agree_on_polynomials_far_beyond_the_grid(values: Numbers) -> None:
    arguments = exact("polynomial", values)
    proved = {name: decided(prove(name, *arguments)) for name in POLYNOMIAL_PROPERTIES}

    assert proved == {name: INTEGER_TESTS[name](*values) for name in POLYNOMIAL_PROPERTIES}


@exactly
@given(built_polynomials(), st.integers(2, 1000))
def test_a_common_factor_of_all_four_numbers_changes_no_polynomial_property(values: Numbers, k: int) -> None:
    scaled = [k * value for value in values]
    before = {name: INTEGER_TESTS[name](*values) for name in POLYNOMIAL_PROPERTIES}

    assert before == {name: INTEGER_TESTS[name](*scaled) for name in POLYNOMIAL_PROPERTIES}


@exactly
@given(st.lists(built_polynomials(most=array_tests.POLYNOMIAL_BOUND, part=500), min_size=1, max_size=20))
def test_counting_agrees_with_the_search_up_to_its_bound(inputs: list[Numbers]) -> None:
    columns = list(zip(*inputs, strict=True))
    searched = {name: [INTEGER_TESTS[name](*values) for values in inputs] for name in POLYNOMIAL_PROPERTIES}

    assert searched == {name: ARRAY_TESTS[name](*columns).tolist() for name in POLYNOMIAL_PROPERTIES}


@st.composite
def built_numbers(draw: st.DrawFn) -> int:
    """Integers from 1 to 10^12: any, or with a square factor of a chosen size."""
    if draw(st.booleans()):
        return draw(st.integers(1, 10**12))
    outside = draw(st.integers(1, 10**6))
    return outside * outside * draw(st.integers(1, 10**12 // (outside * outside)))


@exactly
@given(built_numbers())
def test_square_parts_agree_with_flints_factorisation_up_to_10_to_the_12(n: int) -> None:
    factors = [(int(prime), int(power)) for prime, power in flint.fmpz(n).factor()]
    outside = inside = 1
    for prime, power in factors:
        outside *= prime ** (power // 2)
        inside *= prime ** (power % 2)

    assert (outside, inside) == split_square(n)
    assert inside == square_free_part(n)
    assert sorted(factors) == list(factorise(n))
    for name, expected in (
        ("is_square", inside == 1),
        ("squarefree", outside == 1),
        ("simplest_surd", outside == 1 and n > 1),
        ("simplifiable_surd", outside > 1 and inside > 1),
    ):
        assert expected is INTEGER_TESTS[name](n)
        assert expected is ARRAY_TESTS[name](n).item()
        assert expected is decided(prove(name, n))


@exactly
@given(st.integers(10**14, 10**15))
def test_square_parts_agree_with_flint_just_below_the_bound(n: int) -> None:
    factors = [(int(prime), int(power)) for prime, power in flint.fmpz(n).factor()]

    assert sorted(factors) == list(factorise(n))
    assert all(power == 1 for _, power in factors) is (split_square(n)[0] == 1)


@pytest.mark.parametrize("n", [31622743 * 31622777, 31622743**2, 99991**3, 99991**2 * 99989, 10**15, 2**49])
def test_the_hardest_numbers_below_the_bound_are_split_as_flint_splits_them(n: int) -> None:
    factors = [(int(prime), int(power)) for prime, power in flint.fmpz(n).factor()]
    outside, inside = split_square(n)

    assert sorted(factors) == list(factorise(n))
    assert n == outside * outside * inside
    assert all(power == 1 for _, power in flint.fmpz(inside).factor())


@exactly
@given(st.integers(0, 10**9 - 1), st.integers(-2, 2))
def test_numbers_around_a_large_square_are_told_apart(root: int, shift: int) -> None:
    n = root * root + shift
    expected = any((root + k) ** 2 == n for k in (-2, -1, 0, 1, 2))

    assert expected is integer_tests.is_square(n)
    assert expected is array_tests.is_square(n).item()
    assert expected is decided(prove("is_square", n))


@exactly
@given(st.integers(0, 10**60))
def test_newtons_root_is_the_floor_of_the_real_one(n: int) -> None:
    root = floor_root(n)

    assert root * root <= n < (root + 1) * (root + 1)
    assert int(flint.fmpz(n).isqrt()) == root


@exactly
@given(st.lists(st.integers(-(10**18), 10**18), min_size=2, max_size=4), st.integers(1, 30))
def test_coprime_agrees_with_flint(numbers: list[int], factor: int) -> None:
    scaled = [number // 31 * factor for number in numbers]
    common = flint.fmpz(0)
    for number in scaled:
        common = flint.fmpz(number).gcd(common)

    assert (common == 1) is integer_tests.coprime(*scaled)
    assert (common == 1) is array_tests.coprime(*scaled).item()
    assert (common == 1) is decided(prove("coprime", *scaled))


@exactly
@given(st.integers(-(10**12), 10**12), st.integers(0, 18), st.integers(0, 15), st.integers(1, 50))
def test_a_decimal_terminates_when_a_power_of_ten_clears_it(n: int, twos: int, fives: int, m: int) -> None:
    d = 2**twos * 5**fives * m
    expected = (Fraction(n, d) * 10**60).denominator == 1

    assert expected is integer_tests.terminating_decimal(n, d)
    assert expected is array_tests.terminating_decimal(n, d).item()
    assert expected is decided(prove("terminating_decimal", Fraction(n, d)))


@pytest.mark.parametrize("name", ["squarefree", "simplest_surd", "simplifiable_surd"])
def test_above_the_bound_the_search_refuses_and_the_proof_is_undecided(name: str) -> None:
    above = 10**15 + 1

    with pytest.raises(BoundExceeded):
        INTEGER_TESTS[name](above)
    with pytest.raises(BoundExceeded):
        ARRAY_TESTS[name]([2, above])
    assert decided(prove(name, above)) is None
