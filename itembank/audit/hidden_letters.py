"""Letters that hide an unknown: one for each root that it stands under, one for each power with it in the exponent.

Such a letter says by its name what it hides, `2√...` a root and `3^x` a power; no letter of a formula looks so.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from math import gcd, prod
from typing import Final

from itembank.audit.findings import CannotTell
from itembank.audit.numbers import Number
from itembank.audit.polynomials import Polynomial

__all__ = ["base_factors", "factors", "is_hidden", "of_power", "power_letter", "root_letter", "smallest_base"]

_POWER: Final = "^"
_ROOT: Final = "√"
_OVER: Final = ":"
_LARGEST_BASE: Final = 10**9


def is_hidden(name: str) -> bool:
    """Whether a letter hides an unknown."""
    return _POWER in name or _ROOT in name


def of_power(name: str) -> tuple[Fraction, str, int] | None:
    """Base, exponent and what that is divided by, of a power's letter; None for another letter.

    >>> of_power("3/2^x:5"), of_power("x")
    ((Fraction(3, 2), 'x', 5), None)
    """
    base, is_power, exponent = name.partition(_POWER)
    if not is_power or _ROOT in name:
        return None
    letter, _, over = exponent.partition(_OVER)
    return Fraction(base), letter, int(over)


def power_letter(base: Fraction, exponent: str, over: int) -> str:
    """The letter for a power of a base of `smallest_base` to a letter that is divided by a number."""
    return f"{base}{_POWER}{exponent}{_OVER}{over}"


def smallest_base(base: Number) -> tuple[Fraction, int]:
    """(b, k) with base = b^k, b above 1 and the size of k the largest: 8^x is (2^x)^3.

    Raises CannotTell for a base that is no positive rational number or is 1, or too large.

    >>> smallest_base(8), smallest_base(Fraction(4, 9))
    ((Fraction(2, 1), 3), (Fraction(3, 2), -2))
    """
    if not isinstance(base, int | Fraction) or base <= 0 or base == 1:
        raise CannotTell(
            "a power with a letter in its exponent has no positive rational number as its base, or 1"
        )
    primes = base_factors(Fraction(base))
    times = gcd(*primes.values())
    smallest = prod(
        (Fraction(prime) ** (count // times) for prime, count in primes.items()), start=Fraction(1)
    )
    return (smallest, times) if smallest > 1 else (1 / smallest, -times)


def base_factors(base: Fraction) -> dict[int, int]:
    """prime -> how often, of a positive rational number: less than 0 times where it stands below."""
    below = {prime: -count for prime, count in factors(base.denominator).items()}
    return {**factors(base.numerator), **below}


def root_letter(radicand: Polynomial, index: int) -> str:
    """The letter for a root."""
    terms = sorted(radicand.items())
    return f"{index}{_ROOT}" + "+".join(
        f"({value})" + "".join(f"{name}{count}" for name, count in m) for m, value in terms
    )


@lru_cache(maxsize=1024)
def factors(number: int) -> dict[int, int]:
    """prime -> how often, of a whole number from 1 on. Raises CannotTell above the bound."""
    if number > _LARGEST_BASE:
        raise CannotTell("the base of a power is too large")
    found: dict[int, int] = {}
    prime = 2
    while prime * prime <= number:
        while number % prime == 0:
            found[prime] = found.get(prime, 0) + 1
            number //= prime
        prime += 1
    if number > 1:
        found[number] = found.get(number, 0) + 1
    return found
