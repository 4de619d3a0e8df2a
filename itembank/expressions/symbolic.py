"""The sympy reading: a tree as sympy sees it, with parameters and letters as symbols.

sympy is imported in this module only. A ± is the pair of both its readings; over a statement, that pair is
joined by `or`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeAlias

import sympy

from itembank.errors import DomainError
from itembank.expressions import tree
from itembank.expressions.tree import Node

Symbols: TypeAlias = Mapping[str, Any]
"""name -> sympy symbol (real, positive, ... as the caller knows it to be) or number."""

_RELATIONS: Mapping[str, Callable[[Any, Any], Any]] = {
    "=": sympy.Eq,
    "!=": sympy.Ne,
    "<": sympy.Lt,
    "<=": sympy.Le,
    ">": sympy.Gt,
    ">=": sympy.Ge,
}


def to_sympy(node: Node, symbols: Symbols, *, main_letter: str = "") -> Any:
    """The sympy object of a term or statement.

    symbols: a symbol or number for each name. main_letter: the letter of `discriminant` where its argument
    has several. A term with ± gives a `sympy.Tuple` of its upper and lower reading, a statement with ± both
    readings joined by `or`. Raises DomainError for a name without a symbol, a property, ≈, a division by
    zero, and for what has a value for numbers only (`gcd` of symbols).

    >>> from itembank.expressions.parser import parse
    >>> x, h = sympy.symbols("x h", real=True)
    >>> to_sympy(parse("2x = h ± 3"), {"x": x, "h": h})
    Eq(2*x, h - 3) | Eq(2*x, h + 3)
    """
    found = readings(node, symbols, main_letter=main_letter)
    if len(found) == 1:
        return found[0]
    return sympy.Or(*found) if tree.is_statement(node) else sympy.Tuple(*found)


def readings(node: Node, symbols: Symbols, *, main_letter: str = "") -> tuple[Any, ...]:
    """The sympy objects of all readings of a tree: one, or the upper and the lower one of a ±.

    >>> from itembank.expressions.parser import parse
    >>> readings(parse("4 ± sqrt(13)"), {})
    (sqrt(13) + 4, 4 - sqrt(13))
    """
    reader = _Reader(symbols, main_letter)
    if not tree.has_plus_minus(node):
        return (reader.read(node),)
    return tuple(reader.read(tree.with_sign(node, sign)) for sign in (1, -1))


class _Reader:
    def __init__(self, symbols: Symbols, main_letter: str) -> None:
        self.symbols = symbols
        self.main_letter = main_letter

    def read(self, node: Node) -> Any:
        match node:
            case tree.Relation(operands, operators):
                return self._relation([self.read(operand) for operand in operands], operators)
            case tree.And(parts):
                return sympy.And(*(self.read(part) for part in parts))
            case tree.Or(parts):
                return sympy.Or(*(self.read(part) for part in parts))
            case tree.Not(part):
                return sympy.Not(self.read(part))
            case tree.Point(first, second):
                return sympy.Tuple(self.read(first), self.read(second))
            case _:
                return self._term(node)

    def _relation(self, values: list[Any], operators: tuple[str, ...]) -> Any:
        if "≈" in operators:
            raise DomainError("≈ says nothing exact")
        pairs = zip(values, operators, values[1:], strict=False)
        return sympy.And(*(_related(first, operator, second) for first, operator, second in pairs))

    def _term(self, node: Node) -> Any:
        match node:
            case tree.Number(value):
                return sympy.Rational(value.numerator, value.denominator)
            case tree.Name(name):
                if name not in self.symbols:
                    raise DomainError(f"`{name}` has no symbol")
                return self.symbols[name]
            case tree.Negation(operand):
                return -self.read(operand)
            case tree.Sum(first, rest):
                terms = (self.read(term) if operator == "+" else -self.read(term) for operator, term in rest)
                return sympy.Add(self.read(first), *terms)
            case tree.Product(factors):
                return sympy.Mul(*(self.read(factor) for factor in factors))
            case tree.Quotient(numerator, denominator):
                return self.read(numerator) / _not_zero(self.read(denominator))
            case tree.Power(base, exponent):
                return _power(self.read(base), self.read(exponent))
            case tree.Call(function, arguments):
                return self._call(function, arguments)
            case _:
                raise DomainError("a statement has no numeric value")

    def _call(self, function: str, arguments: tuple[Node, ...]) -> Any:
        if function in {"keep", "value", "expand", "factor"}:
            return self.read(arguments[0])
        if function == "discriminant":
            return self._discriminant(arguments[0])
        if function not in _FUNCTIONS:
            raise DomainError(f"`{function}` has no sympy reading")
        return _FUNCTIONS[function](*(self.read(argument) for argument in arguments))

    def _discriminant(self, node: Node) -> Any:
        if isinstance(node, tree.Relation) and node.operators == ("=",):
            left, right = (self.read(operand) for operand in node.operands)
            inner = left - right
        else:
            inner = self.read(node)
        named = {name: self.symbols[name] for name in tree.names(node)}
        letters = [symbol for symbol in named.values() if symbol in inner.free_symbols]
        letter = letters[0] if len(letters) == 1 else named.get(self.main_letter)
        if letter is None:
            raise DomainError("a polynomial in several letters; it is not clear which one is meant")
        return _discriminant_of(inner, letter)


def _related(first: Any, operator: str, second: Any) -> Any:
    if isinstance(first, sympy.Tuple) and isinstance(second, sympy.Tuple) and operator == "=":
        return sympy.And(*(sympy.Eq(a, b) for a, b in zip(first, second, strict=True)))
    return _RELATIONS[operator](first, second)


def _discriminant_of(inner: Any, letter: Any) -> Any:
    try:
        polynomial = sympy.Poly(inner, letter)
    except sympy.PolynomialError:
        raise DomainError("`discriminant` takes a polynomial") from None
    if polynomial.degree() > 2:
        raise DomainError(f"the degree in {letter} is above 2")
    a, b, c = (polynomial.coeff_monomial(letter**exponent) for exponent in (2, 1, 0))
    return b**2 - 4 * a * c


def _not_zero(value: Any) -> Any:
    if value.is_zero:
        raise DomainError("division by zero")
    return value


def _power(base: Any, exponent: Any) -> Any:
    if base.is_zero and not exponent.is_positive:
        raise DomainError("0 to the power 0, or to a negative power, has no value")
    if base.is_negative and exponent.is_integer is False:
        raise DomainError("a negative number has no power whose exponent is a fraction")
    return base**exponent


def _square_root(value: Any) -> Any:
    if value.is_negative:
        raise DomainError("the square root of a negative number is not real")
    return sympy.sqrt(value)


def _root(value: Any, index: Any) -> Any:
    if not index.is_Integer or not 2 <= index <= 12:
        raise DomainError("a root has an index of 2 to 12")
    if value.is_negative and index % 2 == 0:
        raise DomainError("an even root of a negative number is not real")
    if index % 2 == 0 or value.is_nonnegative:
        return sympy.root(value, index)
    return sympy.sign(value) * sympy.root(abs(value), index)


def _whole(values: tuple[Any, ...]) -> list[Any]:
    if not all(value.is_Integer for value in values):
        raise DomainError("whole numbers are needed here")
    return list(values)


def _rational(value: Any) -> Any:
    if not value.is_Rational:
        raise DomainError("a rational number is needed here")
    return value


def _round(value: Any, places: Any = sympy.S.Zero) -> Any:
    """Half away from zero."""
    (digits,) = _whole((places,))
    if not 0 <= digits <= 12:
        raise DomainError("a number is rounded to 0 to 12 decimal places")
    scaled = sympy.floor(abs(_rational(value)) * 10**digits + sympy.Rational(1, 2))
    return sympy.sign(value) * scaled / 10**digits


def _remainder(value: Any, divisor: Any) -> Any:
    return sympy.Mod(value, _not_zero(divisor))


_FUNCTIONS: Mapping[str, Callable[..., Any]] = {
    "sqrt": _square_root,
    "surd": _square_root,
    "root": _root,
    "abs": sympy.Abs,
    "min": sympy.Min,
    "max": sympy.Max,
    "mod": _remainder,
    "round": _round,
    "gcd": lambda *values: sympy.Integer(sympy.igcd(*_whole(values))),
    "lcm": lambda *values: sympy.Integer(sympy.ilcm(*_whole(values))),
    "numerator": lambda value: sympy.numer(_rational(value)),
    "denominator": lambda value: sympy.denom(_rational(value)),
}
