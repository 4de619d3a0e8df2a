"""Lines of generated code, and the arithmetic of whole numbers and rationals on them, intervals included."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from math import lcm

from itembank.expressions.code_values import (
    LARGEST_ARRAY_VALUE,
    LARGEST_CODE_BITS,
    NOUGHT,
    ONE,
    UNITY,
    Int,
    NotCompilable,
    Ratio,
    constant,
)


class Arithmetic:
    """Collects lines of code; each method takes code for values and returns code for a new one.

    names: name -> Ratio of the variables. arrays: for numpy arrays of 64 bits, else for Python's whole
    numbers.
    main_letter: the letter of `discriminant` where it has several. prefix: of the variables made here.
    """

    def __init__(
        self, names: Mapping[str, Ratio], *, arrays: bool = False, main_letter: str = "", prefix: str = "t"
    ) -> None:
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
        name = self.fresh_name()
        self.emit(f"{name} = {code}")
        self._known[code] = name
        return name

    @contextmanager
    def attempt(self) -> Iterator[None]:
        """Inside, what turns out not to be compilable half-way leaves nothing behind; NotCompilable goes on."""
        mark, known, indent, context = len(self.lines), dict(self._known), self.indent, self._context
        try:
            yield
        except NotCompilable:
            del self.lines[mark:]
            self._known, self.indent, self._context = known, indent, context
            raise

    def fresh_name(self) -> str:
        """A variable not used so far."""
        name = f"{self._prefix}{self._count}"
        self._count += 1
        return name

    def undefined_if(self, condition: str) -> None:
        """Where the condition holds, the expression has no value."""
        if self.arrays:
            where = condition if self._context == "True" else f"({self._context}) & ({condition})"
            self.emit(f"undefined = undefined | ({where})")
        else:
            self.emit(f"if {condition}: return None")

    def bounded(self, code: str, low: int, high: int) -> Int:
        """Code for a whole number in [low, high]. Raises NotCompilable where it might not fit."""
        largest = max(abs(low), abs(high))
        if self.arrays and largest >= LARGEST_ARRAY_VALUE:
            raise NotCompilable("a value may not fit 64 bits")
        if largest.bit_length() > LARGEST_CODE_BITS:
            raise NotCompilable(f"a value may have more than {LARGEST_CODE_BITS} bits")
        return constant(low) if low == high else Int(self.temporary(code), low, high)

    # whole numbers

    def add(self, first: Int, second: Int) -> Int:
        """first + second."""
        if first.low == first.high == 0:
            return second
        if second.low == second.high == 0:
            return first
        return self.bounded(f"{first.text} + {second.text}", first.low + second.low, first.high + second.high)

    def subtract(self, first: Int, second: Int) -> Int:
        """first - second."""
        if first.low == first.high == 0:
            return self.negate(second)
        if second.low == second.high == 0:
            return first
        return self.bounded(f"{first.text} - {second.text}", first.low - second.high, first.high - second.low)

    def negate(self, value: Int) -> Int:
        """-value."""
        return self.bounded(f"-{value.text}", -value.high, -value.low)

    def multiply(self, first: Int, second: Int) -> Int:
        """first * second."""
        if first.low == first.high == 1:
            return second
        if second.low == second.high == 1:
            return first
        products = [a * b for a in (first.low, first.high) for b in (second.low, second.high)]
        low, high = min(products), max(products)
        if first.text == second.text:
            squares = (first.low * first.low, first.high * first.high)
            low = 0 if first.may_vanish else min(squares)
        return self.bounded(f"{first.text} * {second.text}", low, high)

    def absolute(self, value: Int) -> Int:
        """The value without its sign."""
        if value.low >= 0:
            return value
        low = 0 if value.high >= 0 else -value.high
        return self.bounded(f"abs({value.text})", low, value.reach)

    def sign(self, value: Int) -> str:
        """Code that is 1 for positive and -1 for negative values, and one of -1, 0, 1 for 0."""
        if self.arrays:
            return self.temporary(f"np.sign({value.text})")
        return self.temporary(f"1 if {value.text} > 0 else -1")

    def divisor(self, value: Int) -> Int:
        """The value to divide by; undefined where it is 0, which arrays replace by 1 to go on."""
        if not value.may_vanish:
            return value
        self.undefined_if(f"{value.text} == 0")
        if not self.arrays or value.is_fixed:
            return value
        safe = self.temporary(f"np.where({value.text} == 0, 1, {value.text})")
        return Int(safe, value.low, max(value.high, 1))

    # rationals

    def ratio(self, n: Int, d: Int) -> Ratio:
        """n / d with the sign moved up; undefined where d = 0."""
        if d.low == d.high == 0:
            self.divisor(d)
            return Ratio(n, ONE)
        d = self.divisor(d)
        if d.low >= 0:
            return Ratio(n, Int(d.text, max(d.low, 1), d.high))
        if d.high < 0 or (d.high == 0 and not self.arrays):
            below = self.negate(d)
            return Ratio(self.negate(n), Int(below.text, max(below.low, 1), below.high))
        sign = self.sign(d)
        up = n if n.low == n.high == 0 else self.bounded(f"{n.text} * {sign}", -n.reach, n.reach)
        return Ratio(up, self.bounded(f"{d.text} * {sign}", 1, d.reach))

    def ratio_add(self, first: Ratio, second: Ratio) -> Ratio:
        """first + second."""
        if first.is_zero:
            return second
        if second.is_zero:
            return first
        if first.d.text == second.d.text:
            return Ratio(self.add(first.n, second.n), first.d)
        if first.d.is_fixed and second.d.is_fixed:
            up1, up2, common = self.over_fixed(first, second)
            return Ratio(self.add(up1, up2), common)
        up = self.add(self.multiply(first.n, second.d), self.multiply(second.n, first.d))
        return Ratio(up, self.multiply(first.d, second.d))

    def ratio_subtract(self, first: Ratio, second: Ratio) -> Ratio:
        """first - second."""
        if first.d.text == second.d.text and not (first.is_zero or second.is_zero):
            return Ratio(self.subtract(first.n, second.n), first.d)
        return self.ratio_add(first, self.ratio_negate(second))

    def over_fixed(self, first: Ratio, second: Ratio) -> tuple[Int, Int, Int]:
        """The numerators of two ratios with fixed denominators over the least common one, and that one."""
        common = lcm(first.d.low, second.d.low)
        up1 = self.multiply(first.n, constant(common // first.d.low))
        up2 = self.multiply(second.n, constant(common // second.d.low))
        return up1, up2, constant(common)

    def ratio_negate(self, value: Ratio) -> Ratio:
        """-value."""
        return Ratio(self.negate(value.n), value.d)

    def ratio_multiply(self, first: Ratio, second: Ratio) -> Ratio:
        """first * second."""
        if first.is_zero or second.is_zero:
            return NOUGHT
        return Ratio(self.multiply(first.n, second.n), self.multiply(first.d, second.d))

    def ratio_divide(self, first: Ratio, second: Ratio) -> Ratio:
        """first / second; undefined where second = 0."""
        return self.ratio(self.multiply(first.n, second.d), self.multiply(first.d, second.n))

    def ratio_power(self, base: Ratio, exponent: int) -> Ratio:
        """base ^ exponent for a fixed exponent >= 1."""
        result = base
        for _ in range(exponent - 1):
            result = self.ratio_multiply(result, base)
        return result

    def inverse(self, value: Ratio) -> Ratio:
        """1 / value; undefined where it is 0."""
        return self.ratio_divide(UNITY, value)

    def reduced(self, value: Ratio) -> Ratio:
        """The same in lowest terms."""
        if value.is_whole:
            return value
        gcd = "np.gcd" if self.arrays else "gcd"
        common = self.temporary(f"{gcd}({value.n.text}, {value.d.text})")
        up = self.bounded(f"{value.n.text} // {common}", min(value.n.low, 0), max(value.n.high, 0))
        return Ratio(up, self.bounded(f"{value.d.text} // {common}", 1, value.d.high))

    def whole(self, value: Ratio) -> Int:
        """The whole number a ratio must be; undefined elsewhere."""
        if value.is_whole:
            return value.n
        self.undefined_if(f"{value.n.text} % {value.d.text} != 0")
        return self.bounded(f"{value.n.text} // {value.d.text}", min(value.n.low, 0), max(value.n.high, 0))
