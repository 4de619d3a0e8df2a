"""The integer reading against the exact one: generated code is run on values of its variables, in both dialects.

Every interval the code carries must hold the value found, wherever the expression is defined.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from math import gcd, lcm
from typing import Any

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from itembank.errors import BoundExceeded, DomainError
from itembank.expressions import exact, numbers, tree
from itembank.expressions.integer_code import ONE, Emitter, Int, NotCompilable, Radical, Ratio
from itembank.expressions.numbers import Exact
from itembank.expressions.polynomials import Polynomial
from itembank.expressions.tree import Node
from tests.property import strategies as some

GRID = range(-4, 6)
DENOMINATORS = (1, 2, 3)
UNDEFINED = object()


class Watched(Emitter):
    """An emitter that remembers every value it makes, with its interval."""

    def __init__(self, *arguments: Any, **options: Any) -> None:
        self.made: list[Int] = []
        super().__init__(*arguments, **options)

    def bounded(self, code: str, low: int, high: int) -> Int:
        value = super().bounded(code, low, high)
        self.made.append(value)
        return value


@dataclass(frozen=True)
class Compiled:
    """A generated function, and the intervals of the values it makes; it returns None where it is undefined."""

    function: Callable[..., Any]
    made: tuple[Int, ...]


def is_square(n: Any, d: Any) -> Any:
    """A property of a number for these tests: the whole numbers 0, 1, 4, 9, 16."""
    return np.isin(n, (0, 1, 4, 9, 16)) & (d == 1)


def emitter(arrays: bool) -> Watched:
    """h and k from the grid; m a ratio with variable denominator."""
    low, high = GRID[0], GRID[-1]
    names = {
        "h": Ratio(Int("v0", low, high), ONE),
        "k": Ratio(Int("v1", low, high), ONE),
        "m": Ratio(Int("v2", low, high), Int("w2", 1, 3)),
    }
    return Watched(names, arrays=arrays, main_letter="x")


def compiled(code: Watched, results: Mapping[str, str]) -> Compiled:
    """The function of the lines written so far; it gives the named results, and all its variables."""
    listed = ", ".join(f"{name!r}: {text}" for name, text in results.items())
    start = ["    undefined = v0 != v0"] if code.arrays else []
    made = [value for value in code.made if not value.is_fixed]
    inner = ", ".join(
        f"{value.text!r}: {value.text}" for value in made if value.text in _assigned(code.lines)
    )
    undefined = ", undefined" if code.arrays else ""
    body = [*start, *code.lines, f"    return {{{listed}}}, {{{inner}}}{undefined}"]
    names: dict[str, Any] = {"gcd": gcd, "lcm": lcm, "np": np, "test_is_square": is_square}
    # what an emitter wrote, of trees drawn here
    exec("def function(v0, v1, v2, w2):\n" + "\n".join(body), names)  # noqa: S102
    return Compiled(names["function"], tuple(made))


def _assigned(lines: list[str]) -> set[str]:
    """The variables that are set whatever the branches."""
    return {line.strip().split(" = ")[0] for line in lines if line.startswith("    ") and line[4] != " "}


def values_of(point: tuple[int, int, int, int]) -> dict[str, Exact]:
    v0, v1, v2, w2 = point
    return {"h": v0, "k": v1, "m": numbers.whole(Fraction(v2, w2))}


def exactly(read: Callable[[], Any]) -> Any:
    """What the exact reading says, UNDEFINED where it has no value; refused by its bounds, no example."""
    try:
        return read()
    except BoundExceeded:
        assume(False)
    except DomainError:
        return UNDEFINED


def scalar_results(code: Compiled, point: tuple[int, int, int, int]) -> Any:
    """The results at a point, after a look at all intervals; UNDEFINED where there are none."""
    found = code.function(*point)
    if found is None:
        return UNDEFINED
    results, inner = found
    for value in code.made:
        if value.text in inner:
            assert value.low <= inner[value.text] <= value.high, (value, inner[value.text])
    return results


def array_results(code: Compiled, points: list[tuple[int, int, int, int]]) -> list[Any]:
    """The results at all points at once, after a look at all intervals."""
    columns = [np.array(column, dtype=np.int64) for column in zip(*points, strict=True)]
    results, inner, undefined = code.function(*columns)
    defined = ~np.broadcast_to(np.asarray(undefined), (len(points),))
    for value in code.made:
        if value.text in inner:
            column = np.broadcast_to(np.asarray(inner[value.text]), defined.shape)[defined]
            assert ((value.low <= column) & (column <= value.high)).all(), value
    spread = {name: np.broadcast_to(np.asarray(column), defined.shape) for name, column in results.items()}
    return [
        {name: column[i].item() for name, column in spread.items()} if defined[i] else UNDEFINED
        for i in range(len(points))
    ]


points = st.tuples(
    st.sampled_from(GRID), st.sampled_from(GRID), st.sampled_from(GRID), st.sampled_from(DENOMINATORS)
)
several_points = st.lists(points, min_size=1, max_size=12)
half_grid = [*product(GRID[::2], GRID[1::3], (-2, 0, 3), (1, 2))]


def ratio(results: Any) -> Any:
    return results if results is UNDEFINED else Fraction(results["n"], results["d"])


def code_of_ratio(node: Node, arrays: bool) -> Compiled:
    code = emitter(arrays)
    try:
        value = code.rational(node)
    except NotCompilable:
        assume(False)
    return compiled(code, {"n": value.n.text, "d": value.d.text})


@given(some.rational_terms(), several_points)
@settings(max_examples=200, deadline=None)
def test_scalar_code_of_a_rational_expression_has_its_exact_value(node: Node, at: list[Any]) -> None:
    code = code_of_ratio(node, arrays=False)

    for point in at:
        expected = exactly(lambda point=point: exact.number(node, values_of(point)))
        assert expected == ratio(scalar_results(code, point))


@given(some.rational_terms(size=6))
@settings(max_examples=150, deadline=None)
def test_array_code_of_a_rational_expression_has_its_exact_value_on_a_grid(node: Node) -> None:
    code = code_of_ratio(node, arrays=True)
    expected = [exactly(lambda point=point: exact.number(node, values_of(point))) for point in half_grid]

    assert expected == [ratio(results) for results in array_results(code, half_grid)]


def conditions() -> st.SearchStrategy[Node]:
    plain = some.statements(some.rational_terms(size=3))
    square = some.rational_terms(size=2).map(lambda part: tree.Call("is_square", (part,)))
    pairs = st.tuples(st.one_of(plain, square), st.one_of(plain, square))
    return st.one_of(plain, square, pairs.map(tree.And), pairs.map(tree.Or), square.map(tree.Not))


def holds(name: str, arguments: tuple[Polynomial, ...]) -> bool:
    value = Fraction(arguments[0].constant())  # type: ignore[arg-type]
    return bool(is_square(value.numerator, value.denominator))


def code_of_condition(node: Node, arrays: bool) -> Compiled:
    code = emitter(arrays)
    try:
        text = code.condition(node)
    except NotCompilable:
        assume(False)
    return compiled(code, {"truth": text})


def truth(results: Any) -> Any:
    return results if results is UNDEFINED else bool(results["truth"])


@given(conditions(), several_points)
@settings(max_examples=200, deadline=None)
def test_scalar_code_of_a_condition_is_as_true_as_the_exact_reading(node: Node, at: list[Any]) -> None:
    code = code_of_condition(node, arrays=False)

    for point in at:
        expected = exactly(lambda point=point: exact.truth(node, values_of(point), holds))
        assert expected == truth(scalar_results(code, point))


@given(conditions())
@settings(max_examples=150, deadline=None)
def test_array_code_of_a_condition_is_as_true_as_the_exact_reading_on_a_grid(node: Node) -> None:
    code = code_of_condition(node, arrays=True)
    expected = [
        exactly(lambda point=point: exact.truth(node, values_of(point), holds)) for point in half_grid
    ]

    assert expected == [truth(results) for results in array_results(code, half_grid)]


# polynomials


@given(some.polynomial_terms(("h", "k", "x"), size=5), several_points, st.booleans())
@settings(max_examples=250, deadline=None)
def test_code_of_a_polynomial_has_its_exact_coefficients(node: Node, at: list[Any], arrays: bool) -> None:
    code = emitter(arrays)
    try:
        parts = code.polynomial(node, "x")
    except NotCompilable:
        assume(False)
    named = {f"{part}{e}": getattr(value, part).text for e, value in parts.items() for part in "nd"}
    code_made = compiled(code, named)
    found = array_results(code_made, at) if arrays else [scalar_results(code_made, point) for point in at]

    for point, results in zip(at, found, strict=True):
        polynomial = exactly(lambda point=point: exact.polynomial(node, values_of(point)))
        expected = {e: part.constant() for e, part in polynomial.in_powers_of("x").items()}
        got = {e: Fraction(results[f"n{e}"], results[f"d{e}"]) for e in parts}
        assert expected == {e: value for e, value in got.items() if value}


@st.composite
def quadratics(draw: st.DrawFn) -> Node:
    """a*x^2 + b*x + c with rational coefficients, sometimes as an equation or a square."""
    x = tree.Name("x")
    a, b, c = (draw(some.rational_terms(size=2)) for _ in range(3))
    square = some.product([a, tree.Power(x, tree.Number(Fraction(2)))])
    node: Node = tree.Sum(square, (("-", some.product([b, x])), ("+", c)))
    match draw(st.sampled_from(["sum", "equation", "bracket"])):
        case "equation":
            return tree.Relation((node, draw(some.rational_terms(size=1))), ("=",))
        case "bracket":
            return tree.Power(tree.Sum(x, (("-", b),)), tree.Number(Fraction(2)))
        case _:
            return node


@given(quadratics(), points)
@settings(max_examples=120, deadline=None)
def test_code_of_a_discriminant_has_its_exact_value(node: Node, point: Any) -> None:
    call = tree.Call("discriminant", (node,))
    code = code_of_ratio(call, arrays=False)
    expected = exactly(lambda: exact.number(call, values_of(point), "x"))

    assert expected == ratio(scalar_results(code, point))


@given(st.lists(some.rational_terms(size=2), min_size=3, max_size=3), several_points)
@settings(max_examples=200, deadline=None)
def test_values_over_a_common_denominator_are_the_same_values(nodes: list[Node], at: list[Any]) -> None:
    code = emitter(arrays=False)
    try:
        numerators, shared = code.common_denominator(tuple(code.rational(node) for node in nodes))
    except NotCompilable:
        assume(False)
    made = compiled(code, {"d": shared.text} | {str(i): n.text for i, n in enumerate(numerators)})

    for point in at:
        expected = [exactly(lambda p=point, node=node: exact.number(node, values_of(p))) for node in nodes]
        results = scalar_results(made, point)
        if UNDEFINED in expected:
            assert results is UNDEFINED
        else:
            assert expected == [Fraction(results[str(i)], results["d"]) for i in range(3)]
            assert results["d"] >= 1


# radicals


def code_of_radical(node: Node, arrays: bool) -> tuple[Compiled, Radical]:
    code = emitter(arrays)
    try:
        value = code.radical(node)
    except NotCompilable:
        assume(False)
    parts = {"p": value.rational, "q": value.coefficient, "r": value.radicand}
    named = {f"{name}{part}": getattr(ratio, part).text for name, ratio in parts.items() for part in "nd"}
    return compiled(code, named), value


def radical_values(results: Any, both: bool) -> Any:
    if results is UNDEFINED:
        return UNDEFINED
    p, q, r = (numbers.whole(Fraction(results[f"{name}n"], results[f"{name}d"])) for name in "pqr")
    tail = numbers.multiply(q, numbers.square_root(r))
    return {numbers.add(p, tail), numbers.subtract(p, tail)} if both else {numbers.add(p, tail)}


def exact_set(node: Node, point: Any) -> Any:
    signs = (1, -1) if tree.has_plus_minus(node) else (0,)
    trees = [tree.with_sign(node, sign) if sign else node for sign in signs]
    return exactly(lambda: {exact.number(reading, values_of(point)) for reading in trees})


one_root = st.sampled_from(["sqrt(k)", "sqrt(h*k)", "sqrt(2)", "sqrt(h^2 - 4*k)", "sqrt(m)", "surd(k + 2)"])


@st.composite
def radicals(draw: st.DrawFn) -> Node:
    """Terms with one kind of root in them, and sometimes a ±."""
    from itembank.expressions.parser import parse

    root = parse(draw(one_root))
    rationals = some.terms(st.one_of(some.numerals(), some.names(some.PARAMETERS)), exponents=(1, 2), size=2)
    leaves = st.one_of(st.just(root), rationals)
    node = draw(some.terms(leaves, exponents=(1, 2, 3), size=5))
    shape = draw(st.sampled_from(["plain", "pair", "lead", "scaled"]))
    if shape == "plain":
        return node
    pair = tree.PlusMinus(root) if shape == "lead" else tree.Sum(draw(rationals), (("±", root),))
    return (
        tree.Quotient(some.product([draw(rationals), pair]), draw(rationals)) if shape == "scaled" else pair
    )


@given(radicals(), several_points, st.booleans())
@settings(max_examples=500, deadline=None)
def test_code_of_a_radical_has_its_exact_value_or_pair_of_values(
    node: Node, at: list[Any], arrays: bool
) -> None:
    code, value = code_of_radical(node, arrays)
    found = array_results(code, at) if arrays else [scalar_results(code, point) for point in at]

    for point, results in zip(at, found, strict=True):
        assert exact_set(node, point) == radical_values(results, value.both)
