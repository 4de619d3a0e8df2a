"""Answers with parameters in them: what a problem, key, slip or line says, and when two of them say the same."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from typing import TypeAlias

import sympy

from itembank.expressions import tree
from itembank.expressions.tree import Node
from itembank.proof.symbolic_numbers import CannotTell
from itembank.proof.template_algebra import (
    Condition,
    Expression,
    Names,
    alternatives,
    light,
    numerator,
    simplified,
    spelled,
    vanishing,
    zero,
)
from itembank.proof.template_hidden import Cover, cover_of, let_of, opened, possible, uncovered, values_of

__all__ = ["Answer", "Nothing", "Point", "Reader", "Roots", "Value", "equal_when"]

HIGHEST_DEGREE = 4


@dataclass(frozen=True, slots=True)
class Nothing:
    """No real solution."""

    def __str__(self) -> str:
        return "no real solution"


@dataclass(frozen=True, slots=True)
class Roots:
    """The solutions in one unknown: the monic polynomial that vanishes there, coefficients from the highest power.

    leading: what the equation was divided by.
    """

    coefficients: tuple[Expression, ...]
    leading: Expression
    unknown: Expression

    @property
    def degree(self) -> int:
        """Of the polynomial."""
        return len(self.coefficients) - 1

    def squared(self) -> Roots:
        """The same root, counted twice, of a polynomial of degree 1."""
        b = self.coefficients[1]
        return Roots((sympy.S.One, 2 * b, sympy.expand(b**2)), self.leading, self.unknown)

    def __str__(self) -> str:
        powers = range(self.degree, -1, -1)
        terms = [sympy.expand(c * self.unknown**p) for p, c in zip(powers, self.coefficients, strict=True)]
        text = " + ".join(spelled(part) for term in terms for part in sympy.Add.make_args(term) if part != 0)
        where = "" if self.leading.is_nonzero else f" where {spelled(self.leading)} is not 0"
        return text.replace("+ -", "- ") + " = 0" + where


@dataclass(frozen=True, slots=True)
class Point:
    """The only solution in several unknowns; besides: what must not be 0 for it to be the only one."""

    values: Mapping[str, Expression]
    besides: tuple[Expression, ...] = ()

    def __str__(self) -> str:
        told = " and ".join(f"{name} = {spelled(value)}" for name, value in sorted(self.values.items()))
        where = " and ".join(f"{spelled(each)} is not 0" for each in self.besides)
        return told + (f" where {where}" if where else "")


@dataclass(frozen=True, slots=True)
class Value:
    """The value of an expression that is rewritten, with the letters that stay letters in it."""

    value: Expression
    letters: tuple[Expression, ...]

    def __str__(self) -> str:
        return spelled(self.value)


Answer: TypeAlias = Nothing | Roots | Point | Value


class Reader:
    """Reads trees as answers for given unknowns; with none, as expressions."""

    def __init__(self, names: Names, unknowns: Sequence[str], for_every: Sequence[str]) -> None:
        self.names = names
        self.unknowns = tuple(unknowns)
        self.for_every = tuple(for_every)

    def read(self, node: Node) -> Answer:
        """What a statement says of those unknowns that it names, or an expression is. Raises what is in STUCK."""
        if not self.unknowns:
            return self._value(node)
        named = tree.names(node)
        if len(self.unknowns) == 1 and not self.for_every:
            cover = cover_of(node, self.unknowns[0])
            if cover is not None:
                return self._uncovered(node, self.unknowns[0], cover)
        free = tuple(letter for letter in self.for_every if letter in named)
        systems = [
            [part for each in alternative for part in self._in_all(each, free)]
            for alternative in alternatives(self.names, node)
        ]
        if not systems:
            return Nothing()
        unknowns = tuple(name for name in self.unknowns if name in named)
        if not unknowns:
            raise CannotTell("no unknown is named")
        if len(unknowns) == 1 and all(len(system) == 1 for system in systems):
            found = self._roots([system[0] for system in systems], unknowns[0])
            return found if len(self.unknowns) == 1 else _as_point(found, unknowns[0])
        if len(systems) > 1:
            raise CannotTell("alternatives in several unknowns")
        point = self._point(systems[0], unknowns)
        return point if len(self.unknowns) > 1 else self._as_roots(point)

    def with_values_not_real(self, node: Node) -> Roots | Nothing:
        """What an equation in one unknown says, also of solutions that are not real. Raises what is in STUCK."""
        (unknown,) = self.unknowns
        if cover_of(node, unknown) is not None:
            raise CannotTell("the unknown is hidden")
        return self._roots([system[0] for system in self._single(node)], unknown, not_real_too=True)

    def _uncovered(self, node: Node, unknown: str, cover: Cover) -> Answer:
        """The true solutions of an equation whose unknown stands under a root or in an exponent."""
        values, leading = values_of(self.names, node, unknown, cover)
        return self._answer(possible(values, cover), leading, unknown, cover)

    def _answer(self, values: list[Expression], leading: Expression, unknown: str, cover: Cover) -> Answer:
        roots = list(dict.fromkeys(uncovered(self.names, value, unknown, cover) for value in values))
        return _having(roots, leading, self.names.symbols[unknown])

    def with_false_roots(
        self, problem: Node, line: Node, lets: Sequence[Node]
    ) -> tuple[Answer | None, Answer, Answer]:
        """A problem with something hidden, in the letter of a line: its solutions, these with the false ones, the line.

        The first is None where it is not known with symbols which are false. Raises what is in STUCK, as where the line
        is in a letter that was not named for what hides the unknown.
        """
        (unknown,) = self.unknowns
        cover = cover_of(problem, unknown)
        if cover is None or cover_of(line, unknown) is not None:
            raise CannotTell("nothing is hidden, or it still is")
        values, leading = values_of(self.names, problem, unknown, cover)
        named = [name for name in tree.names(line) if name in self.names.letters]
        if named == [unknown]:
            every = self._answer(values, leading, unknown, cover)
            try:
                true: Answer | None = self._answer(possible(values, cover), leading, unknown, cover)
            except CannotTell:
                true = None
            return true, every, self.read(line)
        told = [
            letter for letter, what in filter(None, (let_of(let, unknown) for let in lets)) if what == cover
        ]
        if len(named) != 1 or named[0] not in told:
            raise CannotTell("a letter stands in it that the problem does not have")
        symbol = self.names.symbols[named[0]]
        shown = self._roots([opened(self.names, system[0]) for system in self._single(line)], named[0])
        true, every = (_having(each, leading, symbol) for each in (possible(values, cover), values))
        return true, every, shown

    def _single(self, line: Node) -> list[list[Expression]]:
        systems = alternatives(self.names, line)
        if not systems or any(len(system) != 1 for system in systems):
            raise CannotTell("several equations at once")
        return systems

    def _value(self, node: Node) -> Value:
        if tree.has_plus_minus(node) or tree.is_statement(node):
            raise CannotTell("no single value")
        value = self.names.read(node)
        letters = [self.names.symbols[name] for name in tree.names(node) if name in self.names.letters]
        return Value(value, tuple(letters))

    def _in_all(self, expression: Expression, free: tuple[str, ...]) -> list[Expression]:
        """The expressions that are 0 together where this one is 0 for every value of the letters `free`."""
        if not free:
            return [expression]
        return in_all(expression, [self.names.symbols[letter] for letter in free])

    def _roots(
        self, equations: Sequence[Expression], unknown: str, *, not_real_too: bool = False
    ) -> Roots | Nothing:
        symbol = self.names.symbols[unknown]
        leading, whole = sympy.S.One, sympy.Poly(1, symbol, domain=sympy.EX)
        for equation in equations:
            polynomial = _polynomial(equation, symbol)
            if not 1 <= polynomial.degree() <= HIGHEST_DEGREE:
                raise CannotTell(f"not of degree 1 to {HIGHEST_DEGREE} in {unknown}")
            leading *= polynomial.LC()
            for factor in [polynomial] if polynomial.degree() < 3 else _factors(polynomial, symbol):
                alone = len(equations) == 1 and polynomial.degree() < 3
                if alone or not_real_too or not _has_no_root(factor):
                    whole *= factor
        if whole.degree() == 0:
            return Nothing()
        if whole.degree() > HIGHEST_DEGREE:
            raise CannotTell(f"more than {HIGHEST_DEGREE} solutions")
        coefficients = [simplified(c / whole.LC()) for c in whole.all_coeffs()]
        return Roots(tuple(coefficients), sympy.factor_terms(leading), symbol)

    def _point(self, system: list[Expression], unknowns: Sequence[str]) -> Point:
        """The only solution of a system that gives one unknown after the other by linear equations."""
        symbols = {self.names.symbols[name]: name for name in unknowns}
        values: dict[Expression, Expression] = {}
        besides: list[Expression] = []
        system = [expanded for expanded in map(sympy.expand, system) if expanded != 0]
        while system:
            index, symbol, factor = _linear(system, symbols.keys() - values.keys())
            value = simplified(symbol - system.pop(index) / factor)
            if not factor.is_nonzero:
                besides.append(factor)
            values[symbol] = value
            system = [
                each for each in (numerator(other.subs(symbol, value)) for other in system) if each != 0
            ]
        if len(values) < len(unknowns):
            raise CannotTell("not every unknown is determined")
        return Point({symbols[symbol]: value for symbol, value in values.items()}, tuple(besides))

    def _as_roots(self, point: Point) -> Roots:
        ((unknown, value),) = point.values.items()
        leading = sympy.Mul(*point.besides)
        return Roots((sympy.S.One, -value), leading, self.names.symbols[unknown])


def _factors(polynomial: Expression, unknown: Expression) -> list[Expression]:
    """Those factors of a polynomial that have the unknown, each once. Raises CannotTell for one above degree 2."""
    _, found = sympy.factor_list(light(polynomial.as_expr()))
    factors = [_polynomial(factor, unknown) for factor, _ in found if unknown in factor.free_symbols]
    if any(factor.degree() > 2 for factor in factors):
        raise CannotTell(f"no product of factors of degree 1 or 2 in {unknown}")
    return factors


def _has_no_root(polynomial: Expression) -> bool:
    """Whether a polynomial of degree 1 or 2 is known to have no real root."""
    if polynomial.degree() != 2:
        return False
    a, b, c = polynomial.all_coeffs()
    return bool(sympy.factor_terms(sympy.expand(b**2 - 4 * a * c)).is_negative)


def _having(values: Sequence[Expression], leading: Expression, unknown: Expression) -> Answer:
    """The answer that has these values."""
    if not values:
        return Nothing()
    if len(values) > HIGHEST_DEGREE:
        raise CannotTell(f"more than {HIGHEST_DEGREE} solutions")
    whole = sympy.Poly(1, unknown, domain=sympy.EX)
    for value in values:
        whole *= sympy.Poly(unknown - value, unknown, domain=sympy.EX)
    return Roots(tuple(simplified(c) for c in whole.all_coeffs()), sympy.factor_terms(leading), unknown)


def _as_point(roots: Roots | Nothing, unknown: str) -> Point:
    if not isinstance(roots, Roots) or roots.degree != 1:
        raise CannotTell("several values of one of several unknowns")
    besides = () if roots.leading.is_nonzero else (roots.leading,)
    return Point({unknown: sympy.expand(-roots.coefficients[1])}, besides)


def _linear(
    system: Sequence[Expression], open_symbols: Set[Expression]
) -> tuple[int, Expression, Expression]:
    """The place of an equation that is linear in one unknown and has no other, the unknown, and its factor."""
    for index, equation in enumerate(system):
        if len(equation.free_symbols & open_symbols) == 1:
            (symbol,) = equation.free_symbols & open_symbols
            factor = sympy.expand(sympy.diff(equation, symbol))
            if factor != 0 and symbol not in factor.free_symbols:
                return index, symbol, factor
    raise CannotTell("the system is no chain of linear equations")


def in_all(expression: Expression, letters: Sequence[Expression]) -> list[Expression]:
    """What must be 0 together so that an expression is 0 for every value of the letters."""
    coefficients = map(sympy.expand, _polynomial(expression, *letters).coeffs())
    return [coefficient for coefficient in coefficients if coefficient != 0]


def _polynomial(expression: Expression, *letters: Expression) -> Expression:
    polynomial = sympy.Poly(light(sympy.expand(expression)), *letters, domain=sympy.EX)
    if any(letter in c.free_symbols for c in polynomial.coeffs() for letter in letters):
        raise CannotTell("no polynomial in the unknown")
    return polynomial


def equal_when(names: Names, first: Answer, second: Answer) -> Condition:
    """When two answers are equal, wherever both have a value. Raises what is in STUCK.

    Two monic polynomials of degree 2 with real roots have the same roots exactly when they are the same; one of
    degree 1 stands for its square.
    """
    match first, second:
        case Value(a), Value(b):
            return _values_equal_when(names, a, b, {*first.letters, *second.letters})
        case Roots(), Roots():
            return _roots_equal_when(names, first, second)
        case Point(a), Point(b) if a.keys() == b.keys():
            return vanishing(names, [value - b[name] for name, value in a.items()])
        case Nothing(), Nothing():
            return Condition(always=True)
        case (Nothing(), _) | (_, Nothing()):
            return Condition()
        case _:
            raise CannotTell("answers of different kinds")


def _roots_equal_when(names: Names, first: Roots, second: Roots) -> Condition:
    if first.degree != second.degree:
        first = first.squared() if first.degree == 1 else first
        second = second.squared() if second.degree == 1 else second
    if first.degree != second.degree:
        raise CannotTell("more than two solutions")
    differences = [a - b for a, b in zip(first.coefficients, second.coefficients, strict=True)]
    if first.degree > 2:
        if all(zero(each) for each in differences):
            return Condition(always=True)
        raise CannotTell("more than two solutions")
    return vanishing(names, differences)


def _values_equal_when(
    names: Names, first: Expression, second: Expression, letters: set[Expression]
) -> Condition:
    if letters:
        return vanishing(names, in_all(first - second, sorted(letters, key=str)))
    try:
        return vanishing(names, [first - second])
    except CannotTell:
        if not (first.is_nonnegative and second.is_nonnegative):
            raise
    return vanishing(names, [first**2 - second**2])
