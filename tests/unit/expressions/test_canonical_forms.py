"""Canonical forms: equal exactly when the values are, and each one shown as its kind says."""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from math import isqrt
from typing import Any

import pytest

from itembank.errors import DomainError
from itembank.expressions import canonical, exact, numbers, spelling
from itembank.expressions.canonical import Form
from itembank.expressions.display import Maths
from itembank.expressions.form_layout import node_of
from itembank.expressions.layout import lay_out
from itembank.expressions.numbers import Exact
from itembank.expressions.parser import parse


def shown(form: Form, letter: str = "") -> str:
    node, holes = node_of(form[0], 0, letter)
    assert holes == len(form[1])
    return spelling.plain(Maths(lay_out(node, holes), form[1]))


def value(source: str) -> Exact:
    return exact.number(parse(source), {})


def test_single_surds_have_equal_forms_exactly_when_they_are_equal() -> None:
    forms: dict[Form, Exact] = {}
    grid = product((-2, 0, 3), (1, 2), (-4, -1, 0, 2), (1, 3), (0, 1, 2, 8, 18), (1, 2))
    for an, ad, bn, bd, rn, rd in grid:
        root = numbers.square_root(Fraction(rn, rd))
        number = numbers.add(
            numbers.whole(Fraction(an, ad)), numbers.multiply(numbers.whole(Fraction(bn, bd)), root)
        )
        form = canonical.surd(an, ad, bn, bd, rn, rd, False)
        assert number == forms.setdefault(form, number)
        assert canonical.exact(number) == form
    assert len(set(forms.values())) == len(forms) > 100


def test_pairs_have_equal_forms_exactly_when_they_are_equal_as_sets() -> None:
    forms: dict[Form, frozenset[Exact]] = {}
    grid = product((-2, 0, 3), (1, 2), (-4, -1, 0, 2, 6), (1, 3), (0, 1, 2, 8, 18), (1, 2))
    for an, ad, bn, bd, rn, rd in grid:
        p, q = numbers.whole(Fraction(an, ad)), numbers.whole(Fraction(bn, bd))
        tail = numbers.multiply(q, numbers.square_root(Fraction(rn, rd)))
        both = frozenset({numbers.add(p, tail), numbers.subtract(p, tail)})
        form = canonical.surd(an, ad, bn, bd, rn, rd, True)
        assert both == forms.setdefault(form, both)
        assert canonical.solution_set(list(both)) == form
    assert len(set(forms.values())) == len(forms) > 100


@pytest.mark.parametrize(
    ("numbers_given", "expected"),
    [
        ((6, 4, -2, 4, 3, 1, True), "(3 ± sqrt(3))/2"),
        ((-6, 4, 2, 4, 3, 1, True), "(-3 ± sqrt(3))/2"),
        ((0, 1, -2, 4, 12, 1, True), "±sqrt(3)"),
        ((0, 1, -3, 6, 3, 1, True), "±sqrt(3)/2"),
        ((0, 1, -3, 6, 3, 1, False), "-sqrt(3)/2"),
        ((0, 1, -3, 5, 3, 1, False), "-3*sqrt(3)/5"),
        ((4, 1, 1, 1, 13, 1, True), "4 ± sqrt(13)"),
        ((1, 2, 1, 3, 2, 1, True), "(3 ± 2*sqrt(2))/6"),
        ((1, 1, 1, 1, 1, 2, False), "(2 + sqrt(2))/2"),
        ((3, 1, 0, 1, 5, 1, True), "3"),
        ((3, 1, 2, 1, 0, 1, True), "3"),
    ],
)
def test_a_surd_is_shown_in_its_simplest_form(numbers_given: Any, expected: str) -> None:
    assert expected == shown(canonical.surd(*numbers_given))


def test_rational_pairs_are_two_values_ascending() -> None:
    assert "x = 1 or x = 5" == shown(canonical.surd(3, 1, -2, 1, 1, 1, True), "x")
    assert "x = -1/2 or x = 3/2" == shown(canonical.surd(1, 2, 1, 1, 1, 1, True), "x")


def test_a_negative_radicand_is_refused() -> None:
    with pytest.raises(DomainError):
        canonical.surd(1, 1, 0, 1, -2, 1, False)


