"""The properties by name: what each takes, what it means, how it is worded, and what it says of odd inputs.

This is the one place where a property is defined in words; the fast tests of the search and the proofs are
both held to it. It may not know either of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal, TypeAlias

__all__ = ["DEGENERATE_INPUTS", "PROPERTIES", "Property", "Takes"]

Takes: TypeAlias = Literal["polynomial", "number", "integers", "fraction"]
"""What a property is asked about.

polynomial: integers a, b, c and d >= 1, for (a t^2 + b t + c)/d in one unknown t. A quadratic has a != 0, a
linear polynomial a = 0 and b != 0, a constant a = b = 0. Common factors of a, b, c, d make no difference.
number: integers n and d >= 1, for the rational number n/d. Common factors of n and d make no difference.
integers: two or more integers.
fraction: two integers n and d, for n/d exactly as the author wrote it.
"""


@dataclass(frozen=True, slots=True)
class Property:
    """One property of the catalogue.

    name: as authors write it. takes: the kind of its arguments.
    meaning: one sentence that decides every input.
    claim: the wording after a subject ("x^2 - 8x + 3" has two different irrational roots).
    source: where the notion is defined or tabulated; "from memory" where it was not read for this.
    degenerate: each name of `DEGENERATE_INPUTS[takes]` -> the value there.
    """

    name: str
    takes: Takes
    meaning: str
    claim: str
    source: str
    degenerate: Mapping[str, bool] = field(hash=False)


def _read_only(inputs: dict[str, tuple[int, ...]]) -> Mapping[str, tuple[int, ...]]:
    return MappingProxyType(inputs)


DEGENERATE_INPUTS: Mapping[Takes, Mapping[str, tuple[int, ...]]] = MappingProxyType(
    {
        "polynomial": _read_only(
            {
                "zero polynomial": (0, 0, 0, 1),
                "constant 5": (0, 0, 5, 1),
                "constant 1": (0, 0, 1, 1),
                "a = 0, integer root": (0, 1, -2, 1),
                "a = 0, fraction as root": (0, 2, -3, 1),
                "b = 0": (1, 0, -2, 1),
                "b = c = 0": (1, 0, 0, 1),
                "c = 0": (2, -3, 0, 1),
                "repeated integer root": (1, -4, 4, 1),
                "repeated fraction root": (4, 4, 1, 2),
                "repeated root, a = -1": (-1, 2, -1, 1),
                "negative discriminant": (1, 1, 1, 1),
                "fractions as coefficients": (1, 1, -2, 2),
                "common factor of a, b, c, d": (2, 4, -6, 2),
            }
        ),
        "number": _read_only(
            {
                "zero": (0, 1),
                "one": (1, 1),
                "minus one": (-1, 1),
                "negative of a square": (-4, 1),
                "negative of a surd's radicand": (-8, 1),
                "a quarter": (1, 4),
                "a third": (1, 3),
                "six thirds, not in lowest terms": (6, 3),
                "sixteen halves, not in lowest terms": (16, 2),
            }
        ),
        "integers": _read_only(
            {
                "zero and zero": (0, 0),
                "zero and one": (0, 1),
                "zero and five": (0, 5),
                "one and one": (1, 1),
                "twice the same": (5, 5),
                "a negative number": (-3, 4),
                "two negative numbers": (-4, -6),
                "three, coprime only together": (6, 10, 15),
            }
        ),
        "fraction": _read_only(
            {
                "zero over one": (0, 1),
                "zero over five": (0, 5),
                "five over one": (5, 1),
                "negative numerator": (-3, 4),
                "negative denominator": (3, -4),
                "zero as denominator": (1, 0),
            }
        ),
    }
)
"""The inputs at the edge of each domain, by name; the tuple is what the integer tests take."""

_COMMON = "common practice, no source"


def _property(
    name: str, takes: Takes, meaning: str, claim: str, *, true_at: Iterable[str], source: str = _COMMON
) -> Property:
    holds = frozenset(true_at)
    unknown = holds - DEGENERATE_INPUTS[takes].keys()
    if unknown:
        raise ValueError(f"{name}: no degenerate inputs {sorted(unknown)}")
    degenerate = MappingProxyType({edge: edge in holds for edge in DEGENERATE_INPUTS[takes]})
    return Property(name, takes, meaning, claim, source, degenerate)


_LINEAR = ("a = 0, integer root", "a = 0, fraction as root")
_REPEATED = ("b = c = 0", "repeated integer root", "repeated fraction root", "repeated root, a = -1")
_TWO_RATIONAL = ("c = 0", "fractions as coefficients", "common factor of a, b, c, d")
_GAUSS = "C. F. Gauss, Disquisitiones Arithmeticae, article 42 (from memory)"

_ALL = (
    _property(
        "real_roots", "polynomial",
        "The polynomial is not zero and has at least one real root: a quadratic with discriminant >= 0, or "
        "a linear polynomial (the zero polynomial, where every number is a root, counts as having none to "
        "name).",
        "has a real root",
        true_at=(*_LINEAR, "b = 0", *_REPEATED, *_TWO_RATIONAL),
    ),
    _property(
        "no_real_roots", "polynomial",
        "The polynomial is not zero and not `real_roots`: a quadratic with negative discriminant, or a "
        "constant other than 0.",
        "has no real root",
        true_at=("constant 5", "constant 1", "negative discriminant"),
    ),
    _property(
        "distinct_roots", "polynomial",
        "The polynomial is a quadratic with two different real roots: its discriminant is positive.",
        "has two different real roots",
        true_at=("b = 0", *_TWO_RATIONAL),
    ),
    _property(
        "repeated_root", "polynomial",
        "The polynomial is a quadratic with one root, counted twice: `real_roots` but not `distinct_roots`, "
        "discriminant 0.",
        "has a repeated root",
        true_at=_REPEATED,
    ),
    _property(
        "factorable", "polynomial",
        "The polynomial is a quadratic and a product of two linear factors with rational coefficients (with "
        "integer coefficients, if its own are integers): its discriminant is the square of a rational "
        "number.",
        "factorises over the rational numbers",
        true_at=(*_REPEATED, *_TWO_RATIONAL),
        source=_GAUSS,
    ),
    _property(
        "not_factorable", "polynomial",
        "The polynomial is a quadratic and not `factorable`; it may have no real roots at all.",
        "does not factorise over the rational numbers",
        true_at=("b = 0", "negative discriminant"),
        source=_GAUSS,
    ),
    _property(
        "rational_roots", "polynomial",
        "The polynomial has at least one real root and all its real roots are rational: a `factorable` "
        "quadratic, or a linear polynomial.",
        "has rational roots",
        true_at=(*_LINEAR, *_REPEATED, *_TWO_RATIONAL),
    ),
    _property(
        "irrational_roots", "polynomial",
        "The polynomial is a quadratic with two different irrational roots: `distinct_roots` and "
        "`not_factorable`.",
        "has two different irrational roots",
        true_at=("b = 0",),
    ),
    _property(
        "integer_roots", "polynomial",
        "The polynomial is `rational_roots` and each of its roots is an integer.",
        "has integer roots",
        true_at=(
            "a = 0, integer root", "b = c = 0", "repeated integer root", "repeated root, a = -1",
            "fractions as coefficients", "common factor of a, b, c, d",
        ),
    ),
    _property(
        "perfect_square", "polynomial",
        "The polynomial is a quadratic and the square of a linear polynomial with rational coefficients: "
        "`repeated_root` and a leading coefficient which is the square of a rational number (so 2(t + 1)^2 "
        "and -(t + 1)^2 are none).",
        "is a perfect square",
        true_at=("b = c = 0", "repeated integer root"),
    ),
    _property(
        "monic", "polynomial",
        "The polynomial is quadratic or linear and its leading coefficient is 1 (no constant is monic, not "
        "even 1).",
        "has leading coefficient 1",
        true_at=(
            "a = 0, integer root", "b = 0", "b = c = 0", "repeated integer root", "negative discriminant",
            "common factor of a, b, c, d",
        ),
    ),
    _property(
        "even_linear_coefficient", "polynomial",
        "The polynomial is a quadratic whose linear coefficient is an even integer; 0 is even.",
        "has an even linear coefficient",
        true_at=(
            "b = 0", "b = c = 0", "repeated integer root", "repeated fraction root", "repeated root, a = -1",
            "common factor of a, b, c, d",
        ),
    ),
    _property(
        "primitive", "polynomial",
        "The coefficients are integers whose greatest common divisor is 1, whatever the degree (of the "
        "constants, 1 and -1 are primitive and 0 is not).",
        "has integer coefficients without a common factor",
        true_at=(
            "constant 1", *_LINEAR, "b = 0", "b = c = 0", "c = 0", "repeated integer root",
            "repeated root, a = -1", "negative discriminant", "common factor of a, b, c, d",
        ),
        source=_GAUSS,
    ),
    _property(
        "integer_valued", "number",
        "The number is an integer.",
        "is an integer",
        true_at=(
            "zero", "one", "minus one", "negative of a square", "negative of a surd's radicand",
            "six thirds, not in lowest terms", "sixteen halves, not in lowest terms",
        ),
    ),
    _property(
        "is_square", "number",
        "The number is an integer and the square of an integer; 0 and 1 are, negative numbers and fractions "
        "(1/4 included) are not.",
        "is a square number",
        true_at=("zero", "one"),
        source="OEIS A000290",
    ),
    _property(
        "squarefree", "number",
        "The number is an integer >= 1 which no square above 1 divides; 1 is squarefree, 0 and negative "
        "numbers are not.",
        "is squarefree",
        true_at=("one", "six thirds, not in lowest terms"),
        source="OEIS A005117",
    ),
    _property(
        "simplest_surd", "number",
        "The number is a radicand whose root cannot be simplified: an integer >= 2 and `squarefree`.",
        "has a square root in simplest form",
        true_at=("six thirds, not in lowest terms",),
        source="OEIS A005117, without its first term 1",
    ),
    _property(
        "simplifiable_surd", "number",
        "The number is a radicand whose root simplifies but stays a root: an integer >= 2, neither "
        "`squarefree` nor `is_square`.",
        "has a square root that simplifies to a smaller surd",
        true_at=("sixteen halves, not in lowest terms",),
        source="OEIS A013929 without the squares of A000290",
    ),
    _property(
        "terminating_decimal", "number",
        "The number can be written with finitely many decimal places: the denominator of its lowest terms "
        "has no prime factor but 2 and 5; every integer can.",
        "is a terminating decimal",
        true_at=(
            "zero", "one", "minus one", "negative of a square", "negative of a surd's radicand", "a quarter",
            "six thirds, not in lowest terms", "sixteen halves, not in lowest terms",
        ),
        source="OEIS A003592 for the denominators (from memory)",
    ),
    _property(
        "coprime", "integers",
        "The integers, taken all together, have no common factor above 1 (two of them alone may); signs do "
        "not matter, and 0 is coprime to 1 and -1 only.",
        "have no common factor",
        true_at=("zero and one", "one and one", "a negative number", "three, coprime only together"),
        source="Euclid, Elements VII, definition 12 (from memory)",
    ),
    _property(
        "reduced", "fraction",
        "The fraction as written has a positive denominator `coprime` to its numerator, so 5/1 and 0/1 are "
        "reduced and 0/5, 3/(-4) and 1/0 are not.",
        "is in lowest terms",
        true_at=("zero over one", "five over one", "negative numerator"),
    ),
)  # fmt: skip

_BY_NAME = {entry.name: entry for entry in _ALL}
PROPERTIES: Mapping[str, Property] = MappingProxyType(_BY_NAME)
"""Every property by name; a property that is defined by another stands after it."""


def admit(property_: Property) -> None:
    """A property of an extension is one of the catalogue's from now on."""
    _BY_NAME[property_.name] = property_
