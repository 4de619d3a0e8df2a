"""What expressions are worth by other code than the package's: sympy for roots, python-flint for rationals.

A *meaning* is a number (a sympy object), or ("relation", signs, numbers), ("point", a, b), ("and" | "or",
meanings), ("none",): what two readings of the same mathematics must have in common.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any, TypeAlias

import sympy
from flint import fmpq, fmpz

from itembank.expressions import tree as trees
from itembank.expressions.numbers import Exact, Surd

Meaning: TypeAlias = Any
Letters: TypeAlias = Mapping[str, Fraction]


class Undefined(Exception):
    """The oracle finds no real value."""


def as_sympy(number: Exact) -> Any:
    """An exact number of the package as sympy writes it."""
    if isinstance(number, Surd):
        return sympy.Add(
            *(sympy.Rational(c.numerator, c.denominator) * sympy.sqrt(r) for r, c in number.terms)
        )
    value = Fraction(number)
    return sympy.Rational(value.numerator, value.denominator)


def is_same(first: Any, second: Any) -> bool:
    """Whether two sympy numbers are equal: by expansion and rationalised denominators, else by proof."""
    difference = sympy.expand(sympy.radsimp(sympy.sqrtdenest(first - second)))
    return bool(difference == 0 or difference.equals(0) is True)


def have_same_meaning(first: Meaning, second: Meaning) -> bool:
    """Whether two meanings agree part by part."""
    if not isinstance(first, tuple) or not isinstance(second, tuple):
        return not isinstance(first, tuple) and not isinstance(second, tuple) and is_same(first, second)
    if first[0] != second[0] or len(first) != len(second):
        return False
    if first[0] == "relation":
        return first[1] == second[1] and _all_same(first[2], second[2])
    if first[0] == "point":
        return _all_same(first[1:], second[1:])
    return first[0] == "none" or _all_same(first[1], second[1])


def _all_same(first: tuple[Meaning, ...], second: tuple[Meaning, ...]) -> bool:
    return len(first) == len(second) and all(map(have_same_meaning, first, second))


# meanings of what the readers of displayed mathematics give


def meaning_of_reading(node: tuple[Any, ...], letters: Letters, sign: int) -> Meaning:
    """The meaning of a reader's tree; `sign` is how ± is read."""

    def read(part: Any) -> Meaning:
        return meaning_of_reading(part, letters, sign)

    match node:
        case ("number", text):
            return sympy.Rational(text)
        case ("letter", name):
            return sympy.Rational(letters[name].numerator, letters[name].denominator)
        case ("sum", terms):
            signs = {"+": 1, "-": -1, "±": sign}
            return sympy.Add(*(signs[s] * read(part) for s, part in terms))
        case ("times", parts):
            return sympy.Mul(*(read(part) for part in parts))
        case ("over", above, below):
            return _divided(read(above), read(below))
        case ("power", base, exponent):
            return _raised(read(base), read(exponent))
        case ("root", radicand, index):
            return _rooted(read(radicand), sympy.Integer(index))
        case ("abs", inner):
            return sympy.Abs(read(inner))
        case ("call", name, arguments):
            return _called(name, [read(argument) for argument in arguments])
        case ("relation", signs, parts):
            return _chained(signs, [read(part) for part in parts])
        case ("point", first, second):
            return ("point", read(first), read(second))
        case ("and" | "or" as word, parts):
            return _joined(word, [read(part) for part in parts])
        case ("none",):
            return node
        case _:
            raise AssertionError(f"no meaning for {node}")


# meanings of the package's trees, by sympy


def meaning_of_tree(node: trees.Node, values: Letters, sign: int = 1) -> Meaning:
    """The meaning of a parsed tree; `sign` is how ± is read. Raises Undefined."""

    def read(part: trees.Node) -> Meaning:
        return meaning_of_tree(part, values, sign)

    match node:
        case trees.Number(value):
            return sympy.Rational(value.numerator, value.denominator)
        case trees.Name(name):
            return sympy.Rational(values[name].numerator, values[name].denominator)
        case trees.Negation(operand):
            return -read(operand)
        case trees.PlusMinus(operand):
            return sign * read(operand)
        case trees.Sum(first, rest):
            signs = {"+": 1, "-": -1, "±": sign}
            return sympy.Add(read(first), *(signs[s] * read(term) for s, term in rest))
        case trees.Product(factors):
            return sympy.Mul(*(read(factor) for factor in factors))
        case trees.Quotient(above, below):
            return _divided(read(above), read(below))
        case trees.Power(base, exponent):
            return _raised(read(base), read(exponent))
        case trees.Call("keep" | "value" | "expand" | "factor", (inner,)):
            return read(inner)
        case trees.Call("sqrt" | "surd", (inner,)):
            return _rooted(read(inner), sympy.Integer(2))
        case trees.Call("root", (inner, index)):
            return _rooted(read(inner), read(index))
        case trees.Call(name, arguments):
            return _called(name, [read(argument) for argument in arguments])
        case trees.Relation(operands, operators):
            return _chained(operators, [read(operand) for operand in operands])
        case trees.Point(first, second):
            return ("point", read(first), read(second))
        case trees.And(parts):
            return _joined("and", [read(part) for part in parts])
        case trees.Or(parts):
            return _joined("or", [read(part) for part in parts])
        case _:
            raise AssertionError(f"no meaning for {node}")


