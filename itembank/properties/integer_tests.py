"""Fast exact tests of the properties on plain integers, for the search: one function per property, same name.

What each property means stands in `catalogue`; the functions here only decide it, quickly, and know nothing
of the proofs in `proof/claims.py`. A polynomial comes as integers a, b, c, d >= 1, for (a t^2 + b t + c)/d;
a number as integers n, d >= 1, for n/d. Common factors are allowed everywhere. That d is at least 1 is the
caller's promise, it is not checked. No size is bounded except where a number has to be split into factors
(`FACTOR_BOUND`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache, lru_cache
from math import gcd, isqrt
from types import MappingProxyType

from itembank.errors import BoundExceeded, DomainError

__all__ = [
    "FACTOR_BOUND", "INTEGER_TESTS", "coprime", "distinct_roots", "even_linear_coefficient", "factorable",
    "integer_roots", "integer_valued", "irrational_roots", "is_square", "monic", "no_real_roots",
    "not_factorable", "perfect_square", "primitive", "rational_roots", "real_roots", "reduced",
    "repeated_root", "simplest_surd", "simplifiable_surd", "split_square", "square_free_part", "squarefree",
    "terminating_decimal",
]  # fmt: skip

FACTOR_BOUND = 10**15
"""Numbers above this are not split into factors: its cube root, 10^5, is as far as trial division goes."""

_CUBE_ROOT_OF_BOUND = 10**5


def real_roots(a: int, b: int, c: int, d: int = 1) -> bool:
    """Whether a non-zero polynomial has at least one real root.

    >>> real_roots(1, -4, 4), real_roots(0, 2, -3), real_roots(1, 0, 1)
    (True, True, False)
    """
    return b * b >= 4 * a * c if a else b != 0


def no_real_roots(a: int, b: int, c: int, d: int = 1) -> bool:
    """Whether a non-zero polynomial has no real root.

    >>> no_real_roots(1, 2, 5), no_real_roots(0, 0, 5), no_real_roots(0, 0, 0)
    (True, True, False)
    """
    return b * b < 4 * a * c if a else b == 0 and c != 0


def distinct_roots(a: int, b: int, c: int, d: int = 1) -> bool:
    """Whether a quadratic has two different real roots.

    >>> distinct_roots(1, -5, 6), distinct_roots(1, -4, 4)
    (True, False)
    """
    return a != 0 and b * b > 4 * a * c


def repeated_root(a: int, b: int, c: int, d: int = 1) -> bool:
    """Whether a quadratic has one root counted twice.

    >>> repeated_root(1, -4, 4), repeated_root(1, -5, 6)
    (True, False)
    """
    return a != 0 and b * b == 4 * a * c


def factorable(a: int, b: int, c: int, d: int = 1) -> bool:
    """Whether a quadratic is a product of linear factors with rational coefficients.

    >>> factorable(2, 5, 3), factorable(1, 0, -2)    # (2t + 3)(t + 1); t^2 - 2
    (True, False)
    """
    # The discriminant is (b^2 - 4ac)/d^2, a rational square exactly when its numerator is an integer one.
    return a != 0 and _is_square(b * b - 4 * a * c)


def not_factorable(a: int, b: int, c: int, d: int = 1) -> bool:
    """Whether a quadratic is no product of linear factors with rational coefficients.

    >>> not_factorable(1, 0, -2), not_factorable(1, 0, 1), not_factorable(0, 1, 1)
    (True, True, False)
    """
    return a != 0 and not _is_square(b * b - 4 * a * c)


def rational_roots(a: int, b: int, c: int, d: int = 1) -> bool:
    """Whether there is a real root and every real root is rational.

    >>> rational_roots(2, 5, 3), rational_roots(0, 2, -3), rational_roots(1, 0, -2)
    (True, True, False)
    """
    return _is_square(b * b - 4 * a * c) if a else b != 0


def irrational_roots(a: int, b: int, c: int, d: int = 1) -> bool:
    """Whether a quadratic has two different irrational roots.

    >>> irrational_roots(1, -8, 3), irrational_roots(1, -8, 7), irrational_roots(1, 2, 3)
    (True, False, False)
    """
    if a == 0:
        return False
    discriminant = b * b - 4 * a * c
    return discriminant > 0 and isqrt(discriminant) ** 2 != discriminant


def integer_roots(a: int, b: int, c: int, d: int = 1) -> bool:
    """Whether there is a real root and every real root is an integer.

    >>> integer_roots(2, -10, 12), integer_roots(2, -3, 1), integer_roots(0, 1, -2)
    (True, False, True)
    """
    if a == 0:
        return b != 0 and c % b == 0
    # Integer roots make b/a and c/a integers (sum and product); the rational roots of a monic polynomial with
    # integer coefficients are integers.
    return b % a == 0 and c % a == 0 and _is_square(b * b - 4 * a * c)


def perfect_square(a: int, b: int, c: int, d: int = 1) -> bool:
    """Whether a quadratic is the square of a linear polynomial with rational coefficients.

    >>> perfect_square(4, 12, 9), perfect_square(2, 4, 2), perfect_square(1, 4, 4, 4)
    (True, False, True)
    """
    # a/d = ad/d^2 is a rational square exactly when ad is an integer one.
    return a > 0 and b * b == 4 * a * c and _is_square(a * d)


def monic(a: int, b: int, c: int, d: int = 1) -> bool:
    """Whether the leading coefficient of a quadratic or linear polynomial is 1.

    >>> monic(1, 5, 6), monic(0, 1, 6), monic(3, 5, 6, 3), monic(0, 0, 1)
    (True, True, True, False)
    """
    return (a or b) == d


def even_linear_coefficient(a: int, b: int, c: int, d: int = 1) -> bool:
    """Whether the linear coefficient of a quadratic is an even integer.

    >>> even_linear_coefficient(1, -6, 1), even_linear_coefficient(1, 0, 1), even_linear_coefficient(1, 3, 1)
    (True, True, False)
    """
    return a != 0 and b % (2 * d) == 0


def primitive(a: int, b: int, c: int, d: int = 1) -> bool:
    """Whether the coefficients are integers with greatest common divisor 1.

    >>> primitive(2, 4, 3), primitive(2, 4, 6), primitive(1, 2, 3, 2), primitive(2, 4, 6, 2)
    (True, False, False, True)
    """
    return gcd(a, b, c) == d


def integer_valued(n: int, d: int = 1) -> bool:
    """Whether n/d is an integer.

    >>> integer_valued(6), integer_valued(6, 3), integer_valued(6, 4)
    (True, True, False)
    """
    return n % d == 0


def is_square(n: int, d: int = 1) -> bool:
    """Whether n/d is the square of an integer.

    >>> is_square(49), is_square(50), is_square(0), is_square(-4), is_square(1, 4), is_square(18, 2)
    (True, False, True, False, False, True)
    """
    if d != 1:
        n, rest = divmod(n, d)
        if rest:
            return False
    return n >= 0 and isqrt(n) ** 2 == n


def squarefree(n: int, d: int = 1) -> bool:
    """Whether n/d is a positive integer which no square above 1 divides.

    Raises BoundExceeded for an integer n/d above `FACTOR_BOUND`.

    >>> squarefree(30), squarefree(12), squarefree(1), squarefree(0), squarefree(3, 2)
    (True, False, True, False, False)
    """
    if d != 1:
        n, rest = divmod(n, d)
        if rest:
            return False
    return n > 0 and split_square(n)[0] == 1


def simplest_surd(n: int, d: int = 1) -> bool:
    """Whether the square root of n/d is a surd that cannot be simplified.

    Raises BoundExceeded for an integer n/d above `FACTOR_BOUND`.

    >>> simplest_surd(30), simplest_surd(12), simplest_surd(1)
    (True, False, False)
    """
    if d != 1:
        n, rest = divmod(n, d)
        if rest:
            return False
    return n > 1 and split_square(n)[0] == 1


def simplifiable_surd(n: int, d: int = 1) -> bool:
    """Whether the square root of n/d simplifies to an integer above 1 times a smaller surd.

    Raises BoundExceeded for an integer n/d above `FACTOR_BOUND`.

    >>> simplifiable_surd(72), simplifiable_surd(30), simplifiable_surd(36)    # 72 = 6^2 * 2
    (True, False, False)
    """
    if d != 1:
        n, rest = divmod(n, d)
        if rest:
            return False
    if n < 2:
        return False
    outside, inside = split_square(n)
    return outside > 1 and inside > 1


def terminating_decimal(n: int, d: int = 1) -> bool:
    """Whether n/d can be written with finitely many decimal places.

    >>> terminating_decimal(3, 8), terminating_decimal(1, 6), terminating_decimal(3, 6)
    (True, False, True)
    """
    if d == 1:
        return True
    lowest = d // gcd(n, d)
    # No prime stands in the denominator more often than it has binary digits.
    return pow(10, lowest.bit_length(), lowest) == 0


def coprime(first: int, second: int, /, *more: int) -> bool:
    """Whether two or more integers have no common factor above 1.

    >>> coprime(4, 9), coprime(4, 6), coprime(6, 10, 15), coprime(0, 1)
    (True, False, True, True)
    """
    return gcd(first, second, *more) == 1


def reduced(n: int, d: int) -> bool:
    """Whether the fraction n/d, as written, is in lowest terms with a positive denominator.

    n, d: any integers, d = 0 included.

    >>> reduced(3, 4), reduced(6, 8), reduced(3, -4)
    (True, False, False)
    """
    return d > 0 and gcd(n, d) == 1


_TESTS: dict[str, Callable[..., bool]] = {
    test.__name__: test
    for test in (
        real_roots, no_real_roots, distinct_roots, repeated_root, factorable, not_factorable,
        rational_roots, irrational_roots, integer_roots, perfect_square, monic, even_linear_coefficient,
        primitive, integer_valued, is_square, squarefree, simplest_surd, simplifiable_surd,
        terminating_decimal, coprime, reduced,
    )
}  # fmt: skip
INTEGER_TESTS: Mapping[str, Callable[..., bool]] = MappingProxyType(_TESTS)
"""Every test by the name of its property."""


def admit(name: str, test: Callable[..., bool]) -> None:
    """The test of an extension's property is one of these from now on."""
    _TESTS[name] = test


