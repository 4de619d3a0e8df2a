"""The integer reading: what it refuses, and that its text holds nothing of the author's."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest

from itembank.expressions.integer_code import ONE, Emitter, Int, NotCompilable, Ratio, constant
from itembank.expressions.parser import parse


def emitter(**options: Any) -> Emitter:
    names = {"secret": Ratio(Int("v0", -9, 9), ONE), "other": Ratio(Int("v1", 0, 5), Int("w1", 1, 4))}
    return Emitter(names, **options)


def run(code: Emitter, result: str, **variables: Any) -> Any:
    names: dict[str, Any] = {"np": np}
    lines = "\n".join(code.lines)
    exec(f"def function({', '.join(variables)}, undefined=False):\n{lines}\n    return {result}\n", names)  # noqa: S102
    return names["function"](**variables)


def test_the_code_holds_none_of_the_authors_letters() -> None:
    code = emitter()
    code.condition(parse("gcd(secret, 4)^2 > 1 and (round(other, 1) != secret or mod(secret, 3) = 1)"))

    words = set(re.findall(r"[A-Za-z_]\w*", "\n".join(code.lines)))

    assert "secret" not in words
    assert {word for word in words if not re.fullmatch(r"[vwt]\d+", word)} <= {
        "if", "not", "return", "None", "gcd", "abs", "and", "else",
    }  # fmt: skip


def test_the_same_value_is_worked_out_once() -> None:
    code = emitter()
    code.condition(parse("secret^2 > 1 and secret^2 < 50 and 2*secret^2 != 8"))

    assert sum("v0 * v0" in line for line in code.lines) == 1


def test_many_alternatives_make_flat_code() -> None:
    code = emitter()
    source = " or ".join(f"secret = {n}" for n in range(100, 210))
    result = code.condition(parse(f"{source} or secret = 7"))

    assert max(len(line) - len(line.lstrip()) for line in code.lines) <= 8
    assert run(code, result, v0=7) is True
    assert run(code, result, v0=6) is False


@pytest.mark.parametrize(
    "source",
    ["sqrt(secret)", "surd(4)", "root(8, 3)", "x", "secret ± 1", "2^(1/2)", "2^65", "2^secret", "is_square(4)",
     "round(secret, secret)", "max(1/secret, 2)", "secret = 1", "(1, 2) = (1, 2)", "discriminant(x^3)",
     "discriminant(x*y)", "discriminant(sqrt(x))"],
)  # fmt: skip
def test_what_is_not_rational_is_left_to_the_exact_reading(source: str) -> None:
    with pytest.raises(NotCompilable):
        emitter().rational(parse(source))


@pytest.mark.parametrize(
    "source",
    ["sqrt(2) + sqrt(3)", "± 2 + sqrt(3)", "(1 ± sqrt(2))*sqrt(2)", "1/(1 ± sqrt(2))", "(1 + sqrt(2))*sqrt(3)",
     "1/(secret + sqrt(2))", "± (1 + sqrt(2))", "root(2, 3)", "(1 ± 2)^2"],
)  # fmt: skip
def test_what_has_more_than_one_root_is_left_to_the_exact_reading(source: str) -> None:
    with pytest.raises(NotCompilable):
        emitter().radical(parse(source))


@pytest.mark.parametrize("source", ["secret ≈ 2", "2*secret", "sqrt(secret) = 2", "integer_roots(5)"])
def test_what_is_no_exact_condition_is_left_to_the_exact_reading(source: str) -> None:
    with pytest.raises(NotCompilable):
        emitter().condition(parse(source))


@pytest.mark.parametrize("source", ["10^30", "secret*10^20", "secret^30", "10^20*secret - 10^20*secret"])
def test_arrays_refuse_what_may_not_fit_64_bits(source: str) -> None:
    emitter().rational(parse(source))

    with pytest.raises(NotCompilable, match="64 bits"):
        emitter(arrays=True).rational(parse(source))


def test_division_by_zero_is_masked_in_arrays_without_a_warning() -> None:
    code = emitter(arrays=True)
    value = code.rational(parse("gcd(6/secret, 4) + mod(5, secret) + numerator(1/secret^2)"))
    column = np.array([-3, 0, 2], dtype=np.int64)

    undefined, found = run(code, f"undefined, {value.n.text}", v0=column, v1=column, w1=column)

    assert [False, True, False] == undefined.tolist()
    assert [2 + -1 + 1, 1 + 1 + 1] == found[~undefined].tolist()


def test_a_constant_zero_divisor_is_undefined_everywhere() -> None:
    scalar, array = emitter(), emitter(arrays=True)

    assert run(scalar, scalar.rational(parse("secret/0")).n.text, v0=3) is None
    array.rational(parse("mod(secret, 0) + 1/(2 - 2)"))
    assert run(array, "undefined", v0=np.array([1, 2])) is True


def test_a_side_that_is_not_reached_leaves_arrays_defined() -> None:
    code = emitter(arrays=True)
    truth = code.condition(parse("secret = 0 or 6/secret > 2"))

    undefined, found = run(code, f"undefined, {truth}", v0=np.array([-1, 0, 2, 5], dtype=np.int64))

    assert not np.any(undefined)
    assert [False, True, True, False] == found.tolist()


def test_the_opposite_of_a_condition_without_variables_is_no_number() -> None:
    code = emitter(arrays=True)

    assert not run(code, code.condition(parse("not 0 = -round(0)")), v0=0)


def test_properties_get_whole_numbers_in_lowest_terms_or_over_one_denominator() -> None:
    code = emitter()
    code.condition(parse("is_square(other/2)"))
    code.condition(parse("integer_roots(x^2 + secret*x/2 = 1/3)"))
    code.condition(parse("coprime(secret, 4, 6)"))

    calls = [line.split(" = ")[1] for line in code.lines if "test_" in line]

    assert re.fullmatch(r"test_is_square\(t\d+, t\d+\)", calls[0])
    assert re.fullmatch(r"test_integer_roots\(6, t\d+, \(-2\), 6\)", calls[1])
    assert "test_coprime(v0, 4, 6)" == calls[2]


def test_intervals_of_squares_do_not_go_below_zero() -> None:
    value = emitter().rational(parse("secret^2 - 3*secret^2 + abs(secret)"))
    square = emitter().rational(parse("secret^2"))

    assert (0, 81) == (square.n.low, square.n.high)
    assert value.n.low >= -2 * 81 - 81
    assert constant(-4).text == "(-4)"
