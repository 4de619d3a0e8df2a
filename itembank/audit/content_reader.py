"""Content MathML, the annotation beside what is shown, read to the same tree."""

from __future__ import annotations

from itertools import pairwise

from lxml import etree

from itembank.audit import formula
from itembank.audit.findings import Unread
from itembank.audit.formula import Node
from itembank.audit.mathml_tokens import MATHML
from itembank.audit.xml_reading import local_name, namespace

__all__ = ["read_content"]

_RELATIONS = {"eq": "=", "neq": "≠", "lt": "<", "leq": "≤", "gt": ">", "geq": "≥", "approx": "≈", "in": "∈"}
_FUNCTIONS = frozenset({"discriminant", "gcd", "lcm", "min", "max"})
_DEPTH = 60


def read_content(element: etree._Element) -> Node:
    """What a content element means. Raises Unread for an element or a function the audit does not know."""
    return _read(element, 0)


def _read(element: etree._Element, depth: int) -> Node:
    if namespace(element) != MATHML:
        raise Unread(f"the annotation's element {local_name(element)} is not MathML")
    if element.attrib:
        raise Unread(f"the annotation's element {local_name(element)} has an attribute")
    if depth > _DEPTH:
        raise Unread("the annotation is nested too deeply")
    name = local_name(element)
    if name == "cn":
        return formula.Numeral(_text(element))
    if name == "ci":
        return formula.Letter(_text(element))
    if (element.text or "").strip() or any((child.tail or "").strip() for child in element):
        raise Unread("the annotation holds loose text")
    if name == "emptyset":
        return formula.Nothing()
    if name == "vector":
        parts = [_read(part, depth + 1) for part in element]
        if len(parts) != 2:
            raise Unread("the annotation's point has not two coordinates")
        return formula.Point(parts[0], parts[1])
    if name == "apply" and len(element):
        return _apply(element, depth)
    raise Unread(f"the annotation's element {name} is not known")


def _apply(element: etree._Element, depth: int) -> Node:
    operator, *rest = element
    name = local_name(operator)
    if name == "root":
        return _root(rest, depth)
    parts = [_read(part, depth + 1) for part in rest]
    if name == "csymbol":
        return _symbol(_text(operator), parts)
    if len(operator) or (operator.text or "").strip() or operator.attrib:
        raise Unread(f"the annotation's operator {name} is not empty")
    if name in _RELATIONS and len(parts) >= 2:
        pairs = pairwise(parts)
        return formula.all_of(formula.Relation(left, _RELATIONS[name], right) for left, right in pairs)
    match name, len(parts):
        case "plus", 2:
            return formula.sum_of([("+", parts[0]), ("+", parts[1])])
        case "minus", 1:
            return formula.sum_of([("-", parts[0])])
        case "minus", 2:
            return formula.sum_of([("+", parts[0]), ("-", parts[1])])
        case "times", count if count >= 2:
            return formula.product_of(parts)
        case "divide", 2:
            return formula.Quotient(parts[0], parts[1])
        case "power", 2:
            return formula.Power(parts[0], parts[1])
        case "abs", 1:
            return formula.Absolute(parts[0])
        case "and", count if count >= 2:
            return formula.all_of(parts)
        case "or", count if count >= 2:
            return formula.any_of(parts)
        case _:
            raise Unread(f"the annotation's operator {name} is not known with {len(parts)} parts")


def _root(rest: list[etree._Element], depth: int) -> Node:
    index = 2
    if rest and local_name(rest[0]) == "degree":
        degree, *rest = rest
        shown = [_read(part, depth + 1) for part in degree]
        if len(shown) != 1 or not isinstance(shown[0], formula.Numeral) or not shown[0].text.isdecimal():
            raise Unread("the annotation's root has no plain index")
        index = int(shown[0].text)
    if len(rest) != 1:
        raise Unread("the annotation's root has not one radicand")
    return formula.Root(_read(rest[0], depth + 1), index)


def _symbol(symbol: str, parts: list[Node]) -> Node:
    if symbol == "plus-minus" and len(parts) == 1:
        return formula.sum_of([("±", parts[0])])
    if symbol == "plus-minus" and len(parts) == 2:
        return formula.sum_of([("+", parts[0]), ("±", parts[1])])
    if (symbol in _FUNCTIONS and parts) or (symbol in formula.NAMED and len(parts) == 1):
        return formula.Apply(symbol, tuple(parts))
    raise Unread(f"the annotation's function {symbol!r} is not known")


def _text(element: etree._Element) -> str:
    if len(element):
        raise Unread(f"the annotation's {local_name(element)} holds elements")
    return (element.text or "").strip()
