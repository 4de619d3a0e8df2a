"""What statements of one look ask, as straight whole-number code: worked out once, run on the numerals of each.

A formula read by its skeleton knows its looks, the function that makes formulas of that look, and its own numerals. Of
the formula with marked numerals a condition is worked out whose coefficients are lines of code, in names `t0, t1, ...`
and the operations of `numbers`; nothing an author wrote stands in it. It gives the very condition that
`conditions.condition` gives, or None, where the looks do not decide the way (an exponent that is a numeral of its own,
a division by a letter, ≈) or where the numerals do not fit (a division by 0): then that function is asked.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, TypeAlias

from itembank import own_code
from itembank.audit import conditions, formula, numbers, polynomials
from itembank.audit.conditions import All, Atom, Condition
from itembank.audit.conditions import Any as Either
from itembank.audit.findings import CannotTell
from itembank.audit.formula import Node, Scope
from itembank.audit.numbers import Number
from itembank.audit.polynomials import Polynomial

__all__ = [
    "Asked",
    "AtomPlan",
    "EitherPlan",
    "Plan",
    "TogetherPlan",
    "asked",
    "condition",
    "made",
    "polynomial",
]

_LINES: Final = 400
_BITS: Final = 1_000
_HOLE_BITS: Final = 60
"""What a numeral of a skeleton holds at most; coefficients of more than _BITS could reach the bound of polynomials."""
_EXPONENT: Final = 6


class _Beyond(Exception):
    """The looks do not decide the way."""


@dataclass(frozen=True, slots=True)
class _Term:
    """A coefficient: the name of its value, and how large it can be."""

    name: str
    bits: int


_Code: TypeAlias = Mapping[polynomials.Monomial, _Term]
_Values: TypeAlias = Sequence[Any]


@dataclass(frozen=True, slots=True)
class AtomPlan:
    """A polynomial, its coefficients beginning at a place among the values, and its sign.

    for_every: the letters for every value of which it holds, where any of them stands in it.
    """

    monomials: tuple[polynomials.Monomial, ...]
    start: int
    sign: str
    for_every: tuple[str, ...]

    def condition(self, values: _Values) -> Condition:
        """What the numerals make of it."""
        held = values[self.start : self.start + len(self.monomials)]
        atom = Atom({m: v for m, v in zip(self.monomials, held) if v != 0}, self.sign)  # noqa: B905
        return conditions.of_every(atom, self.for_every) if self.for_every else atom


@dataclass(frozen=True, slots=True)
class TogetherPlan:
    """All parts hold."""

    parts: tuple[Plan, ...]

    def condition(self, values: _Values) -> Condition:
        """What the numerals make of it."""
        return All(tuple([part.condition(values) for part in self.parts]))


@dataclass(frozen=True, slots=True)
class EitherPlan:
    """At least one part holds."""

    parts: tuple[Plan, ...]

    def condition(self, values: _Values) -> Condition:
        """What the numerals make of it."""
        return Either(tuple([part.condition(values) for part in self.parts]))


Plan: TypeAlias = AtomPlan | TogetherPlan | EitherPlan
_NEVER: Final = EitherPlan(())


@dataclass(frozen=True, slots=True)
class Asked:
    """What statements of one look ask. run: from runs of digits and what ± stands for to the values; signs: of ±."""

    run: Any
    plan: Plan
    signs: tuple[int, ...]


def asked(node: Node, scope: Scope, for_every: tuple[str, ...]) -> Asked | None:
    """What all statements of the look of a node ask; None where the looks do not decide it."""
    looks = formula.looks_of(node)
    if looks is None:
        return None
    key = condition, scope, for_every
    try:
        return looks.known[key]  # type: ignore[no-any-return]
    except KeyError:
        found = looks.known[key] = _worked_out(looks.marked(), scope, for_every)
        return found


def condition(node: Node, scope: Scope, for_every: Sequence[str]) -> Condition | None:
    """What a statement asks of its letters; None where the code does not tell."""
    found = asked(node, scope, tuple(for_every))
    if found is None:
        return None
    try:
        readings = [found.plan.condition(found.run(formula.runs_of(node), sign)) for sign in found.signs]
    except (ZeroDivisionError, CannotTell):
        return None
    return readings[0] if len(readings) == 1 else Either(tuple(readings))


def polynomial(node: Node) -> Polynomial | None:
    """The polynomial an expression without ± is; None where the code does not tell."""
    looks = formula.looks_of(node)
    if looks is None:
        return None
    try:
        found = looks.known[polynomial]
    except KeyError:
        found = looks.known[polynomial] = _polynomial_code(looks.marked())
    if found is None:
        return None
    run, monomials = found
    try:
        values = run(formula.runs_of(node), 0)
    except (ZeroDivisionError, CannotTell):
        return None
    return {monomial: value for monomial, value in zip(monomials, values, strict=True) if value != 0}


def made(source: str, room: Mapping[str, Any]) -> Any:
    """The function `made` of a source that consists of this house's own words, operations and digits."""
    return own_code.run(source, "<straight code>", dict(room))["made"]