def square_free_part(n: int) -> int:
    """Return the r of n = s^2 * r with r free of square factors: what stays under the root of sqrt(n).

    n: an integer from 1 to `FACTOR_BOUND`. Returns r >= 1 with n // r a perfect square.
    Raises DomainError for n < 1, BoundExceeded above the bound. Source: OEIS A007913.

    >>> square_free_part(72)    # 72 = 6^2 * 2, so sqrt(72) = 6 sqrt(2)
    2
    """
    return split_square(n)[1]


@lru_cache(maxsize=1 << 16)
def split_square(n: int) -> tuple[int, int]:
    """Return (s, r) with n = s^2 * r and r free of square factors, so sqrt(n) = s sqrt(r).

    n: an integer from 1 to `FACTOR_BOUND`. Returns s >= 1 and r >= 1, the only such pair.
    Raises DomainError for n < 1, BoundExceeded above the bound. Source: OEIS A000188 (s), A007913 (r).

    >>> split_square(72), split_square(49), split_square(30)
    ((6, 2), (7, 1), (1, 30))
    """
    if n < 1:
        raise DomainError(f"only an integer >= 1 can be split into a square and the rest, not {n}")
    if n > FACTOR_BOUND:
        raise BoundExceeded("a number above 10^15 is not split into factors")
    outside = inside = 1
    for prime in _primes(100 if n <= 100**3 else _CUBE_ROOT_OF_BOUND):
        if prime**3 > n:
            break
        while n % (prime * prime) == 0:
            n //= prime * prime
            outside *= prime
        if n % prime == 0:
            n //= prime
            inside *= prime
    # What is left has no prime factor up to its cube root: 1, a prime, two primes, or the square of a prime.
    root = isqrt(n)
    return (outside * root, inside) if root * root == n else (outside, inside * n)


@cache
def _primes(limit: int) -> tuple[int, ...]:
    """The primes up to the limit, by the sieve of Eratosthenes."""
    sieve = bytearray([1]) * (limit + 1)
    sieve[0:2] = b"\0\0"
    for n in range(2, isqrt(limit) + 1):
        if sieve[n]:
            sieve[n * n :: n] = bytes(len(range(n * n, limit + 1, n)))
    return tuple(n for n in range(limit + 1) if sieve[n])


def _is_square(n: int) -> bool:
    return n >= 0 and isqrt(n) ** 2 == n
