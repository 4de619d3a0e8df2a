"""The functions of the language: name, number of arguments, what kind of word it is, an example.

Properties are functions too. This module knows their names only, not their meaning: that stands in the
catalogue of a room above, and a test holds the two lists together.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

MANY = 99


@dataclass(frozen=True, slots=True)
class Function:
    """A function's name, its number of arguments (least to most), and an example of its use.

    kind: `arithmetic` (rational in, rational out), `root`, `display` (how it is shown), `property` (true or
    false).
    """

    name: str
    kind: str
    least: int
    most: int
    example: str


_ARITHMETIC = (
    Function("abs", "arithmetic", 1, 1, "abs(h)"),
    Function("gcd", "arithmetic", 2, MANY, "gcd(a, b)"),
    Function("lcm", "arithmetic", 2, MANY, "lcm(a, b)"),
    Function("min", "arithmetic", 2, MANY, "min(p, q)"),
    Function("max", "arithmetic", 2, MANY, "max(p, q)"),
    Function("mod", "arithmetic", 2, 2, "mod(b, 2)"),
    Function("round", "arithmetic", 1, 2, "round(m, 1)"),
    Function("numerator", "arithmetic", 1, 1, "numerator(r)"),
    Function("denominator", "arithmetic", 1, 1, "denominator(r)"),
    Function("discriminant", "arithmetic", 1, 1, "discriminant(a*x^2 + b*x + c)"),
)
_ROOTS = (
    Function("sqrt", "root", 1, 1, "sqrt(k)"),
    Function("root", "root", 2, 2, "root(k, 3)"),
)
_DISPLAY = (
    Function("surd", "display", 1, 1, "surd(k)"),
    Function("keep", "display", 1, 1, "keep(3 + 16)"),
    Function("value", "display", 1, 1, "value(h^2 - k)"),
    Function("expand", "display", 1, 1, "expand((x + p)*(x + q))"),
    Function("factor", "display", 1, 1, "factor(x^2 + b*x + c)"),
)
_POLYNOMIAL = (
    "integer_roots", "rational_roots", "irrational_roots", "real_roots", "no_real_roots", "repeated_root",
    "distinct_roots", "factorable", "not_factorable", "perfect_square", "monic", "even_linear_coefficient",
    "primitive",
)  # fmt: skip
_NUMBER = (
    "is_square", "squarefree", "simplifiable_surd", "simplest_surd", "terminating_decimal", "integer_valued",
)  # fmt: skip
_PROPERTIES = (
    *(Function(name, "property", 1, 1, f"{name}(problem)") for name in _POLYNOMIAL),
    *(Function(name, "property", 1, 1, f"{name}(k)") for name in _NUMBER),
    Function("coprime", "property", 2, MANY, "coprime(a, b)"),
    Function("reduced", "property", 2, 2, "reduced(p, q)"),
)

_OWN = {function.name: function for function in (*_ARITHMETIC, *_ROOTS, *_DISPLAY, *_PROPERTIES)}
_SPOKEN = dict(_OWN)
FUNCTIONS: Mapping[str, Function] = MappingProxyType(_SPOKEN)
"""Every function by name; see `speak`."""

_PROPERTIES_BY_NAME = {function.name: function for function in _PROPERTIES}
PROPERTY_NAMES = _PROPERTIES_BY_NAME.keys()
"""The names of all properties, those of extensions among them once they are admitted."""

_ABOUT_POLYNOMIALS, _ABOUT_NUMBERS = dict.fromkeys(_POLYNOMIAL), dict.fromkeys(_NUMBER)
POLYNOMIAL_PROPERTIES, NUMBER_PROPERTIES = _ABOUT_POLYNOMIALS.keys(), _ABOUT_NUMBERS.keys()
"""The names of properties of a polynomial, and of a number."""


INVERSES: Mapping[str, str] = {"f^-1": "f", "g^-1": "g", "h^-1": "h"}
"""What texts may call the inverse of such a function -> the function."""
NAMED: tuple[str, ...] = ("f", "g", "h", *INVERSES)
"""What texts may call functions of one number that are nobody's here: f(x), g(2). They are shown, and have no value."""


def admit(property_: Function, takes: str) -> None:
    """A property of an extension is understood from now on; it is spoken where `speak` says so."""
    _PROPERTIES_BY_NAME[property_.name] = property_
    if takes == "polynomial":
        _ABOUT_POLYNOMIALS[property_.name] = None
    elif takes == "number":
        _ABOUT_NUMBERS[property_.name] = None


def is_own(name: str) -> bool:
    """Whether a function is the language's own, of no extension."""
    return name in _OWN


def speak(names: Iterable[str]) -> None:
    """What is read next may name these properties of extensions, which were admitted, and no others."""
    for name in [name for name in _SPOKEN if name not in _OWN]:
        del _SPOKEN[name]
    _SPOKEN.update((name, _PROPERTIES_BY_NAME[name]) for name in names)


GREEK = {
    "alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "epsilon": "ε", "zeta": "ζ", "eta": "η", "theta": "θ",
    "iota": "ι", "kappa": "κ", "lambda": "λ", "mu": "μ", "nu": "ν", "xi": "ξ", "pi": "π", "rho": "ρ", "sigma": "σ",
    "tau": "τ", "upsilon": "υ", "phi": "φ", "chi": "χ", "psi": "ψ", "omega": "ω",
    "Gamma": "Γ", "Delta": "Δ", "Theta": "Θ", "Lambda": "Λ", "Xi": "Ξ", "Pi": "Π", "Sigma": "Σ", "Upsilon": "Υ",
    "Phi": "Φ", "Psi": "Ψ", "Omega": "Ω",
}  # fmt: skip
"""Greek letters, written by name; of capitals those that no Latin letter looks like."""
LEFT_OUT = "ldots"
"""The name of the dots for terms that are left out, `1 + 2 + ... + n`: a letter of texts, in every reading."""
WHOLE_NUMBERS = "integers"
"""The name of the set of all whole numbers: what stands behind ∈ in a domain, `n ∈ integers`."""
NAMED_LETTERS = {**GREEK, LEFT_OUT: "…", WHOLE_NUMBERS: "ℤ"}


def nearest(name: str, known: Iterable[str]) -> str:
    """The known name most like the given one, "" when none is close.

    >>> nearest("discriminent", ["discriminant", "gcd"])
    'discriminant'
    """
    from difflib import get_close_matches  # here: only errors need it

    found = get_close_matches(name, list(known), n=1, cutoff=0.6)
    return found[0] if found else ""


def stem_and_index(name: str) -> tuple[str, tuple[str, ...]]:
    """A letter, and piece by piece what stands low beside it.

    >>> stem_and_index("x"), stem_and_index("x_12"), stem_and_index("u_(n+1)")
    (('x', ()), ('x', ('12',)), ('u', ('n', '+', '1')))
    """
    stem, _, index = name.partition("_")
    if index.startswith("("):
        return stem, tuple(index.strip("()"))
    return stem, (index,) if index else ()
