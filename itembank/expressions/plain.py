"""The language's own spelling of a tree: what it parses back from, to the same tree."""

from __future__ import annotations

from fractions import Fraction

from itembank.expressions import tree
from itembank.expressions.tree import Node

# how strongly each kind binds; an operand weaker than its place asks for stands in brackets
_OR, _AND, _NOT, _RELATION, _SUM, _TERM, _POWER, _ATOM = range(8)


def plain(node: Node) -> str:
    """The text of a tree: `parse(plain(node)) == node` for every tree that `parse` returns.

    >>> from itembank.expressions.parser import parse
    >>> plain(parse("a*-2 - (b - c)"))
    'a*-2 - (b - c)'
    """
    return _text(node)


def _text(node: Node) -> str:
    match node:
        case tree.Number(value, places):
            return numeral(value, places)
        case tree.Name(name):
            return name
        case tree.Negation(operand):
            return "-" + _at(operand, _TERM)
        case tree.PlusMinus(operand):
            return "±" + _at(operand, _TERM)
        case tree.Sum(first, rest):
            head = _text(first) if isinstance(first, tree.Negation | tree.PlusMinus) else _at(first, _TERM)
            return head + "".join(f" {op} {_at(term, _TERM)}" for op, term in rest)
        case tree.Product(factors):
            return "*".join(_factor(factor, index) for index, factor in enumerate(factors))
        case tree.Quotient(numerator, denominator):
            return f"{_at(numerator, _TERM)}/{_signed(denominator, _POWER)}"
        case tree.Power(base, exponent):
            return f"{_at(base, _ATOM)}^{_signed(exponent, _POWER)}"
        case tree.Call(function, arguments):
            return f"{function}({', '.join(_text(argument) for argument in arguments)})"
        case tree.Point(first, second):
            return f"({_text(first)}, {_text(second)})"
        case tree.Relation(operands, operators):
            tail = (
                f" {op} {_at(operand, _SUM)}" for op, operand in zip(operators, operands[1:], strict=True)
            )
            return _at(operands[0], _SUM) + "".join(tail)
        case tree.And(parts):
            return " and ".join(_at(part, _NOT) for part in parts)
        case tree.Or(parts):
            return " or ".join(_at(part, _AND) for part in parts)
        case tree.Not(part):
            return "not " + _at(part, _RELATION)


def numeral(value: Fraction, places: int) -> str:
    """The digits of a number >= 0 with so many places; exact, never rounded.

    >>> numeral(Fraction(3, 2), 2)
    '1.50'
    """
    if places == 0:
        return str(value.numerator)
    digits = str(value.numerator * 10**places // value.denominator).rjust(places + 1, "0")
    return f"{digits[:-places]}.{digits[-places:]}"


def _strength(node: Node) -> int:
    match node:
        case tree.Or():
            return _OR
        case tree.And():
            return _AND
        case tree.Not():
            return _NOT
        case tree.Relation():
            return _RELATION
        case tree.Sum() | tree.Negation() | tree.PlusMinus():
            return _SUM
        case tree.Product() | tree.Quotient():
            return _TERM
        case tree.Power():
            return _POWER
        case _:
            return _ATOM


def _at(node: Node, needed: int) -> str:
    text = _text(node)
    return text if _strength(node) >= needed else f"({text})"


def _factor(factor: Node, index: int) -> str:
    if index and isinstance(factor, tree.Negation) and _strength(factor.operand) >= _POWER:
        return "-" + _text(factor.operand)
    if isinstance(factor, tree.Product) or (index and isinstance(factor, tree.Quotient)):
        return f"({_text(factor)})"
    return _at(factor, _TERM)


def _signed(node: Node, needed: int) -> str:
    if isinstance(node, tree.Negation) and _strength(node.operand) >= needed:
        return "-" + _text(node.operand)
    return _at(node, needed)
