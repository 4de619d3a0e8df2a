"""The integer reading: a tree as straight-line Python on whole numbers, for the search.

What is generated holds none of an author's letters: names become v0, v1, ...; every rational is a pair of whole
numbers with a positive denominator, so nothing is ever divided and nothing rounded. Each value carries the
interval it must lie in, which tells where a guard is needed and, for arrays, that 64 bits suffice.

Two dialects share the rules: `scalar` (Python ints; an undefined expression makes the function return None) and
`array` (numpy int64; undefined places are struck out by a mask).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

from itembank.errors import ItembankError
from itembank.expressions import tree
from itembank.expressions.tree import Node
from itembank.expressions.vocabulary import PROPERTY_NAMES

LARGEST_ARRAY_VALUE = 2**62
LARGEST_CODE_BITS = 4_000


class NotCompilable(ItembankError):
    """The tree is outside what integer code covers (roots of different radicands, high powers); use `exact`."""


@dataclass(frozen=True, slots=True)
class Int:
    """Code for a whole number that lies in [low, high]."""

    text: str
    low: int
    high: int


@dataclass(frozen=True, slots=True)
class Ratio:
    """numerator / denominator, denominator >= 1."""

    n: Int
    d: Int


@dataclass(frozen=True, slots=True)
class Radical:
    """rational + coefficient * sqrt(radicand); with `both`, the pair with either sign."""

    rational: Ratio
    coefficient: Ratio
    radicand: Ratio
    both: bool = False


def constant(value: int) -> Int:
    """Code for a fixed number."""
    return Int(str(value) if value >= 0 else f"({value})", value, value)


ZERO, ONE = constant(0), constant(1)
NOUGHT, UNITY = Ratio(ZERO, ONE), Ratio(ONE, ONE)


class Emitter:
    """Collects lines of code; each method reads a tree and returns code for its value.

    names: name -> Ratio of the variables. main_letter: the letter of `discriminant` where it has several.
    """

    def __init__(self, names: Mapping[str, Ratio], *, arrays: bool = False, main_letter: str = "", prefix: str = "t"):
        self.names = dict(names)
        self.arrays = arrays
        self.main_letter = main_letter
        self.lines: list[str] = []
        self.indent = 1
        self._known: dict[str, str] = {}
        self._count = 0
        self._prefix = prefix
        self._context = "True"

    # lines

    def emit(self, line: str) -> None:
        """Adds one line at the present depth."""
        self.lines.append("    " * self.indent + line)

    def temporary(self, code: str) -> str:
        """A variable that holds the value of `code`; the same code is worked out once."""
        if code in self._known:
            return self._known[code]
        name = f"{self._prefix}{self._count}"
        self._count += 1
        self.emit(f"{name} = {code}")
        self._known[code] = name
        return name

    def undefined_if(self, condition: str) -> None:
        """Where the condition holds, the expression has no value."""
        if self.arrays:
            where = condition if self._context == "True" else f"({self._context}) & ({condition})"
            self.emit(f"undefined = undefined | ({where})")
        else:
            self.emit(f"if {condition}: return None")

    def _int(self, code: str, low: int, high: int) -> Int:
        if low == high:
            return constant(low)
        largest = max(abs(low), abs(high))
        if self.arrays and largest >= LARGEST_ARRAY_VALUE:
            raise NotCompilable("a value may not fit 64 bits")
        if largest.bit_length() > LARGEST_CODE_BITS:
            raise NotCompilable("a value may have more than 1000 digits")
        return Int(self.temporary(code), low, high)

    # whole numbers

    def add(self, first: Int, second: Int) -> Int:
        """first + second."""
        if first.low == first.high == 0:
            return second
        if second.low == second.high == 0:
            return first
        return self._int(f"{first.text} + {second.text}", first.low + second.low, first.high + second.high)

    def negate(self, value: Int) -> Int:
        """-value."""
        return self._int(f"-{value.text}", -value.high, -value.low)

    def multiply(self, first: Int, second: Int) -> Int:
        """first * second."""
        if first.low == first.high == 1:
            return second
        if second.low == second.high == 1:
            return first
        if first.text == second.text:
            bounds = (first.low * first.low, first.high * first.high)
            low = 0 if first.low <= 0 <= first.high else min(bounds)
            return self._int(f"{first.text} * {first.text}", low, max(bounds))
        products = [a * b for a in (first.low, first.high) for b in (second.low, second.high)]
        return self._int(f"{first.text} * {second.text}", min(products), max(products))

    # rationals

    def ratio(self, n: Int, d: Int) -> Ratio:
        """n / d with the sign moved up; undefined where d = 0."""
        if d.low <= 0 <= d.high:
            self.undefined_if(f"{d.text} == 0")
        if d.low > 0 or (d.low == 0 and d.high > 0):
            return Ratio(n, Int(d.text, max(d.low, 1), d.high))
        if d.high <= 0:
            positive = self.negate(d)
            return Ratio(self.negate(n), Int(positive.text, max(positive.low, 1), positive.high))
        if self.arrays:
            sign = self.temporary(f"np.sign({d.text})")
        else:
            sign = self.temporary(f"1 if {d.text} > 0 else -1")
        reach = max(abs(n.low), abs(n.high))
        up = self._int(f"{n.text} * {sign}", -reach, reach) if (n.low, n.high) != (0, 0) else ZERO
        below = self._int(f"{d.text} * {sign}", 1, max(abs(d.low), abs(d.high)))
        return Ratio(up, below)

    def ratio_add(self, first: Ratio, second: Ratio) -> Ratio:
        """first + second."""
        if first.d.text == second.d.text:
            return Ratio(self.add(first.n, second.n), first.d)
        if _fixed(first.d) and _fixed(second.d):
            common = lcm(first.d.low, second.d.low)
            up1 = self.multiply(first.n, constant(common // first.d.low))
            up2 = self.multiply(second.n, constant(common // second.d.low))
            return Ratio(self.add(up1, up2), constant(common))
        up = self.add(self.multiply(first.n, second.d), self.multiply(second.n, first.d))
        return Ratio(up, self.multiply(first.d, second.d))

    def ratio_negate(self, value: Ratio) -> Ratio:
        """-value."""
        return Ratio(self.negate(value.n), value.d)

    def ratio_multiply(self, first: Ratio, second: Ratio) -> Ratio:
        """first * second."""
        if _is_zero(first) or _is_zero(second):
            return NOUGHT
        return Ratio(self.multiply(first.n, second.n), self.multiply(first.d, second.d))

    def ratio_divide(self, first: Ratio, second: Ratio) -> Ratio:
        """first / second."""
        return self.ratio(self.multiply(first.n, second.d), self.multiply(first.d, second.n))

    def reduced(self, value: Ratio) -> Ratio:
        """The same in lowest terms."""
        if _fixed(value.d) and value.d.low == 1:
            return value
        gcd = "np.gcd" if self.arrays else "gcd"
        common = self.temporary(f"{gcd}({value.n.text}, {value.d.text})")
        up = self._int(f"{value.n.text} // {common}", min(value.n.low, 0), max(value.n.high, 0))
        return Ratio(up, self._int(f"{value.d.text} // {common}", 1, value.d.high))

    def whole(self, value: Ratio) -> Int:
        """The whole number a ratio must be; undefined elsewhere."""
        if _fixed(value.d) and value.d.low == 1:
            return value.n
        self.undefined_if(f"{value.n.text} % {value.d.text} != 0")
        return self._int(f"{value.n.text} // {value.d.text}", min(value.n.low, 0), max(value.n.high, 0))

    def rational(self, node: Node) -> Ratio:
        """Code for a rational expression. Raises NotCompilable for one that may be irrational."""
        match node:
            case tree.Number(value):
                return Ratio(constant(value.numerator), constant(value.denominator))
            case tree.Name(name):
                if name not in self.names:
                    raise NotCompilable(f"`{name}` has no value")
                return self.names[name]
            case tree.Negation(operand):
                return self.ratio_negate(self.rational(operand))
            case tree.Sum(first, rest):
                total = self.rational(first)
                for operator, term in rest:
                    if operator == "±":
                        raise NotCompilable("± has two values")
                    part = self.rational(term)
                    total = self.ratio_add(total, part if operator == "+" else self.ratio_negate(part))
                return total
            case tree.Product(factors):
                product = UNITY
                for factor in factors:
                    product = self.ratio_multiply(product, self.rational(factor))
                return product
            case tree.Quotient(numerator, denominator):
                return self.ratio_divide(self.rational(numerator), self.rational(denominator))
            case tree.Power(base, exponent):
                return self._power(base, exponent)
            case tree.Call(function, arguments):
                return self._call(function, arguments)
            case _:
                raise NotCompilable("not a rational expression")

    def _power(self, base: Node, exponent: Node) -> Ratio:
        value = self.rational(base)
        raised = self.rational(exponent)
        if not (_fixed(raised.n) and _fixed(raised.d)):
            return self._variable_power(value, raised)
        power = Fraction(raised.n.low, raised.d.low)
        if power.denominator != 1 or abs(power) > 64:
            raise NotCompilable("an exponent that is no whole number up to 64")
        if power < 0:
            value = self.ratio_divide(UNITY, value)
        result = UNITY
        for _ in range(abs(power.numerator)):
            result = self.ratio_multiply(result, value) if result is not UNITY else value
        if power == 0 and value.n.low <= 0 <= value.n.high:
            self.undefined_if(f"{value.n.text} == 0")
        return result

    def _variable_power(self, value: Ratio, raised: Ratio) -> Ratio:
        exponent = self.whole(raised)
        if exponent.low < 0 or exponent.high > 64:
            raise NotCompilable("a variable exponent below 0 or above 64")
        if value.n.low <= 0 <= value.n.high and exponent.low == 0:
            self.undefined_if(f"({value.n.text} == 0) & ({exponent.text} == 0)")
        return Ratio(self._raise(value.n, exponent), self._raise(value.d, exponent))

    def _raise(self, base: Int, exponent: Int) -> Int:
        if base.low == base.high == 1:
            return ONE
        reach = max(abs(base.low), abs(base.high), 1) ** exponent.high
        return self._int(f"{base.text} ** {exponent.text}", -reach if base.low < 0 else 0, reach)

    def _call(self, function: str, arguments: tuple[Node, ...]) -> Ratio:
        if function in {"keep", "value", "expand", "factor"}:
            return self.rational(arguments[0])
        if function == "discriminant":
            a, b, c = self.quadratic(arguments[0], self._letter(arguments[0]))
            four = Ratio(constant(4), ONE)
            product = self.ratio_multiply(four, self.ratio_multiply(a, c))
            return self.ratio_add(self.ratio_multiply(b, b), self.ratio_negate(product))
        if function in {"sqrt", "surd", "root"}:
            raise NotCompilable("a root")
        if function in PROPERTY_NAMES:
            raise NotCompilable("a property is true or false, no number")
        values = [self.rational(argument) for argument in arguments]
        match function:
            case "abs":
                return Ratio(self._absolute(values[0].n), values[0].d)
            case "gcd" | "lcm":
                return Ratio(self._folded(function, [self.whole(value) for value in values]), ONE)
            case "min" | "max":
                result = values[0]
                for value in values[1:]:
                    result = self._extreme(function, result, value)
                return result
            case "mod":
                return self._modulo(values[0], values[1])
            case "numerator":
                return Ratio(self.reduced(values[0]).n, ONE)
            case "denominator":
                return Ratio(self.reduced(values[0]).d, ONE)
            case "round":
                return self._rounded(values)
            case _:
                raise NotCompilable(f"`{function}` in integer code")

    def _absolute(self, value: Int) -> Int:
        if value.low >= 0:
            return value
        low = 0 if value.high >= 0 else -value.high
        return self._int(f"abs({value.text})", low, max(abs(value.low), abs(value.high)))

    def _folded(self, function: str, values: list[Int]) -> Int:
        if not self.arrays:
            reach = 1
            for value in values:
                reach *= max(abs(value.low), abs(value.high), 1)
            return self._int(f"{function}({', '.join(value.text for value in values)})", 0, reach)
        result = values[0]
        for value in values[1:]:
            first, second = (max(abs(part.low), abs(part.high)) for part in (result, value))
            reach = max(first, second) if function == "gcd" else first * second
            result = self._int(f"np.{function}({result.text}, {value.text})", 0, reach)
        return result

    def _extreme(self, function: str, first: Ratio, second: Ratio) -> Ratio:
        if not (_fixed(first.d) and _fixed(second.d)):
            raise NotCompilable("the larger of two fractions with variable denominators")
        common = lcm(first.d.low, second.d.low)
        up1 = self.multiply(first.n, constant(common // first.d.low))
        up2 = self.multiply(second.n, constant(common // second.d.low))
        chosen = {"min": min, "max": max}[function]
        name = {"min": "np.minimum", "max": "np.maximum"}[function] if self.arrays else function
        low, high = chosen(up1.low, up2.low), chosen(up1.high, up2.high)
        return Ratio(self._int(f"{name}({up1.text}, {up2.text})", low, high), constant(common))

    def _modulo(self, first: Ratio, second: Ratio) -> Ratio:
        divisor = self.multiply(second.n, first.d)
        value = self.multiply(first.n, second.d)
        if divisor.low <= 0 <= divisor.high:
            self.undefined_if(f"{divisor.text} == 0")
        reach = max(abs(divisor.low), abs(divisor.high))
        safe = divisor.text
        if self.arrays and divisor.low <= 0 <= divisor.high:
            safe = self.temporary(f"np.where({divisor.text} == 0, 1, {divisor.text})")
        low = 0 if divisor.low >= 0 else -reach
        high = 0 if divisor.high <= 0 else reach
        return Ratio(self._int(f"{value.text} % {safe}", low, high), self.multiply(first.d, second.d))

    def _rounded(self, values: list[Ratio]) -> Ratio:
        places = values[1] if len(values) > 1 else NOUGHT
        if not (_fixed(places.n) and _fixed(places.d) and 0 <= places.n.low <= 12 and places.d.low == 1):
            raise NotCompilable("a variable number of places")
        ten = 10**places.n.low
        n, d = self.multiply(values[0].n, constant(2 * ten)), values[0].d
        size = self._absolute(n)
        half_up = self._int(
            f"({size.text} + {d.text}) // (2 * {d.text})", 0, (size.high + d.high) // (2 * d.low) + 1
        )
        if n.low >= 0:
            return Ratio(half_up, constant(ten))
        sign = self.temporary(f"np.sign({n.text})" if self.arrays else f"(1 if {n.text} >= 0 else -1)")
        return Ratio(self._int(f"{sign} * {half_up.text}", -half_up.high, half_up.high), constant(ten))

    # polynomials in one letter

    def _letter(self, node: Node) -> str:
        free = [name for name in tree.names(node) if name not in self.names]
        if len(free) == 1:
            return free[0]
        if self.main_letter in free:
            return self.main_letter
        raise NotCompilable("a polynomial in more than one letter")

    def polynomial(self, node: Node, letter: str) -> dict[int, Ratio]:
        """exponent -> coefficient of a term, or of left - right of an equation, in one letter."""
        match node:
            case tree.Relation(operands, ("=",)):
                left, right = (self.polynomial(operand, letter) for operand in operands)
                return self._combine(left, {e: self.ratio_negate(c) for e, c in right.items()})
            case tree.Name(name) if name == letter:
                return {1: UNITY}
            case _ if letter not in tree.names(node):
                return {0: self.rational(node)}
            case tree.Negation(operand):
                return {e: self.ratio_negate(c) for e, c in self.polynomial(operand, letter).items()}
            case tree.Sum(first, rest):
                total = self.polynomial(first, letter)
                for operator, term in rest:
                    if operator == "±":
                        raise NotCompilable("± in a polynomial")
                    part = self.polynomial(term, letter)
                    if operator == "-":
                        part = {e: self.ratio_negate(c) for e, c in part.items()}
                    total = self._combine(total, part)
                return total
            case tree.Product(factors):
                product = {0: UNITY}
                for factor in factors:
                    product = self._multiply(product, self.polynomial(factor, letter))
                return product
            case tree.Quotient(numerator, denominator):
                below = self.ratio_divide(UNITY, self.rational(denominator))
                return {e: self.ratio_multiply(c, below) for e, c in self.polynomial(numerator, letter).items()}
            case tree.Power(base, tree.Number(value)) if value.denominator == 1 and 0 < value <= 6:
                inner = self.polynomial(base, letter)
                result = inner
                for _ in range(value.numerator - 1):
                    result = self._multiply(result, inner)
                return result
            case tree.Call(function, arguments) if function in {"keep", "value", "expand", "factor"}:
                return self.polynomial(arguments[0], letter)
            case _:
                raise NotCompilable("not a polynomial")

    def _combine(self, first: dict[int, Ratio], second: dict[int, Ratio]) -> dict[int, Ratio]:
        total = dict(first)
        for exponent, value in second.items():
            total[exponent] = self.ratio_add(total[exponent], value) if exponent in total else value
        return total

    def _multiply(self, first: dict[int, Ratio], second: dict[int, Ratio]) -> dict[int, Ratio]:
        total: dict[int, Ratio] = {}
        for e1, c1 in first.items():
            for e2, c2 in second.items():
                total = self._combine(total, {e1 + e2: self.ratio_multiply(c1, c2)})
        return total

    def quadratic(self, node: Node, letter: str) -> tuple[Ratio, Ratio, Ratio]:
        """(a, b, c) of a polynomial of degree at most 2."""
        parts = self.polynomial(node, letter)
        if any(exponent > 2 and not _is_zero(value) for exponent, value in parts.items()):
            raise NotCompilable("a degree above 2")
        return parts.get(2, NOUGHT), parts.get(1, NOUGHT), parts.get(0, NOUGHT)

    def common_denominator(self, values: tuple[Ratio, ...]) -> tuple[tuple[Int, ...], Int]:
        """Whole numerators of the values over one denominator >= 1."""
        if all(_fixed(value.d) for value in values):
            shared = constant(lcm(*(value.d.low for value in values)))
            return tuple(self.multiply(v.n, constant(shared.low // v.d.low)) for v in values), shared
        shared = ONE
        for text in dict.fromkeys(value.d.text for value in values):
            shared = self.multiply(shared, next(v.d for v in values if v.d.text == text))
        numerators = []
        for value in values:
            others = ONE
            for text in dict.fromkeys(v.d.text for v in values if v.d.text != value.d.text):
                others = self.multiply(others, next(v.d for v in values if v.d.text == text))
            numerators.append(self.multiply(value.n, others))
        return tuple(numerators), shared

    # roots

    def radical(self, node: Node) -> Radical:
        """Code for rational + coefficient * sqrt(radicand), or such a pair. Raises NotCompilable elsewhere."""
        match node:
            case tree.Call(function, arguments) if function in {"sqrt", "surd"}:
                inside = self.rational(arguments[0])
                if inside.n.low < 0:
                    self.undefined_if(f"{inside.n.text} < 0")
                    inside = Ratio(Int(inside.n.text, 0, max(inside.n.high, 0)), inside.d)
                return Radical(NOUGHT, UNITY, inside)
            case tree.Call(function, arguments) if function in {"keep", "value"}:
                return self.radical(arguments[0])
            case tree.Negation(operand):
                return self._scaled(self.radical(operand), Ratio(constant(-1), ONE))
            case tree.PlusMinus(operand):
                return self._paired(Radical(NOUGHT, NOUGHT, UNITY), self.radical(operand))
            case tree.Sum(first, rest):
                total = self.radical(first)
                for operator, term in rest:
                    part = self.radical(term)
                    if operator == "±":
                        total = self._paired(total, part)
                    else:
                        part = part if operator == "+" else self._scaled(part, Ratio(constant(-1), ONE))
                        total = self._radical_sum(total, part)
                return total
            case tree.Product(factors):
                product = Radical(UNITY, NOUGHT, UNITY)
                for factor in factors:
                    product = self._radical_product(product, self.radical(factor))
                return product
            case tree.Quotient(numerator, denominator):
                return self._radical_product(self.radical(numerator), self._inverse(self.radical(denominator)))
            case tree.Power(base, tree.Number(value)) if value.denominator == 1 and 0 < value <= 6:
                inner = self.radical(base)
                result = inner
                for _ in range(value.numerator - 1):
                    result = self._radical_product(result, inner)
                return result
            case _:
                return Radical(self.rational(node), NOUGHT, UNITY)

    def _scaled(self, value: Radical, factor: Ratio) -> Radical:
        return Radical(
            self.ratio_multiply(value.rational, factor), self.ratio_multiply(value.coefficient, factor),
            value.radicand, value.both,
        )  # fmt: skip

    def _paired(self, before: Radical, part: Radical) -> Radical:
        if not _is_zero(before.coefficient) or part.both:
            raise NotCompilable("a surd beside ±")
        if _is_zero(part.coefficient):
            return Radical(before.rational, part.rational, UNITY, True)
        if not _is_zero(part.rational):
            raise NotCompilable("a sum after ±")
        return Radical(before.rational, part.coefficient, part.radicand, True)

    def _radical_sum(self, first: Radical, second: Radical) -> Radical:
        rational = self.ratio_add(first.rational, second.rational)
        if _is_zero(second.coefficient):
            return Radical(rational, first.coefficient, first.radicand, first.both)
        if _is_zero(first.coefficient):
            return Radical(rational, second.coefficient, second.radicand, second.both)
        if first.radicand != second.radicand or first.both or second.both:
            raise NotCompilable("roots of different numbers")
        return Radical(rational, self.ratio_add(first.coefficient, second.coefficient), first.radicand)

    def _radical_product(self, first: Radical, second: Radical) -> Radical:
        if _is_zero(second.coefficient):
            return self._scaled(first, second.rational)
        if _is_zero(first.coefficient):
            return self._scaled(second, first.rational)
        if first.both or second.both:
            raise NotCompilable("a product with ± and a root")
        both = self.ratio_multiply(first.coefficient, second.coefficient)
        if first.radicand == second.radicand:
            rational = self.ratio_add(
                self.ratio_multiply(first.rational, second.rational), self.ratio_multiply(both, first.radicand)
            )
            cross = self.ratio_add(
                self.ratio_multiply(first.rational, second.coefficient),
                self.ratio_multiply(first.coefficient, second.rational),
            )
            return Radical(rational, cross, first.radicand)
        if _is_zero(first.rational) and _is_zero(second.rational):
            return Radical(NOUGHT, both, self.ratio_multiply(first.radicand, second.radicand))
        raise NotCompilable("roots of different numbers")

    def _inverse(self, value: Radical) -> Radical:
        if _is_zero(value.coefficient):
            return Radical(self.ratio_divide(UNITY, value.rational), NOUGHT, UNITY)
        if value.both:
            raise NotCompilable("± in a denominator")
        square = self.ratio_multiply(self.ratio_multiply(value.coefficient, value.coefficient), value.radicand)
        norm = self.ratio_add(self.ratio_multiply(value.rational, value.rational), self.ratio_negate(square))
        if norm.n.low <= 0 <= norm.n.high and not _is_zero(value.rational):
            raise NotCompilable("a denominator that may vanish")
        return Radical(
            self.ratio_divide(value.rational, norm), self.ratio_divide(self.ratio_negate(value.coefficient), norm),
            value.radicand,
        )  # fmt: skip

    # true or false

    def condition(self, node: Node) -> str:
        """Code that is true or false. In arrays a boolean array."""
        match node:
            case tree.And(parts):
                return self._chain(parts, "and")
            case tree.Or(parts):
                return self._chain(parts, "or")
            case tree.Not(part):
                inner = self.condition(part)
                return self.temporary(f"~({inner})" if self.arrays else f"not {inner}")
            case tree.Relation(operands, operators):
                values = [self.rational(operand) for operand in operands]
                checks = [
                    self._relation(first, operator, second)
                    for first, operator, second in zip(values, operators, values[1:], strict=False)
                ]
                joined = " & ".join(f"({check})" for check in checks) if self.arrays else " and ".join(checks)
                return self.temporary(joined)
            case tree.Call(function, arguments) if function in PROPERTY_NAMES:
                return self._property(function, arguments)
            case _:
                raise NotCompilable("a number stands where something true or false is needed")

    def _relation(self, first: Ratio, operator: str, second: Ratio) -> str:
        left, right = self.multiply(first.n, second.d), self.multiply(second.n, first.d)
        sign = {"=": "=="}.get(operator, operator)
        if _fixed(left) and _fixed(right) and self.arrays:
            truth = {"==": left.low == right.low, "!=": left.low != right.low, "<": left.low < right.low,
                     "<=": left.low <= right.low, ">": left.low > right.low, ">=": left.low >= right.low}[sign]  # fmt: skip
            return f"np.bool_({truth})"
        return f"{left.text} {sign} {right.text}"

    def _chain(self, parts: tuple[Node, ...], word: str) -> str:
        if self.arrays:
            return self._array_chain(parts, word)
        name = f"{self._prefix}{self._count}"
        self._count += 1
        depth, known = self.indent, dict(self._known)
        self.emit(f"{name} = {self.condition(parts[0])}")
        for part in parts[1:]:
            self.emit(f"if {name}:" if word == "and" else f"if not {name}:")
            self.indent += 1
            self.emit(f"{name} = {self.condition(part)}")
        self.indent, self._known = depth, known
        return name

    def _array_chain(self, parts: tuple[Node, ...], word: str) -> str:
        outer = self._context
        result = self.temporary(self.condition(parts[0]))
        for part in parts[1:]:
            here = result if word == "and" else f"~{result}"
            self._context = here if outer == "True" else f"({outer}) & {here}"
            sign = "&" if word == "and" else "|"
            result = self.temporary(f"{result} {sign} ({self.condition(part)})")
        self._context = outer
        return result

    def _property(self, name: str, arguments: tuple[Node, ...]) -> str:
        if name == "coprime":
            wholes = [self.whole(self.rational(argument)) for argument in arguments]
            given = [value.text for value in wholes]
        elif name == "reduced":
            given = [self.whole(self.rational(argument)).text for argument in arguments]
        elif self._is_polynomial(arguments[0]):
            numerators, shared = self.common_denominator(self.quadratic(arguments[0], self._letter(arguments[0])))
            given = [value.text for value in (*numerators, shared)]
        else:
            value = self.reduced(self.rational(arguments[0]))
            given = [value.n.text, value.d.text]
        return self.temporary(f"test_{name}({', '.join(given)})")

    def _is_polynomial(self, node: Node) -> bool:
        return any(name not in self.names for name in tree.names(node))


def _fixed(value: Int) -> bool:
    return value.low == value.high


def _is_zero(value: Ratio) -> bool:
    return value.n.low == value.n.high == 0
