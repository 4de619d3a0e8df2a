"""Points as integer code: those that are said outright, and those where a line meets a curve of degree 2."""

from __future__ import annotations

from collections.abc import Callable

from itembank.expressions import tree
from itembank.expressions.integer_code import Emitter, NotCompilable


def points_code(
    emitter: Emitter, node: tree.Node, letters: str, value: Callable[[Emitter, tree.Node], str]
) -> str:
    """Code for the form of points. letters: both unknowns; value: code for the form of a coordinate.

    Raises NotCompilable for a system that must be solved otherwise.
    """
    first, second = letters.split()
    unknowns = tree.Point(tree.Name(first), tree.Name(second))
    forms: list[str] = []
    for part in node.parts if isinstance(node, tree.Or) else (node,):
        match part:
            case tree.Relation((names, tree.Point(x, y)), ("=",)) if names == unknowns:
                forms += [emitter.temporary(value(emitter, coordinate)) for coordinate in (x, y)]
            case tree.And((one, two)):
                return _meeting(emitter, one, two, (first, second))
            case _:
                raise NotCompilable("a system that is to be solved")
    return f"points({', '.join(forms)})"


def _meeting(emitter: Emitter, one: tree.Node, two: tree.Node, unknowns: tuple[str, str]) -> str:
    """Code for the points of two equations, one of which gives one unknown by the other, linearly."""
    for given, other in ((one, two), (two, one)):
        for at, letter in ((1, unknowns[0]), (0, unknowns[1])):
            told = _told(given, unknowns[at])
            if told is None or not isinstance(other, tree.Relation) or other.operators != ("=",):
                continue
            square, slope, start = emitter.quadratic(told, letter)
            if not square.is_zero:
                continue
            put_in = tree.substitute(other, {unknowns[at]: told})
            (a, b, c), _ = emitter.common_denominator(emitter.quadratic(put_in, letter))
            parts = (a, b, c, start.n, start.d, slope.n, slope.d)
            return f"meeting({', '.join(part.text for part in parts)}, {at})"
    raise NotCompilable("no equation gives one unknown by the other")


def _told(node: tree.Node, name: str) -> tree.Node | None:
    """What an equation says a name is."""
    match node:
        case tree.Relation((tree.Name(said), value), ("=",)) if said == name and name not in tree.names(
            value
        ):
            return value
        case tree.Relation((value, tree.Name(said)), ("=",)) if said == name and name not in tree.names(
            value
        ):
            return value
        case _:
            return None
