"""Equations with the unknown under a root or in an exponent: the same true solutions on every road, no false ones.

Outside references: sympy's roots of the squared equation, each tried; for powers every sixth from -8 to 8 put in.

The worked examples are those of Lynn Marecek and Andrea Honeycutt Mathis, Intermediate Algebra 2e, OpenStax 2020,
sections 8.6 "Solve Radical Equations", 9.4 "Solve Equations in Quadratic Form" and 10.2 "Evaluate and Graph Exponential
Functions", and of Jay Abramson, College Algebra, OpenStax 2015, section 6.6 "Exponential and Logarithmic Equations",
both CC BY 4.0 (all from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from itembank.audit.findings import CannotTell as AuditCannotTell
from itembank.audit.latex_reader import read_latex
from itembank.audit.mathematics import Claim, Mathematics, Statement
from itembank.audit.symbolic_sets import exact as audited
from itembank.audit.verify import audit_item
from itembank.errors import BoundExceeded, DomainError
from itembank.expressions import hidden, numbers
from itembank.expressions.latex import latex
from itembank.expressions.parser import parse
from itembank.generator import exactly
from itembank.items import Item, SolutionLine
from itembank.proof import meaning
from itembank.proof.prover import faults, prove
from itembank.proof.solver import CannotDecide
from itembank.proof.symbolic import prove_with_sympy
from itembank.proof.symbolic_hidden import generators
from itembank.proof.symbolic_numbers import CannotTell
from itembank.proof.symbolic_reading import space
from itembank.proof.symbolic_sets import solutions
from itembank.proof.symbolic_text import piece
from itembank.writers.qti3 import item_xml
from tests.samples import maths
from tests.template_items import items

TEMPLATES = (
    "root-equation",
    "squared-equation",
    "power-equation",
    "power-without",
    "quartic-equation",
    "quadratic-in-a-quadratic",
)
BOTH_ROADS = pytest.mark.parametrize("prover", [prove, prove_with_sympy])
Prover = Callable[[Item], Any]


def _sympy(value: numbers.Exact) -> Any:
    return sympy.Add(
        *(
            sympy.Rational(c.numerator, c.denominator) * sympy.sqrt(r)
            for r, c in numbers.terms_of(value).items()
        )
    )


def by_the_search(text: str) -> set[Any]:
    """The solutions as the search finds them, from the tree as written."""
    return {_sympy(value) for (value,) in exactly.solution_set(parse(text), ("x",), (), {})}


def by_the_proof(text: str) -> set[Any]:
    """As the proof finds them, from what is displayed."""
    return {_sympy(value) for (value,) in meaning.solutions(maths(text), ("x",))}


def by_sympy(text: str) -> set[Any]:
    """As the second road finds them, from the plain text."""
    read = piece(text)
    letters = tuple(sorted({"x"} | generators(read.node, read.numerals)))
    return {value.as_expression() for (value,) in solutions(space(letters), read, ["x"])}


def by_the_audit(text: str) -> set[Any]:
    """As the audit finds them, from the typeset formula."""
    node = read_latex(latex(maths(text)))
    found = Mathematics().solutions(Statement((Claim(node),), ("x",)))
    assert isinstance(found, frozenset)
    return {audited(value) for (value,) in found}


ROADS = (by_the_search, by_the_proof, by_sympy, by_the_audit)
REFUSALS = (CannotDecide, DomainError, CannotTell, AuditCannotTell)


@pytest.mark.parametrize("road", ROADS)
@pytest.mark.parametrize(
    ("text", "values"),
    [
        # Intermediate Algebra 2e, 8.6
        ("sqrt(5*x - 4) - 9 = 0", {17}),
        ("sqrt(9*x - 2) + 1 = 0", set()),
        ("sqrt(x - 1) + 1 = x", {1, 2}),
        ("sqrt(x + 4) - x + 2 = 0", {5}),
        ("sqrt(x - 2) + 3 = sqrt(4*x + 1)", {2, 6}),
        ("root(x + 8, 3) = 2", {0}),
        # 9.4
        ("x - 3*sqrt(x) + 2 = 0", {1, 4}),
        ("x - 7*sqrt(x) + 12 = 0", {9, 16}),
        # 10.2
        ("3^(2*x - 5) = 27", {4}),
        ("3^(3*x - 2) = 81", {2}),
        # College Algebra, 6.6
        ("2^(x - 1) = 2^(2*x - 4)", {3}),
        ("8^(x + 2) = 16^(x + 1)", {2}),
        ("2^(5*x) = sqrt(2)", {sympy.Rational(1, 10)}),
        ("3^(x + 1) = -2", set()),
        ("5^(2*x) = 25^(3*x + 2)", {-1}),
    ],
)
def test_published_examples(text: str, values: set[Any], road: Callable[[str], set[Any]]) -> None:
    assert values == road(text)


@pytest.mark.parametrize("road", ROADS)
@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("x - sqrt(x) - 1 = 0", {(3 + sympy.sqrt(5)) / 2}),
        ("1/sqrt(x) = 2", {sympy.Rational(1, 4)}),
        ("x/sqrt(x) = 0", set()),
        ("sqrt(x) = sqrt(2*x - 3)", {3}),
        ("sqrt(x) = sqrt(2*x + 3)", set()),
        ("x - 9 = 0 or sqrt(x) = 2", {4, 9}),
        ("x = 2 ± 1 and sqrt(x) = x", {1}),
        ("x - sqrt(4*x) = 0", {0, 4}),
        ("sqrt(x - 5) = sqrt(x - 5) and x = 3", set()),
        ("sqrt(x) - sqrt(x) = x + 1", set()),
        ("2^x - 8*2^(-x) = 2", {2}),
        ("9^x = 3", {sympy.Rational(1, 2)}),
        ("8^x = 4", {sympy.Rational(2, 3)}),
        ("2^(x + 50) = 2^40", {-10}),
        ("2^(x - 50) = 1", {50}),
        ("2^(40*x) = 1", {0}),
        ("4^x = 2 and x = 1", set()),
        ("2^(x/2) = 4", {4}),
        ("80*(1/2)^(x/5730) = 5", {22920}),
        ("4^(x/3 + 1/2) = 16", {sympy.Rational(9, 2)}),
        ("2^(x/3) = 2^(x/3 + 1)", set()),
        ("2^(x/2) - 6*2^(x/4) + 8 = 0", {4, 8}),
        ("4^(x/2) = 2*2^(x/4)", {sympy.Rational(4, 3)}),
        ("2^(x/2) = 2*2^(x/3)", {6}),
        ("2^x = 4*2^(x/3)", {3}),
        ("0.5^(2*x) = 8", {sympy.Rational(-3, 2)}),
        ("(2/3)^x = 27/8", {-3}),
        ("(4/9)^(x - 1) = (3/2)^(x + 5)", {-1}),
        ("(9/4)^x - (3/2)^x = 0", {0}),
        ("(3/2)^x = -1", set()),
        ("2^x = 4^(2*x - 1)", {sympy.Rational(2, 3)}),
        ("5^(2*x + 3) = 25^(4*x - 1)", {sympy.Rational(5, 6)}),
        ("2^(3*x) = 2^x", {0}),
    ],
)
def test_corners(text: str, values: set[Any], road: Callable[[str], set[Any]]) -> None:
    assert values == road(text)


@pytest.mark.parametrize("road", ROADS)
@pytest.mark.parametrize(
    "text",
    [
        "2^x = 3",
        "2^x = 1 + sqrt(2)",
        "x*2^x = 8",
        "2^x = 3^x",
        "6^x = 2^x*3^x and x = 5",
        "(-2)^x = 4",
        "1^x = 1",
        "2^(x^2) = 16",
        "2^(x/0) = 4",
        "2^((x - 1)/4) = 8",
        "2^(x/37) = 2*2^(x/41)",
        "(3/2)^x = 2",
        "2^(x/2) = 3^(x/2)",
        "2^(sqrt(2)*x) = 4",
        "2^(41*x) = 1",
        "10000000000^x = 10",
        "2^(x + 65) = 1",
        "sqrt(x) = sqrt(x)",
        "sqrt(1/x) = 2",
        "x + sqrt(x + 1) + sqrt(x + 2) + sqrt(x + 3) = 7",
    ],
)
def test_what_is_beyond_is_refused(text: str, road: Callable[[str], set[Any]]) -> None:
    with pytest.raises(REFUSALS):
        road(text)


small = st.integers(-9, 9)
positive = st.integers(1, 9)


@given(positive, small, small)
def test_a_root_equal_to_a_difference(a: int, b: int, c: int) -> None:
    text = f"sqrt({a}*x + {b}) = x - {c}".replace("+ -", "- ").replace("- -", "+ ")
    x = sympy.Symbol("x", real=True)
    roots = sympy.roots(sympy.Poly((x - c) ** 2 - a * x - b, x), multiple=True)
    true = {root for root in roots if root.is_real and sympy.ask(sympy.Q.nonnegative(root - c))}

    assert {sympy.nsimplify(value) for value in true} == by_the_proof(text)
    for road in ROADS:
        assert by_the_proof(text) == road(text)


@given(small, small, positive)
def test_a_quadratic_in_a_root(p: int, q: int, k: int) -> None:
    """k(u - p)(u - q) = 0 with u = √(x + k)."""
    text = f"{k}*(x + {k}) + ({-k * (p + q)})*sqrt(x + {k}) + ({k * p * q}) = 0"
    wanted = {u * u - k for u in (p, q) if u >= 0}
    for road in ROADS:
        assert wanted == road(text)


@given(st.sampled_from([2, 3, 4, 6, 8, 9]), st.integers(-40, 40), st.integers(-40, 40))
def test_a_quadratic_in_a_power(n: int, p: int, q: int) -> None:
    """(u - p)(u - q) = 0 with u = n^x: every sixth from -8 to 8 is put in, and what solves it is all there is."""
    text = f"{n}^(2*x) + ({-p - q})*{n}^x + ({p * q}) = 0"
    sixths = [Fraction(each, 6) for each in range(-48, 49)]
    wanted = {h for h in sixths for u in (p, q) if u > 0 and _is_power(n, h, u)}
    if any(u > 0 and not any(_is_power(n, h, u) for h in sixths) for u in (p, q)):
        for road in ROADS:
            with pytest.raises(REFUSALS):
                road(text)
        return
    for road in ROADS:
        assert {sympy.Rational(h.numerator, h.denominator) for h in wanted} == road(text)


def _is_power(n: int, exponent: Fraction, value: int) -> bool:
    up, down = Fraction(n) ** exponent.numerator, exponent.denominator
    return Fraction(value) ** down == up


@given(st.integers(2, 50), st.fractions(-4, 4, max_denominator=1))
def test_a_logarithm_undoes_a_power(base: int, exponent: Fraction) -> None:
    value = hidden.power_of(base, numbers.whole(exponent))

    assert exponent == hidden.logarithm(value, base)


@given(st.integers(2, 10_000))
def test_a_perfect_power_is_sympys(number: int) -> None:
    assert (sympy.perfect_power(number) or (number, 1)) == hidden.perfect_power(number)


def test_logarithms_that_are_none() -> None:
    assert hidden.logarithm(0, 2) is None
    assert hidden.logarithm(-4, 2) is None
    with pytest.raises(DomainError, match="logarithm"):
        hidden.logarithm(6, 2)
    with pytest.raises(DomainError, match="square root"):
        hidden.power_of(2, Fraction(1, 3))
    with pytest.raises(BoundExceeded):
        hidden.power_of(2, 1000)


# --- items ------------------------------------------------------------------------------------------------------


def audit(item: Item) -> list[Any]:
    """What the audit finds in the file of an item."""
    return list(audit_item(item_xml(item).encode(), "items/X.xml")[1])


@BOTH_ROADS
@pytest.mark.parametrize("name", TEMPLATES)
def test_items_are_proved(name: str, prover: Prover) -> None:
    for item in items(name, 8):
        assert not faults(tuple(prover(item)))
        assert [] == audit(item)


def with_line(item: Item, place: int, text: str) -> Item:
    """The item with another line in its solution."""
    (part,) = item.parts
    lines = list(part.solution)
    lines[place] = lines[place]._replace(maths=maths(text))
    return replace(item, parts=(replace(part, solution=tuple(lines)),))


def verdicts(item: Item, prover: Prover) -> set[tuple[str, int]]:
    """(code, line) of what is not proved."""
    return {(fault.code, fault.place) for fault in faults(tuple(prover(item)))}


def fixed(name: str, **values: int) -> Item:
    """The item of a template whose parameters have these values."""
    for item in items(name, 500):
        if all(dict(item.values).get(key) == value for key, value in values.items()):
            return item
    raise AssertionError(f"{name} makes no item of {values}")


SPOILED = pytest.mark.parametrize(
    ("name", "values", "place", "text"),
    [
        # u = √x, (u - 3)(u + 5) = 0: x + 2√x - 15 = 0
        ("root-equation", {"p": 3, "q": 5}, 1, "u^2 + 2*u - 16 = 0"),
        ("root-equation", {"p": 3, "q": 5}, 3, "u^2 = 15 + 2*u"),
        ("root-equation", {"p": 3, "q": 5}, 4, "u = 3"),  # a true root is given up
        ("root-equation", {"p": 3, "q": 5}, 4, "u = -4"),  # nothing leads there
        ("root-equation", {"p": 3, "q": 5}, 4, "u = -5 or u = -4"),  # nor to the second one
        ("root-equation", {"p": 3, "q": 5}, 5, "sqrt(x) = -3"),
        ("root-equation", {"p": 3, "q": 5}, 6, "x = 9 or x = 25"),  # after what is false is given up
        ("squared-equation", {"m": 2, "r": 12, "c": 6}, 0, "2*x + 12 = (x - 5)^2"),
        ("squared-equation", {"m": 2, "r": 12, "c": 6}, 2, "x = 12 or x = 3"),
        ("squared-equation", {"m": 2, "r": 12, "c": 6}, 3, "x = 12"),
        ("squared-equation", {"m": 2, "r": 12, "c": 6}, 3, "x = 7"),
        ("squared-equation", {"m": 2, "r": 12, "c": 6}, 3, "x = 2 or x = 7"),
        ("squared-equation", {"m": 2, "r": 12, "c": 6}, 3, "x^2 = 4"),
        ("squared-equation", {"m": 2, "r": 12, "c": 6}, 4, "x = 12 or x = 2"),
        ("power-equation", {"n": 2, "p": 3, "q": 5}, 1, "u^2 - 3*u - 41 = 0"),
        ("power-equation", {"n": 2, "p": 3, "q": 5}, 3, "u = 8"),
        ("power-equation", {"n": 2, "p": 3, "q": 5}, 4, "2^x = 4"),
        ("power-equation", {"n": 2, "p": 3, "q": 5}, 5, "x = 4"),
        ("power-without", {"p": 1, "q": 2}, 1, "(u + 1)*(u + 3) = 0"),
        ("power-without", {"p": 1, "q": 2}, 2, "u = 1"),
        ("power-without", {"p": 1, "q": 2}, 2, "u = -1"),  # the other false value is never given up
        ("domain", {"s": 3}, 1, "w = -4"),  # outside the domain, and nothing leads there
        ("domain", {"s": 3}, 1, "w = -3 or w = -4"),
        # u = x^2, (u - 4)(u + 3) = 0: x^4 - x^2 - 12 = 0
        ("quartic-equation", {"p": 2, "q": 3}, 1, "u^2 - u - 13 = 0"),
        ("quartic-equation", {"p": 2, "q": 3}, 2, "(u - 4)*(u - 3) = 0"),
        ("quartic-equation", {"p": 2, "q": 3}, 2, "(u - 4)*(u + 3)*(u + 5) = 0"),
        ("quartic-equation", {"p": 2, "q": 3}, 3, "u^2 = 13 + u"),
        ("quartic-equation", {"p": 2, "q": 3}, 4, "u = 4"),
        ("quartic-equation", {"p": 2, "q": 3}, 4, "u = -4"),
        ("quartic-equation", {"p": 2, "q": 3}, 5, "x^2 = 4 or x^2 = 9"),
        ("quartic-equation", {"p": 2, "q": 3}, 5, "(u - 4)*(u + 3) = 0"),  # after what is false is given up
        # u = x^2 - 3x, (u + 2)(u + 13) = 0
        ("quadratic-in-a-quadratic", {"p": 1, "q": 2, "m": 13}, 1, "u^2 + 15*u + 25 = 0"),
        ("quadratic-in-a-quadratic", {"p": 1, "q": 2, "m": 13}, 3, "u = -2"),
        ("quadratic-in-a-quadratic", {"p": 1, "q": 2, "m": 13}, 3, "u = -12"),
        ("quadratic-in-a-quadratic", {"p": 1, "q": 2, "m": 13}, 4, "u = -2 or u = -13"),
    ],
)  # fmt: skip


@BOTH_ROADS
@SPOILED
def test_a_spoiled_line_is_found(
    name: str, values: dict[str, int], place: int, text: str, prover: Prover
) -> None:
    item = fixed(name, **values)
    assert not verdicts(item, prover)

    assert {("solution-line", place)} == verdicts(with_line(item, place, text), prover)


@SPOILED
def test_the_audit_finds_it_from_the_file_alone(
    name: str, values: dict[str, int], place: int, text: str
) -> None:
    spoiled = with_line(fixed(name, **values), place, text)

    found = {(fault.code, fault.place) for fault in audit(spoiled)}
    lined = {code for code, at in found if at == f"line {place + 1}"}
    assert lined & {"line-differs", "wrong-rejection", "aside-not-true"}


@BOTH_ROADS
def test_a_false_root_in_the_key_is_found(prover: Prover) -> None:
    item = fixed("squared-equation", m=2, r=12, c=6)
    (part,) = item.parts
    for key in ("x = 12 or x = 2", "x = 2"):
        wrong = replace(item, parts=(replace(part, key=maths(key)),))
        assert "wrong-key" in {fault.code for fault in faults(tuple(prover(wrong)))}
        assert "wrong-key" in {fault.code for fault in audit(wrong)}


@BOTH_ROADS
def test_nothing_false_is_left_without_its_being_given_up(prover: Prover) -> None:
    """The line after squaring has a root too many unless it is given up below."""
    item = fixed("squared-equation", m=2, r=12, c=6)
    (part,) = item.parts
    lines = tuple(line for line in part.solution if line.kind != "rejects")
    bare = replace(item, parts=(replace(part, solution=lines),))

    assert {("solution-line", 0), ("solution-line", 1), ("solution-line", 2)} <= verdicts(bare, prover)
    assert {"line 1", "line 2", "line 3"} <= {
        fault.place for fault in audit(bare) if fault.code == "line-differs"
    }


@BOTH_ROADS
def test_a_pole_can_be_given_up(prover: Prover) -> None:
    """What makes a denominator 0 is a false root of the cleared equation."""
    (item,) = items("root-given-up", 1)
    (part,) = item.parts
    (pole,) = [slip.answer for slip in part.slips]
    cleared = part.solution[0]._replace(kind="main")
    given_up = SolutionLine("rejects", part.solution[1].say, pole)
    told = replace(item, parts=(replace(part, solution=(cleared, given_up, part.solution[1])),))

    assert not verdicts(told, prover)
    assert [] == audit(told)


def test_only_a_problem_that_can_have_false_roots_lets_them_be_given_up() -> None:
    (item,) = items("two-equations", 1)
    (part,) = item.parts
    line = SolutionLine("rejects", part.solution[-1].say, part.slips[0].answer)
    told = replace(item, parts=(replace(part, solution=(*part.solution, line)),))
    assert ("solution-line", len(part.solution)) in verdicts(told, prove)


@pytest.mark.parametrize(
    ("text", "x", "holds"),
    [
        ("root(x, 3) = 2", 8, True), ("root(x, 3) = 2", -8, False), ("root(x, 3) = -2", -8, True),
        ("sqrt(x) = 2", 4, True), ("sqrt(x) = 2", -4, False), ("sqrt(x) = -2", 4, False),
        ("1/(root(x, 3) - 2) = 1", 27, True), ("1/(root(x, 3) - 2) = 1", 8, False),
        ("2^x = 8", 3, True), ("2^x = 8", 2, False),
    ],
)  # fmt: skip
def test_what_is_put_in_is_put_below_every_root(text: str, x: int, holds: bool) -> None:
    (system,) = meaning.systems(maths(text))

    assert holds is system.holds({"x": x})
