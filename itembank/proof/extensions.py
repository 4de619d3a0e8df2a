"""The second provers of extensions' properties, kept where no sympy is loaded for them."""

from __future__ import annotations

from collections.abc import Callable

__all__ = ["AGAIN", "admit_again"]

AGAIN: dict[str, Callable[..., bool]] = {}
"""Name of a property -> whether exact numbers (Fraction) have it, by a third road."""


def admit_again(name: str, again: Callable[..., bool]) -> None:
    """The second prover of an extension's property is known from now on."""
    AGAIN[name] = again
