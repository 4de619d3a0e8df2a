"""What can be proved of a template once for all its items, with the parameters as symbols.

The key solves the problem whatever the parameters are; each line of the solution says the same as the problem; each
slip differs from the key except on a set of values that is named. What sympy does not decide here is decided item
by item anyway, so nothing is guessed: an undecided claim says why.

This module loads sympy and knows trees only, no templates.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
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
    numerator,
    spelled,
    vanishing,
    zero,
)
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["Line", "SymbolicClaim", "prove_part"]

HIGHEST_DEGREE = 4


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the worked solution. kind: `main`, `aside`, `let` or `rejects`; node None where only words stand."""

    kind: str
    node: Node | None


@dataclass(frozen=True, slots=True)
class SymbolicClaim:
    """A claim about all items of a template at once.

    subject: `key`, `line` or `slip`, with `index` in the template's order (-1 for the key). claim: in words, as it
    should be; verdict: with the reason. except_when: of a slip that differs from the key, where it does not ("" for
    nowhere).
    """

    subject: str
    index: int
    claim: str
    verdict: Verdict
    except_when: str = ""


def prove_part(
    problem: Node,
    key: Node | None,
    slips: Sequence[Node],
    lines: Sequence[Line],
    unknowns: Sequence[str],
    for_every: Sequence[str],
    parameters: Mapping[str, Sequence[Fraction]],
    derived: Mapping[str, Node],
    *,
    main_letter: str = "",
) -> tuple[SymbolicClaim, ...]:
    """The claims of one part of a template: the key, each line that shows mathematics, each slip.

    key: None where there is no real solution. parameters: each with its values, () where they are not known.
    derived: in an order in which each stands on earlier names. main_letter: the letter of `discriminant` where its
    argument has several.

    >>> from itembank.expressions.parser import parse
    >>> claims = prove_part(
    ...     parse("x^2 - 2*h*x + c = 0"), parse("x = h ± sqrt(k)"), [parse("x = -h ± sqrt(k)")], [], ["x"], [],
    ...     {"h": (), "k": ()}, {"c": parse("h^2 - k")})
    >>> claims[0].verdict.witness, claims[1].except_when
    ('for all values of the parameters, both come to x^2 - 2*h*x + h^2 - k = 0', 'h = 0')
    """
    shown = [problem, *([key] if key else []), *slips, *(line.node for line in lines if line.node is not None)]
    given = {*parameters, *derived}
    letters = {name for node in shown for name in tree.names(node)} - given - {"none"}
    letters |= {*unknowns, *for_every}
    names = Names(parameters, derived, sorted(letters), main_letter)
    part = _Part(names, problem, key or tree.Name("none"), tuple(unknowns), tuple(for_every))
    claims = [SymbolicClaim("key", -1, "the key answers the problem whatever the parameters are", part.key_verdict())]
    for index, line in enumerate(lines):
        if line.node is not None:
            claims.append(SymbolicClaim("line", index, "the line says the same as the problem", part.line(line)))
    claims.extend(part.slip(index, node) for index, node in enumerate(slips))
    return tuple(claims)


Answer: TypeAlias = "_Nothing | _Roots | _Point | _Value"


@dataclass(frozen=True, slots=True)
class _Nothing:
    """No real solution."""


@dataclass(frozen=True, slots=True)
class _Roots:
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

    def squared(self) -> _Roots:
        """The same root, counted twice, for a polynomial of degree 1."""
        b = self.coefficients[1]
        return _Roots((sympy.S.One, 2 * b, sympy.expand(b**2)), self.leading, self.unknown)

    def __str__(self) -> str:
        powers = range(self.degree, -1, -1)
        terms = [c * self.unknown**power for power, c in zip(powers, self.coefficients, strict=True)]
        text = " + ".join(spelled(part) for term in terms for part in sympy.Add.make_args(term) if part != 0)
        return text.replace("+ -", "- ") + " = 0"


@dataclass(frozen=True, slots=True)
class _Point:
    """The only solution in several unknowns; besides: what must not be 0 for it to be the only one."""

    values: Mapping[str, Expression]
    besides: tuple[Expression, ...] = ()


@dataclass(frozen=True, slots=True)
class _Value:
    """The value of an expression."""

    value: Expression


