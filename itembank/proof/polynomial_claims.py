"""The provers of the polynomial properties: a verdict on (a x² + b x + c)/d with something to check by hand.

Real roots are decided by completing the square, rational ones by substituting or multiplying out what a root
of the discriminant suggests, and irrationality by the two squares that have the discriminant between them.
Every prover takes integers a, b, c, d (d >= 1) and the letter of the unknown; the catalogue says what each
property means.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import gcd
from types import MappingProxyType

from itembank.proof.arithmetic import floor_root
from itembank.proof.common_factor_claims import combination
from itembank.proof.wording import coefficient, integer, plus, polynomial, ratio, total
from itembank.verdicts import Proved, Refuted, Verdict

__all__ = ["POLYNOMIAL_CLAIMS"]


def real_roots(a: int, b: int, c: int, d: int, x: str) -> Verdict:
    """Prove or refute that a non-zero polynomial has a real root."""
    if a == 0:
        return _verdict(b != 0, _without_square(b, c, d, x))
    shape, witness = _completed_square(a, b, c, d, x)
    return _verdict(shape <= 0, witness)


def no_real_roots(a: int, b: int, c: int, d: int, x: str) -> Verdict:
    """Prove or refute that a non-zero polynomial has no real root."""
    if a == 0:
        return _verdict(b == 0 and c != 0, _without_square(b, c, d, x))
    shape, witness = _completed_square(a, b, c, d, x)
    return _verdict(shape > 0, witness)


def distinct_roots(a: int, b: int, c: int, d: int, x: str) -> Verdict:
    """Prove or refute that a quadratic has two different real roots."""
    if a == 0:
        return _no_quadratic(a, b, c, d, x)
    shape, witness = _completed_square(a, b, c, d, x)
    return _verdict(shape < 0, witness)


def repeated_root(a: int, b: int, c: int, d: int, x: str) -> Verdict:
    """Prove or refute that a quadratic has one root counted twice."""
    if a == 0:
        return _no_quadratic(a, b, c, d, x)
    shape, witness = _completed_square(a, b, c, d, x)
    return _verdict(shape == 0, witness)


def rational_roots(a: int, b: int, c: int, d: int, x: str) -> Verdict:
    """Prove or refute that there are real roots, all of them rational."""
    if a == 0:
        return _verdict(b != 0, _without_square(b, c, d, x))
    rational, witness, _ = _rational_roots(a, b, c, d, x)
    return _verdict(rational, witness)


def integer_roots(a: int, b: int, c: int, d: int, x: str) -> Verdict:
    """Prove or refute that there are real roots, all of them integers."""
    if a == 0:
        return _verdict(b != 0 and c % b == 0, _without_square(b, c, d, x))
    rational, witness, roots = _rational_roots(a, b, c, d, x)
    return _verdict(rational and all(q == 1 for _, q in roots), witness)


def irrational_roots(a: int, b: int, c: int, d: int, x: str) -> Verdict:
    """Prove or refute that a quadratic has two different irrational roots."""
    if a == 0:
        return _no_quadratic(a, b, c, d, x)
    discriminant = b * b - 4 * a * c
    if discriminant < 0:
        return Refuted(_completed_square(a, b, c, d, x)[1])
    rational, witness, _ = _rational_roots(a, b, c, d, x)
    return _verdict(not rational, witness)


def factorable(a: int, b: int, c: int, d: int, x: str) -> Verdict:
    """Prove or refute that a quadratic is a product of linear factors with rational coefficients."""
    if a == 0:
        return _no_quadratic(a, b, c, d, x)
    return _verdict(*_factors(a, b, c, d, x))


def not_factorable(a: int, b: int, c: int, d: int, x: str) -> Verdict:
    """Prove or refute that a quadratic is no product of linear factors with rational coefficients."""
    if a == 0:
        return _no_quadratic(a, b, c, d, x)
    factors_found, witness = _factors(a, b, c, d, x)
    return _verdict(not factors_found, witness)


def perfect_square(a: int, b: int, c: int, d: int, x: str) -> Verdict:
    """Prove or refute that a quadratic is the square of a linear polynomial with rational coefficients.

    The leading term fixes the first term of the bracket, the linear term then the second; the square of the
    second is compared with the constant term.
    """
    if a == 0:
        return _no_quadratic(a, b, c, d, x)
    if a < 0:
        return Refuted(f"the leading coefficient {ratio(a, d)} is negative, and no square is")
    common = gcd(a, d)
    tops, bottoms = a // common, d // common
    top, bottom = floor_root(tops), floor_root(bottoms)
    for square, root in ((tops, top), (bottoms, bottom)):
        if root * root != square:
            leading = f"the leading coefficient {ratio(a, d)} is no square of a rational number"
            return Refuted(f"{leading}: {_between(square, root)}")
    n, m = b * bottom, 2 * d * top
    bracket = f"({total(plus(top, bottom, x), plus(n, m))})²"
    given = polynomial(a, b, c, d, x)
    if n * n * d == c * m * m:
        return Proved(f"{given} = {bracket}")
    ends = f"it ends in {ratio(n * n, m * m)}, not {ratio(c, d)}"
    return Refuted(f"of all squares only {bracket} begins like {given}, and {ends}")


def monic(a: int, b: int, c: int, d: int, x: str) -> Verdict:
    """Prove or refute that the leading coefficient of a quadratic or linear polynomial is 1."""
    given = polynomial(a, b, c, d, x)
    if a == 0 and b == 0:
        return Refuted(f"{given} is a constant")
    leading = a or b
    return _verdict(leading == d, f"the leading coefficient of {given} is {ratio(leading, d)}")


def even_linear_coefficient(a: int, b: int, c: int, d: int, x: str) -> Verdict:
    """Prove or refute that the linear coefficient of a quadratic is an even integer."""
    if a == 0:
        return _no_quadratic(a, b, c, d, x)
    linear, rest = divmod(b, d)
    if rest:
        return Refuted(f"the linear coefficient {ratio(b, d)} is no integer")
    half = linear >> 1
    odd = linear - 2 * half
    factor = integer(half) if half >= 0 else f"({integer(half)})"
    return _verdict(odd == 0, f"the linear coefficient is {integer(linear)} = 2 × {factor}{plus(odd)}")


def primitive(a: int, b: int, c: int, d: int, x: str) -> Verdict:
    """Prove or refute that the coefficients are integers without a common factor above 1."""
    for value in (a, b, c):
        if value % d:
            return Refuted(f"the coefficient {ratio(value, d)} is no integer")
    return combination((a // d, b // d, c // d))


POLYNOMIAL_CLAIMS: Mapping[str, Callable[[int, int, int, int, str], Verdict]] = MappingProxyType(
    {
        claim.__name__: claim
        for claim in (
            real_roots, no_real_roots, distinct_roots, repeated_root, rational_roots, integer_roots,
            irrational_roots, factorable, not_factorable, perfect_square, monic, even_linear_coefficient,
            primitive,
        )
    }
)  # fmt: skip
"""Every prover of a polynomial property by its name."""


def _verdict(holds: bool, witness: str) -> Verdict:
    return Proved(witness) if holds else Refuted(witness)


def _no_quadratic(a: int, b: int, c: int, d: int, x: str) -> Verdict:
    return Refuted(f"{polynomial(a, b, c, d, x)} is no quadratic")


def _without_square(b: int, c: int, d: int, x: str) -> str:
    """What there is to say of the roots of a linear polynomial or a constant."""
    if b:
        return f"{polynomial(0, b, c, d, x)} is 0 at {x} = {ratio(-c, b)} and nowhere else"
    return f"{ratio(c, d)} is never 0" if c else f"0 is 0 at every {x}, so it has no roots to name"


def _completed_square(a: int, b: int, c: int, d: int, x: str) -> tuple[int, str]:
    """(shape, witness): shape < 0 for two real roots, 0 for a repeated one, > 0 for none; a is not 0."""
    p, q = -b, 2 * a
    vertex, lowest = ratio(p, q), (a * p + b * q) * p + c * q * q
    value = ratio(lowest, d * q * q)
    written = polynomial(a, b, c, d, x)
    if b:
        written += f" = {coefficient(a, d)}({x}{plus(b, q)})²{plus(lowest, d * q * q)}"
    at_vertex = f"{written}, which is" if b else f"{written} is"
    if lowest == 0:
        return 0, f"{at_vertex} 0 at {x} = {vertex} only"
    if (lowest > 0) == (a > 0):
        return 1, f"{written} ≥ {value} > 0" if a > 0 else f"{written} ≤ {value} < 0"
    far = "positive" if a > 0 else "negative"
    return -1, f"{at_vertex} {value} at {x} = {vertex} and {far} far out on both sides"


def _between(n: int, root: int) -> str:
    return f"{n} lies strictly between {root}² and {root + 1}²"


def _no_square(a: int, b: int, c: int, d: int, x: str, discriminant: int, root: int) -> str:
    between = f"discriminant {_between(discriminant, root)}, so it is no square"
    if d == 1:
        return f"the {between}"
    return f"multiplied by {d} it is {polynomial(a, b, c, 1, x)}, whose {between}"


def _suggested_roots(a: int, b: int, root: int) -> tuple[tuple[int, int], ...]:
    """(−b ± root)/2a as (p, q) in lowest terms with q >= 1, ascending, each once."""
    suggested = []
    for p in (-b - root, -b + root) if a > 0 else (-b + root, -b - root):
        common = gcd(p, 2 * a) if a > 0 else -gcd(p, 2 * a)
        suggested.append((p // common, 2 * a // common))
    return tuple(suggested) if root else (suggested[0],)


def _rational_roots(a: int, b: int, c: int, d: int, x: str) -> tuple[bool, str, tuple[tuple[int, int], ...]]:
    """Whether all real roots of a quadratic are rational and there are some, a witness, and those roots."""
    discriminant = b * b - 4 * a * c
    if discriminant < 0:
        return False, _completed_square(a, b, c, d, x)[1], ()
    root = floor_root(discriminant)
    roots = _suggested_roots(a, b, root)
    if any((a * p + b * q) * p + c * q * q for p, q in roots):
        return False, _no_square(a, b, c, d, x, discriminant, root), ()
    given = polynomial(a, b, c, d, x)
    shown = ", ".join(f"at {x} = {ratio(p, q)} it is {_substituted(a, b, c, d, p, q)}" for p, q in roots)
    return True, f"{given}: {shown}" if root else f"{given}: {shown}, and nowhere else", roots


def _substituted(a: int, b: int, c: int, d: int, p: int, q: int) -> str:
    if p == 0:
        return "0"
    return f"{total(plus(a * p * p, d * q * q), plus(b * p, d * q), plus(c, d))} = 0"


def _factors(a: int, b: int, c: int, d: int, x: str) -> tuple[bool, str]:
    """Whether a quadratic splits into rational linear factors, with the factors or what forbids them."""
    discriminant = b * b - 4 * a * c
    if discriminant < 0:
        return False, f"it has no real root: {_completed_square(a, b, c, d, x)[1]}"
    root = floor_root(discriminant)
    roots = _suggested_roots(a, b, root)
    (p, q), (s, t) = roots[0], roots[-1]
    # The factors qx − p and tx − s, times a/(qt) to get the leading coefficient right, multiplied out.
    if (a * (q * s + p * t), a * p * s) != (-b * q * t, c * q * t):
        return False, _no_square(a, b, c, d, x, discriminant, root)
    product = f"{coefficient(a, d * q * t)}{_product(p, q, s, t, x)}"
    return True, f"{polynomial(a, b, c, d, x)} = {product}"


def _product(p: int, q: int, s: int, t: int, x: str) -> str:
    if p == s == 0:
        return f"{x} × {x}"
    first, second = (f"({total(plus(n, 1, x), plus(-m))})" if m else x for m, n in ((p, q), (s, t)))
    if first == second:
        return f"{first}²"
    return second + first if second == x else first + second
