"""Trees with parameters as sympy sees them: how large they may grow, what they say, when they vanish.

Nothing here waits for sympy: how many terms a tree can expand to is counted before it is expanded, and polynomials
beyond a stated size are not factorised. What is too large is a reason not to decide.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise, product
from math import comb, prod
from typing import Any, TypeAlias

import sympy
from sympy.polys.polyerrors import BasePolynomialError

from itembank.errors import DomainError
from itembank.expressions import tree
from itembank.expressions.symbolic import to_sympy
from itembank.expressions.tree import Node
from itembank.proof.symbolic_numbers import CannotTell

__all__ = [
    "STUCK",
    "Condition",
    "Expression",
    "Names",
    "alternatives",
    "light",
    "numerator",
    "simplified",
    "spelled",
    "vanishing",
    "zero",
]

Expression: TypeAlias = Any
"""A sympy expression; sympy has no types of its own."""

MOST_TERMS = 300
"""A tree that may expand to more terms is given up."""
MOST_OPERATIONS = 300
"""An expression with more operations is not brought over a common denominator."""
MOST_ALTERNATIVES = 64
HIGHEST_POWER = 12
HIGHEST_POWER_OF_NUMBERS = 100
MOST_FACTORED_TERMS = 40
HIGHEST_FACTORED_DEGREE = 10
MOST_COMBINATIONS = 3_000
"""As many choices of values are tried out to see whether a factor can be 0."""
STUCK = (CannotTell, BasePolynomialError, NotImplementedError)
"""What is raised where sympy, or this house, knows no way on."""


class Names:
    """A sympy symbol or expression for each name of a template.

    parameters: name -> its values, () where they are not known; derived: name -> its tree, each from earlier names;
    letters: the unknowns and what else stays a letter. A derived value that sympy cannot read with symbols in it is
    a symbol of its own, and `opaque` has its tree.
    """

    def __init__(
        self,
        parameters: Mapping[str, Sequence[Fraction]],
        derived: Mapping[str, Node],
        letters: Sequence[str],
        main_letter: str = "",
    ) -> None:
        self.values = {name: tuple(values) for name, values in parameters.items()}
        self.derived = frozenset(derived)
        self.letters = frozenset(letters)
        self.main_letter = main_letter
        self.symbols: dict[str, Expression] = {
            name: _parameter(name, values) for name, values in self.values.items()
        }
        self.symbols |= {letter: sympy.Symbol(letter, real=True) for letter in letters}
        self.opaque: dict[Expression, Node] = {}
        self._sizes: dict[str, int] = {}
        for name, node in derived.items():
            try:
                self.symbols[name] = sympy.expand(self.read(node))
                self._sizes[name] = self._size(node)
            except CannotTell:
                self.symbols[name] = sympy.Symbol(name, real=True)
                self.opaque[self.symbols[name]] = node

    def read(self, node: Node) -> Expression:
        """The expression of a tree. Raises CannotTell where it is too large or has no meaning with symbols."""
        if self._size(node) > MOST_TERMS:
            raise CannotTell("the expression grows too large")
        try:
            return to_sympy(node, self.symbols, main_letter=self.main_letter)
        except DomainError as refused:
            raise CannotTell(str(refused)) from refused

    def _size(self, node: Node) -> int:
        """At most so many terms stand there once everything is multiplied out."""
        match node:
            case tree.Name(name):
                return self._sizes.get(name, 1)
            case tree.Number():
                return 1
            case tree.Product(factors):
                return prod(map(self._size, factors))
            case tree.Power(base, tree.Number(exponent)) if tree.names(base):
                terms, times = self._size(base), int(exponent)
                return comb(terms + times - 1, times) if times <= HIGHEST_POWER else MOST_TERMS + 1
            case tree.Power(base, tree.Number(exponent) | tree.Negation(tree.Number(exponent))):
                grown = self._size(base) * (1 + int(exponent) // 4)
                return MOST_TERMS + 1 if exponent > HIGHEST_POWER_OF_NUMBERS else grown
            case tree.Power():
                return MOST_TERMS + 1
            case tree.Call("discriminant", (inner,)):
                return 2 * self._size(inner) ** 2
            case tree.Quotient(numerator, denominator):
                return self._size(numerator) * self._size(denominator)
            case _:
                return max(1, sum(map(self._size, tree.children(node))))


def _parameter(name: str, values: tuple[Fraction, ...]) -> Expression:
    """A real symbol, with what its values have in common."""
    known: dict[str, bool] = {"real": True}
    if values:
        known["rational"] = True
        if all(value.denominator == 1 for value in values):
            known["integer"] = True
        if all(value > 0 for value in values):
            known["positive"] = True
        elif all(value < 0 for value in values):
            known["negative"] = True
        elif 0 not in values:
            known["nonzero"] = True
    return sympy.Symbol(name, **known)


def alternatives(names: Names, node: Node) -> list[list[Expression]]:
    """A statement as alternatives, each what must be 0 together; none for `none`. Raises CannotTell."""
    if node == tree.Name("none"):
        return []
    if not tree.has_plus_minus(node):
        return _alternatives(names, node)
    return [each for sign in (1, -1) for each in _alternatives(names, tree.with_sign(node, sign))]


def _alternatives(names: Names, node: Node) -> list[list[Expression]]:
    match node:
        case tree.Or(parts):
            return [each for part in parts for each in _alternatives(names, part)]
        case tree.And(parts):
            combined: list[list[Expression]] = [[]]
            for part in parts:
                added = _alternatives(names, part)
                if len(combined) * len(added) > MOST_ALTERNATIVES:
                    raise CannotTell(f"more than {MOST_ALTERNATIVES} alternatives")
                combined = [[*before, *more] for before in combined for more in added]
            return combined
        case tree.Relation(operands, operators) if set(operators) == {"="}:
            if (both := tree.coordinates(node)) is not None:
                return _alternatives(names, tree.And(both))
            sides = [names.read(operand) for operand in operands]
            return [[left - right for left, right in pairwise(sides)]]
        case tree.Call("keep" | "expand", (inner,)):
            return _alternatives(names, inner)
        case _:
            raise CannotTell("only equations are read with symbols")


def zero(expression: Expression) -> bool:
    """Whether an expression is 0 for all values of its symbols, as far as multiplying out shows."""
    return bool(numerator(expression) == 0)


def numerator(expression: Expression) -> Expression:
    """The numerator over a common denominator, multiplied out. Raises CannotTell for a large expression."""
    return sympy.expand(sympy.fraction(sympy.together(light(sympy.expand(expression))))[0])


def simplified(expression: Expression) -> Expression:
    """The expression in lowest terms, multiplied out. Raises CannotTell for a large one."""
    return sympy.expand(sympy.cancel(light(sympy.expand(expression))))


def light(expression: Expression) -> Expression:
    """The expression, where it is small enough for what may take long. Raises CannotTell where it is not."""
    if sympy.count_ops(expression) > MOST_OPERATIONS:
        raise CannotTell("the expression grows too large")
    return expression


def spelled(expression: Expression) -> str:
    """An expression in the language's own spelling.

    >>> spelled(sympy.Symbol("h") ** 2 + 1)
    'h^2 + 1'
    """
    return str(expression).replace("**", "^").replace("Abs(", "abs(")


@dataclass(frozen=True, slots=True)
class Condition:
    """When expressions are 0 together: always, or where `cases` hold (any of them; () is never).

    dismissed: cases that none of the parameters' values reach.
    """

    always: bool = False
    cases: tuple[str, ...] = ()
    dismissed: tuple[str, ...] = ()

    def __str__(self) -> str:
        return " or ".join(self.cases)


def vanishing(names: Names, expressions: Sequence[Expression]) -> Condition:
    """When all expressions are 0, in terms of the parameters. Raises CannotTell.

    >>> h = Names({"h": (Fraction(-1), Fraction(1), Fraction(2))}, {}, ())
    >>> vanishing(h, [h.symbols["h"] ** 2 + h.symbols["h"]])
    Condition(always=False, cases=('h = -1',), dismissed=('h = 0',))
    """
    numerators = [each for each in map(numerator, expressions) if each != 0]
    if not numerators:
        return Condition(always=True)
    gens = sorted({symbol for each in numerators for symbol in each.free_symbols}, key=str)
    if not gens:
        return Condition()
    try:
        polynomials = [sympy.Poly(each, *gens, domain=sympy.QQ) for each in numerators]
    except (sympy.PolynomialError, sympy.CoercionFailed) as refused:
        raise CannotTell("roots of parameters are left over") from refused
    for each in polynomials:
        if len(each.terms()) > MOST_FACTORED_TERMS or each.total_degree() > HIGHEST_FACTORED_DEGREE:
            raise CannotTell("the condition is too large to be factorised")
    common = polynomials[0]
    for each in polynomials[1:]:
        common = common.gcd(each)
    rest = [each.quo(common) for each in polynomials]
    factors = [factor for factor, _ in common.factor_list()[1]] if not common.is_ground else []
    cases = [(_told(factor), _reached(names, [factor])) for factor in factors]
    if not any(each.is_ground for each in rest):
        cases.append((" and ".join(map(_told, rest)), _reached(names, rest)))
    return Condition(
        False,
        tuple(text for text, reached in cases if reached is not False),
        tuple(text for text, reached in cases if reached is False),
    )


def _told(polynomial: Expression) -> str:
    """polynomial = 0, without a minus sign where it can be: what is added on the left, what is taken off right."""
    symbols = polynomial.free_symbols
    if len(symbols) == 1 and polynomial.total_degree() == 1:
        (symbol,) = symbols
        return f"{symbol} = {spelled(-polynomial.coeff_monomial(1) / polynomial.coeff_monomial(symbol))}"
    left, right = sympy.S.Zero, sympy.S.Zero
    for powers, coefficient in polynomial.terms():
        term = prod(
            (gen**power for gen, power in zip(polynomial.gens, powers, strict=True)), start=abs(coefficient)
        )
        left, right = (left + term, right) if coefficient > 0 else (left, right + term)
    return f"{spelled(left)} = {spelled(right)}" if left != 0 else f"{spelled(right)} = 0"


def _reached(names: Names, polynomials: Sequence[Expression]) -> bool | None:
    """Whether some choice of the parameters' values makes all polynomials 0; None where it is not tried."""
    used = sorted({symbol for each in polynomials for symbol in each.free_symbols}, key=str)
    if len(used) == 1 and all(each.total_degree() > 1 and each.is_irreducible for each in polynomials):
        return False if used[0].is_rational is True else None
    columns = [
        [int(v) if v.denominator == 1 else v for v in names.values.get(str(symbol), ())] for symbol in used
    ]
    if not all(columns) or prod(map(len, columns)) > MOST_COMBINATIONS:
        return None
    rows = [_rows(each, used) for each in polynomials]
    return any(all(_value(row, chosen) == 0 for row in rows) for chosen in product(*columns))


def _rows(polynomial: Expression, used: Sequence[Expression]) -> list[tuple[int, tuple[int, ...]]]:
    """coefficient and powers of the used symbols, for each term; over the integers, as only zeros are looked for."""
    at = [polynomial.gens.index(symbol) for symbol in used]
    _, whole = polynomial.clear_denoms(convert=True)
    return [(int(c), tuple(int(powers[i]) for i in at)) for powers, c in whole.terms()]


def _value(rows: list[tuple[int, tuple[int, ...]]], chosen: Sequence[int | Fraction]) -> int | Fraction:
    return sum(c * prod(v**e for v, e in zip(chosen, powers, strict=True)) for c, powers in rows)
