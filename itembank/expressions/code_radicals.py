"""Integer code for numbers with one square root, and for pairs of them with ±."""

from __future__ import annotations

from itembank.expressions import tree
from itembank.expressions.code_polynomials import PolynomialCode
from itembank.expressions.code_values import NOUGHT, UNITY, Int, NotCompilable, Radical, Ratio
from itembank.expressions.tree import Node

LARGEST_EXPONENT = 12


class RadicalCode(PolynomialCode):
    """Reads trees whose value is rational + coefficient * sqrt(radicand)."""

    def radical(self, node: Node) -> Radical:
        """Code for rational + coefficient * sqrt(radicand), or such a pair; else raises NotCompilable."""
        match node:
            case tree.Call("sqrt" | "surd", (inner,)):
                return Radical(NOUGHT, UNITY, self._radicand(self.rational(inner)))
            case tree.Call("keep" | "value", (inner,)):
                return self.radical(inner)
            case tree.Negation(operand):
                return self._opposite(self.radical(operand))
            case tree.PlusMinus(operand):
                return self._paired(_plain(NOUGHT), self.radical(operand))
            case tree.Sum(first, rest):
                total = self.radical(first)
                for operator, term in rest:
                    total = self._joined(total, operator, self.radical(term))
                return total
            case tree.Product(factors):
                return self._product_of([self.radical(factor) for factor in factors])
            case tree.Quotient(numerator, denominator):
                return self._times(self.radical(numerator), self._inverse(self.radical(denominator)))
            case tree.Power(base, tree.Number(value)) if (
                value.denominator == 1 and 0 < value <= LARGEST_EXPONENT
            ):
                return self._product_of([self.radical(base)] * value.numerator)
            case _:
                return _plain(self.rational(node))

    def _radicand(self, value: Ratio) -> Ratio:
        if value.n.low >= 0:
            return value
        self.undefined_if(f"{value.n.text} < 0")
        return Ratio(Int(value.n.text, 0, max(value.n.high, 0)), value.d)

    def _opposite(self, value: Radical) -> Radical:
        rational, coefficient = self.ratio_negate(value.rational), self.ratio_negate(value.coefficient)
        return Radical(rational, coefficient, value.radicand, value.both)

    def _scaled(self, value: Radical, factor: Ratio) -> Radical:
        rational = self.ratio_multiply(value.rational, factor)
        coefficient = self.ratio_multiply(value.coefficient, factor)
        return Radical(rational, coefficient, value.radicand, value.both)

    def _joined(self, first: Radical, operator: str, second: Radical) -> Radical:
        if operator == "±":
            return self._paired(first, second)
        return self._plus(first, second if operator == "+" else self._opposite(second))

    def _paired(self, before: Radical, part: Radical) -> Radical:
        if before.both or part.both or not before.coefficient.is_zero:
            raise NotCompilable("a surd beside ±")
        if part.coefficient.is_zero:
            return Radical(before.rational, part.rational, UNITY, True)
        if not part.rational.is_zero:
            raise NotCompilable("a sum after ±")
        return Radical(before.rational, part.coefficient, part.radicand, True)

    def _plus(self, first: Radical, second: Radical) -> Radical:
        rational = self.ratio_add(first.rational, second.rational)
        if second.coefficient.is_zero:
            return Radical(rational, first.coefficient, first.radicand, first.both)
        if first.coefficient.is_zero:
            return Radical(rational, second.coefficient, second.radicand, second.both)
        if first.radicand != second.radicand or first.both or second.both:
            raise NotCompilable("roots of different numbers")
        return Radical(rational, self.ratio_add(first.coefficient, second.coefficient), first.radicand)

    def _product_of(self, factors: list[Radical]) -> Radical:
        product = factors[0]
        for factor in factors[1:]:
            product = self._times(product, factor)
        return product

    def _times(self, first: Radical, second: Radical) -> Radical:
        if second.coefficient.is_zero:
            return self._scaled(first, second.rational)
        if first.coefficient.is_zero:
            return self._scaled(second, first.rational)
        if first.both or second.both:
            raise NotCompilable("a product with ± and a root")
        both = self.ratio_multiply(first.coefficient, second.coefficient)
        if first.radicand == second.radicand:
            straight = self.ratio_multiply(first.rational, second.rational)
            rational = self.ratio_add(straight, self.ratio_multiply(both, first.radicand))
            left = self.ratio_multiply(first.rational, second.coefficient)
            right = self.ratio_multiply(first.coefficient, second.rational)
            return Radical(rational, self.ratio_add(left, right), first.radicand)
        if first.rational.is_zero and second.rational.is_zero:
            return Radical(NOUGHT, both, self.ratio_multiply(first.radicand, second.radicand))
        raise NotCompilable("roots of different numbers")

    def _inverse(self, value: Radical) -> Radical:
        """1/(p + q*sqrt(r)) = (p - q*sqrt(r)) / (p^2 - q^2*r)."""
        if value.coefficient.is_zero:
            return _plain(self.inverse(value.rational))
        if value.both:
            raise NotCompilable("± in a denominator")
        square = self.ratio_multiply(
            self.ratio_multiply(value.coefficient, value.coefficient), value.radicand
        )
        norm = self.ratio_subtract(self.ratio_multiply(value.rational, value.rational), square)
        if norm.n.may_vanish and not value.rational.is_zero:
            raise NotCompilable("a denominator that may vanish")  # or its conjugate may, which is no harm
        rational = self.ratio_divide(value.rational, norm)
        return Radical(
            rational, self.ratio_divide(self.ratio_negate(value.coefficient), norm), value.radicand
        )


def _plain(value: Ratio) -> Radical:
    return Radical(value, NOUGHT, UNITY)
