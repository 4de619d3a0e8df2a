"""What expressions are: quotients of exact polynomials.

Where an expression divides by one with letters, that this is not 0 is noted among the guards of the reading.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from math import gcd, lcm
from typing import Final

from itembank.audit import formula, numbers, polynomials
from itembank.audit.findings import CannotTell
from itembank.audit.formula import NOWHERE, Node, Scope
from itembank.audit.hidden_letters import power_letter, root_letter, smallest_base
from itembank.audit.numbers import Number
from itembank.audit.polynomials import ONE, Polynomial

__all__ = ["Ratio", "Reading", "either_signs", "expression", "plus"]


_LARGEST_EXPONENT: Final = 64


@dataclass(frozen=True, slots=True)
class Ratio:
    """above / below; below is not the zero polynomial."""

    above: Polynomial
    below: Polynomial = field(default_factory=lambda: ONE)


@dataclass(slots=True)
class Reading:
    """One reading of a formula: ± as `either`; guards gathers what must not be 0."""

    scope: Scope
    either: int
    guards: list[Polynomial]
    beside: list[tuple[Polynomial, str]] = field(default_factory=list)
    """What makes the letters that hide unknowns what they are: polynomials, and how they stand to 0."""

    def ratio(self, node: Node) -> Ratio:
        """The quotient an expression is in this reading. Raises CannotTell."""
        match node:
            case formula.Numeral(text):
                return Ratio(polynomials.number(int(text) if text.isdecimal() else _decimal(text)))
            case formula.Letter(name):
                return Ratio(polynomials.letter(name))
            case formula.Sum(terms):
                total = Ratio({})
                for sign, term in terms:
                    total = plus(total, self.ratio(term), self._factor(sign))
                return total
            case formula.Product(factors):
                product = self.ratio(factors[0])
                for factor in factors[1:]:
                    product = _times(product, self.ratio(factor))
                return product
            case formula.Quotient(numerator, denominator):
                return _times(self.ratio(numerator), self._inverse(self.ratio(denominator)))
            case formula.Power(base, exponent):
                raised = self.ratio(exponent)
                if polynomials.letters(raised.above):
                    return self._with_exponent(_value(self.ratio(base)), raised)
                return self._power(self.ratio(base), _value(raised))
            case formula.Root(radicand, index):
                inside = self.ratio(radicand)
                if polynomials.letters(inside.above):
                    return self._root(inside, index)
                return Ratio(polynomials.number(numbers.exact_root(_value(inside), index)))
            case formula.Absolute(inner):
                value_inside = _value(self.ratio(inner))
                return Ratio(
                    polynomials.number(value_inside if numbers.sign(value_inside) >= 0 else -value_inside)
                )
            case formula.Apply(function, arguments):
                return self._apply(function, arguments)
            case _:
                raise CannotTell("a statement or a point stands inside an expression")

    def plain(self, node: Node) -> Ratio:
        """The same of an expression without letters under roots or in exponents. Raises CannotTell."""
        found = self.ratio(node)
        if self.beside:
            raise CannotTell("a letter under a root or in an exponent stands in what is no equation")
        return found

    def _factor(self, sign: str) -> int:
        if sign == "±":
            if not self.either:
                raise CannotTell("± has two values here")
            return self.either
        return -1 if sign == "-" else 1

    def _inverse(self, ratio: Ratio) -> Ratio:
        if not ratio.above:
            raise CannotTell("a division by zero")
        if polynomials.constant(ratio.above) is None:
            self.guards.append(ratio.above)
        return Ratio(ratio.below, ratio.above)

    def _power(self, base: Ratio, exponent: Number) -> Ratio:
        if isinstance(exponent, Fraction):
            value = _value(base)
            if numbers.sign(value) < 0:
                raise CannotTell("a power of a negative number whose exponent is a fraction")
            root = numbers.exact_root(value, exponent.denominator)
            base, exponent = Ratio(polynomials.number(root)), exponent.numerator
        if not isinstance(exponent, int):
            raise CannotTell("an exponent that is neither a whole number nor a fraction")
        if exponent < 0:
            base, exponent = self._inverse(base), -exponent
        return Ratio(polynomials.power(base.above, exponent), polynomials.power(base.below, exponent))

    def _root(self, radicand: Ratio, index: int) -> Ratio:
        """A letter u for the root: u^n is the radicand, and not negative where n is even."""
        below = polynomials.constant(radicand.below)
        if below is None or not 2 <= index <= 12:
            raise CannotTell("a root of a fraction with a letter below")
        inside = polynomials.scale(radicand.above, numbers.divide(1, below))
        root = polynomials.letter(root_letter(inside, index))
        self.beside.append((polynomials.subtract(polynomials.power(root, index), inside), "="))
        if index % 2 == 0:
            self.beside.append((root, "≥"))
        return Ratio(root)

    def _with_exponent(self, base: Number, exponent: Ratio) -> Ratio:
        """b^(m·x/d + n) by a letter for b^(x/d), or for the same power of the number b is a power of."""
        below = polynomials.constant(exponent.below)
        if below is None:
            raise CannotTell("a letter in a denominator in an exponent")
        smallest, times = smallest_base(base)
        found, down = ONE, ONE
        for monomial, value in exponent.above.items():
            found_factor = numbers.divide(value * times, below)
            if sum(count for _, count in monomial) > 1 or not isinstance(found_factor, int | Fraction):
                raise CannotTell("an exponent that is not m·x + n with rational numbers m and n")
            factor = Fraction(found_factor)
            if abs(factor) > _LARGEST_EXPONENT:
                raise CannotTell("an exponent is too large")
            top, over = factor.as_integer_ratio()
            if not monomial:
                raised = numbers.ratio(smallest**top, 1)
                found = polynomials.scale(found, raised if over == 1 else numbers.exact_root(raised, over))
                continue
            root = polynomials.letter(power_letter(smallest, monomial[0][0], over))
            self.beside.append((root, ">"))
            if top > 0:
                found = polynomials.multiply(found, polynomials.power(root, top))
            else:
                down = polynomials.multiply(down, polynomials.power(root, -top))
        return _times(Ratio(found), Ratio(ONE, down))

    def _apply(self, function: str, arguments: tuple[Node, ...]) -> Ratio:
        if function in formula.NAMED:
            raise CannotTell(f"nobody says what the function {function} is")
        if function == "discriminant" and len(arguments) == 1:
            return Ratio(self._discriminant(arguments[0]))
        values = [_value(self.ratio(argument)) for argument in arguments]
        if function in {"min", "max"}:
            best = values[0]
            for value in values[1:]:
                if (numbers.sign(value - best) > 0) == (function == "max"):
                    best = value
            return Ratio(polynomials.number(best))
        whole = [value for value in values if isinstance(value, int)]
        if function not in {"gcd", "lcm"} or len(whole) != len(values):
            raise CannotTell(f"{function} of what are not whole numbers")
        return Ratio(polynomials.number(gcd(*whole) if function == "gcd" else lcm(*whole)))

    def _discriminant(self, argument: Node) -> Polynomial:
        name = self.scope.of_discriminant(argument)
        if isinstance(argument, formula.Relation) and argument.sign == "=":
            argument = formula.sum_of([("+", argument.left), ("-", argument.right)])
        inner = self.ratio(argument)
        below = polynomials.constant(inner.below)
        if not name or below is None:
            raise CannotTell("it is not plain in which letter the discriminant is meant")
        parts = polynomials.by_powers(polynomials.scale(inner.above, numbers.divide(1, below)), name)
        if max(parts, default=0) != 2:
            raise CannotTell("the discriminant of what is no quadratic")
        first, second, third = (parts.get(exponent, {}) for exponent in (2, 1, 0))
        mixed = polynomials.scale(polynomials.multiply(first, third), 4)
        return polynomials.subtract(polynomials.multiply(second, second), mixed)


def expression(node: Node, scope: Scope = NOWHERE) -> list[Ratio]:
    """What an expression is; two quotients where it shows ±, the upper sign first.

    Raises CannotTell for statements, roots of letters, and what is over a bound.
    """
    return [Reading(scope, sign, []).plain(node) for sign in either_signs(node)]


def either_signs(node: Node) -> tuple[int, ...]:
    """What ± can stand for in the readings of a formula: its two signs, or one reading without it."""
    return (1, -1) if formula.has_either_sign(node) else (0,)


def _decimal(text: str) -> Number:
    value = Fraction(text)
    return value.numerator if value.denominator == 1 else value


def plus(first: Ratio, second: Ratio, factor: int) -> Ratio:
    """first + factor·second."""
    if first.below == second.below:
        above = polynomials.add(first.above, polynomials.scale(second.above, factor))
        return Ratio(above, first.below)
    left = polynomials.multiply(first.above, second.below)
    right = polynomials.scale(polynomials.multiply(second.above, first.below), factor)
    return Ratio(polynomials.add(left, right), polynomials.multiply(first.below, second.below))


def _times(first: Ratio, second: Ratio) -> Ratio:
    above = polynomials.multiply(first.above, second.above)
    below = polynomials.multiply(first.below, second.below)
    value = polynomials.constant(below)
    if value is not None and value != 1:
        return Ratio(polynomials.scale(above, numbers.divide(1, value)))
    return Ratio(above, below)


def _value(ratio: Ratio) -> Number:
    above, below = polynomials.constant(ratio.above), polynomials.constant(ratio.below)
    if above is None or below is None:
        raise CannotTell("a letter under a root, in an exponent or between bars")
    return numbers.divide(above, below)
