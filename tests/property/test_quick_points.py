"""Points by whole-number code: the same as by the slow road, whatever the numbers."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.expressions.display import Maths
from itembank.expressions.parser import parse
from itembank.expressions.plan import make_plan
from itembank.generator.exactly import form
from itembank.proof import identity, meaning
from itembank.proof.quick_points import quick_points
from itembank.proof.solver import CannotDecide

SHAPES = (
    "y = a*x + b and y = x^2 + c*x + d",
    "a*x + b*y = c and y = x^2 + d",
    "x^2 + a*x + b = 0 and y = c*x + d",
    "x = a*y + b and y^2 + c*y = x + d",
    "x*y = a and x + y = b",
    "x^2 + y^2 = a and y = b*x + c",
    "(x, y) = (a, b) or (x, y) = (c, d)",
    "(x, y) = (a/3, b) or (x, y) = (c, d/2) or (x, y) = (b, a)",
    "(x, y) = (a, b)",
    "a*x + b*y = c and x - y = d",
    "(x - a)^2 = b^2 and 2*y = c*x + d",
)
UNKNOWNS = ("x", "y")


def shown(text: str, values: dict[str, int]) -> Maths | None:
    plan = make_plan(parse(text), set(values), lambda name: None, lambda node: node)
    forms = [form(leaf, dict(values), "") for leaf in plan.leaves]
    return plan.fill(tuple(each for each in forms if each is not None))


@given(st.sampled_from(SHAPES), st.lists(st.integers(-9, 9), min_size=4, max_size=4))
@settings(deadline=None, max_examples=500)
def test_both_roads_find_the_same_points(text: str, numbers: list[int]) -> None:
    maths = shown(text, dict(zip("abcd", numbers, strict=True)))
    assert maths is not None
    reader = quick_points(maths.shape, UNKNOWNS, "")
    quick = None if reader is None else reader(maths.numbers)

    try:
        slow = identity.of_set(meaning.solutions(maths, UNKNOWNS), 2)
    except CannotDecide:
        assert quick is None
        return
    if quick is not None:
        assert slow == quick


def test_the_quick_road_is_taken_where_points_are_rational() -> None:
    for text in SHAPES:
        values = {"a": 2, "b": 5, "c": 3, "d": 4}
        maths = shown(text, values)
        assert maths is not None
        assert quick_points(maths.shape, UNKNOWNS, "") is not None or text.startswith("x*y"), text


def test_points_of_the_quick_road() -> None:
    maths = shown("y = a*x + b and y = x^2 + c*x + d", {"a": 1, "b": 3, "c": 3, "d": -5})
    assert maths is not None
    reader = quick_points(maths.shape, UNKNOWNS, "")
    assert reader is not None

    assert frozenset({(-4, -1), (2, 5)}) == reader(maths.numbers)

    text = "(x, y) = (a/3, b) or (x, y) = (c, d/2) or (x, y) = (b, a)"
    half = shown(text, {"a": 1, "b": 2, "c": 3, "d": 3})
    assert half is not None
    reader = quick_points(half.shape, UNKNOWNS, "")
    assert reader is not None
    assert frozenset({(Fraction(1, 3), 2), (3, Fraction(3, 2)), (2, 1)}) == reader(half.numbers)
