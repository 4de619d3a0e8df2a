"""The sympy reading: symbols stay symbols, ± is both readings, and nothing is guessed."""

from __future__ import annotations

import pytest
import sympy

from itembank.errors import DomainError
from itembank.expressions.parser import parse
from itembank.expressions.symbolic import readings, to_sympy

x, y, a, b, c = sympy.symbols("x y a b c", real=True)
k = sympy.Symbol("k", positive=True)
SYMBOLS = {"x": x, "y": y, "a": a, "b": b, "c": c, "k": k}


def read(source: str, main_letter: str = "") -> object:
    return to_sympy(parse(source), SYMBOLS, main_letter=main_letter)


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("2x^2 - x/3", 2 * x**2 - x / 3),
        ("sqrt(k^2)", k),
        ("sqrt(x^2)", abs(x)),
        ("surd(12)*x", 2 * sympy.sqrt(3) * x),
        ("root(-8, 3)", sympy.Integer(-2)),
        ("root(k, 4)^4", k),
        ("root(x, 3)", sympy.sign(x) * sympy.root(abs(x), 3)),
        ("keep(value(x))", x),
        ("0.25*x", x / 4),
        ("discriminant(a*x^2 + b*x + c)", b**2 - 4 * a * c),
        ("discriminant(a*x^2 = b*x - c)", b**2 - 4 * a * c),
        ("min(x, 2) + max(x, 2)", sympy.Min(x, 2) + sympy.Max(x, 2)),
        ("gcd(12, 18) + lcm(4, 6)", sympy.Integer(18)),
        ("round(-2.5) + numerator(6/4) + denominator(6/4)", sympy.Integer(2)),
        ("mod(-7, 3)", sympy.Integer(2)),
        ("x = 2", sympy.Eq(x, 2)),
        ("x != 2", sympy.Ne(x, 2)),
        ("0 < x <= 2", sympy.And(sympy.Lt(0, x), x <= 2)),
        ("x = 1 or x = 2 and not y > 3", sympy.Or(sympy.Eq(x, 1), sympy.And(sympy.Eq(x, 2), y <= 3))),
        ("(x, y) = (2, -3)", sympy.And(sympy.Eq(x, 2), sympy.Eq(y, -3))),
    ],
)
def test_a_tree_is_read_as_sympy_writes_it(source: str, expected: object) -> None:
    assert expected == read(source, "x")


def test_either_sign_is_the_pair_of_both_readings() -> None:
    assert sympy.Tuple(4 + sympy.sqrt(k), 4 - sympy.sqrt(k)) == read("4 ± sqrt(k)")
    assert sympy.Or(sympy.Eq(x, 3), sympy.Eq(x, -3)) == read("x = ± 3")
    assert (sympy.Eq(x, a + b), sympy.Eq(x, a - b)) == readings(parse("x = a ± b"), SYMBOLS)


@pytest.mark.parametrize(
    "source",
    ["z", "x ≈ 2", "is_square(k)", "1/(x - x)", "0^0", "sqrt(-k)", "root(-k, 4)", "gcd(x, 2)", "numerator(x)",
     "discriminant(x^3)", "discriminant(1/x)", "discriminant(x*y)", "mod(x, 0)", "round(x)", "root(x, 1)",
     "round(2, 13)"],
)  # fmt: skip
def test_what_sympy_cannot_mean_is_refused(source: str) -> None:
    with pytest.raises(DomainError):
        read(source)
