"""Plans: what is worked out for each item, and what is shown with it."""

from __future__ import annotations

import pickle
from fractions import Fraction

import pytest

from itembank.errors import DomainError
from itembank.expressions import canonical, spelling
from itembank.expressions.display import Decimal
from itembank.expressions.expand import expanded
from itembank.expressions.parser import parse
from itembank.expressions.plain import plain
from itembank.expressions.plan import (
    DECIMAL,
    FACTORS,
    RATIO,
    SOLUTIONS,
    VALUE,
    Plan,
    make_plan,
    solution_plan,
)
from tests.expressions.showing import show, values_of

NAMES = ("a", "b", "c", "h", "k", "m")


def plan_of(source: str) -> Plan:
    places = {"m": 1}
    return make_plan(parse(source), NAMES, places.get, lambda node: expanded(node, NAMES))


def leaves(source: str) -> list[tuple[str, str, int, str]]:
    return [(leaf.kind, plain(leaf.source), leaf.places, leaf.letter) for leaf in plan_of(source).leaves]


def doubts(source: str, **written: str) -> tuple[str, ...]:
    return show(parse(source), values_of(written)).shape.doubts


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("x^2 + b*x + c = 0", [(RATIO, "b", -1, ""), (RATIO, "c", -1, "")]),
        ("2*h*x*3*k", [(RATIO, "2*h", -1, ""), (RATIO, "3*k", -1, "")]),
        ("(h + k)/2*x", [(RATIO, "(h + k)/2", -1, "")]),
        ("m*x + m^2 + 0.5*h", [(DECIMAL, "m", 1, ""), (DECIMAL, "m^2", -1, ""), (DECIMAL, "0.5*h", -1, "")]),
        ("2*x - 0.50", []),
        ("x = h ± sqrt(h^2 - k)", [(RATIO, "h", -1, ""), (RATIO, "h^2 - k", -1, "")]),
        ("surd(k) + value(sqrt(h))", [(VALUE, "surd(k)", -1, ""), (VALUE, "sqrt(h)", -1, "")]),
        ("value(h^2 - k)", [(RATIO, "h^2 - k", -1, "")]),
        ("factor(x^2 + b*x + c)", [(FACTORS, "x^2 + b*x + c", -1, "x")]),
        ("expand((x - h)^2)", [(RATIO, "2*h", -1, ""), (RATIO, "h^2", -1, "")]),
        ("keep(h^2 - 4*a*c)", [(RATIO, "h", -1, ""), (RATIO, "a", -1, ""), (RATIO, "c", -1, "")]),
        ("keep(value(-c) + value(h^2))", [(RATIO, "-c", -1, ""), (RATIO, "h^2", -1, "")]),
        ("abs(h)*x", [(RATIO, "abs(h)", -1, "")]),
        ("discriminant(x^2 + b*x)", [(RATIO, "b", -1, "")]),
        ("(h, k) = (x, 2)", [(RATIO, "h", -1, ""), (RATIO, "k", -1, "")]),
    ],
)
def test_the_numbers_of_a_tree_are_its_leaves(source: str, expected: list[tuple[str, str, int, str]]) -> None:
    assert expected == leaves(source)


def test_one_shape_serves_all_numbers_of_the_same_kinds() -> None:
    plan = plan_of("x^2 + b*x + c = 0")

    first = plan.fill((canonical.integer(-8), canonical.integer(3)))
    second = plan.fill((canonical.integer(-12), canonical.integer(35)))
    third = plan.fill((canonical.integer(12), canonical.integer(35)))

    assert first.shape is second.shape
    assert second.shape is not third.shape
    assert "x^2 - 12*x + 35 = 0" == spelling.plain(second)


def test_a_plan_survives_the_disk_without_its_shapes() -> None:
    plan = plan_of("x^2 + b*x + c = 0")
    forms = (canonical.integer(-8), canonical.integer(3))
    before = plan.fill(forms)

    again = pickle.loads(pickle.dumps(plan))

    assert plan.leaves == again.leaves
    assert spelling.plain(before) == spelling.plain(again.fill(forms))


