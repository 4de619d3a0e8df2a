"""One prover per property of the catalogue: proved with a witness, refuted by an example, or undecided.

This room may not know the tests of the search: a guarantee counts as proved because another road than the
search's came to the same answer and left something a person can check.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from math import lcm
from types import MappingProxyType
from typing import TypeAlias

from itembank.errors import DomainError
from itembank.proof.common_factor_claims import COMMON_FACTOR_CLAIMS
from itembank.proof.number_claims import NUMBER_CLAIMS
from itembank.proof.polynomial_claims import POLYNOMIAL_CLAIMS
from itembank.properties.catalogue import PROPERTIES
from itembank.verdicts import Undecided, Verdict

__all__ = ["CLAIMS", "SIZE_BOUND", "prove"]

Exact: TypeAlias = int | Fraction

SIZE_BOUND = 10**100
"""Claims about larger numbers, above or below a fraction stroke, stay undecided."""

_CLAIMS: dict[str, Callable[..., Verdict]] = {**POLYNOMIAL_CLAIMS, **NUMBER_CLAIMS, **COMMON_FACTOR_CLAIMS}
CLAIMS: Mapping[str, Callable[..., Verdict]] = MappingProxyType(_CLAIMS)
"""Every prover by the name of its property, on the integers `prove` makes of its arguments: a polynomial as
(a, b, c, d, letter), a number as (n, d) in lowest terms, integers and a fraction as they are."""


def admit(name: str, claim: Callable[..., Verdict]) -> None:
    """The prover of an extension's property is one of these from now on."""
    _CLAIMS[name] = claim


def prove(name: str, *arguments: Exact, letter: str = "x") -> Verdict:
    """Prove or refute the named property of exact values.

    name: a property of the catalogue.
    arguments: a polynomial's three coefficients from the highest power (each may be 0); one number; two or
    more integers; a fraction's numerator and denominator as written. Integers or Fractions throughout.
    letter: how a polynomial's unknown is written in the witness.
    Returns Proved with a witness, Refuted with a counterexample, or Undecided where a number is too large.
    Raises DomainError for an unknown name, a wrong number of arguments, and arguments which are not exact
    (or no integers, where integers are asked for).

    >>> prove("irrational_roots", 1, -8, -13).witness
    'the discriminant 116 lies strictly between 10² and 11², so it is no square'
    >>> prove("simplifiable_surd", 36).counterexample
    '36 = 6², so its root is the integer 6'
    """
    claim = CLAIMS.get(name)
    if claim is None:
        raise DomainError(f"no property is called {name!r}")
    for argument in arguments:
        if not isinstance(argument, int | Fraction):
            raise DomainError(f"{name} takes exact numbers, not {argument!r}")
        if not (-SIZE_BOUND <= argument.numerator <= SIZE_BOUND and argument.denominator <= SIZE_BOUND):
            return Undecided("a number has more than 100 digits, and there the proofs stop")
    return _PREPARED[PROPERTIES[name].takes](name, claim, arguments, letter)


def _polynomial(
    name: str, claim: Callable[..., Verdict], arguments: tuple[Exact, ...], letter: str
) -> Verdict:
    if len(arguments) != 3:
        raise DomainError(
            f"{name} takes the three coefficients of a polynomial, not {len(arguments)} numbers"
        )
    a, b, c = arguments
    d = lcm(a.denominator, b.denominator, c.denominator)
    if d == 1:
        return claim(a.numerator, b.numerator, c.numerator, 1, letter)
    return claim(*(value.numerator * (d // value.denominator) for value in arguments), d, letter)


def _number(name: str, claim: Callable[..., Verdict], arguments: tuple[Exact, ...], letter: str) -> Verdict:
    if len(arguments) != 1:
        raise DomainError(f"{name} takes one number, not {len(arguments)}")
    return claim(arguments[0].numerator, arguments[0].denominator)


def _integers(name: str, claim: Callable[..., Verdict], arguments: tuple[Exact, ...], letter: str) -> Verdict:
    if len(arguments) < 2:
        raise DomainError(f"{name} takes two or more integers, not {len(arguments)}")
    return claim(*(_integer(name, argument) for argument in arguments))


def _fraction(name: str, claim: Callable[..., Verdict], arguments: tuple[Exact, ...], letter: str) -> Verdict:
    if len(arguments) != 2:
        raise DomainError(f"{name} takes a numerator and a denominator, not {len(arguments)} numbers")
    return claim(*(_integer(name, argument) for argument in arguments))


def _integer(name: str, argument: Exact) -> int:
    if argument.denominator != 1:
        raise DomainError(f"{name} takes integers, not {argument}")
    return argument.numerator


_PREPARED: Mapping[str, Callable[[str, Callable[..., Verdict], tuple[Exact, ...], str], Verdict]] = (
    MappingProxyType(
        {"polynomial": _polynomial, "number": _number, "integers": _integers, "fraction": _fraction}
    )
)
