"""The meaning of a shape as whole-number code: read off the displayed tree, worked out once, run for each item.

An expression is read as (U + V*sqrt(R)) / d with U, V polynomials in one letter whose coefficients are code in the
shape's holes; a ± makes the radical carry both signs, and then U^2 - V^2*R = 0 holds exactly the solutions of
both readings. What is outside this (several radicals, other letters) gives None, and the slow road is taken.

This shares no code with the integer reading of the search, on purpose.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, TypeAlias

from itembank.expressions.display import (
    Applied,
    Bracket,
    Compared,
    Display,
    Factors,
    Filling,
    Joined,
    Letter,
    Nothing,
    Numeral,
    Over,
    Raised,
    Root,
    Shape,
    Terms,
)
from itembank.proof.quick_code import Beyond, Reader, compiled, expression_identity, plus, times
from itembank.proof.quick_many import ManyReader

Poly: TypeAlias = tuple[str, ...]
"""Code of the coefficients, constant first, trailing zeros gone; () is 0."""


@dataclass(frozen=True, slots=True)
class _Value:
    """(u + v*sqrt(r)) / d; `both`: the radical carries ±."""

    u: Poly
    v: Poly = ()
    r: str = "1"
    d: str = "1"
    both: bool = False


def _trim(poly: Sequence[str]) -> Poly:
    kept = list(poly)
    while kept and kept[-1] == "0":
        kept.pop()
    return tuple(kept)


def _sum(first: Poly, second: Poly) -> Poly:
    size = max(len(first), len(second))
    padded = [(p[i] if i < len(p) else "0") for i in range(size) for p in (first, second)]
    return _trim([plus(padded[2 * i], padded[2 * i + 1]) for i in range(size)])


def _scale(poly: Poly, factor: str) -> Poly:
    return _trim([times(coefficient, factor) for coefficient in poly])


def _product(first: Poly, second: Poly) -> Poly:
    if not first or not second:
        return ()
    total = ["0"] * (len(first) + len(second) - 1)
    for i, a in enumerate(first):
        for j, b in enumerate(second):
            total[i + j] = plus(total[i + j], times(a, b))
    if len(total) > 7:
        raise Beyond
    return _trim(total)


class _Compiler:
    def __init__(self, letter: str, main_letter: str) -> None:
        self.letter = letter
        self.main_letter = main_letter
        self.guards: list[str] = []

    def value(self, node: Display) -> _Value:
        match node:
            case Numeral(hole, text):
                if hole < 0 and not text.isdigit():
                    raise Beyond
                code = text.lstrip("0") or "0" if hole < 0 else f"n[{hole}]"
                return _Value(() if code == "0" else (code,))
            case Letter(name):
                if name != self.letter:
                    raise Beyond
                return _Value(("0", "1"))
            case Terms(terms):
                return self._terms(terms)
            case Factors(factors):
                product = _Value(("1",))
                for factor in factors:
                    product = self._multiplied(product, self.value(factor))
                return product
            case Over(numerator, denominator):
                return self._quotient(self.value(numerator), self.value(denominator))
            case Raised(base, Numeral(-1, text)) if text in {"2", "3", "4"}:
                inner = self.value(base)
                result = inner
                for _ in range(int(text) - 1):
                    result = self._multiplied(result, inner)
                return result
            case Root(radicand, ""):
                return self._root(self.value(radicand))
            case Bracket(inner):
                return self.value(inner)
            case Applied("discriminant", (argument,)):
                return self._discriminant(argument)
            case _:
                raise Beyond

    def _terms(self, terms: tuple[tuple[str, Display], ...]) -> _Value:
        total = _Value(())
        for sign, term in terms:
            value = self.value(term)
            if sign == "±":
                value = self._either(value)
            elif sign == "-":
                value = _Value(_scale(value.u, "(-1)"), _scale(value.v, "(-1)"), value.r, value.d, value.both)
            total = self._added(total, value)
        return total

    def _either(self, value: _Value) -> _Value:
        if value.both:
            raise Beyond
        if not value.v:
            return _Value((), value.u, "1", value.d, True)
        if value.u:
            raise Beyond
        return _Value((), value.v, value.r, value.d, True)

    def _added(self, first: _Value, second: _Value) -> _Value:
        if first.v and second.v and (first.r != second.r or first.both or second.both):
            raise Beyond
        r = first.r if first.v else second.r
        both = first.both or second.both
        if first.d == second.d:
            return _Value(_sum(first.u, second.u), _sum(first.v, second.v), r, first.d, both)
        u = _sum(_scale(first.u, second.d), _scale(second.u, first.d))
        v = _sum(_scale(first.v, second.d), _scale(second.v, first.d))
        return _Value(u, v, r, times(first.d, second.d), both)

    def _multiplied(self, first: _Value, second: _Value) -> _Value:
        d = times(first.d, second.d)
        if not second.v:
            return _Value(_product(first.u, second.u), _product(first.v, second.u), first.r, d, first.both)
        if not first.v:
            return _Value(_product(first.u, second.u), _product(first.u, second.v), second.r, d, second.both)
        if first.both or second.both:
            raise Beyond
        if first.r == second.r:
            square = _scale(_product(first.v, second.v), first.r)
            u = _sum(_product(first.u, second.u), square)
            return _Value(u, _sum(_product(first.u, second.v), _product(first.v, second.u)), first.r, d)
        if first.u or second.u:
            raise Beyond
        return _Value((), _product(first.v, second.v), times(first.r, second.r), d)

    def _quotient(self, above: _Value, below: _Value) -> _Value:
        if below.v or len(below.u) != 1:
            raise Beyond
        self.guards.append(f"{below.u[0]} == 0")
        d = times(above.d, below.u[0])
        return _Value(_scale(above.u, below.d), _scale(above.v, below.d), above.r, d, above.both)

    def _root(self, inside: _Value) -> _Value:
        if inside.v or len(inside.u) > 1:
            raise Beyond
        if not inside.u:
            return _Value(())
        radicand = times(inside.u[0], inside.d)
        self.guards += [
            f"{radicand} < 0",
            f"{inside.d} < 0",
        ]  # a denominator below 0 would turn the root's sign
        return _Value((), ("1",), radicand, inside.d)

    def _discriminant(self, argument: Display) -> _Value:
        main = _letter_of_discriminant(argument, self.main_letter)
        letters = (self.letter,) if self.letter and self.letter != main else ()
        reader = ManyReader(letters, main)
        value = reader.value(Applied("discriminant", (argument,)))
        self.guards.extend(reader.guards)
        highest = max((monomial[0] if monomial else 0 for monomial in value.terms), default=0)
        codes = ["0"] * (highest + 1)
        for monomial, code in value.terms.items():
            codes[monomial[0] if monomial else 0] = code
        return _Value(_trim(codes), (), "1", value.d)

    def difference(self, relation: Compared) -> _Value:
        if relation.signs != ("=",):
            raise Beyond
        left, right = (self.value(operand) for operand in relation.operands)
        negative = _Value(_scale(right.u, "(-1)"), _scale(right.v, "(-1)"), right.r, right.d, right.both)
        return self._added(left, negative)

    def statement(self, node: Display) -> Poly:
        """A polynomial whose roots are the statement's solutions."""
        match node:
            case Bracket(inner):
                return self.statement(inner)
            case Compared():
                value = self.difference(node)
                if not value.v:
                    return value.u
                if not value.both:
                    raise Beyond
                square = _scale(_product(value.v, value.v), value.r)
                return _sum(_product(value.u, value.u), _scale(square, "(-1)"))
            case Joined("or", statements):
                product: Poly = ("1",)
                for part in statements:
                    product = _product(product, self.statement(part))
                return product
            case _:
                raise Beyond


