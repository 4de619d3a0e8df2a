"""Identities and systems as whole-number code: coefficients compared, unknowns eliminated one linear step at a time.

The statement's two sides are multiplied out into monomials of all letters, coefficients being code in the shape's
holes. What stands before each monomial of the identity's letters must be 0; an equation that is linear in one
unknown alone gives it, and it is put into the others. Other systems are left to the slow road.
"""

from __future__ import annotations

from functools import cache

from itembank.expressions.display import Shape
from itembank.proof.quick_code import Beyond, Reader, compiled, minus, plus, times
from itembank.proof.quick_many import Codes, ManyReader, Monomial


@cache
def quick_identity(shape: Shape, unknowns: tuple[str, ...], for_every: tuple[str, ...]) -> Reader | None:
    """A function from the numbers in a shape's holes to the identity of its solution point; None if there is none."""
    reader = ManyReader((*unknowns, *for_every))
    try:
        terms = reader.difference(shape.display)
        lines, names, checks = _eliminated(terms, len(unknowns))
    except Beyond:
        return None
    return compiled(reader.guards, lines, checks, f"({''.join(f'reduced({n}, {d}), ' for n, d in names)})")


@cache
def quick_truth(shape: Shape, letters: tuple[str, ...]) -> Reader | None:
    """A function that says whether an equation holds for every value of its letters."""
    reader = ManyReader(letters)
    try:
        terms = reader.difference(shape.display)
    except Beyond:
        return None
    condition = " and ".join(f"{code} == 0" for code in terms.values()) or "True"
    return compiled(reader.guards, [], [], condition)


def _eliminated(terms: Codes, unknowns: int) -> tuple[list[str], list[tuple[str, str]], list[str]]:
    """Lines of code, (numerator, denominator) of each unknown, and codes that must be 0."""
    grouped: dict[Monomial, Codes] = {}
    for monomial, code in terms.items():
        grouped.setdefault(monomial[unknowns:], {})[monomial[:unknowns]] = code
    equations = list(grouped.values())
    found: dict[int, tuple[str, str]] = {}
    lines: list[str] = []
    one = (0,) * unknowns
    while len(found) < unknowns:
        step = next(
            ((i, at) for i, e in enumerate(equations) if (at := _linear_in(e, one)) is not None), None
        )
        if step is None:
            raise Beyond
        index, at = step
        equation = equations.pop(index)
        unit = tuple(int(i == at) for i in range(unknowns))
        name = f"u{at}"
        lines += [
            f"if {equation[unit]} == 0: return None",
            f"{name} = {minus(equation.get(one, '0'))}",
            f"{name}d = {equation[unit]}",
        ]
        found[at] = (name, f"{name}d")
        equations = [_put_in(e, at, name) for e in equations]
    checks = [code for e in equations for m, code in e.items() if m == one]
    if any(m != one for e in equations for m in e):
        raise Beyond
    return lines, [found[i] for i in range(unknowns)], checks


def _linear_in(equation: Codes, one: Monomial) -> int | None:
    """The one unknown an equation is linear in, nothing else occurring."""
    others = [m for m in equation if m != one]
    if len(others) != 1 or sum(others[0]) != 1:
        return None
    return others[0].index(1)


def _put_in(equation: Codes, at: int, name: str) -> Codes:
    """The equation with an unknown replaced by name / named, multiplied through by the highest power of named."""
    highest = max((m[at] for m in equation), default=0)
    total: Codes = {}
    for monomial, code in equation.items():
        power = monomial[at]
        for _ in range(power):
            code = times(code, name)
        for _ in range(highest - power):
            code = times(code, f"{name}d")
        left = (*monomial[:at], 0, *monomial[at + 1 :])
        total[left] = plus(total.get(left, "0"), code)
    return {m: c for m, c in total.items() if c != "0"}
