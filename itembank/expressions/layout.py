"""From a tree whose numbers are known in kind to what is shown: the tidy rules.

Numbers come in as `Known` nodes: a sign, a magnitude that is fixed (0, 1) or a hole, and how it is written.
The rules look at no number's size beyond that, so one layout serves every item with the same signs.

Tidy rules: no 1x, no 0 terms, no + -3, (x - 0)^2 is x^2, denominators positive, x × between numerals, a
negative factor that is not the first in brackets. Inside `keep` a product of numbers keeps its ones: 4 × 1
× 11.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from itembank.errors import DomainError
from itembank.expressions import tree
from itembank.expressions.display import (
    Applied,
    Bars,
    Bracket,
    Compared,
    Display,
    Factors,
    Joined,
    Letter,
    Nothing,
    Numeral,
    Over,
    Pair,
    Raised,
    Root,
    Shape,
    Terms,
)
from itembank.expressions.layout_nodes import ONE, ZERO, Known, LayoutNode, NoSolution, Spliced
from itembank.expressions.plain import numeral
from itembank.expressions.precedence import (
    ATOM,
    POWER,
    PRODUCT,
    SUM,
    is_numeric,
    needs_cross,
    strength,
    within,
)

__all__ = [
    "ATOM",
    "ONE",
    "POWER",
    "PRODUCT",
    "SUM",
    "ZERO",
    "Known",
    "LayoutNode",
    "NoSolution",
    "Spliced",
    "lay_out",
    "strength",
]

_SHOWN_ZERO = Numeral(text="0")
_SHOWN_ONE = Numeral(text="1")


def lay_out(node: LayoutNode, holes: int) -> Shape:
    """The shape of a tree whose numbers are `Known`: what readers see, with so many holes.

    Raises DomainError for what cannot be shown: a division by zero, 0^0, `not`, a statement inside an
    expression.

    >>> from itembank.expressions.parser import parse
    >>> from itembank.expressions.display import Maths
    >>> from itembank.expressions.spelling import terminal
    >>> terminal(Maths(lay_out(parse("(x - 0)^2 + 1*x*y"), 0)))
    'x² + xy'
    """
    layout = _Layout()
    display = layout.statement(node)
    return Shape(display, holes, tuple(dict.fromkeys(layout.doubts)), layout.vanished)


@dataclass(slots=True)
class _Laid:
    """A term laid out: its sign apart, whether it is exactly 0 or ±1, and whether its terms join a sum."""

    negative: bool
    body: Display
    zero: bool = False
    unit: bool = False
    splice: bool = False

    @property
    def signed(self) -> Display:
        return Terms((("-", within(self.body, PRODUCT)),)) if self.negative else self.body


def _nought() -> _Laid:
    return _Laid(False, _SHOWN_ZERO, zero=True)


def _one(negative: bool = False) -> _Laid:
    return _Laid(negative, _SHOWN_ONE, unit=True)


class _Layout:
    def __init__(self) -> None:
        self.doubts: list[str] = []
        self.vanished = False
        self.kept = 0

    # statements

    def statement(self, node: LayoutNode) -> Display:
        match node:
            case tree.Relation(operands, operators):
                return Compared(tuple(self.lay(operand).signed for operand in operands), operators)
            case tree.And(parts):
                return self._all([self.statement(part) for part in parts])
            case tree.Or(parts):
                return self._any([self.statement(part) for part in parts])
            case tree.Not():
                raise DomainError("`not` cannot be shown; write the opposite relation")
            case NoSolution():
                return Nothing()
            case tree.Call("keep", (inner,)) if tree.is_statement(inner):
                self.kept += 1
                shown = self.statement(inner)
                self.kept -= 1
                return shown
            case _:
                return self.lay(node).signed

    def _all(self, parts: list[Display]) -> Display:
        if Nothing() in parts:
            return Nothing()
        flat = _flat("and", parts)
        return Joined("and", tuple(Bracket(part) if isinstance(part, Joined) else part for part in flat))

    def _any(self, parts: list[Display]) -> Display:
        possible = _flat("or", [part for part in parts if part != Nothing()])
        if len(possible) < 2:
            return possible[0] if possible else Nothing()
        return Joined("or", tuple(possible))

    # terms

    def lay(self, node: LayoutNode) -> _Laid:
        match node:
            case Known():
                return _Laid(node.negative, node.magnitude, node.zero, node.unit)
            case Spliced(inner):
                return replace(self.lay(inner), splice=True)
            case tree.Number(value, places):
                return _Laid(
                    False, Numeral(text=numeral(value, places)), value == 0, value == 1 and not places
                )
            case tree.Name(name):
                return _Laid(False, Letter(name))
            case tree.Negation(operand):
                laid = self.lay(operand)
                return replace(laid, negative=not laid.negative and not laid.zero, splice=False)
            case tree.PlusMinus(operand):
                return self._either_sign(self.lay(operand))
            case tree.Sum():
                return self._sum(node)
            case tree.Product(factors):
                return self._product([self.lay(factor) for factor in factors])
            case tree.Quotient(numerator, denominator):
                return self._quotient(self.lay(numerator), self.lay(denominator))
            case tree.Power(base, exponent):
                return self._power(self.lay(base), self.lay(exponent))
            case tree.Call(function, arguments):
                return self._call(function, arguments)
            case tree.Point(first, second):
                return _Laid(False, Pair(self.lay(first).signed, self.lay(second).signed))
            case _:
                raise DomainError("a statement cannot be shown inside an expression")

    def _either_sign(self, laid: _Laid) -> _Laid:
        if laid.zero:
            self.doubts.append("± before 0")
            return laid
        return _Laid(False, Terms((("±", within(laid.body, PRODUCT)),)))

    def _sum(self, node: tree.Sum) -> _Laid:
        terms: list[tuple[str, Display]] = []
        for operator, part in (("+", node.first), *node.rest):
            laid = self.lay(part)
            if laid.zero:
                self.vanished = True
                if operator == "±":
                    self.doubts.append("± before 0")
                continue
            flips = laid.negative != (operator == "-")
            joins = isinstance(part, tree.PlusMinus) or (laid.splice and operator != "±")
            if joins and isinstance(laid.body, Terms):
                inner = laid.body.terms
                terms.extend((_flipped(sign) if flips else sign, _bare(term)) for sign, term in inner)
            else:
                terms.append((operator if operator == "±" else "-" if flips else "+", laid.body))
        bodies = [body for _, body in terms]
        is_meant = self.kept or any(_is_kept(part) for part in (node.first, *(part for _, part in node.rest)))
        if not is_meant and any(is_numeric(a) and is_numeric(b) for a, b in pairwise(bodies)):
            self.doubts.append("two plain numbers side by side in a sum")
        return _summed(terms)

    def _product(self, factors: list[_Laid]) -> _Laid:
        if any(factor.zero for factor in factors):
            return _nought()
        keeps_ones = self.kept and all(is_numeric(factor.body) for factor in factors)
        ones = [factor for factor in factors if factor.unit and not keeps_ones]
        shown = [factor for factor in factors if not factor.unit or keeps_ones]
        negative = sum(factor.negative for factor in ones) % 2 == 1
        if not shown:
            return _one(negative)
        first, *rest = shown
        bodies = [first.body, *(Bracket(part.signed) if part.negative else part.body for part in rest)]
        return _Laid(negative != first.negative, _side_by_side(bodies))

    def _quotient(self, above: _Laid, below: _Laid) -> _Laid:
        if below.zero:
            raise DomainError("division by zero")
        if above.zero:
            return _nought()
        negative = above.negative != below.negative
        if below.unit:
            return _Laid(negative, above.body, unit=above.unit, splice=not negative)
        return _Laid(negative, Over(above.body, below.body))

    def _power(self, base: _Laid, exponent: _Laid) -> _Laid:
        if base.zero and (exponent.zero or exponent.negative):
            raise DomainError("0 to the power 0, or to a negative power, has no value")
        if exponent.zero and self.kept and not base.negative and isinstance(base.body, Numeral):
            return _Laid(False, Raised(base.body, exponent.signed))
        if exponent.zero:
            if not isinstance(base.body, Numeral):
                self.doubts.append("a power with the exponent 0 is shown as 1, or not at all beside others")
            return _one()
        if base.zero:
            return _nought()
        if exponent.unit and not exponent.negative:
            return base
        if base.negative:
            return _Laid(False, Raised(Bracket(base.signed), exponent.signed))
        return _Laid(False, Raised(within(base.body, ATOM), exponent.signed), unit=base.unit)

    def _call(self, function: str, arguments: tuple[LayoutNode, ...]) -> _Laid:
        match function:
            case "sqrt":
                return self._root(self.lay(arguments[0]), "")
            case "root":
                return self._root(self.lay(arguments[0]), _index(arguments[1]))
            case "abs":
                return _Laid(False, Bars(self.lay(arguments[0]).signed))
            case "keep":
                self.kept += 1
                laid = self.lay(arguments[0])
                self.kept -= 1
                return laid
            case _:
                return _Laid(
                    False, Applied(function, tuple(self.statement(argument) for argument in arguments))
                )

    def _root(self, radicand: _Laid, index: str) -> _Laid:
        return _nought() if radicand.zero else _Laid(False, Root(radicand.signed, index))


def _is_kept(node: LayoutNode) -> bool:
    """Whether the author asked for a term, or a factor of one, to be shown as written."""
    match node:
        case tree.Call("keep"):
            return True
        case tree.Product(factors):
            return any(_is_kept(factor) for factor in factors)
        case _:
            return False


def _flat(word: str, parts: list[Display]) -> list[Display]:
    """The parts, those of a part that is joined by the same word in its place."""
    return [
        inner
        for part in parts
        for inner in (part.parts if isinstance(part, Joined) and part.word == word else (part,))
    ]


def _summed(terms: list[tuple[str, Display]]) -> _Laid:
    if not terms:
        return _nought()
    if len(terms) == 1 and terms[0][0] != "±":
        (sign, body) = terms[0]
        return _Laid(sign == "-", body, unit=body == _SHOWN_ONE)
    return _Laid(False, Terms(tuple((sign, within(term, PRODUCT)) for sign, term in terms)))


def _flipped(sign: str) -> str:
    return {"+": "-", "-": "+", "±": "±"}[sign]


def _bare(term: Display) -> Display:
    return term.inner if isinstance(term, Bracket) and isinstance(term.inner, Terms) else term


def _index(node: LayoutNode) -> str:
    if not isinstance(node, tree.Number) or node.places or node.value < 2:
        raise DomainError("the index of a shown root is a plain whole number, 2 or more")
    return "" if node.value == 2 else str(node.value.numerator)


def _side_by_side(bodies: Sequence[Display]) -> Display:
    """One product of bodies without signs of their own; a factor that is a product itself joins in."""
    if len(bodies) == 1:
        return bodies[0]
    factors: list[Display] = []
    crosses: list[bool] = []
    for body in bodies:
        inner = body if isinstance(body, Factors) else Factors((within(body, PRODUCT),), ())
        if factors:
            crosses.append(needs_cross(factors[-1], inner.factors[0]))
        factors.extend(inner.factors)
        crosses.extend(inner.crosses)
    return Factors(tuple(factors), tuple(crosses))