def test_a_solution_set_is_shown_as_statements_about_its_letter() -> None:
    plan = solution_plan(parse("x = h ± surd(k)"), "x")

    assert [SOLUTIONS] == [leaf.kind for leaf in plan.leaves]
    assert "x = 4 ± sqrt(13)" == spelling.plain(plan.fill((canonical.surd(4, 1, 1, 1, 13, 1, True),)))
    assert "x = -2 or x = 5" == spelling.plain(plan.fill((canonical.solution_set([5, -2]),)))
    assert "x = 3/2" == spelling.plain(plan.fill((canonical.ratio(3, 2),)))
    assert "none" == spelling.plain(plan.fill((canonical.NONE,)))
    assert "no real solution" == spelling.terminal(plan.fill((canonical.NONE,)))


def test_forms_must_fit_the_leaves() -> None:
    plan = plan_of("b*x + c")

    with pytest.raises(DomainError, match="one form for each"):
        plan.fill((canonical.integer(3),))
    with pytest.raises(DomainError, match="do not fit"):
        plan.fill(((("+",), ()), (("0",), ())))
    with pytest.raises(DomainError, match="no layout"):
        plan.fill(((("odd",), ()), (("0",), ())))


def test_decimals_keep_their_places_and_are_never_rounded() -> None:
    plan = plan_of("m*x")

    assert "2.50*x" == spelling.plain(plan.fill(((("+.",), (Decimal(Fraction(5, 2), 2),)),)))
    assert "-0.05" == str(Decimal(Fraction(-1, 20), 2))
    assert "7" == str(Decimal(Fraction(7), 0))
    with pytest.raises(DomainError, match="does not end"):
        Decimal(Fraction(1, 3), 5)
    with pytest.raises(DomainError, match="does not end"):
        Decimal(Fraction(1, 8), 2)


def test_what_looks_odd_is_told() -> None:
    plain_numbers = ("two plain numbers side by side in a sum",)

    assert plain_numbers == doubts("x + 3 + h", h="4")
    assert plain_numbers == doubts("(x + 1)/h + 3", h="1")
    assert plain_numbers == doubts("h ± 2", h="4")
    assert () == doubts("keep(3 + 4)")
    assert () == doubts("x + h", h="4")
    assert ("± before 0",) == doubts("x = ± sqrt(h)", h="0")
    assert ("± before 0",) == doubts("x = 3 ± sqrt(h)", h="0")


def test_a_vanished_term_is_told() -> None:
    assert show(parse("x^2 + b*x + c"), values_of({"b": "0", "c": "2"})).shape.vanished
    assert not show(parse("x^2 + b*x + c"), values_of({"b": "1", "c": "2"})).shape.vanished


@pytest.mark.parametrize(
    "source",
    ["value(x)", "surd(x + 1)", "factor(x*y)", "factor(h)", "expand(1/x)", "expand(sqrt(x))",
     "expand(x ± 1)", "expand(x^h)", "expand(x/0)"],
)  # fmt: skip
def test_a_display_word_refuses_what_it_cannot_show(source: str) -> None:
    with pytest.raises(DomainError):
        plan_of(source)


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("(x + h)^3", "x^3 + 3*h*x^2 + 3*h^2*x + h^3"),
        ("(x + 1)*(x - 1)", "x^2 - 1"),
        ("(x + y)*(x - y)*2", "2*x^2 - 2*y^2"),
        ("-(x - h)*y", "-x*y + h*y"),
        ("(x - sqrt(k))*(x + sqrt(k))", "x^2 - value(sqrt(k)^2)"),
        ("(x + h)/2", "1/2*x + h/2"),
        ("(x + 1)/h", "1/h*x + 1/h"),
        ("x^0 + 1", "2"),
        ("x - x", "0"),
        ("keep(h)*x", "keep(h)*x"),
        ("(x + h)^2 = k", "x^2 + 2*h*x + h^2 = k"),
    ],
)
def test_multiplying_out_collects_like_terms(source: str, expected: str) -> None:
    assert expected == plain(expanded(parse(source), NAMES))
