"""Letters that hide an unknown: one for each root that it stands under, one for each power with it in the exponent.

Such a letter says by its name what it hides, `2√...` a root and `3^x` a power; no letter of a formula looks so.
"""

from __future__ import annotations

from functools import lru_cache
from math import gcd, prod
from typing import Final

from itembank.audit.findings import CannotTell
from itembank.audit.numbers import Number
from itembank.audit.polynomials import Polynomial

__all__ = ["factors", "is_hidden", "of_power", "power_letter", "root_letter", "smallest_base"]

_POWER: Final = "^"
_ROOT: Final = "√"
_LARGEST_BASE: Final = 10**9


def is_hidden(name: str) -> bool:
    """Whether a letter hides an unknown."""
    return _POWER in name or _ROOT in name


def of_power(name: str) -> tuple[int, str] | None:
    """Base and exponent of a power's letter; None for another letter.

    >>> of_power("3^x"), of_power("x")
    ((3, 'x'), None)
    """
    base, is_power, letter = name.partition(_POWER)
    return (int(base), letter) if is_power and _ROOT not in name else None


def power_letter(base: int, exponent: str) -> str:
    """The letter for a power of a base of `smallest_base` to a letter."""
    return f"{base}{_POWER}{exponent}"


def smallest_base(base: Number) -> tuple[int, int]:
    """(b, k) with base = b^k and the largest k: 8^x is (2^x)^3.

    Raises CannotTell for a base that is no whole number from 2 on, or too large.

    >>> smallest_base(8)
    (2, 3)
    """
    if not isinstance(base, int) or base < 2:
        raise CannotTell("a power with a letter in its exponent has no whole number from 2 on as its base")
    primes = factors(base)
    times = gcd(*primes.values())
    return prod(prime ** (count // times) for prime, count in primes.items()), times


def root_letter(radicand: Polynomial, index: int) -> str:
    """The letter for a root."""
    terms = sorted(radicand.items())
    return f"{index}{_ROOT}" + "+".join(
        f"({value})" + "".join(f"{name}{count}" for name, count in m) for m, value in terms
    )


@lru_cache(maxsize=1024)
def factors(number: int) -> dict[int, int]:
    """prime -> how often, of a whole number from 2 on. Raises CannotTell above the bound."""
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