def _worked_out(node: Node, scope: Scope, for_every: tuple[str, ...]) -> Asked | None:
    writer = _Writer(scope)
    try:
        plan = _statement(node, writer, for_every)
        run = writer.compiled()
    except _Beyond:
        return None
    return Asked(run, plan, (1, -1) if formula.has_either_sign(node) else (0,))


def _polynomial_code(node: Node) -> tuple[Any, tuple[polynomials.Monomial, ...]] | None:
    writer = _Writer(formula.NOWHERE)
    try:
        if formula.has_either_sign(node) or formula.is_statement(node):
            return None
        code = writer.code(node)
        writer.kept += [term.name for term in code.values()]
        return writer.compiled(), tuple(code)
    except _Beyond:
        return None


def _statement(node: Node, writer: _Writer, for_every: tuple[str, ...]) -> Plan:
    match node:
        case formula.Nothing():
            return _NEVER
        case formula.Conjunction(parts):
            return TogetherPlan(tuple(_statement(part, writer, for_every) for part in parts))
        case formula.Alternatives(parts):
            if for_every:
                raise _Beyond
            return EitherPlan(tuple(_statement(part, writer, for_every) for part in parts))
        case formula.Relation(formula.Point(x, y), "=", formula.Point(u, v)):
            return TogetherPlan((_atom(x, "=", u, writer, for_every), _atom(y, "=", v, writer, for_every)))
        case formula.Relation(left, sign, right) if sign not in {"≈", "∈"}:
            return _atom(left, sign, right, writer, for_every)
        case _:
            raise _Beyond


def _atom(left: Node, sign: str, right: Node, writer: _Writer, for_every: tuple[str, ...]) -> Plan:
    code = writer.plus(writer.code(left), writer.code(right), -1)
    start = len(writer.kept)
    writer.kept += [term.name for term in code.values()]
    letters = {name for monomial in code for name, _ in monomial}
    if letters.isdisjoint(for_every):
        return AtomPlan(tuple(code), start, sign, ())
    if sign != "=":
        raise _Beyond
    return AtomPlan(tuple(code), start, sign, for_every)


