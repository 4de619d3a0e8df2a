"""Which boxes a surd needs: p only where a rational part can occur, s only where a denominator can.

p ± q*sqrt(r) has no denominator in its simplest form where p and q^2*r are whole numbers. Both are multiplied out here
with the template's parameters as letters, so that what cancels for every item is seen to cancel.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from itembank.errors import BoundExceeded, DomainError
from itembank.expressions import tree
from itembank.expressions.expand import coefficients, expanded
from itembank.expressions.tree import Node
from itembank.generator.template_code import TemplateCode, radical_parts
from itembank.templates.template import PartTemplate, Template

__all__ = ["surd_parts"]

_NOUGHT: Node = tree.Number(Fraction(0))
_ONE: Node = tree.Number(Fraction(1))
_TWO: Node = tree.Number(Fraction(2))


class _Rooted(NamedTuple):
    """p + q*sqrt(r), each a tree; q is 0 where there is no root."""

    p: Node
    q: Node = _NOUGHT
    r: Node = _ONE


def surd_parts(template: Template, code: TemplateCode, part: PartTemplate) -> tuple[bool, bool]:
    """Whether the key can have a rational part, and whether a denominator; True where it cannot be told.

    x = (-b ± sqrt(b^2 - 4*c))/2 with b = 2*h has no denominator where h and c are whole numbers.
    """
    assert part.key is not None
    key = part.key.node
    if any(blank.ends for blank in part.response.blanks):
        values = list(_ends(key, part.unknowns))
    elif isinstance(key, tree.Or | tree.And) or tree.coordinates(key):
        values = list(_values(key, {blank.unknown for blank in part.response.blanks if blank.form == "surd"}))
    else:
        return _parts(template, code, part, key)
    told = [_parts(template, code, part, value) for value in values if value is not None]
    if not told or None in values:
        return True, True
    return any(rational for rational, _ in told), any(below for _, below in told)


def _ends(node: Node, unknowns: tuple[str, ...]) -> Iterator[Node | None]:
    """What unknowns are compared with in an inequality; None for what is no comparison with a value."""
    match node:
        case tree.And(parts) | tree.Or(parts):
            for each in parts:
                yield from _ends(each, unknowns)
        case tree.Relation(operands):
            for operand in operands:
                if not (isinstance(operand, tree.Name) and operand.name in unknowns):
                    yield None if set(unknowns) & set(tree.names(operand)) else operand
        case _:
            yield None


def _values(node: Node, asked: set[str]) -> Iterator[Node | None]:
    """What the unknowns that are asked for as surds are said to be, one by one; None for what says it otherwise."""
    match node:
        case tree.And(parts) | tree.Or(parts):
            for each in parts:
                yield from _values(each, asked)
        case tree.Relation((tree.Name(name), value), ("=",)):
            if name in asked:
                yield None if asked & set(tree.names(value)) else value
        case _ if (both := tree.coordinates(node)) is not None:
            for each in both:
                yield from _values(each, asked)
        case _:
            yield None


def _parts(template: Template, code: TemplateCode, part: PartTemplate, key: Node) -> tuple[bool, bool]:
    as_written = radical_parts(code, _said(key))
    try:
        node = _multiplied_out(template, part, key)
    except (DomainError, BoundExceeded):
        node = None
    simpler = radical_parts(code, node) if node is not None else None
    known = [each for each in (as_written, simpler) if each is not None]
    return all(rational for rational, _ in known), all(below for _, below in known)


def _said(node: Node) -> Node:
    """The value where a statement says `x = value`, else the statement."""
    match node:
        case tree.Relation((tree.Name(), value), ("=",)):
            return value
        case _:
            return node


def _multiplied_out(template: Template, part: PartTemplate, key: Node) -> Node | None:
    """p + sqrt(q^2*r) with both multiplied out, None for a key that is neither a surd nor such an equation."""
    for derived in reversed(template.derived):
        key = tree.substitute(key, {derived.name: derived.expression.node})
    values = {parameter.name for parameter in template.numeric_parameters}
    value = _said(key)
    if len(part.unknowns) == 1 and part.unknowns[0] in tree.names(value):
        rooted = _solved(value, part.unknowns[0], values)
    else:
        rooted = _rooted(value)
    if rooted is None or rooted.q == _NOUGHT:
        return None
    square = tree.Product((rooted.q, rooted.q, rooted.r))
    return tree.Sum(expanded(rooted.p, ()), (("+", tree.Call("sqrt", (expanded(square, ()),))),))


def _solved(node: Node, letter: str, values: set[str]) -> _Rooted | None:
    """-b/(2a) + sqrt((b/(2a))^2 - c/a), of an equation a*x^2 + b*x + c = 0."""
    if not isinstance(node, tree.Relation) or node.operators != ("=",):
        return None
    left, right = node.operands
    found = coefficients(tree.Sum(left, (("-", right),)), values)
    square, middle, last = (((letter, 2),), ((letter, 1),), ())
    if not found.keys() <= {square, middle, last} or square not in found:
        return None
    leading = expanded(found[square], ())
    half = tree.Quotient(tree.Quotient(found.get(middle, _NOUGHT), _TWO), leading)
    rest = tree.Quotient(found.get(last, _NOUGHT), leading)
    return _Rooted(tree.Negation(half), _ONE, tree.Sum(tree.Power(half, _TWO), (("-", rest),)))


def _rooted(node: Node) -> _Rooted | None:
    """A value with one root at most, taken apart; ± is read as +, which has the same denominators."""
    match node:
        case tree.Call("sqrt" | "surd", (inner,)):
            return _Rooted(_NOUGHT, _ONE, inner)
        case tree.Call("keep" | "value", (inner,)) | tree.PlusMinus(inner):
            return _rooted(inner)
        case tree.Negation(inner):
            return _scaled(_rooted(inner), tree.Number(Fraction(-1)))
        case tree.Quotient(above, below):
            return _scaled(_rooted(above), tree.Quotient(_ONE, below))
        case tree.Product(factors):
            total: _Rooted | None = _Rooted(_ONE)
            for factor in factors:
                total = _product(total, _rooted(factor))
            return total
        case tree.Sum(first, rest):
            total = _rooted(first)
            for operator, term in rest:
                more = _rooted(term)
                total = _total(total, more if operator != "-" else _scaled(more, tree.Number(Fraction(-1))))
            return total
        case _ if any(isinstance(each, tree.Call) for each in tree.walk(node)):
            return None
        case _:
            return _Rooted(node)


def _scaled(value: _Rooted | None, factor: Node) -> _Rooted | None:
    if value is None:
        return None
    q = value.q if value.q == _NOUGHT else tree.Product((value.q, factor))
    return _Rooted(tree.Product((value.p, factor)), q, value.r)


def _product(first: _Rooted | None, second: _Rooted | None) -> _Rooted | None:
    if first is None or second is None or _NOUGHT not in {first.q, second.q}:
        return None
    rooted, factor = (first, second.p) if second.q == _NOUGHT else (second, first.p)
    return _scaled(rooted, factor)


def _total(first: _Rooted | None, second: _Rooted | None) -> _Rooted | None:
    if first is None or second is None or _NOUGHT not in {first.q, second.q}:
        return None
    rooted = first if second.q == _NOUGHT else second
    return rooted._replace(p=tree.Sum(first.p, (("+", second.p),)))
