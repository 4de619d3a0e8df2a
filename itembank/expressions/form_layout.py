"""Canonical forms as layout nodes: which parts a form shows, and which number stands in which hole."""

from __future__ import annotations

from typing import cast

from itembank.errors import DomainError
from itembank.expressions import tree
from itembank.expressions.canonical import Kind
from itembank.expressions.display import Numeral, Over
from itembank.expressions.layout_nodes import ONE, ZERO, Known, LayoutNode, NoSolution, Spliced
from itembank.expressions.tree import Node


def node_of(kind: Kind, used: int, letter: str = "") -> tuple[LayoutNode, int]:
    """The layout node of a canonical form whose numbers begin at hole `used`, and the next free hole.

    letter: the unknown of `letter = value` where the form is a solution, or the letter of factors; of points both
    unknowns, a blank between.
    Raises DomainError for a kind that is none.

    >>> node_of(("+",), 0)[1]
    1
    """
    match kind:
        case ("set", *forms):
            return _alternatives([cast(Kind, form) for form in forms], used, letter)
        case ("none",):
            return NoSolution(), used
        case ("points", *forms):
            return _points([cast(Kind, form) for form in forms], used, letter)
        case ("region", *pieces):
            return _region([cast("tuple[object, ...]", piece) for piece in pieces], used, letter)
        case ("factors", scale, first, second):
            pair = (cast(Kind, first), cast("Kind | None", second))
            return _factors(cast(Kind, scale), pair, used, letter)
    value, used = _value(kind, used)
    if letter:
        return tree.Relation((tree.Name(letter), _as_node(value)), ("=",)), used
    return value, used


def _as_node(node: LayoutNode) -> Node:
    """Layout nodes stand in trees until they are laid out; `tree`'s own types do not say so."""
    return cast(Node, node)


def _alternatives(forms: list[Kind], used: int, letter: str) -> tuple[LayoutNode, int]:
    parts = []
    for form in forms:
        part, used = node_of(form, used, letter)
        parts.append(_as_node(part))
    if not parts:
        return NoSolution(), used
    return tree.Or(tuple(parts)) if len(parts) > 1 else parts[0], used


def _points(forms: list[Kind], used: int, letters: str) -> tuple[LayoutNode, int]:
    """(x, y) = (-1, 3) or (x, y) = (2, 5)."""
    first, second = letters.split()
    unknowns = tree.Point(tree.Name(first), tree.Name(second))
    found: list[Node] = []
    for place in range(0, len(forms), 2):
        x, used = _value(forms[place], used)
        y, used = _value(forms[place + 1], used)
        found.append(_related(unknowns, "=", tree.Point(_as_node(x), _as_node(y))))
    return tree.Or(tuple(found)) if len(found) > 1 else found[0], used


def _region(pieces: list[tuple[object, ...]], used: int, letter: str) -> tuple[LayoutNode, int]:
    """x < 2 or 3 <= x < 5 or x = 7, as the pieces stand on the line."""
    found: list[Node] = []
    name = tree.Name(letter)
    for piece in pieces:
        ends: list[Node | None] = []
        for kind in piece[::2]:
            value: LayoutNode | None = None
            if kind is not None:
                value, used = _value(cast(Kind, kind), used)
            ends.append(None if value is None else _as_node(value))
        if len(piece) == 1:
            found.append(_related(name, "=", ends[0]))
            continue
        (low, high), (low_in, high_in) = ends, piece[1::2]
        if low is not None and high is not None:
            signs = tuple("<=" if inside else "<" for inside in (low_in, high_in))
            found.append(tree.Relation((low, name, high), signs))
        elif low is not None:
            found.append(_related(name, ">=" if low_in else ">", low))
        elif high is not None:
            found.append(_related(name, "<=" if high_in else "<", high))
        else:
            raise DomainError("every number is a solution, and nothing is written for that")
    return tree.Or(tuple(found)) if len(found) > 1 else found[0], used


def _related(name: tree.Name | tree.Point, sign: str, end: Node | None) -> Node:
    assert end is not None
    return tree.Relation((name, end), (sign,))


def _value(kind: Kind, used: int) -> tuple[LayoutNode, int]:
    match kind:
        case ("0",):
            return ZERO, used
        case ("1",):
            return ONE, used
        case ("-1",):
            return Known(True, ONE.magnitude, unit=True), used
        case ("+",) | ("-",) | ("+.",) | ("-.",):
            return Known(str(kind[0]).startswith("-"), Numeral(used)), used + 1
        case ("+/",) | ("-/",):
            return Known(kind[0] == "-/", Over(Numeral(used), Numeral(used + 1))), used + 2
        case ("surd", p, q, d, sign):
            return _surd(str(p), str(q), str(d), str(sign), used)
        case _:
            raise DomainError(f"no layout for the form {kind}")


def _marked(mark: str, used: int) -> tuple[Known, int]:
    """The number of a mark: "1" and "-1" fixed, "+" and "-" with a hole."""
    if mark in {"1", "-1"}:
        return Known(mark == "-1", ONE.magnitude, unit=True), used
    return Known(mark == "-", Numeral(used)), used + 1


def _surd(p: str, q: str, d: str, sign: str, used: int) -> tuple[LayoutNode, int]:
    """(p + q*sqrt(r))/d with the parts its marks name; ±q*sqrt(r)/d has its sign before the fraction."""
    first: Known | None = None
    if p != "0":
        first, used = _marked(p, used)
    coefficient, used = _marked(q, used)
    root = tree.Call("sqrt", (_as_node(Known(False, Numeral(used))),))
    surd: Node = tree.Product((_as_node(coefficient), root))
    used += 1
    above = surd if first is None else tree.Sum(_as_node(first), ((sign, surd),))
    if d == "+":
        above = tree.Quotient(above, _as_node(Known(False, Numeral(used))))
        used += 1
    return Spliced(tree.PlusMinus(above) if first is None and sign == "±" else above), used


def _factors(
    scale: Kind, factors: tuple[Kind, Kind | None], used: int, letter: str
) -> tuple[LayoutNode, int]:
    outside, used = _value(scale, used)
    brackets: list[Node] = []
    for kinds in factors:
        if kinds is not None:
            bracket, used = _linear(kinds, used, letter)
            brackets.append(bracket)
    if len(brackets) == 1:
        brackets = [tree.Power(brackets[0], _as_node(Known(False, Numeral(text="2"))))]
    return tree.Product((_as_node(outside), *brackets)), used


def _linear(kinds: Kind, used: int, letter: str) -> tuple[Node, int]:
    a, used = _value(cast(Kind, kinds[0]), used)
    b, used = _value(cast(Kind, kinds[1]), used)
    return tree.Sum(tree.Product((_as_node(a), tree.Name(letter))), (("+", _as_node(b)),)), used