def _chained(signs: tuple[str, ...], values: list[Any]) -> Meaning:
    """One relation, or the pairs of a chain."""
    pairs = tuple(
        ("relation", (sign,), (first, second))
        for sign, first, second in zip(signs, values, values[1:], strict=False)
    )
    return pairs[0] if len(pairs) == 1 else ("and", pairs)


def _joined(word: str, parts: list[Meaning]) -> Meaning:
    """Statements joined by a word; those joined by the same word within them stand in line."""
    flat: list[Meaning] = []
    for part in parts:
        flat.extend(part[1] if part[0] == word else (part,))
    return (word, tuple(flat))


def _divided(above: Any, below: Any) -> Any:
    if is_same(below, sympy.S.Zero):
        raise Undefined
    return above / below


def _raised(base: Any, exponent: Any) -> Any:
    if exponent.is_Rational and not exponent.is_Integer:
        return _raised(_rooted(base, sympy.Integer(exponent.q)), sympy.Integer(exponent.p))
    if not exponent.is_Integer or abs(exponent) > 64:
        raise Undefined
    if exponent <= 0 and is_same(base, sympy.S.Zero):
        raise Undefined
    return base**exponent


def _rooted(radicand: Any, index: Any) -> Any:
    radicand = sympy.radsimp(sympy.expand(radicand))
    if not index.is_Integer or not 2 <= index <= 12 or (radicand.is_negative and index % 2 == 0):
        raise Undefined
    root = -sympy.root(-radicand, index) if radicand.is_negative else sympy.root(radicand, index)
    return sympy.sqrtdenest(root)


def _called(name: str, values: list[Any]) -> Any:
    if name in {"gcd", "lcm"} and not all(value.is_Integer for value in values):
        raise Undefined
    match name:
        case "gcd":
            return sympy.Integer(sympy.igcd(*values))
        case "lcm":
            return sympy.Integer(sympy.ilcm(*values))
        case "abs":
            return sympy.Abs(values[0])
        case "min":
            return sympy.Min(*values)
        case "max":
            return sympy.Max(*values)
        case "mod" if values[1] != 0:
            return values[0] - values[1] * sympy.floor(values[0] / values[1])
        case "round":
            scale = sympy.Integer(10) ** (values[1] if len(values) > 1 else 0)
            return sympy.sign(values[0]) * sympy.floor(abs(values[0]) * scale + sympy.Rational(1, 2)) / scale
        case "numerator":
            return sympy.fraction(values[0])[0]
        case "denominator":
            return sympy.fraction(values[0])[1]
        case _:
            raise Undefined


# rational trees, by python-flint


def flint_value(node: trees.Node, values: Letters) -> fmpq:
    """The value of a rational tree. Raises Undefined."""

    def read(part: trees.Node) -> fmpq:
        return flint_value(part, values)

    match node:
        case trees.Number(value):
            return fmpq(value.numerator, value.denominator)
        case trees.Name(name):
            return fmpq(values[name].numerator, values[name].denominator)
        case trees.Negation(operand):
            return -read(operand)
        case trees.Sum(first, rest):
            total = read(first)
            for operator, term in rest:
                total = total + read(term) if operator == "+" else total - read(term)
            return total
        case trees.Product(factors):
            product = fmpq(1)
            for factor in factors:
                product *= read(factor)
            return product
        case trees.Quotient(above, below):
            divisor = read(below)
            if divisor == 0:
                raise Undefined
            return read(above) / divisor
        case trees.Power(base, exponent):
            power = read(exponent)
            if power.q != 1 or abs(power.p) > 64 or (power.p <= 0 and read(base) == 0):
                raise Undefined
            return read(base) ** int(power.p)
        case trees.Call(name, arguments):
            return _flint_call(name, [read(argument) for argument in arguments])
        case _:
            raise AssertionError(f"no rational value for {node}")


def _flint_call(name: str, values: list[fmpq]) -> fmpq:
    match name:
        case "keep" | "value" | "expand" | "factor":
            return values[0]
        case "abs":
            return abs(values[0])
        case "min":
            return min(values)
        case "max":
            return max(values)
        case "gcd" | "lcm":
            return _folded(name, values)
        case "mod" if values[1] != 0:
            return values[0] - values[1] * (values[0] / values[1]).floor()
        case "numerator":
            return fmpq(values[0].p)
        case "denominator":
            return fmpq(values[0].q)
        case "round":
            places = int(values[1].p) if len(values) > 1 else 0
            scaled = (abs(values[0]) * 10**places + fmpq(1, 2)).floor()
            return fmpq(scaled if values[0] >= 0 else -scaled, 10**places)
        case _:
            raise Undefined


def _folded(name: str, values: list[fmpq]) -> fmpq:
    if any(value.q != 1 for value in values):
        raise Undefined
    result = fmpz(values[0].p)
    for value in values[1:]:
        result = result.gcd(value.p) if name == "gcd" else result.lcm(value.p)
    return fmpq(abs(result))


def as_flint(number: int | Fraction) -> fmpq:
    """A rational number of the package as flint writes it."""
    value = Fraction(number)
    return fmpq(value.numerator, value.denominator)
