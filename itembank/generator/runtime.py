"""What generated code calls: canonical forms, integer tests of properties, and the exact reading as a last resort.

Generated code is made of our own words only; an author's letters never reach it. This module is the namespace it
runs in.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from math import gcd, isqrt, lcm
from typing import Any

from itembank.errors import DomainError
from itembank.expressions import canonical
from itembank.expressions.canonical import Form
from itembank.expressions.display import Decimal, places_needed
from itembank.expressions.plan import Places
from itembank.properties import integer_tests
from itembank.properties.catalogue import PROPERTIES

UNDEFINED: None = None


def decimal(n: int, d: int, places: Places) -> Form:
    """The form of n/d shown with these places, or as a fraction.

    >>> [str(decimal(3, 2, places)[1][0]) for places in (2, -1, ((3, 2, 3), (2, 1, 0)))]
    ['1.50', '1.5', '1.500']
    """
    if isinstance(places, int):
        needed = places if places >= 0 else places_needed(d // gcd(n, d))
    else:
        needed = next((digits for above, below, digits in places if above * d == below * n), -1)
    if needed < 0:
        return canonical.ratio(n, d)
    if needed == 0:
        return canonical.integer(n // d)
    if n == 0:
        return ("0",), ()
    return ("+." if n > 0 else "-.",), (Decimal(Fraction(abs(n), d), needed),)  # type: ignore[return-value]


def union(*forms: Form) -> Form | None:
    """The form of a set of values, each given by its own form. None where one of them is a pair (not needed)."""
    values = []
    for form in forms:
        values.extend(canonical_values(form))
    return canonical.solution_set(values)


def points(*forms: Form) -> Form:
    """The form of points, each given by the forms of its coordinates, in any order and perhaps repeated."""
    pairs = list(zip(forms[::2], forms[1::2], strict=True))
    ratios = [(canonical.rational(x), canonical.rational(y)) for x, y in pairs]
    if all(x is not None and y is not None and x[1] == y[1] == 1 for x, y in ratios):
        ordered = sorted(set(range(len(pairs))), key=lambda i: ratios[i])
        return canonical.joined_points(dict.fromkeys([pairs[i] for i in ordered]))
    return canonical.point_set(
        [(x, y) for one, two in pairs for x in canonical_values(one) for y in canonical_values(two)]
    )


def meeting(a: int, b: int, c: int, un: int, ud: int, vn: int, vd: int, at: int) -> Form:
    """The form of points with a*t^2 + b*t + c = 0 for one coordinate t and un/ud + vn/vd*t for the other.

    at: which coordinate the other is, 0 or 1; ud, vd >= 1. Raises DomainError where every t will do.
    """
    if a < 0 or (a == 0 and b < 0):
        a, b, c = -a, -b, -c
    inside = b * b - 4 * a * c
    if a == b == 0 or inside < 0:
        if a == b == c == 0:
            raise DomainError("every number is a solution")
        return canonical.NONE
    root = isqrt(inside)
    found: list[tuple[Form, Form]] = []
    if root * root == inside:
        for n in (-b - root, -b + root)[root == 0 :] if a else (-c,):
            e = 2 * a if a else b
            other = canonical.ratio(un * vd * e + vn * n * ud, ud * vd * e)
            found.append((canonical.ratio(n, e), other))
    else:
        for sign in (-1, 1):
            t = canonical.surd(-b, 2 * a, sign, 2 * a, inside, 1, False)
            start, factor = (un * vd * 2 * a - vn * b * ud, ud * vd * 2 * a), (sign * vn, vd * 2 * a)
            found.append((t, canonical.surd(*start, *factor, inside, 1, False)))
    if at == 0:
        falls = vn < 0  # t runs from below, and the other coordinate with it or against it
        found = [(other, t) for t, other in (found[::-1] if falls else found)]
    return canonical.joined_points(found)


def canonical_values(form: Form) -> list[Any]:
    """The exact values a form stands for, ascending."""
    from itembank.expressions import numbers

    kind, given = form
    holes = list(given)

    def single(kind: Any) -> list[Any]:
        match kind:
            case ("0",) | ("1",) | ("-1",):
                return [int(kind[0])]
            case ("+",) | ("+.",):
                return [_plain(holes.pop(0))]
            case ("-",) | ("-.",):
                return [-_plain(holes.pop(0))]
            case ("+/",) | ("-/",):
                n, d = holes.pop(0), holes.pop(0)
                return [Fraction(n if kind[0] == "+/" else -n, d)]
            case ("surd", p, q, d, sign):
                rational = holes.pop(0) * (1 if p == "+" else -1) if p != "0" else 0
                coefficient = {"1": 1, "-1": -1}.get(q) or holes.pop(0) * (1 if q == "+" else -1)
                radicand = holes.pop(0)
                below = holes.pop(0) if d == "+" else 1
                values = []
                for factor in (-1, 1) if sign == "±" else (1,):
                    values.append(
                        numbers.make(
                            {1: Fraction(rational, below), radicand: Fraction(factor * coefficient, below)}
                        )
                    )
                return values
            case ("set", *parts):
                return [value for part in parts for value in single(part)]
            case ("none",):
                return []
            case _:
                raise DomainError(f"no values for the form {kind}")

    return single(kind)


def _plain(filling: Any) -> Any:
    return filling.value if isinstance(filling, Decimal) else filling


def namespace(extra: Mapping[str, Callable[..., Any]]) -> dict[str, Any]:
    """The names generated code may use: ours, and the closures of one template."""
    names: dict[str, Any] = {
        "__builtins__": {"abs": abs, "min": min, "max": max, "len": len},
        "gcd": gcd,
        "lcm": lcm,
        "isqrt": isqrt,
        "ratio": canonical.ratio,
        "integer": canonical.integer,
        "surd": canonical.surd,
        "roots": canonical.roots,
        "decimal": decimal,
        "union": union,
        "points": points,
        "meeting": meeting,
        "NONE": canonical.NONE,
        "DomainError": DomainError,
        "UNDEFINED": UNDEFINED,
    }
    names.update({f"test_{name}": integer_tests.INTEGER_TESTS[name] for name in PROPERTIES})
    names.update(extra)
    return names
