"""The tests of the search on whole arrays at once, for counting: one function per property, same name.

Arguments are integers or arrays of integers, which broadcast against each other; the result is an array of
booleans, element by element what `integer_tests` says. Everything is computed in 64-bit integers, so every
function has a bound and raises BoundExceeded when an argument exceeds it:

    polynomials (a, b, c, d)             |value| <= POLYNOMIAL_BOUND = 2^29, so that b^2 - 4ac fits
    numbers, integers, fractions         |value| <= NUMBER_BOUND = 10^18
    squarefree and the surd properties   also n/d <= FACTOR_BOUND = 10^15 where n/d is an integer

That d is at least 1 (the d of `reduced` apart) is the caller's promise, as it is there. Squares are found by
table and by integer arithmetic; no float takes part. numpy is loaded in this module only.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache, reduce
from math import isqrt
from types import MappingProxyType
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from itembank.errors import BoundExceeded, DomainError
from itembank.properties import integer_tests

__all__ = [
    "ARRAY_TESTS", "NUMBER_BOUND", "POLYNOMIAL_BOUND", "coprime", "distinct_roots",
    "even_linear_coefficient", "factorable", "integer_roots", "integer_valued", "irrational_roots",
    "is_square", "monic", "no_real_roots", "not_factorable", "perfect_square", "primitive", "rational_roots",
    "real_roots", "reduced", "repeated_root", "simplest_surd", "simplifiable_surd", "squarefree",
    "terminating_decimal",
]  # fmt: skip

Integers: TypeAlias = npt.NDArray[np.int64]
Booleans: TypeAlias = npt.NDArray[np.bool_]

POLYNOMIAL_BOUND = 2**29
NUMBER_BOUND = 10**18

_SQUARE_TABLE = 2**20
_SQUAREFREE_TABLE = 10**7


def real_roots(a: npt.ArrayLike, b: npt.ArrayLike, c: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where a non-zero polynomial has at least one real root. |a|, |b|, |c|, d <= 2^29.

    >>> real_roots([1, 0, 1], [-4, 2, 0], [4, -3, 1]).tolist()
    [True, True, False]
    """
    a, b, c, _ = _polynomials(a, b, c, d)
    return np.where(a != 0, _discriminant(a, b, c) >= 0, b != 0)


