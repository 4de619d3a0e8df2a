"""Equations with the unknown in a denominator: what makes a denominator 0 is no solution, on every road.

Outside reference: sympy's `solveset` over the reals, which knows of poles. The worked examples are those of Lynn
Marecek and Andrea Honeycutt Mathis, Intermediate Algebra 2e, OpenStax 2020, section 7.4 "Solve Rational Equations",
CC BY 4.0 (from memory): 1/x + 1/3 = 5/6 has the solution 2; 1 - 5/y = -6/y^2 has 2 and 3.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from itembank.audit.verify import audit_item
from itembank.expressions.display import Maths
from itembank.items import EntryResponse, Item
from itembank.proof import identity, meaning
from itembank.proof.prover import faults, prove
from itembank.proof.solver import CannotDecide
from itembank.proof.symbolic import prove_with_sympy
from itembank.proof.symbolic_numbers import rational
from itembank.proof.symbolic_reading import space
from itembank.proof.symbolic_sets import solutions
from itembank.proof.symbolic_text import piece
from itembank.writers.qti3 import item_xml
from tests.samples import maths
from tests.template_items import items

BOTH_ROADS = pytest.mark.parametrize("prover", [prove, prove_with_sympy])


def solved(text: str) -> set[object]:
    return {value for (value,) in meaning.solutions(maths(text), ("x",))}


def solved_by_sympy_rings(text: str) -> set[object]:
    return {value for (value,) in solutions(space(("x",)), piece(text), ["x"])}


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("1/x + 1/3 = 5/6", {2}),
        ("1 - 5/x = -6/x^2", {2, 3}),
        ("x^2/(x - 3) = 9/(x - 3)", {-3}),
        ("x/(x - 1) = 1/(x - 1)", set()),
        ("1/(x - 1) + 1/(x + 1) = 0", {0}),
        ("1/(1/x) = 0", set()),
        ("x^(-1) = 4^(-1)", {4}),
        ("x - 4 = 0 and 1/(x - 4) = 1/(x - 4)", set()),
    ],
)
def test_the_roots_of_the_cleared_equation_without_the_poles(text: str, values: set[int]) -> None:
    assert values == solved(text)
    assert {rational(value) for value in values} == solved_by_sympy_rings(text)


small = st.integers(-6, 6)
not_zero = small.filter(bool)


@given(not_zero, not_zero, small, small, small)
def test_they_are_those_of_solveset(a: int, b: int, p: int, q: int, c: int) -> None:
    x = sympy.Symbol("x", real=True)
    try:
        found = solved(f"({a})/(x - ({p})) + ({b})*x/(x - ({q})) = {c}")
    except CannotDecide:  # every number but the poles
        found = None
    reals = sympy.solveset(sympy.Integer(a) / (x - p) + b * x / (x - q) - c, x, sympy.S.Reals)

    if found is None:
        assert not isinstance(reals, sympy.FiniteSet)
    else:
        # sympy leaves out a pole only where something stands over it
        assert len(found) == len([value for value in reals if value not in (p, q)])


@BOTH_ROADS
@pytest.mark.parametrize("name", ["denominators", "root-given-up", "two-equations", "upside-down"])
def test_items_are_proved(name: str, prover: object) -> None:
    for item in items(name, 8):
        assert not faults(tuple(prover(item)))  # type: ignore[operator]
        assert () == audit_item(item_xml(item).encode(), "items/X.xml")[1]


def keyed(item: Item, key: Maths) -> Item:
    return replace(item, parts=(replace(item.parts[0], key=key),))


@BOTH_ROADS
def test_a_pole_in_the_key_is_found(prover: object) -> None:
    (item,) = items("root-given-up", 1)
    part = item.parts[0]
    (pole,) = [slip.answer for slip in part.slips]

    wrong = {fault.code for fault in faults(tuple(prover(keyed(item, pole))))}  # type: ignore[operator]
    assert "wrong-key" in wrong


def test_the_audit_finds_a_pole_in_the_key_from_the_file_alone() -> None:
    (item,) = items("root-given-up", 1)
    part = item.parts[0]
    assert isinstance(part.response, EntryResponse)
    ((pole,),) = part.response.recognised[0].values[0:1][0]
    (blank,) = part.response.blanks
    keyed_pole = replace(part.response, blanks=(replace(blank, values=((pole,),)),), recognised=())
    spoiled = replace(item, parts=(replace(part, key=part.slips[0].answer, response=keyed_pole),))

    faults_found = audit_item(item_xml(spoiled).encode(), "items/X.xml")[1]
    assert "wrong-key" in {fault.code for fault in faults_found}


# --- algebraic fractions ---------------------------------------------------------------------------------------


def test_a_fraction_in_lowest_terms_is_sympys() -> None:
    x = sympy.Symbol("x")
    for p, q, r in ((1, 2, 3), (2, -5, 0), (-3, 3, 7), (4, 4, 4)):
        text = f"(x + ({p}))*(x + ({q}))/((x + ({q}))*(2*x + ({r})))"
        found = meaning.quotient(maths(text))
        ours = [
            sum(sympy.Rational(str(c)) * x ** (m[0][1] if m else 0) for m, c in each.terms)
            for each in (found.above, found.below)
        ]
        reduced = sympy.cancel((x + p) * (x + q) / ((x + q) * (2 * x + r)))

        assert sympy.simplify(ours[0] / ours[1] - reduced) == 0
        assert sympy.gcd(*ours).is_number
        assert sympy.Poly(ours[1], x).LC() == 1


@given(small, small, not_zero)
def test_fractions_are_equal_exactly_when_the_products_crosswise_are(p: int, q: int, k: int) -> None:
    above, below = f"x + ({p})", f"x + ({q} + 9)" if q >= 0 else f"x + (9 - {-q})"
    first, second = maths(f"({above})/({below})"), maths(f"({k})*({above})/(({k})*({below}))")
    other = maths(f"({above} + 1)/({below})")

    assert identity.of_value(first) == identity.of_value(second)
    assert identity.of_value(first) != identity.of_value(other)


@BOTH_ROADS
@pytest.mark.parametrize("name", ["algebraic-fraction", "algebraic-fraction-letters"])
def test_an_algebraic_fraction_is_proved_and_another_is_refuted(name: str, prover: object) -> None:
    for item in items(name, 6):
        part = item.parts[0]
        assert not faults(tuple(prover(item)))  # type: ignore[operator]
        assert () == audit_item(item_xml(item).encode(), "items/X.xml")[1]
        wrong = {fault.code for fault in faults(tuple(prover(keyed(item, part.slips[0].answer))))}  # type: ignore[operator]
        assert "wrong-key" in wrong


PARTIAL_FRACTIONS = {
    "(6*x + 2)/((x + 3)*(x - 1)) = A/(x + 3) + B/(x - 1)": (4, 2),
    "(3*x)/((x + 2)*(x - 1)) = A/(x + 2) + B/(x - 1)": (2, 1),
}
"""The second: Jay Abramson and others, College Algebra, OpenStax, "Partial Fractions", the first worked example (from
memory). The first is multiplied out by hand: 4(x - 1) + 2(x + 3) = 6x + 2."""


@pytest.mark.parametrize("text", PARTIAL_FRACTIONS)
def test_an_identity_may_be_divided_by_its_letters(text: str) -> None:
    expected = PARTIAL_FRACTIONS[text]
    shown = maths(text)
    second = solutions(space(("A", "B", "x")), piece(text), ["A", "B"], ["x"])

    assert meaning.solutions(shown, ("A", "B"), ("x",)) == {expected}
    assert second == {tuple(map(rational, expected))}
    assert meaning.solutions(maths(f"{text} + 1"), ("A", "B"), ("x",)) == set()


def test_partial_fractions_are_those_of_sympys_apart() -> None:
    x = sympy.Symbol("x")
    for text, (a, b) in PARTIAL_FRACTIONS.items():
        left, right = text.split(" = ")
        found = sympy.sympify(right, {"A": a, "B": b})
        assert sympy.simplify(sympy.apart(sympy.sympify(left), x) - found) == 0


@pytest.mark.parametrize("text", ["1/(q*x) = 1/(3*x)", "(x + 1)/(q*x + p) = 1/x"])
def test_a_divisor_that_may_vanish_everywhere_is_not_decided(text: str) -> None:
    with pytest.raises(CannotDecide, match="0 everywhere"):
        meaning.solutions(maths(text), ("p", "q"), ("x",))