def _letter_of_discriminant(node: Display, main_letter: str) -> str:
    """The only letter of its argument, else the main one."""
    from itembank.proof.meaning import letters

    found = letters(node)
    if len(found) == 1:
        return next(iter(found))
    if main_letter not in found:
        raise Beyond
    return main_letter


@cache
def quick_roots(shape: Shape, letter: str, main_letter: str) -> Reader | None:
    """A function from the numbers in a shape's holes to the identity of its solution set; None if there is none.

    The function itself gives None where the slow road must look (a root of a negative number, degree 0).
    """
    if isinstance(shape.display, Nothing):
        return lambda numbers: ()
    compiler = _Compiler(letter, main_letter)
    try:
        poly = compiler.statement(shape.display)
    except Beyond:
        return None
    if not 2 <= len(poly) <= 3:
        return None
    c, b, a = (*poly, *("0",) * (3 - len(poly)))
    return compiled(compiler.guards, [], [], f"roots({a}, {b}, {c})")


@cache
def quick_proportions(shape: Shape, letter: str, main_letter: str) -> Reader | None:
    """The same for a single quadratic equation: its coefficients in lowest terms, equal for its multiples.

    The function gives None where the slow road must look, and where the square vanishes.
    """
    node = shape.display
    if not isinstance(node, Compared) or node.signs != ("=",):
        return None
    compiler = _Compiler(letter, main_letter)
    try:
        value = compiler.difference(node)
    except Beyond:
        return None
    if value.v or len(value.u) != 3:
        return None
    c, b, a = value.u
    return compiled(compiler.guards, [], [], f"proportions({a}, {b}, {c})")


