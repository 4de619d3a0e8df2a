"""Exact integer arithmetic of the proofs: roots, common factors and prime factors, each with what shows it.

The search has functions for the same questions; these reach the answer on other roads and share no code with
them.
"""

from __future__ import annotations

from functools import lru_cache

from itembank.errors import BoundExceeded, DomainError

__all__ = ["FACTOR_BOUND", "bezout", "factorise", "floor_root"]

FACTOR_BOUND = 10**15
"""Numbers above this are not factorised."""

_SMALL_PRIMES = tuple(n for n in range(2, 200) if all(n % m for m in range(2, n)))


def floor_root(n: int) -> int:
    """Return the r >= 0 with r^2 <= n < (r + 1)^2, by Newton's iteration from above.

    n: an integer >= 0. Raises DomainError for n < 0.

    >>> floor_root(116)    # 10^2 = 100, 11^2 = 121
    10
    """
    if n < 0:
        raise DomainError(f"{n} is negative and has no real root")
    root = 1 << (n.bit_length() + 1 >> 1)
    while not root * root <= n < (root + 1) * (root + 1):
        root = root + n // root >> 1
    return root


def bezout(numbers: tuple[int, ...]) -> tuple[int, tuple[int, ...]]:
    """Return the greatest common divisor g >= 0 and integers u with u1 * n1 + u2 * n2 + ... = g.

    numbers: one or more integers. Source: Euclid's algorithm, run forwards on the multipliers too.

    >>> bezout((7, 5))    # -2 * 7 + 3 * 5 = 1
    (1, (-2, 3))
    """
    common = abs(numbers[0])
    multipliers = [-1 if numbers[0] < 0 else 1]
    for number in numbers[1:]:
        common, left, right = _euclid(common, number)
        multipliers = [left * multiplier for multiplier in multipliers]
        multipliers.append(right)
    return common, tuple(multipliers)


def _euclid(first: int, second: int) -> tuple[int, int, int]:
    """(g, u, v) with g = gcd >= 0 and u * first + v * second = g."""
    u, next_u, v, next_v = 1, 0, 0, 1
    while second:
        quotient, rest = divmod(first, second)
        first, second = second, rest
        u, next_u = next_u, u - quotient * next_u
        v, next_v = next_v, v - quotient * next_v
    return (-first, -u, -v) if first < 0 else (first, u, v)


@lru_cache(maxsize=1 << 12)
def factorise(n: int) -> tuple[tuple[int, int], ...]:
    """Return the prime factors of n with their exponents, ascending.

    n: an integer from 1 to `FACTOR_BOUND`. Returns () for 1. Raises DomainError for n < 1, BoundExceeded
    above the bound. Small primes are divided out; what is left is split by Pollard's rho method until every
    part passes a primality test which has no exception in this range.

    >>> factorise(360)    # 2^3 * 3^2 * 5
    ((2, 3), (3, 2), (5, 1))
    """
    if n < 1:
        raise DomainError(f"only an integer >= 1 has a factorisation, not {n}")
    if n > FACTOR_BOUND:
        raise BoundExceeded("a number above 10^15 is not factorised")
    exponents: dict[int, int] = {}
    for prime in _SMALL_PRIMES:
        if prime * prime > n:
            break
        while n % prime == 0:
            n //= prime
            exponents[prime] = exponents.get(prime, 0) + 1
    parts = [n] if n > 1 else []
    while parts:
        part = parts.pop()
        if _is_prime(part):
            exponents[part] = exponents.get(part, 0) + 1
        else:
            factor = _proper_factor(part)
            parts += [factor, part // factor]
    return tuple(sorted(exponents.items()))


def _is_prime(n: int) -> bool:
    """Whether n, which no prime below 200 and below its square root divides, is prime.

    Source: strong probable prime test to the twelve bases 2 to 37, without exception below 3.18 * 10^23
    (Sorenson and Webster, Mathematics of Computation 86, 2017; from memory).
    """
    if n < 200 * 200:
        return True
    twos = ((n - 1) & -(n - 1)).bit_length() - 1
    for base in _SMALL_PRIMES[:12]:
        power = pow(base, n - 1 >> twos, n)
        if power in (1, n - 1):
            continue
        for _ in range(twos - 1):
            power = power * power % n
            if power == n - 1:
                break
        else:
            return False
    return True


def _proper_factor(n: int) -> int:
    """A factor strictly between 1 and the composite number n.

    Source: J. M. Pollard's rho method (BIT 15, 1975; from memory), with x -> x^2 + shift for shifts 1, 2, ...
    until one finds a factor; the squares of primes, where it may fail for long, are rooted instead.
    """
    root = floor_root(n)
    if root * root == n:
        return root
    shift, common = 0, n
    while common == n:
        shift += 1
        slow = fast = 2
        common = 1
        while common == 1:
            slow = (slow * slow + shift) % n
            fast = (fast * fast + shift) % n
            fast = (fast * fast + shift) % n
            common = _euclid(slow - fast, n)[0]
    return common