class _Writer:
    """Writes the lines. kept: the names of the values that are handed back."""

    def __init__(self, scope: Scope) -> None:
        self._scope = scope
        self._lines: list[str] = []
        self._known: dict[str, str] = {}
        self.kept: list[str] = []

    def source(self) -> str:
        """The code of a function of the numerals and of what ± stands for."""
        lines = [*self._lines, f"return ({', '.join(self.kept)}{',' if self.kept else ''})"]
        return "def made(r, e):\n" + "\n".join(f" {line}" for line in lines)

    def compiled(self) -> Any:
        """That function."""
        room: dict[str, Any] = {
            "divide": numbers.divide, "root": numbers.exact_root, "size": _size, "needs": _needs,
            "__builtins__": {"int": int},
        }  # fmt: skip
        return made(self.source(), room)

    def code(self, node: Node) -> _Code:
        """An expression by its monomials."""
        match node:
            case formula.Numeral(text):
                return self._numeral(text)
            case formula.Letter(name):
                return {((name, 1),): _Term("1", 1)}
            case formula.Sum(terms):
                total: _Code = {}
                for sign, term in terms:
                    total = self.plus(total, self.code(term), {"+": 1, "-": -1}.get(sign, 0))
                return total
            case formula.Product(factors):
                product = self.code(factors[0])
                for factor in factors[1:]:
                    product = self._times(product, self.code(factor))
                return product
            case formula.Quotient(numerator, denominator):
                above, below = self.code(numerator), self._constant(denominator)
                return {
                    m: self._line(f"divide({t.name}, {below.name})", t.bits + below.bits)
                    for m, t in above.items()
                }
            case formula.Power(base, formula.Numeral(exponent)) if exponent.isdecimal():
                return self._power(self.code(base), int(exponent))
            case formula.Root(radicand, index):
                inside = self._constant(radicand)
                return {(): self._line(f"root({inside.name}, {index})", 2 * inside.bits)}
            case formula.Absolute(inner):
                inside = self._constant(inner)
                return {(): self._line(f"size({inside.name})", inside.bits)}
            case formula.Apply("discriminant", (argument,)):
                return self._discriminant(argument)
            case _:
                raise _Beyond

    def plus(self, first: _Code, second: _Code, sign: int) -> _Code:
        """first + second, first - second, or (sign 0) first ± second."""
        total = dict(first)
        for monomial, term in second.items():
            before = total.get(monomial)
            if sign == 0:
                term = self._line(f"e * {term.name}", term.bits)
            name = f"- {term.name}" if sign < 0 else f"+ {term.name}"
            if before is None:
                total[monomial] = self._line(f"-{term.name}", term.bits) if sign < 0 else term
            else:
                total[monomial] = self._line(f"{before.name} {name}", max(before.bits, term.bits) + 1)
        return total

    def _numeral(self, text: str) -> _Code:
        if text.startswith(formula.MARK):
            return {(): self._line(f"int(r[{int(text[1:])}])", _HOLE_BITS)}
        if not text.isdecimal() or len(text) > 18:
            raise _Beyond
        return {(): _Term(str(int(text)), _HOLE_BITS)}

    def _times(self, first: _Code, second: _Code) -> _Code:
        total: dict[polynomials.Monomial, _Term] = {}
        for left, by in first.items():
            for right, factor in second.items():
                monomial = polynomials.joined(left, right)
                product = self._product(by, factor)
                before = total.get(monomial)
                total[monomial] = (
                    product if before is None
                    else self._line(f"{before.name} + {product.name}", max(before.bits, product.bits) + 1)
                )  # fmt: skip
        return total

    def _product(self, first: _Term, second: _Term) -> _Term:
        if first.name == "1" or second.name == "1":
            return second if first.name == "1" else first
        return self._line(f"{first.name} * {second.name}", first.bits + second.bits)

    def _power(self, base: _Code, exponent: int) -> _Code:
        if exponent > _EXPONENT:
            raise _Beyond
        result: _Code = {(): _Term("1", 1)}
        for _ in range(exponent):
            result = self._times(result, base)
        return result

    def _constant(self, node: Node) -> _Term:
        code = self.code(node)
        if set(code) - {()}:
            raise _Beyond
        return code.get((), _Term("0", 1))

    def _discriminant(self, argument: Node) -> _Code:
        letter = self._scope.of_discriminant(argument)
        if isinstance(argument, formula.Relation):
            if argument.sign != "=":
                raise _Beyond
            argument = formula.sum_of([("+", argument.left), ("-", argument.right)])
        parts: dict[int, dict[polynomials.Monomial, _Term]] = {}
        for monomial, term in self.code(argument).items():
            exponent = dict(monomial).get(letter, 0)
            parts.setdefault(exponent, {})[tuple(pair for pair in monomial if pair[0] != letter)] = term
        if not letter or max(parts, default=0) != 2:
            raise _Beyond
        first, second, third = (parts.get(exponent, {}) for exponent in (2, 1, 0))
        self._lines.append(f"needs({', '.join(term.name for term in first.values())})")
        four: _Code = {(): _Term("4", 3)}
        return self.plus(self._times(second, second), self._times(four, self._times(first, third)), -1)

    def _line(self, expression: str, bits: int) -> _Term:
        if expression not in self._known:
            if len(self._known) >= _LINES or bits > _BITS:
                raise _Beyond
            self._known[expression] = f"t{len(self._known)}"
            self._lines.append(f"{self._known[expression]} = {expression}")
        return _Term(self._known[expression], bits)


def _size(number: Number) -> Number:
    return number if numbers.sign(number) >= 0 else -number


def _needs(*leading: Number) -> None:
    """A quadratic has to have a square in it."""
    if not any(leading):
        raise CannotTell("the discriminant of what is no quadratic")
