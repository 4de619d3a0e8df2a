"""Several points as an answer: what they come to, what is wrong with boxes of them, how they are told."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from itembank.expressions.canonical import NONE, point_set
from itembank.expressions.numbers import square_root
from itembank.generator.points import coordinates
from itembank.generator.runtime import points
from itembank.items import EntryResponse, Item
from itembank.proof import identity
from itembank.proof.answer_wording import told
from itembank.proof.prover import faults, prove
from tests.samples import maths
from tests.template_items import items

PUBLISHED = (
    # OpenStax, College Algebra 2e, section 7.3, systems of a line and a parabola: from memory
    ("x - y = -1 and y = x^2 + 1", {(0, 1), (1, 2)}),
    ("3*x - y = -2 and 2*x^2 - y = 0", {(Fraction(-1, 2), Fraction(1, 2)), (2, 8)}),
    # the same section: a circle and a line
    ("x^2 + y^2 = 5 and y = 3*x - 5", {(2, 1), (1, -2)}),
)


@pytest.mark.parametrize(("problem", "wanted"), PUBLISHED)
def test_published_systems_have_their_points(problem: str, wanted: set[tuple[int | Fraction, ...]]) -> None:
    key = " or ".join(f"(x, y) = ({x}, {y})" for x, y in wanted)

    assert wanted == identity.of_solutions(maths(problem), ("x", "y"))
    assert wanted == identity.of_solutions(maths(key), ("x", "y"))


def test_a_single_point_is_the_same_however_it_is_written() -> None:
    found = {
        identity.of_solutions(maths(text), ("x", "y"))
        for text in ("x = 3 and y = -1/2", "(x, y) = (3, -1/2)", "(x, y) = (3, -1/2) or (x, y) = (6/2, -2/4)")
    }

    assert {((3, 1), (-1, 2))} == found


def test_points_are_told_as_points() -> None:
    assert told(frozenset({(2, 5), (-1, 3)})) == "the points (−1, 3) and (2, 5)"
    assert told(((3, 1), (-1, 2))) == "the point (3, −1/2)"
    assert told(frozenset({(square_root(2), 1), (-3, Fraction(1, 2))})) == "the points (−3, 1/2) and (√2, 1)"


def test_a_form_of_points_is_the_same_in_any_order_and_says_a_point_once() -> None:
    wanted = point_set([(2, 5), (-1, 3)])

    assert wanted == point_set([(-1, 3), (2, 5), (-1, 3)])
    assert wanted == points(*(form for point in coordinates(wanted)[::-1] for form in point))
    assert point_set([]) == NONE
    assert coordinates(NONE) == []
    root = square_root(5)
    assert coordinates(point_set([(root, Fraction(1, 2))])) == [
        ((("surd", "0", "1", "1", "+"), (5,)), (("+/",), (1, 2))),
    ]  # fmt: skip


def first(name: str, count: int) -> tuple[Item, EntryResponse]:
    for item in items(name, 60):
        response = item.parts[0].response
        assert isinstance(response, EntryResponse)
        if len(response.blanks[0].values) == count:
            return item, response
    raise AssertionError(name)


def fault_of(item: Item, response: EntryResponse) -> str:
    changed = replace(item, parts=(replace(item.parts[0], response=response),))
    return " ".join(str(getattr(each.verdict, "counterexample", "")) for each in faults(prove(changed)))


def test_what_is_wrong_with_boxes_of_points_is_told() -> None:
    item, response = first("points", 2)
    x, y = response.blanks

    def with_blanks(**changes: object) -> EntryResponse:
        return replace(response, blanks=(replace(x, **changes), y))  # type: ignore[arg-type]

    assert fault_of(item, response) == ""
    assert "one of its coordinates only" in fault_of(item, with_blanks(values=x.values[:1]))
    assert "boxes enough" in fault_of(item, with_blanks(slots=1))
    assert "not the key" in fault_of(item, with_blanks(values=x.values[::-1]))
    assert "the tick is keyed" in fault_of(item, replace(response, tick_is_right=True))
    assert "at 7 marks are not" in fault_of(item, replace(response, share=Fraction(7)))
    twice = tuple(replace(blank, values=(blank.values[0],) * 2) for blank in response.blanks)
    assert "keyed twice" in fault_of(item, replace(response, blanks=twice))


def test_the_points_of_none_are_a_tick() -> None:
    item, response = first("points-touching", 0)

    assert response.tick_is_right
    assert () == faults(prove(item))
    assert "no tick" in fault_of(item, replace(response, tick_is_right=False))