class _Part:
    def __init__(
        self, names: Names, problem: Node, key: Node, unknowns: tuple[str, ...], for_every: tuple[str, ...]
    ) -> None:
        self.names = names
        self.problem_node = problem
        self.key_node = key
        self.unknowns = unknowns
        self.for_every = for_every
        self.problem = self._tried(problem)
        self.key = self._tried(key)

    def _tried(self, node: Node) -> Answer | CannotTell:
        try:
            return self._answer(node, self.unknowns)
        except CannotTell as stuck:
            return stuck

    def _answer(self, node: Node, unknowns: tuple[str, ...]) -> Answer:
        """What a statement about the unknowns says, or an expression. Raises CannotTell."""
        if not self.unknowns:
            if tree.has_plus_minus(node) or tree.is_statement(node):
                raise CannotTell("no single value")
            return _Value(self.names.read(node))
        free = tuple(letter for letter in self.for_every if letter in tree.names(node))
        systems = [
            [part for each in alternative for part in self._in_all(each, free)]
            for alternative in alternatives(self.names, node)
        ]
        if not systems:
            return _Nothing()
        if len(unknowns) == 1 and all(len(system) == 1 for system in systems):
            return self._roots([system[0] for system in systems], unknowns[0])
        if len(systems) > 1:
            raise CannotTell("alternatives in several unknowns")
        return self._point(systems[0], unknowns)

    def _in_all(self, expression: Expression, free: tuple[str, ...]) -> list[Expression]:
        """The expressions that are 0 together where this one is 0 for every value of the letters `free`."""
        if not free:
            return [expression]
        polynomial = self._polynomial(expression, *(self.names.symbols[letter] for letter in free))
        return [coefficient for coefficient in map(sympy.expand, polynomial.coeffs()) if coefficient != 0]

    @staticmethod
    def _polynomial(expression: Expression, *letters: Expression) -> Expression:
        try:
            polynomial = sympy.Poly(sympy.expand(expression), *letters, domain=sympy.EX)
        except (sympy.PolynomialError, sympy.CoercionFailed) as refused:
            raise CannotTell("no polynomial in the unknown") from refused
        if any(letter in c.free_symbols for c in polynomial.coeffs() for letter in letters):
            raise CannotTell("no polynomial in the unknown")
        return polynomial

    def _roots(self, equations: Sequence[Expression], unknown: str) -> _Roots:
        symbol = self.names.symbols[unknown]
        leading, whole = sympy.S.One, sympy.Poly(1, symbol, domain=sympy.EX)
        for equation in equations:
            polynomial = self._polynomial(equation, symbol)
            if not 1 <= polynomial.degree() <= 2 or whole.degree() + polynomial.degree() > HIGHEST_DEGREE:
                raise CannotTell(f"not of degree 1 or 2 in {unknown}")
            leading *= polynomial.LC()
            whole *= polynomial
        coefficients = [sympy.cancel(sympy.expand(c / whole.LC())) for c in whole.all_coeffs()]
        return _Roots(tuple(map(sympy.expand, coefficients)), sympy.factor_terms(leading), symbol)

    def _point(self, system: list[Expression], unknowns: tuple[str, ...]) -> _Point:
        """The only solution of a system that gives one unknown after the other by linear equations."""
        symbols = {self.names.symbols[name]: name for name in unknowns}
        values: dict[Expression, Expression] = {}
        besides: list[Expression] = []
        system = [sympy.expand(each) for each in system]
        while system:
            index, symbol, factor = self._linear(system, symbols.keys() - values.keys())
            equation = system.pop(index)
            value = sympy.cancel(symbol - equation / factor)
            if not factor.is_nonzero:
                besides.append(factor)
            values = {known: sympy.expand(each.subs(symbol, value)) for known, each in values.items()}
            values[symbol] = sympy.expand(value)
            system = [each for each in (numerator(other.subs(symbol, value)) for other in system) if each != 0]
        if len(values) < len(unknowns):
            raise CannotTell("not every unknown is determined")
        return _Point({symbols[symbol]: value for symbol, value in values.items()}, tuple(besides))

    @staticmethod
    def _linear(
        system: Sequence[Expression], open_symbols: frozenset[Expression] | set[Expression]
    ) -> tuple[int, Expression, Expression]:
        """The place of an equation that is linear in an unknown, the unknown, and its factor."""
        for index, equation in enumerate(system):
            if len(equation.free_symbols & open_symbols) == 1:
                (symbol,) = equation.free_symbols & open_symbols
                factor = sympy.diff(equation, symbol)
                if factor != 0 and symbol not in factor.free_symbols:
                    return index, symbol, factor
        raise CannotTell("the system is no chain of linear equations")

    def key_verdict(self) -> Verdict:
        """Whether the key answers the problem for all values of the parameters."""
        problem, key = self.problem, self.key
        if isinstance(problem, CannotTell) or isinstance(key, CannotTell):
            stuck = problem if isinstance(problem, CannotTell) else key
            return Undecided(f"{stuck}; proved item by item")
        return self._compared(problem, key)

    def _compared(self, problem: Answer, found: Answer) -> Verdict:
        """Whether two answers say the same for all values of the parameters."""
        if isinstance(found, _Nothing):
            return self._nothing(problem)
        try:
            condition = self._equal_when(problem, found)
        except CannotTell as stuck:
            return Undecided(f"{stuck}; proved item by item")
        if condition.always:
            return Proved(f"for all values of the parameters, {self._said(problem)}")
        if not condition.cases:
            return Refuted("they differ for all values of the parameters")
        return Undecided(f"only when {condition}, as far as symbols show; proved item by item")

    @staticmethod
    def _said(problem: Answer) -> str:
        match problem:
            case _Roots(leading=leading):
                where = "" if leading.is_nonzero else f" where {spelled(leading)} is not 0"
                return f"both come to {problem}{where}"
            case _Point(values, besides):
                told = " and ".join(f"{name} = {spelled(value)}" for name, value in sorted(values.items()))
                where = " and ".join(f"{spelled(each)} is not 0" for each in besides)
                return f"the only solution is {told}{' where ' + where if where else ''}"
            case _Value(value):
                return f"both are {spelled(value)}"
            case _Nothing():
                return "both have no real solution"

    @staticmethod
    def _nothing(problem: Answer) -> Verdict:
        """Whether there is no real solution."""
        if isinstance(problem, _Nothing):
            return Proved("both have no real solution")
        if not isinstance(problem, _Roots) or problem.degree != 2:
            return Undecided("no real solution is claimed; proved item by item")
        _, b, c = problem.coefficients
        discriminant = sympy.factor_terms(sympy.expand(b**2 - 4 * c))
        told = f"the discriminant of {problem} is {spelled(discriminant)}"
        if discriminant.is_negative:
            return Proved(f"for all values of the parameters, {told}, which is negative")
        if discriminant.is_nonnegative:
            return Refuted(f"{told}, which is never negative")
        return Undecided(f"{told}; whether it is negative is proved item by item")

    def _equal_when(self, first: Answer, second: Answer) -> Condition:
        """When two answers are equal, wherever both have real solutions. Raises CannotTell."""
        match first, second:
            case _Value(a), _Value(b):
                return self._values_equal_when(a, b)
            case _Roots(), _Roots():
                if first.degree != second.degree:
                    first = first.squared() if first.degree == 1 else first
                    second = second.squared() if second.degree == 1 else second
                if first.degree != second.degree or first.degree > 2:
                    raise CannotTell("sets of more than two solutions")
                return vanishing(
                    self.names,
                    [a - b for a, b in zip(first.coefficients, second.coefficients, strict=True)],
                )
            case _Point(a), _Point(b):
                return vanishing(self.names, [value - b[name] for name, value in a.items()])
            case _Nothing(), _Nothing():
                return Condition(always=True)
            case _Nothing(), _:
                return Condition()
            case _, _Nothing():
                return Condition()
            case _:
                raise CannotTell("answers of different kinds")

    def _values_equal_when(self, first: Expression, second: Expression) -> Condition:
        if zero(first - second):
            return Condition(always=True)
        if not (first - second).has(sympy.Pow):
            return vanishing(self.names, [first - second])
        try:
            return vanishing(self.names, [first - second])
        except CannotTell:
            if not (first.is_nonnegative and second.is_nonnegative):
                raise
        return vanishing(self.names, [first**2 - second**2])

    def line(self, line: Line) -> Verdict:
        """Whether a line of the solution says the same as the problem."""
        assert line.node is not None
        if line.kind in {"let", "rejects"}:
            return Undecided("proved item by item")
        try:
            return self._line(line.node)
        except CannotTell as stuck:
            return Undecided(f"{stuck}; proved item by item")

    def _line(self, node: Node) -> Verdict:
        if isinstance(self.problem, CannotTell):
            raise self.problem
        shown = tuple(name for name in self.unknowns if name in tree.names(node))
        if tree.is_statement(node) and not shown:
            return self._identity(node)
        answer = self._answer(node, shown)
        problem = self.problem
        if isinstance(problem, _Point) and len(shown) < len(self.unknowns):
            problem = _Point({name: problem.values[name] for name in shown}, problem.besides)
        if isinstance(answer, _Roots) and isinstance(problem, _Point):
            answer = self._as_point(answer, shown)
        return self._compared(problem, answer)

    @staticmethod
    def _as_point(roots: _Roots, shown: tuple[str, ...]) -> _Point:
        if roots.degree != 1:
            raise CannotTell("a line with several values")
        return _Point({shown[0]: sympy.expand(-roots.coefficients[1])})

    def _identity(self, node: Node) -> Verdict:
        """A line without an unknown is true for all values of its letters."""
        for alternative in alternatives(self.names, node):
            if all(zero(each) for each in alternative):
                return Proved("for all values of the parameters, both sides are equal")
        return Undecided("it is true for some values at most, as far as symbols show; proved item by item")

    def slip(self, index: int, node: Node) -> SymbolicClaim:
        """Where a slip's value is the key's."""
        claim = "the slip's value differs from the key's"
        try:
            if isinstance(self.key, CannotTell):
                raise self.key
            answer = self._answer(node, self.unknowns)
            condition = self._equal_when(self.key, answer)
        except CannotTell as stuck:
            return SymbolicClaim("slip", index, claim, Undecided(f"{stuck}; proved item by item"))
        if condition.always:
            return SymbolicClaim("slip", index, claim, Refuted("it is the key for all values of the parameters"))
        where = " or ".join(condition.cases)
        told = f"where it has a value, it is the key exactly when {where}" if where else "it is never the key"
        if condition.dismissed:
            told += f" ({' or '.join(condition.dismissed)} does not occur)"
        return SymbolicClaim("slip", index, claim, Proved(told), where)
