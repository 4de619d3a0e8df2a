"""Whole-number code of the quick proofs: how it is put together, compiled and run.

It shares nothing with the integer reading of the search, on purpose.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import cache
from math import gcd, isqrt
from typing import Any, TypeAlias

from itembank import own_code
from itembank.expressions.display import Filling

Reader: TypeAlias = Callable[[tuple[Filling, ...]], Any]
"""From the numbers in a shape's holes to an identity; None where the slow road must look."""


class Beyond(Exception):
    """The shape is not for this road."""


def times(first: str, second: str) -> str:
    """Code for first * second."""
    if "0" in (first, second):
        return "0"
    if first == "1":
        return second
    if second == "1":
        return first
    return f"({first}*{second})"


def plus(first: str, second: str) -> str:
    """Code for first + second."""
    if first == "0":
        return second
    if second == "0":
        return first
    return f"({first}+{second})"


def minus(value: str) -> str:
    """Code for -value."""
    return "0" if value == "0" else f"(-{value})"


def _roots(a: int, b: int, c: int) -> tuple[int, ...] | None:
    if a == 0:
        if b == 0:
            return None if c == 0 else ()
        common = gcd(b, c)
        return (0, b // common, c // common) if b > 0 else (0, -b // common, -c // common)
    inside = b * b - 4 * a * c
    if inside < 0:
        return ()
    if inside == 0:
        return _roots(0, 2 * a, b)
    common = gcd(a, b, c)
    if a < 0:
        common = -common
    return (a // common, b // common, c // common)


def _proportions(a: int, b: int, c: int) -> tuple[int, int, int] | None:
    """Equal for multiples of one quadratic; None where the square is not there."""
    if a == 0:
        return None
    common = gcd(a, b, c) if a > 0 else -gcd(a, b, c)
    return a // common, b // common, c // common


def _reduced(n: int, d: int) -> tuple[int, int]:
    common = gcd(n, d)
    if d < 0:
        common = -common
    return n // common, d // common


def _value_identity(u: int, v: int, r: int, d: int) -> tuple[object, ...]:
    square = v * v * r
    root = isqrt(square)
    if root * root == square:
        return ("number", _reduced(u + (root if v > 0 else -root), d), 0, (0, 1))
    positive = (v > 0) == (d > 0)
    return ("number", _reduced(u, d), 1 if positive else -1, _reduced(square, d * d))


def expression_identity(letter: str, coefficients: tuple[int, ...], d: int) -> tuple[object, ...]:
    """Of a polynomial in one letter: whole coefficients, constant first, over d, all in lowest terms; or its number."""
    degree = len(coefficients) - 1
    while degree > 0 and coefficients[degree] == 0:
        degree -= 1
    if degree <= 0:
        return ("number", _reduced(coefficients[0] if coefficients else 0, d), 0, (0, 1))
    common = gcd(d, *coefficients)
    if d < 0:
        common = -common
    return ("expression", letter, tuple([c // common for c in coefficients[: degree + 1]]), d // common)


def _rational(n: int, d: int) -> int | Fraction:
    return Fraction(n, d) if n % d else n // d


def _point_set(found: set[tuple[int | Fraction, int | Fraction]]) -> object:
    """The identity of points, at least one: a single one by its coordinates in lowest terms."""
    if len(found) > 1:
        return frozenset(found)
    ((x, y),) = found
    return (x.numerator, x.denominator), (y.numerator, y.denominator)


def _points(*given: int) -> object:
    """Points by numerator and denominator of each coordinate in turn."""
    if 0 in given[1::2]:
        return None
    values = [_rational(n, d) for n, d in zip(given[::2], given[1::2], strict=True)]
    return _point_set(set(zip(values[::2], values[1::2], strict=True)))


def _met(a: int, b: int, c: int, u: int, v: int, d: int, at: int) -> object:
    """Points with a*t^2 + b*t + c = 0 for one coordinate t and (u + v*t)/d for the other, which stands `at`."""
    if d == 0 or a == b == c == 0:
        return None
    inside = b * b - 4 * a * c
    root = isqrt(max(inside, 0))
    if inside < 0 or (a == b == 0):
        return ()
    if root * root != inside:
        return None  # irrational
    roots = [(-c, b)] if a == 0 else [(root - b, 2 * a), (-root - b, 2 * a)]
    found = set()
    for n, e in roots:
        t, other = _rational(n, e), _rational(u * e + v * n, d * e)
        found.add((t, other) if at else (other, t))
    return _point_set(found)


_NAMES = {
    "points": _points, "met": _met, "roots": _roots, "proportions": _proportions, "reduced": _reduced,
    "number": _value_identity, "whole": sum,
}  # fmt: skip


def compiled(guards: list[str], lines: list[str], checks: list[str], result: str) -> Reader | None:
    """A function of the holes: None where a guard strikes, () where a check is not 0, else the result.

    The code is made of digits, holes, names of ours and signs: nothing an author wrote is in it.
    """
    body = [
        "whole(n)"
    ]  # a number with a decimal point has no sum with others, though it could be handed on alone
    body += [f"if {guard}: return None" for guard in dict.fromkeys(guards)] + lines
    body += [f"if {check} != 0: return ()" for check in dict.fromkeys(checks)] + [f"return {result}"]
    source = "def read(n):\n" + "\n".join("    " + line for line in body) + "\n"
    return _running(source) if len(source) <= 20_000 else None


@cache
def _running(source: str) -> Reader:
    reader = own_code.run(source, f"{__file__}<shape>", {"__builtins__": {}, **_NAMES})["read"]

    def read(numbers: tuple[Filling, ...]) -> Any:
        try:
            return reader(numbers)
        except TypeError:  # a number with a decimal point, which whole-number code does not take
            return None

    return read
