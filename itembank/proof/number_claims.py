"""The provers of the number properties: a verdict on n/d with something to check by hand.

Every prover takes n and d in lowest terms with d >= 1. What is said of square factors rests on the whole
factorisation.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import gcd, prod
from types import MappingProxyType

from itembank.proof.arithmetic import FACTOR_BOUND, factorise, floor_root
from itembank.proof.wording import exponent, integer, ratio
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["NUMBER_CLAIMS"]


def integer_valued(n: int, d: int) -> Verdict:
    """Prove or refute that a number is an integer."""
    below = n // d
    if below * d == n:
        return Proved(f"{integer(below)} is an integer")
    return Refuted(f"{ratio(n, d)} lies strictly between {integer(below)} and {integer(below + 1)}")


def is_square(n: int, d: int) -> Verdict:
    """Prove or refute that a number is the square of an integer."""
    unfit = _unfit_radicand(n, d, 0)
    if unfit:
        return Refuted(unfit)
    root = floor_root(n)
    if root * root == n:
        return Proved(f"{n} = {root}²")
    return Refuted(f"{n} lies strictly between {root}² and {root + 1}²")


def squarefree(n: int, d: int) -> Verdict:
    """Prove or refute that a number is a positive integer without a square factor above 1."""
    return _squarefree_from(1, n, d)


def simplest_surd(n: int, d: int) -> Verdict:
    """Prove or refute that the square root of a number is a surd that cannot be simplified."""
    return _squarefree_from(2, n, d)


def simplifiable_surd(n: int, d: int) -> Verdict:
    """Prove or refute that the square root of a number simplifies to a smaller surd."""
    unfit = _unfit_radicand(n, d, 2)
    if unfit:
        return Refuted(unfit)
    if n > FACTOR_BOUND:
        return _too_large(n)
    factors = factorise(n)
    outside = prod(prime ** (power // 2) for prime, power in factors)
    inside = prod(prime for prime, power in factors if power % 2)
    if inside == 1:
        return Refuted(f"{n} = {outside}², so its root is the integer {outside}")
    if outside == 1:
        return Refuted(_different_primes(n))
    return Proved(f"{n} = {outside}² × {inside}, and {_different_primes(inside)}")


def terminating_decimal(n: int, d: int) -> Verdict:
    """Prove or refute that a number can be written with finitely many decimal places."""
    if d == 1:
        return Proved(f"{integer(n)} is an integer")
    places, left, used = 0, d, 1
    while left > 1:
        common = gcd(left, 10)
        if common == 1:
            factor = f"the denominator of {ratio(n, d)} has the factor {left}"
            return Refuted(f"{factor}, which has no factor in common with 10")
        left //= common
        used *= 10
        places += 1
    return Proved(f"{ratio(n, d)} = {integer(n * (used // d))}/10{exponent(places)}")


NUMBER_CLAIMS: Mapping[str, Callable[[int, int], Verdict]] = MappingProxyType(
    {
        claim.__name__: claim
        for claim in (
            integer_valued,
            is_square,
            squarefree,
            simplest_surd,
            simplifiable_surd,
            terminating_decimal,
        )
    }
)
"""Every prover of a number property by its name."""


def _unfit_radicand(n: int, d: int, least: int) -> str:
    """What rules n/d out before any factor is looked at: "" for an integer not below the least."""
    if d != 1:
        return f"{ratio(n, d)} is no integer"
    return f"{integer(n)} is below {least}" if n < least else ""


def _too_large(n: int) -> Verdict:
    return Undecided(f"{n} is above 10{exponent(15)}, where numbers are not split into factors")


def _squarefree_from(least: int, n: int, d: int) -> Verdict:
    unfit = _unfit_radicand(n, d, least)
    if unfit:
        return Refuted(unfit)
    if n > FACTOR_BOUND:
        return _too_large(n)
    for prime, power in factorise(n):
        if power > 1:
            return Refuted(f"{n} = {prime}² × {n // (prime * prime)}")
    return Proved(_different_primes(n))


def _different_primes(n: int) -> str:
    """Says of a squarefree number >= 1 what it is made of."""
    primes = [str(prime) for prime, _ in factorise(n)]
    if len(primes) < 2:
        return f"{n} is prime" if primes else "1 has no prime factor"
    return f"{n} = {' × '.join(primes)}, no prime twice"