@cache
def quick_point(shape: Shape, unknowns: tuple[str, ...], main_letter: str) -> Reader | None:
    """The same for `u = number and v = number ...`: the coordinates as reduced fractions."""
    node = shape.display
    if not isinstance(node, Joined) or node.word != "and" or len(node.parts) != len(unknowns):
        return None
    codes: dict[str, str] = {}
    guards: list[str] = []
    for part in node.parts:
        if not isinstance(part, Compared) or part.signs != ("=",) or not isinstance(part.operands[0], Letter):
            return None
        compiler = _Compiler("", main_letter)
        try:
            value = compiler.value(part.operands[1])
        except Beyond:
            return None
        if value.v or len(value.u) > 1:
            return None
        codes[part.operands[0].name] = f"reduced({value.u[0] if value.u else '0'}, {value.d})"
        guards.extend(compiler.guards)
    if set(codes) != set(unknowns):
        return None
    return compiled(guards, [], [], f"({''.join(codes[name] + ', ' for name in unknowns)})")


@cache
def quick_value(shape: Shape, main_letter: str) -> Reader | None:
    """The same for an expression without letters: ("number", u, sign of v, v^2*r)."""
    compiler = _Compiler("", main_letter)
    try:
        value = compiler.value(shape.display)
    except Beyond:
        return None
    if value.both or len(value.u) > 1 or len(value.v) > 1:
        return None
    u = value.u[0] if value.u else "0"
    v = value.v[0] if value.v else "0"
    return compiled(compiler.guards, [], [], f"number({u}, {v}, {value.r}, {value.d})")


@cache
def quick_powers(shape: Shape, letter: str) -> Reader | None:
    """The same for an expression in one letter: its whole coefficients, constant first, and what divides them."""
    compiler = _Compiler(letter, "")
    try:
        value = compiler.value(shape.display)
    except Beyond:
        return None
    if value.v:
        return None
    return compiled(compiler.guards, [], [], f"(({''.join(code + ', ' for code in value.u)}), {value.d})")


@cache
def quick_expression(shape: Shape, letter: str) -> Reader | None:
    """The same for an expression in one letter: ("expression", letter, coefficients from the constant, d)."""
    parts = quick_powers(shape, letter)
    if parts is None:
        return None

    def read(numbers: tuple[Filling, ...]) -> Any:
        found = parts(numbers)
        return None if found is None else expression_identity(letter, *found)

    return read


@cache
def quick_coefficients(shape: Shape, letter: str) -> Reader | None:
    """The same for the coefficients of an equation or expression: whole a, b, c, d of (a t^2 + b t + c)/d."""
    compiler = _Compiler(letter, "")
    try:
        node = shape.display
        value = compiler.difference(node) if isinstance(node, Compared) else compiler.value(node)
    except Beyond:
        return None
    if value.v or len(value.u) > 3:
        return None
    c, b, a = (*value.u, *("0",) * (3 - len(value.u)))
    return compiled(compiler.guards, [], [], f"({a}, {b}, {c}, {value.d})")
