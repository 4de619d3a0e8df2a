"""Letters: as an item's own attributes name them, as readers of formulas do, and as a candidate sees them."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

__all__ = ["GREEK", "LEFT_OUT", "LOWERED", "WHOLE_NUMBERS", "letter", "letter_in_words", "seen_letter"]

GREEK: Final = MappingProxyType(
    {
        "alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "epsilon": "ε", "zeta": "ζ", "eta": "η", "theta": "θ",
        "iota": "ι", "kappa": "κ", "lambda": "λ", "mu": "μ", "nu": "ν", "xi": "ξ", "pi": "π", "rho": "ρ", "sigma": "σ",
        "tau": "τ", "upsilon": "υ", "phi": "φ", "chi": "χ", "psi": "ψ", "omega": "ω",
        "Gamma": "Γ", "Delta": "Δ", "Theta": "Θ", "Lambda": "Λ", "Xi": "Ξ", "Pi": "Π", "Sigma": "Σ", "Upsilon": "Υ",
        "Phi": "Φ", "Psi": "Ψ", "Omega": "Ω",
    }
)  # fmt: skip
"""A letter's name -> the letter."""
LEFT_OUT: Final = "…"
"""The dots for terms that are left out, which stand in a formula as a letter does."""
WHOLE_NUMBERS: Final = "ℤ"
"""The set of all whole numbers, which stands behind ∈."""
LOWERED: Final = "₀₁₂₃₄₅₆₇₈₉"
_AS_DIGITS: Final = str.maketrans(LOWERED, "0123456789")


def letter(name: str) -> str:
    """The letter that an attribute names, as formulas show it: `θ_1` of `theta_1`; any other name as it is.

    >>> letter("theta_1"), letter("x_1"), letter("area")
    ('θ_1', 'x_1', 'area')
    """
    stem, mark, digits = name.partition("_")
    return GREEK.get(stem, stem) + mark + digits


def letter_in_words(text: str) -> str:
    """A letter of a picture's words, whose index stands low, by its name.

    >>> letter_in_words("x₁"), letter_in_words("θ")
    ('x_1', 'θ')
    """
    stem = text.rstrip(LOWERED)
    return f"{stem}_{text[len(stem) :].translate(_AS_DIGITS)}" if stem != text else text


def seen_letter(name: str) -> str:
    """The characters of a letter on a page: an index is only lower.

    >>> seen_letter("x_1")
    'x1'
    """
    return name.replace("_", "")
