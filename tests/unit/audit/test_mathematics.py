"""What statements and expressions are, on the quick road and by sympy, which must agree."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from itembank.audit import equations, systems
from itembank.audit.conditions import condition
from itembank.audit.content_reader import read_content
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.formula import Node
from itembank.audit.mathematics import Claim, Mathematics, Statement
from tests.audit_samples import MATHML, ap, ci, cn, either

x, y, p, q, k = (ci(name) for name in "xypqk")
SQUARE = ap("power", x, cn(2))
NONE = "<emptyset/>"


def node(content: str) -> Node:
    """The tree of content MathML."""
    return read_content(etree.fromstring(f'<x xmlns="{MATHML}">{content}</x>')[0])


def whole(number: int) -> str:
    """A whole number as meant."""
    return cn(number) if number >= 0 else ap("minus", cn(-number))


def statement(content: str, unknowns: str = "x", for_every: str = "") -> Statement:
    """A statement to be solved."""
    return Statement((Claim(node(content), tuple(for_every)),), tuple(unknowns))


def quadratic(a: int, b: int, c: int) -> str:
    """ax² + bx + c."""
    return ap("plus", ap("plus", ap("times", whole(a), SQUARE), ap("times", whole(b), x)), whole(c))


def root(content: str) -> str:
    """A square root."""
    return ap("root", content)


ONE_UNKNOWN = [
    (True, ap("eq", quadratic(1, -8, 3), cn(0)), ap("eq", x, either(cn(4), root(cn(13))))),
    (False, ap("eq", quadratic(1, -8, 3), cn(0)), ap("eq", x, ap("plus", cn(4), root(cn(13))))),
    (False, ap("eq", quadratic(1, -8, 3), cn(0)), ap("eq", x, either(cn(4), root(cn(14))))),
    (
        True,
        ap("eq", quadratic(2, -6, 1), cn(0)),
        ap("eq", x, ap("divide", either(cn(6), root(cn(28))), cn(4))),
    ),
    (True, ap("eq", quadratic(1, 2, 5), cn(0)), NONE),
    (False, ap("eq", quadratic(1, 2, 1), cn(0)), NONE),
    (True, ap("eq", SQUARE, cn(0)), ap("eq", x, cn(0))),
    (True, ap("geq", quadratic(1, -2, -15), cn(0)), ap("or", ap("leq", x, whole(-3)), ap("geq", x, cn(5)))),
    (False, ap("gt", quadratic(1, -2, -15), cn(0)), ap("or", ap("leq", x, whole(-3)), ap("geq", x, cn(5)))),
    (True, ap("lt", quadratic(1, -2, -15), cn(0)), ap("and", ap("lt", whole(-3), x), ap("lt", x, cn(5)))),
    (True, ap("gt", quadratic(1, -2, 1), cn(0)), ap("neq", x, cn(1))),
    (True, ap("leq", quadratic(1, -2, 1), cn(0)), ap("eq", x, cn(1))),
    # a side that is not defined is no solution
    (True, ap("eq", ap("divide", ap("minus", SQUARE, cn(1)), ap("minus", x, cn(1))), cn(2)), NONE),
    (True, ap("lt", ap("divide", cn(1), x), cn(1)), ap("or", ap("lt", x, cn(0)), ap("gt", x, cn(1)))),
    (
        True,
        ap(
            "eq",
            ap("plus", ap("divide", cn(1), x), ap("divide", cn(1), ap("plus", x, cn(2)))),
            ap("divide", cn(3), cn(4)),
        ),
        ap("or", ap("eq", x, cn(2)), ap("eq", x, ap("minus", ap("divide", cn(4), cn(3))))),
    ),
    # the two signs of ± are read over the whole statement
    (
        True,
        ap("and", ap("eq", x, either(cn(2))), ap("eq", ap("times", cn(3), x), either(cn(6)))),
        ap("eq", SQUARE, cn(4)),
    ),
    # cubic with rational roots
    (
        True,
        ap("eq", ap("times", ap("minus", x, cn(1)), quadratic(1, -5, 6)), cn(0)),
        ap("or", ap("eq", x, cn(1)), ap("eq", x, cn(2)), ap("eq", x, cn(3))),
    ),
    # a cubic whose roots are not written down: they are counted
    (True, ap("eq", ap("power", ap("minus", x, cn(2)), cn(3)), ap("minus", cn(2), x)), ap("eq", x, cn(2))),
    (False, ap("eq", ap("power", x, cn(3)), ap("minus", ap("times", cn(3), x), cn(1))), ap("eq", x, cn(1))),
    (False, ap("eq", ap("power", x, cn(3)), ap("minus", ap("times", cn(3), x), cn(1))), NONE),
    # beyond the quick road
    (
        True,
        ap("eq", ap("abs", ap("minus", x, cn(1))), cn(2)),
        ap("or", ap("eq", x, cn(3)), ap("eq", x, whole(-1))),
    ),
    (True, ap("eq", root(ap("plus", x, cn(3))), ap("plus", x, cn(1))), ap("eq", x, cn(1))),
    (
        False,
        ap("eq", root(ap("plus", x, cn(3))), ap("plus", x, cn(1))),
        ap("or", ap("eq", x, cn(1)), ap("eq", x, whole(-2))),
    ),
    (
        True,
        ap("eq", ap("power", x, cn(3)), cn(2)),
        ap("eq", x, "<apply><root/><degree><cn>3</cn></degree><cn>2</cn></apply>"),
    ),
]


@pytest.mark.parametrize("thorough", [False, True])
@pytest.mark.parametrize(("expected", "first", "second"), ONE_UNKNOWN)
def test_statements_in_one_unknown_are_compared(
    expected: bool, first: str, second: str, thorough: bool
) -> None:
    """The same solutions or not, in both directions."""
    mathematics = Mathematics(thorough=thorough)

    assert expected is mathematics.same_solutions(statement(first), statement(second))
    assert expected is mathematics.same_solutions(statement(second), statement(first))


IDENTITY = ap("eq", quadratic(1, -6, 11), ap("plus", ap("power", ap("plus", x, p), cn(2)), q))
SEVERAL = [
    (
        True,
        ap("and", ap("eq", ap("plus", x, y), cn(5)), ap("eq", ap("minus", x, y), cn(1))),
        f"<apply><eq/><vector>{x}{y}</vector><vector><cn>3</cn><cn>2</cn></vector></apply>",
        "xy",
        "",
    ),
    (
        True,
        ap(
            "and",
            ap("eq", ap("plus", x, y), cn(5)),
            ap("eq", ap("plus", SQUARE, ap("power", y, cn(2))), cn(13)),
        ),
        ap(
            "or",
            ap("and", ap("eq", x, cn(3)), ap("eq", y, cn(2))),
            ap("and", ap("eq", x, cn(2)), ap("eq", y, cn(3))),
        ),
        "xy",
        "",
    ),
    (True, IDENTITY, ap("and", ap("eq", p, whole(-3)), ap("eq", q, cn(2))), "pq", "x"),
    (False, IDENTITY, ap("and", ap("eq", p, cn(3)), ap("eq", q, cn(2))), "pq", "x"),
    (
        True,
        ap(
            "eq",
            ap("plus", ap("plus", SQUARE, ap("times", k, x)), cn(9)),
            ap("power", ap("plus", x, p), cn(2)),
        ),
        ap(
            "or",
            ap("and", ap("eq", p, cn(3)), ap("eq", k, cn(6))),
            ap("and", ap("eq", p, whole(-3)), ap("eq", k, whole(-6))),
        ),
        "pk",
        "x",
    ),
]


@pytest.mark.parametrize("thorough", [False, True])
@pytest.mark.parametrize(("expected", "first", "second", "unknowns", "for_every"), SEVERAL)
def test_statements_in_several_unknowns_are_compared(
    expected: bool, first: str, second: str, unknowns: str, for_every: str, thorough: bool
) -> None:
    """Systems, points and identities."""
    mathematics = Mathematics(thorough=thorough)
    found = mathematics.same_solutions(
        statement(first, unknowns, for_every), statement(second, unknowns, for_every)
    )

    assert expected is found


@pytest.mark.parametrize("thorough", [False, True])
@pytest.mark.parametrize(
    ("expected", "first", "second"),
    [
        (True, root(cn(72)), ap("times", cn(6), root(cn(2)))),
        (False, root(cn(72)), ap("times", cn(6), root(cn(3)))),
        (True, ap("power", ap("plus", x, cn(1)), cn(2)), quadratic(1, 2, 1)),
        (True, ap("divide", ap("minus", SQUARE, cn(1)), ap("minus", x, cn(1))), ap("plus", x, cn(1))),
        (True, ap("divide", cn(1), ap("minus", cn(2), root(cn(3)))), ap("plus", cn(2), root(cn(3)))),
        (True, root(SQUARE), ap("abs", x)),
        (False, root(SQUARE), x),
        (True, either(cn(1), root(cn(2))), ap("plus", cn(1), either(root(cn(2))))),
        (False, either(cn(1), root(cn(2))), ap("plus", cn(1), root(cn(2)))),
    ],
)
def test_expressions_are_compared(expected: bool, first: str, second: str, thorough: bool) -> None:
    """Equal as functions or not."""
    assert expected is Mathematics(thorough=thorough).same_value(node(first), node(second))


@pytest.mark.parametrize(
    ("content", "unknowns"),
    [
        (ap("eq", ap("times", k, x), cn(1)), "x"),
        (ap("eq", ap("plus", x, y), cn(1)), "xy"),
        (ap("eq", ap("abs", ap("power", x, cn(12))), ap("plus", x, cn(1))), "x"),
        (ap("eq", ap("power", cn(2), x), cn(5)), "xy"),
    ],
)
def test_what_cannot_be_decided_is_never_a_yes(content: str, unknowns: str) -> None:
    """A stray letter, too few equations, a high degree, a power of a letter."""
    mathematics = Mathematics()
    right = ap("eq", x, cn(1)) if unknowns == "x" else ap("and", ap("eq", x, cn(1)), ap("eq", y, cn(1)))

    with pytest.raises(CannotTell):
        mathematics.same_solutions(statement(content, unknowns), statement(right, unknowns))


def test_roads_that_disagree_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """A thorough audit does not choose between them."""
    monkeypatch.setattr(equations, "_whole_quadratic", equations._whole_quadratic.__wrapped__)
    monkeypatch.setattr("itembank.audit.equations.numbers.square_part", lambda inside: (1, 1))
    with pytest.raises(Fault, match="two independent ways") as wrong:
        Mathematics(thorough=True).solutions(statement(ap("eq", SQUARE, cn(9))))

    assert "roads-disagree" == wrong.value.code


small = st.integers(min_value=-9, max_value=9)


@given(small, small, small, small)
@settings(max_examples=40, deadline=None)
def test_a_product_has_the_roots_of_its_factors(a: int, b: int, c: int, d: int) -> None:
    """(ax + b)(cx + d) = 0 whenever ax + b = 0 or cx + d = 0."""
    first, second = (ap("plus", ap("times", whole(m), x), whole(t)) for m, t in ((a, b), (c, d)))
    product = statement(ap("eq", ap("times", first, second), cn(0)))
    either_one = statement(ap("or", ap("eq", first, cn(0)), ap("eq", second, cn(0))))

    assert Mathematics().same_solutions(product, either_one)


@given(st.integers(1, 6), small, small, st.sampled_from(["lt", "leq", "gt", "geq", "eq", "neq"]))
@settings(max_examples=40, deadline=None)
def test_multiplying_by_a_negative_number_turns_a_relation_round(a: int, b: int, c: int, sign: str) -> None:
    """ax² + bx + c < 0 says what −3(ax² + bx + c) > 0 says."""
    turned = {"lt": "gt", "leq": "geq", "gt": "lt", "geq": "leq"}.get(sign, sign)
    as_it_is = statement(ap(sign, quadratic(a, b, c), cn(0)))
    other = statement(ap(turned, ap("times", whole(-3), quadratic(a, b, c)), cn(0)))

    assert Mathematics().same_solutions(as_it_is, other)


@given(small, small, small, small, small, small)
@settings(max_examples=40, deadline=None)
def test_a_linear_system_is_solved_by_every_solution_found(
    a: int, b: int, c: int, d: int, e: int, f: int
) -> None:
    """Cramer's determinant says whether there is exactly one; what is found satisfies both equations."""
    first, second = (
        ap("eq", ap("plus", ap("times", whole(m), x), ap("times", whole(t), y)), whole(r))
        for m, t, r in ((a, b, e), (c, d, f))
    )
    if a * d == b * c:
        return
    found = systems.solve(condition(node(ap("and", first, second))), ("x", "y"))
    ((u, v),) = found

    assert (e, f) == (a * u + b * v, c * u + d * v)
