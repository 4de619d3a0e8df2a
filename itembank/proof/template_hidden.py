"""An equation with parameters whose one unknown stands under a root or in an exponent, solved once for all items.

The root, or the power, is a letter u; the equation's factors in u, with the parameters as symbols, give its values.
Each must be known to be possible or impossible from what is known of the parameters, else there is no answer here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

import sympy

from itembank.errors import DomainError
from itembank.expressions import hidden, numbers, tree
from itembank.expressions.symbolic import to_sympy
from itembank.expressions.tree import Node
from itembank.proof.symbolic_numbers import CannotTell
from itembank.proof.template_algebra import Expression, Names, alternatives, light

__all__ = ["Cover", "cover_of", "let_of", "opened", "possible", "uncovered", "values_of"]

_ROOTS = frozenset({"sqrt", "surd", "root"})
_U = sympy.Dummy("u", real=True)


@dataclass(frozen=True, slots=True)
class Cover:
    """What hides an unknown: a root of an index of a linear expression, or (index 0) a power of a base."""

    inside: Node
    index: int


def cover_of(node: Node, unknown: str) -> Cover | None:
    """The only root or power that hides an unknown in a tree; None where none does. Raises CannotTell for several."""
    found = set(_covers(node, unknown))
    if len(found) > 1:
        raise CannotTell("the unknown is hidden in several ways")
    return found.pop() if found else None


def _covers(node: Node, unknown: str) -> Iterator[Cover]:
    for part in tree.walk(node):
        match part:
            case tree.Call("sqrt" | "surd", (inside,)) if unknown in tree.names(inside):
                yield Cover(inside, 2)
            case tree.Call("root", (inside, tree.Number(index))) if unknown in tree.names(inside):
                yield Cover(inside, int(index))
            case tree.Power(base, exponent) if unknown in tree.names(exponent):
                yield Cover(_smallest(base)[0], 0)


def _smallest(base: Node) -> tuple[Node, int]:
    """A base as a power of the smallest number it is one of, and the exponent: 2 and 3 of 8."""
    if not isinstance(base, tree.Number) or base.value.denominator != 1 or base.value < 2:
        return base, 1
    root, times = hidden.perfect_power(base.value.numerator)
    return tree.Number(Fraction(root)), times


def values_of(names: Names, node: Node, unknown: str, cover: Cover) -> tuple[list[Expression], Expression]:
    """The values that the hidden letter has by an equation, false ones too, and what must not be 0 for that.

    Raises CannotTell where the equation has no factors of degree 1 in it.
    """
    found: list[Expression] = []
    leading: Expression = sympy.S.One
    for equation in _equations(names, node, unknown, cover):
        if names.symbols[unknown] in equation.free_symbols:
            raise CannotTell(f"{unknown} stands in an exponent and elsewhere")
        number, factors = sympy.factor_list(light(equation))
        leading *= number
        for factor, _ in factors:
            polynomial = sympy.Poly(factor, _U, domain=sympy.EX)
            if polynomial.degree() > 1:
                raise CannotTell("what hides the unknown is not told by factors of degree 1")
            leading *= polynomial.LC()
            if polynomial.degree() == 1:
                found.append(sympy.cancel(-polynomial.coeff_monomial(1) / polynomial.LC()))
    return list(dict.fromkeys(found)), leading


def _equations(names: Names, node: Node, unknown: str, cover: Cover) -> list[Expression]:
    """The numerators of the equation's alternatives as polynomials in the hidden letter."""
    uncovered: dict[str, Expression] = {}

    def put(part: Node) -> Node | None:
        if isinstance(part, tree.Call) and part.function in _ROOTS and unknown in tree.names(part):
            name, value = "_u", _U
        elif isinstance(part, tree.Power) and unknown in tree.names(part.exponent):
            name, value = f"_u{len(uncovered)}", _raised(names, part, unknown)
        elif isinstance(part, tree.Power) and _is_plain(part) and tree.names(part.exponent):
            name, value = f"_u{len(uncovered)}", _with_a_parameter(names, part)
        else:
            return None
        uncovered[name] = value
        names.symbols[name] = value
        return tree.Name(name)

    try:
        systems = alternatives(names, tree.transform(node, put))
    finally:
        for name in uncovered:
            del names.symbols[name]
    found: list[Expression] = []
    for system in systems:
        if len(system) != 1:
            raise CannotTell("several equations at once")
        equation = opened(names, system[0])
        if cover.index:
            slope, rest = _linear(names.read(cover.inside), names.symbols[unknown])
            equation = equation.subs(names.symbols[unknown], (_U**cover.index - rest) / slope)
        above, below = sympy.fraction(sympy.together(light(sympy.expand(equation))))
        if _U in below.free_symbols and cover.index:
            raise CannotTell("something is divided by a root")
        found.append(sympy.expand(above))
    return found