def test_roots_of_all_small_quadratics_are_their_roots() -> None:
    for a, b, c in product(range(-3, 4), range(-5, 6), range(-5, 6)):
        if a == b == 0:
            continue
        form = canonical.roots(a, b, c)
        discriminant = b * b - 4 * a * c
        if a == 0:
            expected: list[Exact] = [numbers.whole(Fraction(-c, b))]
        elif discriminant < 0:
            expected = []
        else:
            root = numbers.square_root(discriminant)
            signed = (numbers.add(-b, root), numbers.subtract(-b, root))
            expected = [numbers.divide(top, 2 * a) for top in signed]
        assert canonical.solution_set(expected) == form


def test_equations_without_a_letter_have_no_solution_or_all_numbers() -> None:
    assert canonical.NONE == canonical.roots(0, 0, 3)
    with pytest.raises(DomainError, match="every number"):
        canonical.roots(0, 0, 0)


def test_a_solution_set_is_ascending_and_without_repetition() -> None:
    values = [value("sqrt(2)"), value("1"), value("1 + sqrt(2)"), value("1"), value("-3/2"), value("sqrt(2)")]

    assert "x = -3/2 or x = 1 or x = sqrt(2) or x = 1 + sqrt(2)" == shown(canonical.solution_set(values), "x")
    assert "none" == shown(canonical.solution_set([]), "x")


def test_two_surds_that_are_not_conjugate_stay_two_values() -> None:
    pairs = [("1 + sqrt(2)", "2 - sqrt(2)"), ("1 + sqrt(2)", "1 - sqrt(3)"), ("1 + sqrt(2)", "1 - 2*sqrt(2)"),
             ("sqrt(2)", "sqrt(3)"), ("(1 + sqrt(2))/2", "1 - sqrt(2)")]  # fmt: skip
    for first, second in pairs:
        form = canonical.solution_set([value(first), value(second)])
        assert form[0][0] == "set"


def test_sums_of_different_roots_have_no_form() -> None:
    with pytest.raises(DomainError, match="different surds"):
        canonical.exact(value("sqrt(2) + sqrt(3)"))


def test_factors_multiply_to_the_quadratic_and_are_primitive() -> None:
    halves = [Fraction(n, d) for n, d in product(range(-4, 5), (1, 2))]
    found = 0
    for a, b, c in product(halves[::2], halves, halves[1::2]):
        discriminant = b * b - 4 * a * c
        rational = discriminant >= 0 and isqrt(int(discriminant * 16)) ** 2 == discriminant * 16
        if a == 0 or not rational:
            with pytest.raises(DomainError):
                canonical.factors(a, b, c)
            continue
        text = shown(canonical.factors(a, b, c), "x")
        quadratic = exact.polynomial(parse(f"({a})*x^2 + ({b})*x + ({c})"), {})
        assert quadratic == exact.polynomial(parse(text), {}), text
        found += 1
    assert found > 100


@pytest.mark.parametrize(
    ("coefficients", "expected"),
    [
        ((1, -2, -15), "(x - 5)*(x + 3)"),
        ((1, -3, 0), "x*(x - 3)"),
        ((1, 0, 0), "x^2"),
        ((-2, 0, 0), "-2*x^2"),
        ((4, 4, 1), "(2*x + 1)^2"),
        ((-4, -4, -1), "-(2*x + 1)^2"),
        ((6, 1, -1), "(2*x + 1)*(3*x - 1)"),
        ((Fraction(1, 2), 0, Fraction(-1, 2)), "1/2*(x - 1)*(x + 1)"),
        ((6, -4, 0), "2*x*(3*x - 2)"),
    ],
)
def test_factors_are_shown_in_one_order(coefficients: Any, expected: str) -> None:
    assert expected == shown(canonical.factors(*coefficients), "x")


@pytest.mark.parametrize("coefficients", [(1, 0, 1), (1, 0, -2), (0, 2, 1), (0, 0, 1), (1, 1, 1)])
def test_what_has_no_two_rational_factors_is_refused(coefficients: Any) -> None:
    with pytest.raises(DomainError):
        canonical.factors(*coefficients)


def test_a_kind_that_is_none_has_no_layout() -> None:
    with pytest.raises(DomainError):
        node_of(("?",), 0)
