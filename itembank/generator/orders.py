"""Things to be put into order: numbers by their exact size, or the lines of the worked solution as they stand."""

from __future__ import annotations

from fractions import Fraction
from functools import cmp_to_key
from itertools import pairwise

from itembank.errors import DomainError
from itembank.expressions import exact, numbers
from itembank.expressions.display import Maths
from itembank.generator.bound import Arguments, Bound, Forms
from itembank.generator.choices import LETTERS
from itembank.generator.distractors import printed_order
from itembank.generator.filling import filled
from itembank.items import Ordered, OrderResponse
from itembank.templates.template import OrderTemplate


def size_order(bound: Bound, number: int, arguments: Arguments) -> list[int] | None:
    """The numbers of a part from the first to the last of their order, by index; None where two are equal.

    None too where their sizes cannot be compared exactly.
    """
    more = bound.recipe.parts[number].template.response.more
    assert isinstance(more, OrderTemplate)
    if not more.values:
        return []
    try:
        values = bound.values(arguments)
        sizes = [exact.number(each.node, values, bound.recipe.main_letter) for each in more.values]

        def compare(first: int, second: int) -> int:
            return numbers.compare(sizes[first], sizes[second])

        order = sorted(range(len(sizes)), key=cmp_to_key(compare))
        if any(compare(first, second) == 0 for first, second in pairwise(order)):
            return None
    except DomainError:
        return None
    return order if more.by == "ascending" else order[::-1]


def equal_numbers(bound: Bound, number: int, arguments: Arguments) -> tuple[int, int] | None:
    """The first two numbers of a part that are equal, by index; None where none are, or it cannot be told."""
    more = bound.recipe.parts[number].template.response.more
    assert isinstance(more, OrderTemplate)
    try:
        values = bound.values(arguments)
        sizes = [exact.number(each.node, values, bound.recipe.main_letter) for each in more.values]
    except DomainError:
        return None
    return next(((sizes.index(each), at) for at, each in enumerate(sizes) if sizes.index(each) < at), None)


def make_order(bound: Bound, number: int, forms: Forms, arguments: Arguments, address: str) -> OrderResponse:
    """The response; the things are printed in an order that is not theirs."""
    part = bound.recipe.parts[number]
    asked, more = part.template.response, part.template.response.more
    assert isinstance(more, OrderTemplate)
    right: list[Maths]
    if more.values:
        order = size_order(bound, number, arguments)
        assert order is not None
        right = [filled(part.right[index], forms) for index in order]
    else:
        right = [filled(line.maths, forms) for line in part.solution if line.maths is not None]
    printed = printed_order(address, len(right))
    if printed == sorted(printed):
        printed = printed[1:] + printed[:1]
    things = tuple(Ordered(LETTERS[at], right[place], place) for at, place in enumerate(printed))
    share = Fraction(asked.marks, len(things)) if more.shared else Fraction(0)
    return OrderResponse(things, more.by, asked.marks, share)
