"""Identities and systems as whole-number code: coefficients compared, unknowns eliminated one linear step at a time.

The statement's two sides are multiplied out into monomials of all letters, coefficients being code in the shape's
holes. What stands before each monomial of the identity's letters must be 0; an equation that is linear in one
unknown alone gives it, and it is put into the others. Other systems are left to the slow road.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import TypeAlias

from itembank.expressions.display import (
    Bracket,
    Compared,
    Display,
    Factors,
    Letter,
    Numeral,
    Over,
    Raised,
    Shape,
    Terms,
)
from itembank.proof.quick import Beyond, Reader, compiled, minus, plus, times

Monomial: TypeAlias = tuple[int, ...]
Terms_: TypeAlias = dict[Monomial, str]


@dataclass(frozen=True, slots=True)
class _Many:
    """terms / d."""

    terms: Terms_
    d: str = "1"


class _Reader:
    def __init__(self, letters: Sequence[str]) -> None:
        self.letters = tuple(letters)
        self.guards: list[str] = []
        self.one: Monomial = (0,) * len(self.letters)

    def value(self, node: Display) -> _Many:
        match node:
            case Numeral(hole, text):
                if hole < 0 and not text.isdigit():
                    raise Beyond
                code = (text.lstrip("0") or "0") if hole < 0 else f"n[{hole}]"
                return _Many({} if code == "0" else {self.one: code})
            case Letter(name):
                if name not in self.letters:
                    raise Beyond
                return _Many({tuple(int(letter == name) for letter in self.letters): "1"})
            case Terms(terms):
                total = _Many({})
                for sign, term in terms:
                    if sign == "±":
                        raise Beyond
                    value = self.value(term)
                    total = _added(total, _negative(value) if sign == "-" else value)
                return total
            case Factors(factors):
                product = _Many({self.one: "1"})
                for factor in factors:
                    product = _multiplied(product, self.value(factor))
                return product
            case Over(numerator, denominator):
                above, below = self.value(numerator), self.value(denominator)
                if set(below.terms) != {self.one}:
                    raise Beyond
                self.guards.append(f"{below.terms[self.one]} == 0")
                scaled = {m: times(c, below.d) for m, c in above.terms.items()}
                return _Many(scaled, times(above.d, below.terms[self.one]))
            case Raised(base, Numeral(-1, text)) if text in {"2", "3"}:
                inner = self.value(base)
                result = inner
                for _ in range(int(text) - 1):
                    result = _multiplied(result, inner)
                return result
            case Bracket(inner):
                return self.value(inner)
            case _:
                raise Beyond

    def difference(self, node: Display) -> Terms_:
        if not isinstance(node, Compared) or node.signs != ("=",):
            raise Beyond
        left, right = (self.value(operand) for operand in node.operands)
        return _added(left, _negative(right)).terms


def _negative(value: _Many) -> _Many:
    return _Many({m: minus(c) for m, c in value.terms.items()}, value.d)


def _added(first: _Many, second: _Many) -> _Many:
    if first.d == second.d:
        ups, downs, d = first.terms, second.terms, first.d
    else:
        ups = {m: times(c, second.d) for m, c in first.terms.items()}
        downs = {m: times(c, first.d) for m, c in second.terms.items()}
        d = times(first.d, second.d)
    total = dict(ups)
    for monomial, code in downs.items():
        total[monomial] = plus(total.get(monomial, "0"), code)
    return _Many({m: c for m, c in total.items() if c != "0"}, d)


def _multiplied(first: _Many, second: _Many) -> _Many:
    total: Terms_ = {}
    for m1, c1 in first.terms.items():
        for m2, c2 in second.terms.items():
            monomial = tuple(a + b for a, b in zip(m1, m2, strict=True))
            total[monomial] = plus(total.get(monomial, "0"), times(c1, c2))
    if len(total) > 40:
        raise Beyond
    return _Many({m: c for m, c in total.items() if c != "0"}, times(first.d, second.d))


@cache
def quick_identity(shape: Shape, unknowns: tuple[str, ...], for_every: tuple[str, ...]) -> Reader | None:
    """A function from the numbers in a shape's holes to the identity of its solution point; None if there is none."""
    reader = _Reader((*unknowns, *for_every))
    try:
        terms = reader.difference(shape.display)
        lines, names, checks = _eliminated(terms, len(unknowns))
    except Beyond:
        return None
    return compiled(reader.guards, lines, checks, f"({''.join(f'reduced({n}, {d}), ' for n, d in names)})")


@cache
def quick_truth(shape: Shape, letters: tuple[str, ...]) -> Reader | None:
    """A function that says whether an equation holds for every value of its letters."""
    reader = _Reader(letters)
    try:
        terms = reader.difference(shape.display)
    except Beyond:
        return None
    condition = " and ".join(f"{code} == 0" for code in terms.values()) or "True"
    return compiled(reader.guards, [], [], condition)


def _eliminated(terms: Terms_, unknowns: int) -> tuple[list[str], list[tuple[str, str]], list[str]]:
    """Lines of code, (numerator, denominator) of each unknown, and codes that must be 0."""
    grouped: dict[Monomial, Terms_] = {}
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


def _linear_in(equation: Terms_, one: Monomial) -> int | None:
    """The one unknown an equation is linear in, nothing else occurring."""
    others = [m for m in equation if m != one]
    if len(others) != 1 or sum(others[0]) != 1:
        return None
    return others[0].index(1)


def _put_in(equation: Terms_, at: int, name: str) -> Terms_:
    """The equation with an unknown replaced by name / named, multiplied through by the highest power of named."""
    highest = max((m[at] for m in equation), default=0)
    total: Terms_ = {}
    for monomial, code in equation.items():
        power = monomial[at]
        for _ in range(power):
            code = times(code, name)
        for _ in range(highest - power):
            code = times(code, f"{name}d")
        left = (*monomial[:at], 0, *monomial[at + 1 :])
        total[left] = plus(total.get(left, "0"), code)
    return {m: c for m, c in total.items() if c != "0"}
