"""The property `prime`: the search asks Miller and Rabin, the proof divides, the second proof asks sympy."""

from __future__ import annotations

from fractions import Fraction
from math import isqrt

from itembank.extending import DomainError, PropertyExtension, Proved, Refuted, Undecided, Verdict

_BASES = (2, 3, 5, 7)
_BOUND = 3_215_031_751
"""Below this the four bases decide (G. Jaeschke, Mathematics of Computation 61, 1993; from memory)."""


def test(n: int, d: int) -> bool:
    """Whether n/d is a prime number, by the strong test of Miller and Rabin. Raises DomainError above the bound."""
    if n % d or n // d < 2:
        return False
    n //= d
    if n >= _BOUND:
        raise DomainError("this test decides below 3 215 031 751")
    if any(n % base == 0 for base in _BASES):
        return n in _BASES
    odd, twos = n - 1, 0
    while odd % 2 == 0:
        odd, twos = odd // 2, twos + 1
    return all(_passes(pow(base, odd, n), twos, n) for base in _BASES)


def _passes(power: int, twos: int, n: int) -> bool:
    if power == 1:
        return True
    for _ in range(twos):
        if power == n - 1:
            return True
        power = power * power % n
    return False


def prove(n: int, d: int) -> Verdict:
    """By division: a divisor that can be checked, or all primes up to the root that were tried."""
    if n % d:
        return Refuted(f"{Fraction(n, d)} is no whole number")
    n //= d
    if n < 2:
        return Refuted(f"{n} is below 2")
    if n > 10**10:
        return Undecided("division is not tried beyond 10 000 000 000")
    tried: list[int] = []
    for divisor in range(2, isqrt(n) + 1):
        if n % divisor == 0:
            return Refuted(f"{n} = {divisor} × {n // divisor}")
        if all(divisor % prime for prime in tried):
            tried.append(divisor)
    if not tried:
        return Proved(f"{n} is prime: 2² is more than {n}")
    told = ", ".join(map(str, tried[:5])) + (f", ..., {tried[-1]}" if len(tried) > 5 else "")
    return Proved(f"{n} is prime: none of {told} divides it, and the next prime squared is more than {n}")


def again(number: Fraction) -> bool:
    """The same from a library."""
    from sympy import isprime

    return number.denominator == 1 and bool(isprime(number.numerator))


PRIME = PropertyExtension(
    name="prime",
    takes="number",
    meaning="The number is a whole number above 1 that only 1 and itself divide.",
    claim="is a prime number",
    example="prime(p)",
    source="OEIS A000040",
    true_at=frozenset({"six thirds, not in lowest terms"}),
    test=test,
    prove=prove,
    again=again,
)
