"""Integer code for polynomials in one letter whose coefficients are rational expressions."""

from __future__ import annotations

from collections.abc import Iterable
from math import lcm

from itembank.expressions import tree
from itembank.expressions.code_rationals import RationalCode
from itembank.expressions.code_values import NOUGHT, ONE, UNITY, Int, NotCompilable, Ratio, constant
from itembank.expressions.tree import Node

LARGEST_DEGREE = 12


class PolynomialCode(RationalCode):
    """Reads trees that are polynomials in a letter without a value, and their discriminants."""

    def letter_of(self, node: Node) -> str:
        """The letter a tree is a polynomial in: its only name without a value, else the main letter."""
        free = [name for name in tree.names(node) if name not in self.names]
        if len(free) == 1:
            return free[0]
        if self.main_letter in free:
            return self.main_letter
        raise NotCompilable("a polynomial in more than one letter")

    def polynomial(self, node: Node, letter: str) -> dict[int, Ratio]:
        """exponent -> coefficient of a term, or of left - right of an equation, in one letter."""
        match node:
            case tree.Relation((left, right), ("=",)):
                return self._combined(self.polynomial(left, letter), "-", self.polynomial(right, letter))
            case tree.Name(name) if name == letter:
                return {1: UNITY}
            case _ if letter not in tree.names(node):
                return {0: self.rational(node)}
            case tree.Negation(operand):
                return {e: self.ratio_negate(c) for e, c in self.polynomial(operand, letter).items()}
            case tree.Sum(first, rest):
                total = self.polynomial(first, letter)
                for operator, term in rest:
                    total = self._combined(total, operator, self.polynomial(term, letter))
                return total
            case tree.Product(factors):
                return self._product([self.polynomial(factor, letter) for factor in factors])
            case tree.Quotient(numerator, denominator):
                below = self.inverse(self.rational(denominator))
                return {
                    e: self.ratio_multiply(c, below) for e, c in self.polynomial(numerator, letter).items()
                }
            case tree.Power(base, tree.Number(value)) if (
                value.denominator == 1 and 0 < value <= LARGEST_DEGREE
            ):
                return self._product([self.polynomial(base, letter)] * value.numerator)
            case tree.Call(function, (inner,)) if function in {"keep", "value", "expand", "factor"}:
                return self.polynomial(inner, letter)
            case _:
                raise NotCompilable("not a polynomial")

    def _combined(self, first: dict[int, Ratio], operator: str, second: dict[int, Ratio]) -> dict[int, Ratio]:
        if operator == "±":
            raise NotCompilable("± in a polynomial")
        total = dict(first)
        for exponent, value in second.items():
            part = value if operator == "+" else self.ratio_negate(value)
            total[exponent] = self.ratio_add(total[exponent], part) if exponent in total else part
        return total

    def _product(self, factors: list[dict[int, Ratio]]) -> dict[int, Ratio]:
        product = factors[0]
        for factor in factors[1:]:
            if max(product) + max(factor) > LARGEST_DEGREE:
                raise NotCompilable(f"a degree above {LARGEST_DEGREE}")
            total: dict[int, Ratio] = {}
            for e1, c1 in product.items():
                for e2, c2 in factor.items():
                    total = self._combined(total, "+", {e1 + e2: self.ratio_multiply(c1, c2)})
            product = total
        return product

    def quadratic(self, node: Node, letter: str) -> tuple[Ratio, Ratio, Ratio]:
        """(a, b, c) of a polynomial of degree at most 2."""
        parts = self.polynomial(node, letter)
        if any(exponent > 2 and not value.is_zero for exponent, value in parts.items()):
            raise NotCompilable("a degree above 2")
        return parts.get(2, NOUGHT), parts.get(1, NOUGHT), parts.get(0, NOUGHT)

    def common_denominator(self, values: tuple[Ratio, ...]) -> tuple[tuple[Int, ...], Int]:
        """Whole numerators of the values over one denominator >= 1."""
        if all(value.d.is_fixed for value in values):
            shared = lcm(*(value.d.low for value in values))
            return tuple(self.multiply(v.n, constant(shared // v.d.low)) for v in values), constant(shared)
        below = {value.d.text: value.d for value in values}
        numerators = tuple(
            self.multiply(value.n, self._all(d for text, d in below.items() if text != value.d.text))
            for value in values
        )
        return numerators, self._all(below.values())

    def _all(self, factors: Iterable[Int]) -> Int:
        product = ONE
        for factor in factors:
            product = self.multiply(product, factor)
        return product

    def _call(self, function: str, arguments: tuple[Node, ...]) -> Ratio:
        if function != "discriminant":
            return super()._call(function, arguments)
        a, b, c = self.quadratic(arguments[0], self.letter_of(arguments[0]))
        four = Ratio(constant(4), ONE)
        product = self.ratio_multiply(four, self.ratio_multiply(a, c))
        return self.ratio_subtract(self.ratio_multiply(b, b), product)
