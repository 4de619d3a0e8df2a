"""The integer reading: a tree as straight-line Python on whole numbers, for the search.

What is generated holds none of an author's letters: names become v0, v1, ...; every rational is a pair of
whole numbers with a positive denominator, so nothing is ever divided and nothing rounded. Each value
carries the interval it must lie in, which tells where a guard is needed and, for arrays, that 64 bits
suffice.

Two dialects share the rules: `scalar` (Python ints; an undefined expression makes the function return None)
and `array` (numpy int64; undefined places are struck out by a mask named `undefined`).

The reading is built in storeys: `code_values` (what code works on), `code_arithmetic` (lines, whole numbers,
rationals), `code_rationals`, `code_polynomials`, `code_radicals`, and here what is true or false.
"""

from __future__ import annotations

from itembank.expressions import tree
from itembank.expressions.code_radicals import RadicalCode
from itembank.expressions.code_values import (
    LARGEST_ARRAY_VALUE,
    LARGEST_CODE_BITS,
    NOUGHT,
    ONE,
    UNITY,
    ZERO,
    Int,
    NotCompilable,
    Radical,
    Ratio,
    constant,
)
from itembank.expressions.tree import Node
from itembank.expressions.vocabulary import NUMBER_PROPERTIES, POLYNOMIAL_PROPERTIES, PROPERTY_NAMES

__all__ = [
    "LARGEST_ARRAY_VALUE",
    "LARGEST_CODE_BITS",
    "NOUGHT",
    "ONE",
    "UNITY",
    "ZERO",
    "Emitter",
    "Int",
    "NotCompilable",
    "Radical",
    "Ratio",
    "constant",
]

_COMPARISONS = {"=": "==", "!=": "!=", "<": "<", "<=": "<=", ">": ">", ">=": ">="}


class Emitter(RadicalCode):
    """Collects lines of code; each method reads a tree and returns code for its value.

    >>> from itembank.expressions.parser import parse
    >>> emitter = Emitter({"h": Ratio(Int("v0", -9, 9), ONE)})
    >>> emitter.condition(parse("h^2 > 4"))
    't1'
    >>> emitter.lines
    ['    t0 = v0 * v0', '    t1 = t0 > 4']
    """

    def condition(self, node: Node) -> str:
        """Code that is true or false, in arrays an array of them. Raises NotCompilable."""
        match node:
            case tree.And(parts):
                return self._array_chain(parts, "&") if self.arrays else self._chain(parts, "if {}:")
            case tree.Or(parts):
                return self._array_chain(parts, "|") if self.arrays else self._chain(parts, "if not {}:")
            case tree.Not(part):
                inner = self.condition(part)
                return self.temporary(f"np.logical_not({inner})" if self.arrays else f"not {inner}")
            case tree.Relation(operands, operators):
                return self._relations([self.rational(operand) for operand in operands], operators)
            case tree.Call("keep", (inner,)):
                return self.condition(inner)
            case tree.Call(function, arguments) if function in PROPERTY_NAMES:
                return self._property(function, arguments)
            case _:
                raise NotCompilable("a number stands where something true or false is needed")

    def _relations(self, values: list[Ratio], operators: tuple[str, ...]) -> str:
        checks = [
            self._relation(first, operator, second)
            for first, operator, second in zip(values, operators, values[1:], strict=False)
        ]
        return self.temporary(
            " & ".join(f"({check})" for check in checks) if self.arrays else " and ".join(checks)
        )

    def _relation(self, first: Ratio, operator: str, second: Ratio) -> str:
        if operator not in _COMPARISONS:
            raise NotCompilable(f"{operator} says nothing exact")
        left, right = self.multiply(first.n, second.d), self.multiply(second.n, first.d)
        check = f"{left.text} {_COMPARISONS[operator]} {right.text}"
        return f"np.bool_({check})" if self.arrays and left.is_fixed and right.is_fixed else check

    def _chain(self, parts: tuple[Node, ...], guard: str) -> str:
        """The parts one after the other, each only where the ones before leave it open."""
        name = self.fresh_name()
        self.emit(f"{name} = {self.condition(parts[0])}")
        known = dict(self._known)
        for part in parts[1:]:
            self.emit(guard.format(name))
            self.indent += 1
            self.emit(f"{name} = {self.condition(part)}")
            self.indent -= 1
        self._known = known
        return name

    def _array_chain(self, parts: tuple[Node, ...], sign: str) -> str:
        """All parts everywhere; what is undefined counts only where the parts before leave it open."""
        outer = self._context
        result = self.temporary(self.condition(parts[0]))
        for part in parts[1:]:
            here = result if sign == "&" else f"np.logical_not({result})"
            self._context = here if outer == "True" else f"({outer}) & {here}"
            result = self.temporary(f"{result} {sign} ({self.condition(part)})")
        self._context = outer
        return result

    def _property(self, name: str, arguments: tuple[Node, ...]) -> str:
        if name in POLYNOMIAL_PROPERTIES:
            coefficients = self.quadratic(arguments[0], self.letter_of(arguments[0]))
            numerators, shared = self.common_denominator(coefficients)
            given = [*numerators, shared]
        elif name in NUMBER_PROPERTIES:
            value = self.reduced(self.rational(arguments[0]))
            given = [value.n, value.d]
        else:
            given = [self.whole(self.rational(argument)) for argument in arguments]
        return self.temporary(f"test_{name}({', '.join(value.text for value in given)})")
