"""Orders: the keyed one is right, and no other is.

Numbers are compared exactly. Of lines of working it is tried whether they may follow each other in another way: a line
is one step from another where sides are only written otherwise, where one term of the left is added or taken away on
both sides, where one term of the right is collected with one like it on the left, where both sides are multiplied by
the same, where square roots are taken with both signs, or where a product that is zero is parted into its factors.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, TypeAlias

from itembank.audit import formula, numbers, polynomials
from itembank.audit.facts import Choice, Facts
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.formula import Node
from itembank.audit.part_view import PartView
from itembank.audit.polynomials import Polynomial
from itembank.audit.ratios import Ratio, Reading, either_signs, expression, plus

__all__ = ["ORDER_KINDS", "check_order"]

ORDER_KINDS: Final = frozenset({"order-ascending", "order-descending", "order-lines"})


def check_order(view: PartView, facts: Facts) -> Iterator[Fault]:
    """Everything wrong with the things of a part and their keyed order."""
    task = view.task
    if task is None or task.kind != "order" or view.choice or view.boxes or view.tick:
        yield Fault(
            "unclear-interaction", "a part of this kind has one order and nothing else", place=view.place
        )
        return
    declared = facts.response(task.response)
    keyed = declared.correct if declared else ()
    printed = [choice.identifier for choice in task.choices]
    if sorted(keyed) != sorted(printed):
        yield Fault("no-key", "the right order does not name every thing once", place=task.response)
        return
    if list(keyed) == printed and task.shuffle != "true":
        yield Fault("order-shown", "the things are printed in the right order", place=task.response)
    things = {choice.identifier: choice for choice in task.choices}
    order = [things[name] for name in keyed]
    told = {value.identifier: value.maths for value in view.part.values}
    for choice in order:
        if choice.maths is None:
            yield Fault(
                "unclear-option", f"the thing {choice.identifier} is not one formula", place=view.place
            )
            return
        if told.get(choice.identifier) != choice.maths:
            message = f"staff are told otherwise of the thing {choice.identifier}"
            yield Fault("option-differs", message, place=view.place)
    if view.part.kind == "order-lines":
        yield from _lines(view, order)
    else:
        yield from _sizes(view, order)


def _sizes(view: PartView, order: list[Choice]) -> Iterator[Fault]:
    wanted = 1 if view.part.kind == "order-ascending" else -1
    for first, second in pairwise(order):
        if (
            first.maths is not None
            and second.maths is not None
            and _beyond(first.maths, second.maths) != wanted
        ):
            message = f"{first.identifier} and {second.identifier} are not in order, or equal"
            yield Fault("wrong-order-keyed", message, place=view.place)


def _beyond(first: Node, second: Node) -> int:
    """1 where the second is larger, 0 where they are equal."""
    (one,), (other,) = expression(first), expression(second)
    difference = plus(other, one, -1)
    above, below = polynomials.constant(difference.above), polynomials.constant(difference.below)
    if above is None or below is None:
        raise CannotTell("a thing to be put into order is no number")
    return numbers.sign(numbers.divide(above, below))


# lines of working


_Terms: TypeAlias = tuple[tuple[str, Node], ...]


@dataclass(frozen=True, slots=True)
class _Equation:
    """left, and right once or for both readings of ±; terms: both sides' terms with their signs, without a 0.

    shown: the whole; is_square: the left side is shown as a square.
    """

    left: Ratio
    rights: tuple[Ratio, ...]
    terms: _Terms
    right_terms: _Terms
    shown: Node
    is_square: bool


_Line: TypeAlias = tuple[_Equation, ...]


def _lines(view: PartView, order: list[Choice]) -> Iterator[Fault]:
    shown = [choice.maths for choice in order if choice.maths is not None]
    lines = [_read(node, view) for node in (view.part.problem, *shown)]
    follows = {
        (i, j): i != j and _steps(lines[i], lines[j]) for i in range(len(lines)) for j in range(1, len(lines))
    }
    for index, choice in enumerate(order):
        if not follows[index, index + 1]:
            message = f"the line {choice.identifier} is not one step from the line before it"
            yield Fault("wrong-order-keyed", message, place=view.place)
            return
    if _paths(follows, [0], len(lines)) > 1:
        yield Fault("second-order", "the lines may follow each other in another order too", place=view.place)


def _paths(follows: dict[tuple[int, int], bool], path: list[int], count: int) -> int:
    """How many orders go step by step, 2 for two or more."""
    if len(path) == count:
        return 1
    found = 0
    for after in range(1, count):
        if after not in path and follows[path[-1], after]:
            found += _paths(follows, [*path, after], count)
            if found > 1:
                return 2
    return found


def _read(node: Node, view: PartView) -> _Line:
    parts = node.parts if isinstance(node, formula.Alternatives) else (node,)
    return tuple(_equation(part, view) for part in parts)


def _equation(node: Node, view: PartView) -> _Equation:
    if not isinstance(node, formula.Relation) or node.sign != "=" or formula.has_either_sign(node.left):
        raise CannotTell("a line is no plain equation")
    scope = view.part.scope
    rights = tuple(Reading(scope, sign, []).plain(node.right) for sign in either_signs(node.right))
    is_square = isinstance(node.left, formula.Power) and node.left.exponent == formula.Numeral("2")
    left = Reading(scope, 0, []).plain(node.left)
    return _Equation(left, rights, _terms(node.left), _terms(node.right), node, is_square)


def _terms(side: Node) -> _Terms:
    terms = side.terms if isinstance(side, formula.Sum) else (("+", side),)
    return tuple([(sign, term) for sign, term in terms if term != formula.Numeral("0")])


def _steps(before: _Line, after: _Line) -> bool:
    if len(before) == len(after):
        moved = [(one, other) for one, other in zip(before, after, strict=True) if one.shown != other.shown]
        return bool(moved) and all(_step(one, other) for one, other in moved)
    return len(before) == 1 and _parted(before[0], after)


def _step(before: _Equation, after: _Equation) -> bool:
    if len(before.rights) < len(after.rights):
        return _rooted(before, after)
    if len(before.rights) > len(after.rights):
        return False
    left = plus(after.left, before.left, -1)
    rights = [plus(new, old, -1) for new, old in zip(after.rights, before.rights, strict=True)]
    if not any(each.above for each in (left, *rights)):
        return True
    if all(_equal(left, right) for right in rights):
        return _moved(before, after)
    return _scaled(before, after)


def _moved(before: _Equation, after: _Equation) -> bool:
    """Whether one term came or went on the left, or one of the right joined one that is like it there."""
    gone, come = _difference(before.terms, after.terms), _difference(after.terms, before.terms)
    if len(gone) + len(come) <= 1:
        return True
    taken = _difference(before.right_terms, after.right_terms)
    return (
        len(gone) == len(come) == len(taken) == 1
        and not _difference(after.right_terms, before.right_terms)
        and not any(isinstance(p, formula.Sum) for _, t in (*gone, *come, *taken) for p in formula.walk(t))
    )


def _difference(first: _Terms, second: _Terms) -> _Terms:
    return tuple((Counter(first) - Counter(second)).elements())


def _equal(first: Ratio, second: Ratio) -> bool:
    return _cross(first, second) == _cross(second, first)


def _cross(first: Ratio, second: Ratio) -> Polynomial:
    return polynomials.multiply(first.above, second.below)


def _scaled(before: _Equation, after: _Equation) -> bool:
    if not before.left.above or not after.left.above:
        return False
    if not any(right.above for right in (*before.rights, *after.rights)):
        return _proportional(before.left.above, after.left.above)
    return all(
        _equal(_product(after.left, old), _product(before.left, new))
        for new, old in zip(after.rights, before.rights, strict=True)
    )


def _product(first: Ratio, second: Ratio) -> Ratio:
    return Ratio(
        polynomials.multiply(first.above, second.above), polynomials.multiply(first.below, second.below)
    )


def _proportional(first: Polynomial, second: Polynomial) -> bool:
    some = next(iter(first))
    if some not in second:
        return False
    return polynomials.scale(first, second[some]) == polynomials.scale(second, first[some])


def _rooted(before: _Equation, after: _Equation) -> bool:
    plus_side, minus_side = after.rights
    return (
        before.is_square
        and not plus(plus_side, minus_side, 1).above
        and _equal(_product(after.left, after.left), before.left)
        and _equal(_product(plus_side, plus_side), before.rights[0])
    )


def _parted(before: _Equation, after: _Line) -> bool:
    if (
        len(before.rights) > 1
        or before.rights[0].above
        or any(len(each.rights) > 1 or each.rights[0].above for each in after)
    ):
        return False
    product = after[0].left
    for each in after[1:]:
        product = _product(product, each.left)
    return bool(product.above) and bool(before.left.above) and _proportional(before.left.above, product.above)