def _with_a_parameter(names: Names, power: tree.Power) -> Expression:
    """A power whose exponent varies; 0^n has no value for some n, and nothing is told for all of them."""
    try:
        return to_sympy(power, names.symbols)
    except DomainError as undefined:
        raise CannotTell(str(undefined)) from undefined


def _raised(names: Names, part: tree.Power, unknown: str) -> Expression:
    """base^(m*x + n) as u^m * base^n."""
    base, times = _smallest(part.base)
    slope, rest = _linear(times * names.read(part.exponent), names.symbols[unknown])
    if not slope.is_Integer:
        raise CannotTell("an exponent that is not m*x + n with a whole number m")
    return _U**slope * names.read(base) ** rest


def opened(names: Names, expression: Expression) -> Expression:
    """The expression with powers and their products for derived values that stand for them."""
    for symbol, node in reversed(names.opaque.items()):
        if symbol in expression.free_symbols and _is_plain(node):
            expression = expression.subs(symbol, to_sympy(node, names.symbols))
    return expression


def _is_plain(node: Node) -> bool:
    """Whether a tree is a product of names, numbers and powers of one to another, so that nothing grows in it."""
    match node:
        case tree.Name() | tree.Number():
            return True
        case tree.Product(factors):
            return all(map(_is_plain, factors))
        case tree.Power(tree.Name() | tree.Number(), exponent):
            return _is_plain(exponent) and not isinstance(exponent, tree.Power)
        case _:
            return False


def _linear(expression: Expression, symbol: Expression) -> tuple[Expression, Expression]:
    polynomial = sympy.Poly(expression, symbol)
    if polynomial.degree() != 1 or not polynomial.LC().is_nonzero:
        raise CannotTell("what hides the unknown is not linear in it")
    return polynomial.LC(), polynomial.coeff_monomial(1)


def possible(values: list[Expression], cover: Cover) -> list[Expression]:
    """Those of some values that a root or a power can have. Raises CannotTell where that is not known with symbols."""
    found: list[Expression] = []
    for value in values:
        can_be = True if cover.index % 2 else value.is_nonnegative if cover.index else value.is_positive
        if can_be is None:
            raise CannotTell(
                f"whether {value} can be the value of what hides the unknown is not known with symbols"
            )
        if can_be:
            found.append(value)
    return found


def let_of(node: Node, unknown: str) -> tuple[str, Cover] | None:
    """A letter and what it stands for, where a line names a root or a power so: u = sqrt(x + 1), u = 2^x."""
    match node:
        case tree.Relation((tree.Name(letter), tree.Call() as root), ("=",)):
            covers = list(_covers(root, unknown))
            return (letter, covers[0]) if len(covers) == 1 else None
        case tree.Relation((tree.Name(letter), tree.Power(base, tree.Name(name))), ("=",)) if name == unknown:
            return (letter, Cover(base, 0)) if _smallest(base)[1] == 1 else None
        case _:
            return None


def uncovered(names: Names, value: Expression, unknown: str, cover: Cover) -> Expression:
    """The unknown at a value of what hides it. Raises CannotTell where it is not told with symbols."""
    if cover.index:
        slope, rest = _linear(names.read(cover.inside), names.symbols[unknown])
        return sympy.expand((value**cover.index - rest) / slope)
    base = names.read(cover.inside)
    least = [base] if base.is_Integer else names.values.get(str(base), ()) or [0]
    if any(each < 2 for each in least):
        raise CannotTell("the base of a power may be below 2")
    if value == 1:
        return sympy.S.Zero
    if base.is_Integer and value.is_Rational:
        try:
            exponent = hidden.logarithm(numbers.whole(Fraction(int(value.p), int(value.q))), int(base))
        except DomainError as refused:
            raise CannotTell(str(refused)) from refused
        assert exponent is not None
        return sympy.Rational(exponent.numerator, exponent.denominator)
    factors = [each.as_base_exp() for each in sympy.Mul.make_args(sympy.powsimp(value))]
    if any(each != base for each, _ in factors):
        raise CannotTell("an exponent is not told with symbols")
    return sympy.Add(*(exponent for _, exponent in factors))
