"""Integer code for rational expressions: the four operations, whole powers and the arithmetic functions."""

from __future__ import annotations

from fractions import Fraction

from itembank.expressions import tree
from itembank.expressions.code_arithmetic import Arithmetic
from itembank.expressions.code_values import NOUGHT, ONE, UNITY, Int, NotCompilable, Ratio, constant
from itembank.expressions.tree import Node
from itembank.expressions.vocabulary import PROPERTY_NAMES

LARGEST_EXPONENT = 64


class RationalCode(Arithmetic):
    """Reads trees whose value is rational."""

    def rational(self, node: Node) -> Ratio:
        """Code for a rational expression. Raises NotCompilable for one that may be irrational."""
        match node:
            case tree.Number(value):
                return Ratio(self._fixed(value.numerator), self._fixed(value.denominator))
            case tree.Name(name):
                if name not in self.names:
                    raise NotCompilable(f"`{name}` has no value")
                return self.names[name]
            case tree.Negation(operand):
                return self.ratio_negate(self.rational(operand))
            case tree.Sum(first, rest):
                return self._sum(first, rest)
            case tree.Product(factors):
                product = UNITY
                for factor in factors:
                    product = self.ratio_multiply(product, self.rational(factor))
                return product
            case tree.Quotient(numerator, denominator):
                return self.ratio_divide(self.rational(numerator), self.rational(denominator))
            case tree.Power(base, exponent):
                return self._power(self.rational(base), self.rational(exponent))
            case tree.Call(function, arguments):
                return self._call(function, arguments)
            case _:
                raise NotCompilable("not a rational expression")

    def _fixed(self, value: int) -> Int:
        return self.bounded(str(value), value, value)

    def _sum(self, first: Node, rest: tuple[tuple[str, Node], ...]) -> Ratio:
        total = self.rational(first)
        for operator, term in rest:
            if operator == "±":
                raise NotCompilable("± has two values")
            part = self.rational(term)
            total = self.ratio_add(total, part) if operator == "+" else self.ratio_subtract(total, part)
        return total

    def _power(self, base: Ratio, exponent: Ratio) -> Ratio:
        if not exponent.is_fixed and not exponent.is_whole:
            raise NotCompilable("an exponent that may be a fraction")
        if not exponent.is_fixed:
            return self._variable_power(base, self.whole(exponent))
        power = Fraction(exponent.n.low, exponent.d.low)
        if power.denominator != 1 or abs(power) > LARGEST_EXPONENT:
            raise NotCompilable(f"an exponent that is no whole number up to {LARGEST_EXPONENT}")
        if power == 0:
            if base.n.may_vanish:
                self.undefined_if(f"{base.n.text} == 0")
            return UNITY
        return self.ratio_power(self.inverse(base) if power < 0 else base, abs(power.numerator))

    def _variable_power(self, base: Ratio, exponent: Int) -> Ratio:
        if exponent.low < 0 or exponent.high > LARGEST_EXPONENT:
            raise NotCompilable(f"a variable exponent below 0 or above {LARGEST_EXPONENT}")
        if base.n.may_vanish and exponent.low == 0:
            self.undefined_if(f"({base.n.text} == 0) & ({exponent.text} == 0)")
        return Ratio(self._raised(base.n, exponent), self._raised(base.d, exponent))

    def _raised(self, base: Int, exponent: Int) -> Int:
        if base.low == base.high == 1:
            return ONE
        reach = max(base.reach, 1) ** exponent.high
        low = -reach if base.low < 0 else min(base.low, 1)
        return self.bounded(f"{base.text} ** {exponent.text}", low, reach)

    def _call(self, function: str, arguments: tuple[Node, ...]) -> Ratio:
        if function in {"keep", "value", "expand", "factor"}:
            return self.rational(arguments[0])
        if function in {"sqrt", "surd", "root"}:
            raise NotCompilable("a root")
        if function in PROPERTY_NAMES:
            raise NotCompilable("a property is true or false, no number")
        return self._arithmetic(function, [self.rational(argument) for argument in arguments])

    def _arithmetic(self, function: str, values: list[Ratio]) -> Ratio:
        match function:
            case "abs":
                return Ratio(self.absolute(values[0].n), values[0].d)
            case "gcd" | "lcm":
                return Ratio(self._folded(function, [self.whole(value) for value in values]), ONE)
            case "min" | "max":
                result = values[0]
                for value in values[1:]:
                    result = self._extreme(function, result, value)
                return result
            case "mod":
                return self._remainder(values[0], values[1])
            case "numerator":
                return Ratio(self.reduced(values[0]).n, ONE)
            case "denominator":
                return Ratio(self.reduced(values[0]).d, ONE)
            case "round":
                return self._rounded(values[0], values[1] if len(values) > 1 else NOUGHT)
            case _:
                raise NotCompilable(f"`{function}` in integer code")

    def _folded(self, function: str, values: list[Int]) -> Int:
        name = f"np.{function}" if self.arrays else function
        result = self.absolute(values[0])
        for value in values[1:]:
            reach = result.reach * value.reach if function == "lcm" else max(result.reach, value.reach)
            result = self.bounded(f"{name}({result.text}, {value.text})", 0, reach)
        return result

    def _extreme(self, function: str, first: Ratio, second: Ratio) -> Ratio:
        if not (first.d.is_fixed and second.d.is_fixed):
            raise NotCompilable("the larger of two fractions with variable denominators")
        up1, up2, common = self.over_fixed(first, second)
        chosen = min if function == "min" else max
        name = {"min": "np.minimum", "max": "np.maximum"}[function] if self.arrays else function
        low, high = chosen(up1.low, up2.low), chosen(up1.high, up2.high)
        return Ratio(self.bounded(f"{name}({up1.text}, {up2.text})", low, high), common)

    def _remainder(self, first: Ratio, second: Ratio) -> Ratio:
        """(n1/d1) mod (n2/d2) is (n1*d2 mod n2*d1) / (d1*d2), with the divisor's sign."""
        below = self.multiply(second.n, first.d)
        if below.low == below.high == 0:
            self.divisor(below)
            return NOUGHT
        divisor = self.divisor(below)
        value = self.multiply(first.n, second.d)
        low = 0 if divisor.low >= 0 else divisor.low
        high = 0 if divisor.high <= 0 else divisor.high
        return Ratio(
            self.bounded(f"{value.text} % {divisor.text}", low, high), self.multiply(first.d, second.d)
        )

    def _rounded(self, value: Ratio, places: Ratio) -> Ratio:
        """Half away from zero: the sign times floor((2*|n|*10^places + d) / (2*d)), over 10^places."""
        if not (places.is_fixed and places.is_whole and 0 <= places.n.low <= 12):
            raise NotCompilable("a variable number of places")
        ten = constant(10**places.n.low)
        doubled = self.multiply(value.n, constant(2 * ten.low))
        size, d = self.absolute(doubled), value.d
        high = (size.high + d.high) // (2 * d.low) + 1
        rounded = self.bounded(f"({size.text} + {d.text}) // (2 * {d.text})", 0, high)
        if doubled.low >= 0:
            return Ratio(rounded, ten)
        sign = self.sign(doubled)
        return Ratio(self.bounded(f"{sign} * {rounded.text}", -rounded.high, rounded.high), ten)
