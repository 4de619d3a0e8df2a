"""Whether a typed answer is worked out: `7^2` is no integer, and neither `sqrt(72)` nor what is expanded is an answer.

By value alone a pupil who copies the question would be right. It is asked of what matches a known answer by its value
only; fractions that are not in lowest terms are let pass.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import gcd
from typing import Any, Final

from itembank.analysis.keys import Question
from itembank.analysis.meanings import pieces_typed
from itembank.errors import DomainError
from itembank.expressions import exact, tree
from itembank.expressions.numbers import square_root_parts
from itembank.expressions.tree import Node

__all__ = ["is_worked_out"]

_PLAIN: Final = frozenset(("integer", "fraction", "decimal"))


def is_worked_out(text: str, question: Question, *, is_right: bool = True) -> bool:
    """Whether what was typed has the looks that the boxes of the question ask for.

    Numbers without roots: no sum, product, power or root is left, and where whole numbers are asked for no quotient
    that is one. Surds: one root of a number without square factors, in a sum with one other number at most, and none
    below a fraction line. Brackets: a product of factors of the first degree, with nothing in common within one where
    the key has nothing. Whatever cannot be read, and other boxes, pass. is_right: whether it has the value of the key;
    a slip may lead to a fraction or a root where whole numbers are asked for.
    """
    try:
        return _is_worked_out(text, question, is_right=is_right)
    except DomainError:  # numbers beyond what is looked into
        return False


def _is_worked_out(text: str, question: Question, *, is_right: bool) -> bool:
    forms = {_form(blank) for blank in question.blanks} - {"one-of"}
    nodes = list(pieces_typed(text))
    if forms == {"brackets"}:
        common = all(_is_primitive(blank["values"][0]) for blank in question.blanks if blank.get("values"))
        return all(_is_factorised(node, primitive=common and is_right) for node in nodes)
    if forms and forms <= _PLAIN and is_right:
        return not any(_is_left(node, whole=forms == {"integer"}) for node in nodes)
    if forms and forms <= {*_PLAIN, "surd"}:
        return not any(_is_left_of_surd(node) for node in nodes)
    return True


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
            return not (value.denominator == 1 and value > 1 and square_root_parts(int(value))[0] == 1)
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
