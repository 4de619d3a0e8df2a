"""Whether a typed answer is worked out: `7^2` is no integer, and what is expanded is not factorised.

By value alone a pupil who copies the question would be right. It is asked of what matches a known answer by its value
only. As on platforms, equal fractions, surds and brackets that are not simplified earn one mark less.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from enum import Enum
from fractions import Fraction
from math import gcd
from typing import Any, Final

from itembank.analysis.keys import Question
from itembank.analysis.meanings import pieces_typed
from itembank.errors import DomainError
from itembank.expressions import exact, tree
from itembank.expressions.numbers import square_root_parts
from itembank.expressions.tree import Node

__all__ = ["Looks", "looks_of"]

_PLAIN: Final = frozenset(("integer", "fraction", "decimal"))


class Looks(Enum):
    """How a typed answer looks that has the value of a known one."""

    SIMPLEST = "as it was asked for"
    ALIKE = "equal, not simplified"
    LEFT = "left to be worked out"


def looks_of(text: str, question: Question, *, is_right: bool = True) -> Looks:
    """Whether what was typed has the looks that the boxes of the question ask for.

    Numbers without roots: no sum, product, power or root is left, and where whole numbers are asked for no quotient
    that is one. Surds: one root, in a sum with one other number at most, and none below a fraction line. Brackets: a
    product of factors of the first degree. Whatever cannot be read, and other boxes, pass. ALIKE are fractions that can
    be cancelled, roots of numbers with square factors, and brackets with a common factor where the key has none.
    is_right: whether it has the value of the key; a slip may lead to a fraction or a root where whole numbers are asked
    for.
    """
    forms = {_form(blank) for blank in question.blanks} - {"one-of"}
    try:
        nodes = list(pieces_typed(text))
        if forms == {"brackets"}:
            common = all(
                _is_primitive(blank["values"][0]) for blank in question.blanks if blank.get("values")
            )
            found = [_bracket_looks(node, primitive=common) for node in nodes]
        elif forms and forms <= _PLAIN and is_right:
            whole = forms == {"integer"}
            found = [Looks.LEFT if _is_left(node, whole=whole) else _fraction_looks(node) for node in nodes]
        elif forms and forms <= {*_PLAIN, "surd"}:
            found = [_surd_looks(node) for node in nodes]
        else:
            found = []
    except DomainError:  # numbers beyond what is looked into
        return Looks.LEFT
    return next((each for each in (Looks.LEFT, Looks.ALIKE) if each in found), Looks.SIMPLEST)


def _bracket_looks(node: Node, *, primitive: bool) -> Looks:
    if not _is_factorised(node, primitive=False):
        return Looks.LEFT
    return Looks.SIMPLEST if not primitive or _is_factorised(node, primitive=True) else Looks.ALIKE


def _fraction_looks(node: Node) -> Looks:
    return Looks.ALIKE if any(map(_cancels, tree.walk(node))) else Looks.SIMPLEST


def _surd_looks(node: Node) -> Looks:
    if _is_left_of_surd(node):
        return Looks.LEFT
    roots = [each.arguments[0] for each in tree.walk(node) if isinstance(each, tree.Call)]
    has_squares = any(
        isinstance(each, tree.Number) and square_root_parts(int(each.value))[0] > 1 for each in roots
    )
    return Looks.ALIKE if has_squares else _fraction_looks(node)


def _cancels(node: Node) -> bool:
    """Whether a fraction has a factor that every term above has in common with what is below."""
    if not isinstance(node, tree.Quotient) or not isinstance(node.denominator, tree.Number):
        return False
    numbers = [node.denominator.value, *_coefficients(node.numerator)]
    return all(each.denominator == 1 for each in numbers) and gcd(*map(int, numbers)) > 1


def _coefficients(node: Node) -> Iterator[Fraction]:
    match node:
        case tree.Number(value):
            yield value
        case tree.Negation(operand) | tree.PlusMinus(operand):
            yield from _coefficients(operand)
        case tree.Sum(first, rest):
            for term in (first, *(term for _, term in rest)):
                yield from _coefficients(term)
        case tree.Product(factors):
            numbers = [each.value for each in factors if isinstance(each, tree.Number)]
            yield numbers[0] if numbers else Fraction(1)
        case _:
            yield Fraction(1)


def _form(blank: Mapping[str, Any]) -> str:
    """The form of the numbers in the boxes of a blank."""
    return str(blank.get("ends") or blank["form"])


def _is_left(node: Node, *, whole: bool) -> bool:
    """Whether something is left to be worked out in a number."""
    match node:
        case tree.Number() | tree.Name():
            return False
        case tree.Negation(operand):
            return _is_left(operand, whole=whole)
        case tree.Point(first, second):
            return _is_left(first, whole=whole) or _is_left(second, whole=whole)
        case tree.Quotient(above, below):
            return whole or _is_left(above, whole=True) or _is_left(below, whole=True)
        case _:
            return True


def _is_left_of_surd(node: Node) -> bool:
    """The same of a number with a root."""
    match node:
        case tree.Number() | tree.Name():
            return False
        case tree.Negation(operand) | tree.PlusMinus(operand):
            return _is_left_of_surd(operand)
        case tree.Point(first, second):
            return _is_left_of_surd(first) or _is_left_of_surd(second)
        case tree.Call("sqrt", (tree.Number(value),)):
            return not (value.denominator == 1 and value > 1 and square_root_parts(int(value))[1] > 1)
        case tree.Quotient(above, below):
            return _is_left_of_surd(above) or _is_left(below, whole=True)
        case tree.Product(factors):
            return _are_left(factors)
        case tree.Sum(first, rest):
            return _are_left([first, *(term for _, term in rest)])
        case _:
            return True


def _are_left(parts: Sequence[Node]) -> bool:
    """Whether two terms, or two factors, could be put together, or one of them is left to be worked out."""
    with_root = [part for part in parts if any(isinstance(each, tree.Call) for each in tree.walk(part))]
    return len(with_root) > 1 or len(parts) - len(with_root) > 1 or any(map(_is_left_of_surd, parts))


def _is_primitive(values: list[int | None]) -> bool:
    """Whether no bracket of k(ax + b)(cx + d) has a common factor. values: k, if there is one, then a, b, c, d."""
    inside = [value or 0 for value in values[len(values) % 2 :]]
    return all(gcd(one, other) == 1 for one, other in zip(inside[::2], inside[1::2], strict=True))


def _is_factorised(node: Node, *, primitive: bool) -> bool:
    """Whether a term is a product, or a power, of factors of the first degree. primitive: none with a common factor."""
    try:
        factors = [exact.polynomial(factor, {}) for factor in _factors(node)]
    except DomainError:
        return False
    for factor in factors:
        if any(sum(power for _, power in monomial) > 1 for monomial, _ in factor.terms):
            return False
        numbers = [value for _, value in factor.terms]
        shared = gcd(*(value for value in numbers if isinstance(value, int)))
        if primitive and len(numbers) > 1 and shared > 1 and all(isinstance(value, int) for value in numbers):
            return False
    return True


def _factors(node: Node) -> Iterator[Node]:
    match node:
        case tree.Negation(operand):
            yield from _factors(operand)
        case tree.Product(factors):
            for factor in factors:
                yield from _factors(factor)
        case tree.Power(base, tree.Number()):
            yield from _factors(base)
        case _:
            yield node
