"""Points as whole-number code: those that are told one by one, and those where a line meets a curve of degree 2.

Of two equations in two unknowns one must give one unknown by the other with a number for its factor; put into the
other equation it leaves a quadratic, whose rational roots give the points. Irrational points, and systems of
another shape, are left to the slow road.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from itembank.expressions.display import Bracket, Compared, Display, Joined, Letter, Pair, Shape
from itembank.proof.quick_code import Beyond, Reader, compiled, minus, plus, times
from itembank.proof.quick_many import Codes, ManyReader

__all__ = ["quick_points"]


@cache
def quick_points(shape: Shape, unknowns: tuple[str, ...], main_letter: str) -> Reader | None:
    """A function from the numbers in a shape's holes to the identity of its points; None if there is none.

    The function itself gives None where the slow road must look.
    """
    if len(unknowns) != 2:
        return None
    reader = ManyReader(unknowns, main_letter)
    try:
        result = _told(reader, shape.display, unknowns) or _met(reader, shape.display)
    except Beyond:
        return None
    return compiled(reader.guards, [], [], result)


def _told(reader: ManyReader, node: Display, unknowns: tuple[str, ...]) -> str:
    """Code for points that stand there; "" where there are none that do."""
    told = node.parts if isinstance(node, Joined) and node.word == "or" else (node,)
    found: list[str] = []
    for each in told:
        match each:
            case Compared((Pair(Letter(x), Letter(y)), Pair(first, second)), ("=",)) if (x, y) == unknowns:
                for coordinate in (first, second):
                    value = reader.value(coordinate)
                    if not set(value.terms) <= {reader.one}:
                        raise Beyond
                    found += [value.terms.get(reader.one, "0"), value.d]
            case _:
                return ""
    return f"points({', '.join(found)})"


def _met(reader: ManyReader, node: Display) -> str:
    """Code for the points that two equations have in common."""
    if not isinstance(node, Joined) or node.word != "and" or len(node.parts) != 2:
        raise Beyond
    equations = [reader.difference(part.inner if isinstance(part, Bracket) else part) for part in node.parts]
    for first, second in (equations, equations[::-1]):
        for at in (1, 0):
            rest = _given(first, at)
            if rest is not None and len(rest) <= 2:
                return _put_in(first, second, at, rest)
    raise Beyond


def _given(equation: Codes, at: int) -> list[str] | None:
    """The coefficients, constant first, of what an equation says beside its unknown `at`, whose factor is a number."""
    unit = tuple(int(place == at) for place in (0, 1))
    if unit not in equation or any(m[at] and m != unit for m in equation):
        return None
    highest = max((m[1 - at] for m in equation), default=0)
    return [equation.get(_monomial(power, 1 - at), "0") for power in range(highest + 1)]


def _monomial(power: int, at: int) -> tuple[int, int]:
    return (power, 0) if at == 0 else (0, power)


def _put_in(first: Codes, second: Codes, at: int, rest: Sequence[str]) -> str:
    """Code for the points where the unknown `at` is -rest/factor, put into the second equation."""
    factor = first[_monomial(1, at)]
    value = [minus(code) for code in rest]
    highest = max((m[at] for m in second), default=0)
    total = ["0"] * 3
    for monomial, code in second.items():
        term = [code]
        for _ in range(monomial[at]):
            term = _product(term, value)
        for _ in range(highest - monomial[at]):
            term = [times(each, factor) for each in term]
        for power, each in enumerate(term, start=monomial[1 - at]):
            if each == "0":
                continue
            if power > 2:
                raise Beyond
            total[power] = plus(total[power], each)
    c, b, a = total
    u, v = (*value, "0")[:2]
    return f"met({a}, {b}, {c}, {u}, {v}, {factor}, {at})"


def _product(first: Sequence[str], second: Sequence[str]) -> list[str]:
    total = ["0"] * (len(first) + len(second) - 1)
    for i, a in enumerate(first):
        for j, b in enumerate(second):
            total[i + j] = plus(total[i + j], times(a, b))
    return total
