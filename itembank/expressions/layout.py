"""From a tree whose numbers are known in kind to what is shown: the tidy rules and the one precedence table.

Numbers come in as `Known` nodes: a sign, a magnitude that is fixed (0, 1) or a hole, and how it is written. The
rules look at no number's size beyond that, so one layout serves every item with the same signs.

Tidy rules: no 1x, no 0 terms, no + -3, (x - 0)^2 is x^2, denominators positive, x × between numerals.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TypeAlias

from itembank.errors import DomainError
from itembank.expressions import tree
from itembank.expressions.plain import numeral
from itembank.expressions.display import (
    Applied, Bars, Bracket, Compared, Display, Factors, Joined, Letter, Nothing, Numeral, Over, Pair, Raised, Root,
    Shape, Terms,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Known:
    """A number: `negative`, its `magnitude` as a display; `zero` and `unit` say when it is exactly 0 or 1."""

    negative: bool
    magnitude: Display
    zero: bool = False
    unit: bool = False
    place: tree.Place = field(default=tree.NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Spliced:
    """A computed sum whose terms join the sum around it: the exact value of an expression."""

    inner: LayoutNode
    place: tree.Place = field(default=tree.NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class NoSolution:
    """The statement that nothing fits."""

    place: tree.Place = field(default=tree.NOWHERE, compare=False)


LayoutNode: TypeAlias = tree.Node | Known | Spliced | NoSolution

ZERO = Known(False, Numeral(text="0"), zero=True)
ONE = Known(False, Numeral(text="1"), unit=True)

# the one precedence table: a part weaker than its place asks for stands in brackets
SUM, PRODUCT, POWER, ATOM = range(4)


def strength(display: Display) -> int:
    """How strongly a display node binds, for every notation alike."""
    match display:
        case Terms():
            return SUM
        case Factors() | Over():
            return PRODUCT
        case Raised() | Root():
            return POWER
        case _:
            return ATOM


@dataclass(slots=True)
class _Laid:
    negative: bool
    body: Display
    zero: bool = False
    unit: bool = False
    splice: bool = False


class _Layout:
    def __init__(self) -> None:
        self.doubts: list[str] = []
        self.kept = 0

    def statement(self, node: LayoutNode) -> Display:
        match node:
            case tree.Relation(operands, operators):
                return Compared(tuple(self.shown(operand) for operand in operands), operators)
            case tree.And(parts):
                return Joined("and", tuple(self._within(part, tree.Or) for part in parts))
            case tree.Or(parts):
                return Joined("or", tuple(self.statement(part) for part in parts))
            case tree.Not():
                raise DomainError("`not` cannot be shown; write the opposite relation")
            case NoSolution():
                return Nothing()
            case _:
                return self.shown(node)

    def _within(self, part: LayoutNode, weaker: type) -> Display:
        laid = self.statement(part)
        return Bracket(laid) if isinstance(part, weaker) else laid

    def shown(self, node: LayoutNode) -> Display:
        laid = self.lay(node)
        return _signed(laid)

    def lay(self, node: LayoutNode) -> _Laid:
        match node:
            case Known():
                return _Laid(node.negative, node.magnitude, node.zero, node.unit)
            case Spliced(inner):
                laid = self.lay(inner)
                laid.splice = True
                return laid
            case tree.Number(value, places):
                return _Laid(False, Numeral(text=numeral(value, places)), value == 0, value == 1)
            case tree.Name(name):
                return _Laid(False, Letter(name))
            case tree.Negation(operand):
                laid = self.lay(operand)
                return replace(laid, negative=not laid.negative, splice=False)
            case tree.PlusMinus(operand):
                laid = self.lay(operand)
                if laid.zero:
                    self.doubts.append("± before 0")
                    return laid
                return _Laid(False, Terms((("±", _term(laid.body)),)))
            case tree.Sum():
                return self._sum(node)
            case tree.Product(factors):
                return self._product(factors)
            case tree.Quotient(numerator, denominator):
                return self._quotient(numerator, denominator)
            case tree.Power(base, exponent):
                return self._power(base, exponent)
            case tree.Call(function, arguments):
                return self._call(function, arguments)
            case tree.Point(first, second):
                return _Laid(False, Pair(self.shown(first), self.shown(second)))
            case _:
                raise DomainError("a statement cannot be shown inside an expression")

    def _sum(self, node: tree.Sum) -> _Laid:
        terms: list[tuple[str, Display]] = []
        plain_before = False
        for operator, part in (("+", node.first), *node.rest):
            laid = self.lay(part)
            if laid.zero:
                if operator == "±":
                    self.doubts.append("± before 0")
                continue
            inner = laid.body.terms if isinstance(laid.body, Terms) else ()
            own_sign = isinstance(part, tree.PlusMinus)
            if inner and (own_sign or (laid.splice and operator != "±")):
                flip = laid.negative != (operator == "-")
                terms.extend((_flipped(sign) if flip else sign, _bare(term)) for sign, term in inner)
                plain_before = False
                continue
            sign = operator if operator == "±" else "-" if laid.negative != (operator == "-") else "+"
            plain = isinstance(laid.body, Numeral)
            if plain and plain_before and not self.kept:
                self.doubts.append("two plain numbers side by side in a sum")
            plain_before = plain
            terms.append((sign, laid.body))
        if not terms:
            return _Laid(False, Numeral(text="0"), zero=True)
        if len(terms) == 1 and terms[0][0] != "±":
            body = terms[0][1]
            return _Laid(terms[0][0] == "-", body, unit=body == Numeral(text="1"))
        return _Laid(False, Terms(tuple((sign, _term(term)) for sign, term in terms)))

    def _product(self, factors: tuple[LayoutNode, ...]) -> _Laid:
        laid = [self.lay(factor) for factor in factors]
        if any(part.zero for part in laid):
            return _Laid(False, Numeral(text="0"), zero=True)
        if all(_numeric(part.body) for part in laid):
            return self._arithmetic_product(laid)
        negative = sum(part.negative for part in laid) % 2 == 1
        shown = [part.body for part in laid if not part.unit]
        if not shown:
            return _Laid(negative, Numeral(text="1"), unit=True)
        return _joined(negative, shown)

    def _arithmetic_product(self, laid: list[_Laid]) -> _Laid:
        """A product of numerals, as when numbers are put into a formula: every factor stays, × between."""
        first, *rest = laid
        shown = [_factor(first.body)]
        shown += [Bracket(_signed(part)) if part.negative else _factor(part.body) for part in rest]
        if len(shown) == 1:
            return first
        return _Laid(first.negative, Factors(tuple(shown), (True,) * (len(shown) - 1)))

    def _quotient(self, numerator: LayoutNode, denominator: LayoutNode) -> _Laid:
        above, below = self.lay(numerator), self.lay(denominator)
        if below.zero:
            raise DomainError("division by zero")
        negative = above.negative != below.negative
        if above.zero:
            return _Laid(False, Numeral(text="0"), zero=True)
        if below.unit:
            return _Laid(negative, above.body, unit=above.unit, splice=not negative)
        return _Laid(negative, Over(above.body, below.body))

    def _power(self, base: LayoutNode, exponent: LayoutNode) -> _Laid:
        laid, raised = self.lay(base), self.lay(exponent)
        if raised.unit and not raised.negative:
            return laid
        if raised.zero:
            return _Laid(False, Numeral(text="1"), unit=True)
        if laid.zero and not laid.negative:
            return _Laid(False, Numeral(text="0"), zero=True)
        if laid.negative:
            return _Laid(False, Raised(Bracket(_signed(laid)), _signed(raised)))
        return _Laid(False, Raised(_base(laid.body), _signed(raised)), unit=laid.unit)

    def _call(self, function: str, arguments: tuple[LayoutNode, ...]) -> _Laid:
        if function == "sqrt":
            laid = self.lay(arguments[0])
            if laid.zero:
                return _Laid(False, Numeral(text="0"), zero=True)
            return _Laid(False, Root(_signed(laid)))
        if function == "root":
            laid = self.lay(arguments[0])
            index = arguments[1]
            if not isinstance(index, tree.Number) or index.places:
                raise DomainError("the index of a shown root is a plain whole number")
            return _Laid(False, Root(_signed(laid), str(index.value.numerator)), zero=laid.zero)
        if function == "abs":
            return _Laid(False, Bars(self.shown(arguments[0])))
        if function == "keep":
            self.kept += 1
            laid = self.lay(arguments[0])
            self.kept -= 1
            return laid
        return _Laid(False, Applied(function, tuple(self.statement(argument) for argument in arguments)))


def lay_out(node: LayoutNode, holes: int) -> Shape:
    """The shape of a tree whose numbers are `Known`: what readers see, with so many holes.

    Raises DomainError for what cannot be shown: a division by zero, `not`, a statement inside an expression.
    """
    layout = _Layout()
    display = layout.statement(node)
    return Shape(display, holes, tuple(dict.fromkeys(layout.doubts)))


def _signed(laid: _Laid) -> Display:
    if not laid.negative:
        return laid.body
    return Terms((("-", _term(laid.body)),))


def _flipped(sign: str) -> str:
    return {"+": "-", "-": "+", "±": "±"}[sign]


def _term(body: Display) -> Display:
    return Bracket(body) if strength(body) <= SUM else body


def _bare(term: Display) -> Display:
    return term.inner if isinstance(term, Bracket) and isinstance(term.inner, Terms) else term


def _factor(body: Display) -> Display:
    return Bracket(body) if strength(body) <= SUM else body


def _base(body: Display) -> Display:
    return body if strength(body) == ATOM else Bracket(body)


def _joined(negative: bool, bodies: list[Display]) -> _Laid:
    flat: list[Display] = []
    crosses: list[bool] = []
    for body in bodies:
        inner = body if isinstance(body, Factors) else Factors((body,), ())
        for index, part in enumerate(inner.factors):
            if flat:
                before = inner.crosses[index - 1] if index else False
                crosses.append(before or _needs_cross(flat[-1], part))
            flat.append(_factor(part) if len(bodies) > 1 or len(inner.factors) > 1 else part)
    if len(flat) == 1:
        return _Laid(negative, flat[0])
    return _Laid(negative, Factors(tuple(flat), tuple(crosses)))


def _needs_cross(before: Display, after: Display) -> bool:
    if isinstance(before, Root) and not isinstance(after, Bracket):
        return True
    return _begins_with_digit(after)


def _begins_with_digit(display: Display) -> bool:
    match display:
        case Numeral() | Over():
            return True
        case Raised(base):
            return _begins_with_digit(base)
        case Factors(factors):
            return _begins_with_digit(factors[0])
        case _:
            return False


def _numeric(display: Display) -> bool:
    match display:
        case Numeral():
            return True
        case Over(numerator, denominator):
            return _numeric(numerator) and _numeric(denominator)
        case Raised(base):
            return _numeric(base)
        case Bracket(inner):
            return _numeric(inner)
        case Terms(terms):
            return all(_numeric(term) for _, term in terms)
        case _:
            return False
