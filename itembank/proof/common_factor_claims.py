"""The provers of what is claimed about common factors: a combination that makes 1, or the factor itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from itembank.proof.arithmetic import bezout
from itembank.proof.wording import integer, listing
from itembank.verdicts import Proved, Refuted, Verdict

__all__ = ["COMMON_FACTOR_CLAIMS", "combination"]


def combination(numbers: tuple[int, ...]) -> Verdict:
    """Prove by a combination that makes 1, or refute by a common factor, that integers are coprime.

    numbers: two or more integers.

    >>> combination((7, 5)).witness
    '3 × 5 − 2 × 7 = 1'
    >>> combination((4, -6)).counterexample
    '2 divides 4 and −6'
    """
    for number in numbers:
        if number in (1, -1):
            return Proved(f"{listing(numbers)}: only 1 and −1 divide {integer(number)}")
    common, multipliers = bezout(numbers)
    pairs = [(u, n) for u, n in zip(multipliers, numbers, strict=True) if u]
    if sum(u * n for u, n in pairs) != 1:
        return Refuted(f"{common or 2} divides {listing(numbers)}")
    added = [_multiple(u, n) for u, n in pairs if u * n > 0]
    taken = [_multiple(u, n) for u, n in pairs if u * n < 0]
    return Proved(f"{' − '.join((' + '.join(added), *taken))} = 1")


def _multiple(multiplier: int, number: int) -> str:
    """The size of the product, as a product; its sign stands before it."""
    return f"{abs(multiplier)} × {abs(number)}" if abs(multiplier) != 1 else f"{abs(number)}"


def coprime(*numbers: int) -> Verdict:
    """Prove or refute that two or more integers have no common factor above 1."""
    return combination(numbers)


def reduced(n: int, d: int) -> Verdict:
    """Prove or refute that the fraction n/d as written is in lowest terms with a positive denominator."""
    if d < 1:
        return Refuted(f"the denominator {integer(d)} is not positive")
    return combination((n, d))


COMMON_FACTOR_CLAIMS: Mapping[str, Callable[..., Verdict]] = MappingProxyType(
    {"coprime": coprime, "reduced": reduced}
)
"""The provers of `coprime` and `reduced` by name."""
