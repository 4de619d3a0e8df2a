"""Bad input is refused by a bound, before any work: never by waiting, never by a broken stack."""

from __future__ import annotations

import sys

import pytest

from itembank.errors import BoundExceeded
from itembank.expressions import exact, polynomials, tree
from itembank.expressions.expand import expanded
from itembank.expressions.integer_code import Emitter, NotCompilable
from itembank.expressions.parser import ExpressionError, parse
from itembank.expressions.plain import plain

LONG = {
    "ten megabytes": ("x" * 10_000_000, "expression-too-long"),
    "ten thousand nested brackets": ("(" * 10_000 + "x" + ")" * 10_000, "expression-too-long"),
    "nine hundred nested brackets": ("(" * 900 + "x" + ")" * 900, "too-deep"),
    "thirty-one nested brackets": ("(" * 31 + "x" + ")" * 31, "too-deep"),
    "a million digits": ("1" * 1_000_000, "expression-too-long"),
    "a thousand digits": ("1" * 1_000, "number-too-long"),
    "thirty-one decimals": ("0." + "1" * 31, "number-too-long"),
    "an index of thirty-one digits": ("x_" + "1" * 31, "number-too-long"),
    "powers of powers without a bracket": ("2^" * 900 + "2", "too-deep"),
    "quotients of quotients without a bracket": ("2/" * 900 + "2", "too-deep"),
    "powers of powers with a true minus sign": ("2^" * 900 + "2 − 1", "too-deep"),
    "calls in calls": ("abs(" * 40 + "x" + ")" * 40, "too-deep"),
}


@pytest.mark.parametrize("case", LONG)
def test_a_text_beyond_a_bound_is_refused_at_its_place(case: str) -> None:
    text, code = LONG[case]

    with pytest.raises(ExpressionError) as refused:
        parse(text)

    assert code == refused.value.code
    assert 0 <= refused.value.start < refused.value.end <= len(text)


def test_what_stays_within_the_bounds_is_read() -> None:
    assert parse("(" * 30 + "x" + ")" * 30) == tree.Name("x")
    assert len(plain(parse("1" * 30))) == 30
    assert parse("+".join(["x"] * 1_000)).rest  # type: ignore[union-attr]


def test_the_deepest_tree_leaves_room_on_the_stack_of_every_reading() -> None:
    text = "2^" * 88 + "2"
    limit = sys.getrecursionlimit()
    sys.setrecursionlimit(650)
    try:
        node = parse(text)
        assert text == plain(node)
        assert node == parse(plain(node))
    finally:
        sys.setrecursionlimit(limit)


HUGE = [
    "9^9^9^9", "2^64^64", "2^65", "(x + 1)^12^12", "(x + 1)^13", "((((x + 1)^12)^12)^12)^12", "(x^12)^12^2",
    "((x^12)^12)^12", "(a + b + c + d + f)^12", "gcd(9^64*9^64*9^64, 2)", "lcm(7^64, 11^64, 13^64)",
    "sqrt(10^20 + 1)", "sqrt(999999999999999999999999999999*10^30 + 1)", "(10^12)^12",
    "(sqrt(2) + sqrt(3) + sqrt(5) + sqrt(7) + sqrt(11) + sqrt(13) + sqrt(17))^64",
    "1/(sqrt(2) + sqrt(3) + sqrt(5) + sqrt(7) + sqrt(11) + sqrt(13))^9",
    "(1 + sqrt(2))*(1 + sqrt(3))*(1 + sqrt(5))*(1 + sqrt(7))*(x + y + z)^3*(x + y + z)^3",
]  # fmt: skip


@pytest.mark.parametrize("source", HUGE)
def test_a_value_that_grows_too_large_is_refused_by_a_bound(source: str) -> None:
    with pytest.raises(BoundExceeded):
        exact.polynomial(parse(source), {})


def test_a_number_of_61_digits_is_not_factorised() -> None:
    number = 10**60 + 7

    assert len(str(number)) == 61
    with pytest.raises(BoundExceeded, match=r"10\^15"):
        exact.number(parse("sqrt(n)"), {"n": number})


def test_roots_of_large_primes_are_inverted_without_looking_for_factors() -> None:
    node = parse("(sqrt(p) + sqrt(q))*(1/(sqrt(p) + sqrt(q)))")

    assert exact.number(node, {"p": 999_999_999_999_989, "q": 999_999_999_999_947}) == 1


def test_multiplying_out_is_bounded() -> None:
    with pytest.raises(BoundExceeded):
        expanded(parse("(((x + h)^12)^12)^12"), {"h"})
    with pytest.raises(BoundExceeded):
        expanded(parse("(x + y + z + h)^12"), {"h"})


def test_integer_code_is_bounded() -> None:
    emitter = Emitter({})
    for source in ("((x + 1)^6)^6", "(x + 1)^13", "x^12*x"):
        with pytest.raises(NotCompilable):
            emitter.polynomial(parse(source), "x")
    with pytest.raises(NotCompilable, match="4000 bits"):
        emitter.rational(parse("((10^30)^30)^30"))

    assert len(emitter.lines) < 100


def test_a_degree_within_the_bound_is_read() -> None:
    polynomial = exact.polynomial(parse("(x^12)^12"), {})

    assert [144] == list(polynomial.in_powers_of("x"))
    assert polynomials.MAXIMUM_DEGREE >= 144