def no_real_roots(a: npt.ArrayLike, b: npt.ArrayLike, c: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where a non-zero polynomial has no real root. |a|, |b|, |c|, d <= 2^29.

    >>> no_real_roots([1, 0, 0], [2, 0, 0], [5, 5, 0]).tolist()
    [True, True, False]
    """
    a, b, c, _ = _polynomials(a, b, c, d)
    return np.where(a != 0, _discriminant(a, b, c) < 0, (b == 0) & (c != 0))


def distinct_roots(a: npt.ArrayLike, b: npt.ArrayLike, c: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where a quadratic has two different real roots. |a|, |b|, |c|, d <= 2^29.

    >>> distinct_roots(1, [-5, -4], [6, 4]).tolist()
    [True, False]
    """
    a, b, c, _ = _polynomials(a, b, c, d)
    return _booleans((a != 0) & (_discriminant(a, b, c) > 0))


def repeated_root(a: npt.ArrayLike, b: npt.ArrayLike, c: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where a quadratic has one root counted twice. |a|, |b|, |c|, d <= 2^29.

    >>> repeated_root(1, [-4, -5], [4, 6]).tolist()
    [True, False]
    """
    a, b, c, _ = _polynomials(a, b, c, d)
    return _booleans((a != 0) & (_discriminant(a, b, c) == 0))


def factorable(a: npt.ArrayLike, b: npt.ArrayLike, c: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where a quadratic is a product of rational linear factors. |a|, |b|, |c|, d <= 2^29.

    >>> factorable([2, 1], [5, 0], [3, -2]).tolist()
    [True, False]
    """
    a, b, c, _ = _polynomials(a, b, c, d)
    return _booleans((a != 0) & _squares(_discriminant(a, b, c)))


def not_factorable(a: npt.ArrayLike, b: npt.ArrayLike, c: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where a quadratic is no product of rational linear factors. |a|, |b|, |c|, d <= 2^29.

    >>> not_factorable([1, 1, 0], [0, 0, 1], [-2, 1, 1]).tolist()
    [True, True, False]
    """
    a, b, c, _ = _polynomials(a, b, c, d)
    return _booleans((a != 0) & ~_squares(_discriminant(a, b, c)))


def rational_roots(a: npt.ArrayLike, b: npt.ArrayLike, c: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where there is a real root and every real root is rational. |a|, |b|, |c|, d <= 2^29.

    >>> rational_roots([2, 0, 1], [5, 2, 0], [3, -3, -2]).tolist()
    [True, True, False]
    """
    a, b, c, _ = _polynomials(a, b, c, d)
    return np.where(a != 0, _squares(_discriminant(a, b, c)), b != 0)


def irrational_roots(a: npt.ArrayLike, b: npt.ArrayLike, c: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where a quadratic has two different irrational roots. |a|, |b|, |c|, d <= 2^29.

    >>> irrational_roots(1, [-8, -8, 2], [3, 7, 3]).tolist()
    [True, False, False]
    """
    a, b, c, _ = _polynomials(a, b, c, d)
    discriminant = _discriminant(a, b, c)
    return _booleans((a != 0) & (discriminant > 0) & ~_squares(discriminant))


def integer_roots(a: npt.ArrayLike, b: npt.ArrayLike, c: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where there is a real root and every real root is an integer. |a|, |b|, |c|, d <= 2^29.

    >>> integer_roots([2, 2, 0], [-10, -3, 1], [12, 1, -2]).tolist()
    [True, False, True]
    """
    a, b, c, _ = _polynomials(a, b, c, d)
    quadratic = _divides(a, b) & _divides(a, c) & _squares(_discriminant(a, b, c))
    return np.where(a != 0, quadratic, _divides(b, c))


def perfect_square(a: npt.ArrayLike, b: npt.ArrayLike, c: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where a quadratic is the square of a rational linear polynomial. |a|, |b|, |c|, d <= 2^29.

    >>> perfect_square([4, 2, 1], [12, 4, 4], [9, 2, 4], [1, 1, 4]).tolist()
    [True, False, True]
    """
    a, b, c, d = _polynomials(a, b, c, d)
    return _booleans((a > 0) & (_discriminant(a, b, c) == 0) & _squares(np.asarray(a * d)))


def monic(a: npt.ArrayLike, b: npt.ArrayLike, c: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where the leading coefficient of a quadratic or linear polynomial is 1. |a|, |b|, |c|, d <= 2^29.

    >>> monic([1, 0, 3, 0], [5, 1, 5, 0], [6, 6, 6, 1], [1, 1, 3, 1]).tolist()
    [True, True, True, False]
    """
    a, b, c, d = _polynomials(a, b, c, d)
    return _booleans(np.where(a != 0, a, b) == d)


def even_linear_coefficient(
    a: npt.ArrayLike, b: npt.ArrayLike, c: npt.ArrayLike, d: npt.ArrayLike = 1
) -> Booleans:
    """Where the linear coefficient of a quadratic is an even integer. |a|, |b|, |c|, d <= 2^29.

    >>> even_linear_coefficient(1, [-6, 0, 3], 1).tolist()
    [True, True, False]
    """
    a, b, c, d = _polynomials(a, b, c, d)
    return _booleans((a != 0) & (b % (2 * d) == 0))


def primitive(a: npt.ArrayLike, b: npt.ArrayLike, c: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where the coefficients are integers with greatest common divisor 1. |a|, |b|, |c|, d <= 2^29.

    >>> primitive(2, 4, [3, 6, 6], [1, 1, 2]).tolist()
    [True, False, True]
    """
    a, b, c, d = _polynomials(a, b, c, d)
    return _booleans(np.gcd(np.gcd(a, b), c) == d)


def integer_valued(n: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where n/d is an integer. |n|, d <= 10^18.

    >>> integer_valued(6, [1, 3, 4]).tolist()
    [True, True, False]
    """
    n, d = _numbers(n, d)
    return _booleans(n % d == 0)


def is_square(n: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where n/d is the square of an integer. |n|, d <= 10^18.

    >>> is_square([49, 50, 0, -4]).tolist()
    [True, False, True, False]
    """
    return _squares(_positive_integers(n, d, otherwise=-1))


def squarefree(n: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where n/d is a positive integer no square above 1 divides. |n|, d <= 10^18, integers n/d <= 10^15.

    >>> squarefree([30, 12, 1, 0]).tolist()
    [True, False, True, False]
    """
    return _squarefree(_positive_integers(n, d, otherwise=0))


def simplest_surd(n: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where the root of n/d is a surd that cannot be simplified. |n|, d <= 10^18, integers n/d <= 10^15.

    >>> simplest_surd([30, 12, 1]).tolist()
    [True, False, False]
    """
    values = _positive_integers(n, d, otherwise=0)
    return _booleans((values > 1) & _squarefree(values))


def simplifiable_surd(n: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where the root of n/d simplifies to a smaller surd. |n|, d <= 10^18, integers n/d <= 10^15.

    >>> simplifiable_surd([72, 30, 36]).tolist()
    [True, False, False]
    """
    values = _positive_integers(n, d, otherwise=0)
    return _booleans((values > 1) & ~_squarefree(values) & ~_squares(values))


def terminating_decimal(n: npt.ArrayLike, d: npt.ArrayLike = 1) -> Booleans:
    """Where n/d can be written with finitely many decimal places. |n|, d <= 10^18.

    >>> terminating_decimal([3, 1, 3], [8, 6, 6]).tolist()
    [True, False, True]
    """
    n, d = _numbers(n, d)
    lowest = d // np.gcd(n, d)
    odd = lowest // (lowest & -lowest)
    # 5^25 is the highest power of 5 below the bound.
    return _booleans(np.int64(5**25) % odd == 0)


def coprime(first: npt.ArrayLike, second: npt.ArrayLike, /, *more: npt.ArrayLike) -> Booleans:
    """Where two or more integers have no common factor above 1. Each at most 10^18 in size.

    >>> coprime([4, 4, 0], [9, 6, 1]).tolist(), coprime(6, 10, 15).tolist()
    ([True, False, True], True)
    """
    values = [_checked(value, NUMBER_BOUND) for value in (first, second, *more)]
    return _booleans(reduce(np.gcd, values) == 1)


def reduced(n: npt.ArrayLike, d: npt.ArrayLike) -> Booleans:
    """Where the fraction n/d, as written, is in lowest terms with a positive denominator. |n|, |d| <= 10^18.

    >>> reduced([3, 6, 3], [4, 8, -4]).tolist()
    [True, False, False]
    """
    n, d = _numbers(n, d)
    return _booleans((d > 0) & (np.gcd(n, d) == 1))


ARRAY_TESTS: Mapping[str, Callable[..., Booleans]] = MappingProxyType(
    {
        test.__name__: test
        for test in (
            real_roots, no_real_roots, distinct_roots, repeated_root, factorable, not_factorable,
            rational_roots, irrational_roots, integer_roots, perfect_square, monic, even_linear_coefficient,
            primitive, integer_valued, is_square, squarefree, simplest_surd, simplifiable_surd,
            terminating_decimal, coprime, reduced,
        )
    }
)  # fmt: skip
"""Every test by the name of its property."""


def array_test(name: str) -> Callable[..., Booleans]:
    """The test of a property on arrays; for an extension's, its own integer test at each place."""
    own = ARRAY_TESTS.get(name)
    if own is not None:
        return own
    test = integer_tests.INTEGER_TESTS[name]

    def at_each_place(*values: npt.ArrayLike) -> Booleans:
        each = np.frompyfunc(lambda *numbers: bool(test(*map(int, numbers))), len(values), 1)
        return np.asarray(each(*values), dtype=np.bool_)

    return at_each_place


def _checked(values: npt.ArrayLike, bound: int) -> Integers:
    """The values in 64 bits. Raises DomainError for what is no integer, BoundExceeded for what is too big."""
    given = np.asarray(values)
    if given.dtype.kind == "f" and not isinstance(values, np.ndarray):
        # A list that holds both small integers and one above 2^63 would come as floats.
        given = np.asarray(values, dtype=np.object_)
    kind = given.dtype.kind
    whole = kind in "iu" or (kind == "O" and all(type(value) is int for value in given.flat))
    if given.size and not whole:
        raise DomainError(f"the array tests take integers, not {given.dtype}")
    if given.size and (int(given.max()) > bound or int(given.min()) < -bound):
        raise BoundExceeded(f"an integer is outside the bound {bound} of the array tests")
    return given.astype(np.int64)


def _polynomials(
    a: npt.ArrayLike, b: npt.ArrayLike, c: npt.ArrayLike, d: npt.ArrayLike
) -> tuple[Integers, Integers, Integers, Integers]:
    checked = (_checked(value, POLYNOMIAL_BOUND) for value in (a, b, c, d))
    first, second, third, fourth = np.broadcast_arrays(*checked)
    return first, second, third, fourth


def _numbers(n: npt.ArrayLike, d: npt.ArrayLike) -> tuple[Integers, Integers]:
    first, second = np.broadcast_arrays(_checked(n, NUMBER_BOUND), _checked(d, NUMBER_BOUND))
    return first, second


def _positive_integers(n: npt.ArrayLike, d: npt.ArrayLike, *, otherwise: int) -> Integers:
    """n/d where it is an integer >= 0, and the given value where it is negative or a fraction."""
    if isinstance(d, int) and d == 1:
        whole = _checked(n, NUMBER_BOUND)
        return np.where(whole >= 0, whole, otherwise)
    numerators, denominators = _numbers(n, d)
    quotients, rests = np.divmod(numerators, denominators)
    return np.where((rests == 0) & (quotients >= 0), quotients, otherwise)


def _discriminant(a: Integers, b: Integers, c: Integers) -> Integers:
    return np.asarray(b * b - 4 * a * c)


def _divides(divisor: Integers, value: Integers) -> Booleans:
    """Where the divisor is not 0 and the value a multiple of it."""
    return _booleans((divisor != 0) & (value % np.where(divisor == 0, 1, divisor) == 0))


def _booleans(condition: npt.ArrayLike) -> Booleans:
    """The condition as an array, also where it came from numbers alone."""
    return np.asarray(condition, dtype=np.bool_)


def _squares(values: Integers) -> Booleans:
    """Where a value (below 2^62) is the square of an integer."""
    table = _square_table()
    small = np.asarray(values < _SQUARE_TABLE)
    found = np.array(table[np.where(small & (values >= 0), values, 2)])
    if not small.all():
        found[~small] = _large_squares(values[~small])
    return found


def _large_squares(values: Integers) -> Booleans:
    """Where a value from 0 to 2^62 - 1 is a square: remainders rule most out, the rest is rooted by bits."""
    possible = np.ones(values.shape, dtype=np.bool_)
    for modulus in (64, 63, 65, 11):
        possible &= _square_remainders(modulus)[values % modulus]
    candidates = values[possible]
    root = np.zeros_like(candidates)
    for digit in range(30, -1, -1):
        larger = root + (1 << digit)
        root = np.where(larger * larger <= candidates, larger, root)
    possible[possible] = root * root == candidates
    return possible


@cache
def _square_table() -> Booleans:
    table = np.zeros(_SQUARE_TABLE, dtype=np.bool_)
    table[np.arange(isqrt(_SQUARE_TABLE - 1) + 1) ** 2] = True
    table.setflags(write=False)
    return table


@cache
def _square_remainders(modulus: int) -> Booleans:
    table = np.zeros(modulus, dtype=np.bool_)
    table[np.arange(modulus) ** 2 % modulus] = True
    table.setflags(write=False)
    return table


def _squarefree(values: Integers) -> Booleans:
    """Where a value (>= 0) is squarefree; 0 is not. BoundExceeded above 10^15."""
    small = np.asarray(values <= _SQUAREFREE_TABLE)
    largest = int(values[small].max(initial=0))
    table = _squarefree_table(min(1 << largest.bit_length(), _SQUAREFREE_TABLE))
    found = np.array(table[np.where(small, values, 0)])
    if not small.all():
        different, places = np.unique(values[~small], return_inverse=True)
        answers = np.array([integer_tests.squarefree(int(value)) for value in different], dtype=np.bool_)
        found[~small] = answers[places]
    return found


@cache
def _squarefree_table(largest: int) -> Booleans:
    """Entry n says whether n is squarefree, for n from 0 to the largest."""
    table = np.ones(largest + 1, dtype=np.bool_)
    table[0] = False
    for n in range(2, isqrt(largest) + 1):
        if table[n]:
            table[n * n :: n * n] = False
    table.setflags(write=False)
    return table
