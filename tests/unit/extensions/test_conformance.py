"""What authors of extensions hold theirs to: it passes what is right, and finds each fault it is there for."""

from __future__ import annotations

import importlib
import sys
from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from pydantic import ValidationError

from itembank.extending import (
    Description,
    DomainError,
    FigureExtension,
    Pen,
    Point,
    PropertyExtension,
    Proved,
    ResponseExtension,
)
from itembank.testing.conformance import check_figure, check_property, check_response
from tests.extras import SOURCE

BARS = [
    {"parts": Fraction(parts), "rest": Fraction(rest, 2), "whole": Fraction(parts * each) + Fraction(rest, 2)}
    for parts in (1, 2, 3, 5, 7, 12)
    for each in (3, 8, 15)
    for rest in (0, 1, 6, 20)
]


@pytest.fixture(scope="module")
def extras() -> Iterator[dict[str, Any]]:
    """The objects of the distribution, imported from its files without being installed."""
    sys.path.insert(0, str(SOURCE))
    try:
        yield {
            "prime": importlib.import_module("saltmarsh_prime").PRIME,
            "between": importlib.import_module("saltmarsh_between").BETWEEN,
            "bar-model": importlib.import_module("saltmarsh_bar_model").BAR_MODEL,
        }
    finally:
        sys.path.remove(str(SOURCE))


def test_the_property_of_the_example_conforms(extras: dict[str, Any]) -> None:
    carmichael = [(n, 1) for n in (561, 1105, 2821, 3215031749, 2_147_483_647)]  # OEIS A002997, and two more
    assert check_property(extras["prime"], carmichael) >= 1_300


def test_the_picture_of_the_example_conforms(extras: dict[str, Any]) -> None:
    assert check_figure(extras["bar-model"], BARS) == len(BARS)


def test_the_kind_of_the_example_conforms(extras: dict[str, Any]) -> None:
    asked = [({"from": str(low), "to": str(high)}, ("x",)) for low in range(-3, 3) for high in range(-3, 12)]

    assert check_response(extras["between"], asked) == sum(
        2 <= int(a["to"]) - int(a["from"]) <= 12 for a, _ in asked
    )
    with pytest.raises(AssertionError, match="nothing that was asked"):
        check_response(extras["between"], [({"from": "0", "to": "5"}, ("x", "y"))])


def test_a_kind_that_is_amiss_is_found(extras: dict[str, Any]) -> None:
    between: ResponseExtension = extras["between"]
    asked = [({"from": "0", "to": "5"}, ("x",))]
    for spelled, told in (
        ({"kind": "slider"}, "none of the house"),
        ({"kind": "choice", "marks": "2"}, "marks are the template's"),
        ({"kind": "choice", "colour": "red"}, "colour"),
    ):
        with pytest.raises((AssertionError, ValidationError), match=told):
            check_response(replace(between, spell=lambda given, unknowns, made=spelled: made), asked)
    with pytest.raises(AssertionError, match="its keys are"):
        check_response(between, [({"from": "0"}, ("x",))])


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"test": lambda n, d: n % 2 == 1 and n > 1 and d == 1}, "the test says"),
        ({"prove": lambda n, d: Proved("so it is")}, "the proof yes"),
        ({"again": lambda n: False}, "the second proof False"),
        ({"true_at": frozenset()}, "name it in true_at"),
        ({"true_at": frozenset({"seven"})}, "names no degenerate input"),
        ({"example": "is_prime(p)"}, "the example shows"),
        ({"source": ""}, "a source is named"),
    ],
)
def test_a_property_that_is_amiss_is_found(extras: dict[str, Any], change: dict[str, Any], told: str) -> None:
    prime: PropertyExtension = extras["prime"]

    with pytest.raises(AssertionError, match=told):
        check_property(replace(prime, **change))


def test_one_function_for_two_roads_is_found(extras: dict[str, Any]) -> None:
    prime: PropertyExtension = extras["prime"]

    with pytest.raises(AssertionError, match="three functions"):
        check_property(replace(prime, again=prime.test))


def test_a_picture_that_is_amiss_is_found(extras: dict[str, Any]) -> None:
    bar: FigureExtension = extras["bar-model"]

    def through(numbers: Mapping[str, Fraction], pen: Pen) -> Description:
        words = bar.draw(numbers, pen)
        pen.label(Point(Fraction(0), Fraction(9)), "rest")
        return words

    def refused(numbers: Mapping[str, Fraction], pen: Pen) -> Description:
        raise DomainError("never")

    for change, told in (
        ({"check": lambda numbers, words: ()}, "passes numbers that are not those drawn"),
        ({"check": lambda numbers, words: ("no",)}, "its own check disagrees"),
        ({"draw": through}, "a line goes through a label"),
        ({"draw": refused}, "none of the numbers"),
    ):
        with pytest.raises(AssertionError, match=told):
            check_figure(replace(bar, **change), BARS)
