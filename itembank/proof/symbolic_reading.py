"""Trees of plain texts read as elements of sympy's polynomial rings, roots kept beside them in normal form."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache, reduce
from itertools import pairwise
from operator import and_
from typing import Any, NamedTuple

from sympy import QQ
from sympy.polys.rings import PolyElement, PolyRing

from itembank.errors import DomainError
from itembank.expressions import tree
from itembank.expressions.symbolic import to_sympy
from itembank.expressions.tree import Node
from itembank.expressions.vocabulary import WHOLE_NUMBERS
from itembank.proof.symbolic_hidden import (
    Hidden,
    UnderRoot,
    in_exponent,
    name_of,
    over_of,
    power_of,
    smallest_base,
)
from itembank.proof.symbolic_numbers import ZERO, CannotTell, Rooted, rational, root, square_root
from itembank.proof.symbolic_text import Numeral, Piece

__all__ = ["Fraction", "Space", "System", "space"]

MOST_ALTERNATIVES = 64
_ROOTS = frozenset({"sqrt", "surd", "root"})
_WHOLE = frozenset({"gcd", "lcm", "mod", "round", "numerator", "denominator"})


@lru_cache(maxsize=500)
def space(letters: tuple[str, ...], main_letter: str = "") -> Space:
    """The ring in which pieces with these letters are read; main_letter: the one a discriminant is taken in."""
    ring = PolyRing(letters or ("_",), QQ)
    return Space(letters, main_letter, ring)


class System(NamedTuple):
    """What holds together: values that are 0, and those that are not, for something is divided by them.

    hidden: what stands for a root of an unknown, or for a power with one in its exponent.
    """

    zero: tuple[Rooted, ...]
    not_zero: tuple[Rooted, ...] = ()
    hidden: tuple[Hidden, ...] = ()

    def __and__(self, other: System) -> System:
        return System(self.zero + other.zero, self.not_zero + other.not_zero, self.hidden + other.hidden)

    @property
    def may_have_false_roots(self) -> bool:
        """Whether working may lead to values that solve it no more."""
        return bool(self.hidden or self.not_zero)


class Fraction(NamedTuple):
    """above / below, where letters stand below."""

    above: Rooted
    below: Rooted


class _Ratio(NamedTuple):
    """above / below. divisors: everything with letters that something is divided by on the way there.

    hidden: what generators in it stand for.
    """

    above: Rooted
    below: Rooted
    divisors: tuple[Rooted, ...] = ()
    hidden: tuple[Hidden, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Space:
    """Reads pieces as elements of one ring; letters are named by their index in `letters`."""

    letters: tuple[str, ...]
    main_letter: str
    ring: Any

    def value(self, read: Piece, node: Node | None = None) -> Rooted:
        """The value of an expression, or of one node of it. Raises CannotTell for what has none."""
        return _Reader(self, read.numerals, {}, 0).value(node or read.node)

    def corners(self, read: Piece, node: Node) -> list[Rooted]:
        """What is 0 where an expression may change its sign. Raises CannotTell for what has no value anywhere."""
        if not _may_be_no_polynomial(node):
            return [self.value(read, node)]
        found = _Reader(self, read.numerals, {}, 0, node).ratio(node)
        if found.hidden:
            raise CannotTell("a letter under a root or in an exponent may stand in an equation only")
        return [found.above, *found.divisors]

    def expression(self, read: Piece) -> Rooted | Fraction:
        """The value of an expression that may be divided by its letters. Raises CannotTell for what has none."""
        if not _may_be_no_polynomial(read.node):
            return self.value(read)
        found = _Reader(self, read.numerals, {}, 0, read.node).ratio(read.node)
        if found.hidden:
            raise CannotTell("a letter under a root or in an exponent may stand in an equation only")
        return Fraction(found.above, found.below)

    def alternatives(self, read: Piece) -> list[System]:
        """A statement as alternatives, each what holds together. Raises CannotTell for other than equations."""
        if read.pattern.is_nothing:
            return []
        signs = (1, -1) if read.pattern.has_either_sign else (0,)
        return [
            alternative
            for sign in signs
            for alternative in _Reader(self, read.numerals, {}, sign, read.node).alternatives(read.node)
        ]

    def holds(self, read: Piece, values: Mapping[str, Rooted]) -> bool:
        """Whether numbers for the letters satisfy a statement, inequalities included."""
        if read.pattern.is_nothing:
            return False
        return _Reader(self, read.numerals, values, 0).truth(read.node)

    def of_node(self, node: Node, values: Mapping[str, Rooted]) -> Rooted:
        """The value of a tree that was written and not displayed, with numbers for some of its letters."""
        return _Reader(self, None, values, 0).value(node)

    def node_holds(self, node: Node, values: Mapping[str, Rooted]) -> bool:
        """The same for a statement that is true or false."""
        return _Reader(self, None, values, 0).truth(node)

    def powers(self, value: Rooted, letter: str) -> dict[int, Rooted]:
        """exponent -> coefficient of a letter's powers, for the exponents that occur."""
        at = self.letters.index(letter) if letter in self.letters else -1
        found: dict[int, dict[int, Any]] = {}
        for radicand, coefficient in value.terms.items():
            if at < 0 or not isinstance(coefficient, PolyElement):
                found.setdefault(0, {})[radicand] = coefficient
                continue
            parts: dict[int, Any] = {}
            for monomial, number in coefficient.iterterms():
                rest = (*monomial[:at], 0, *monomial[at + 1 :])
                term = self.ring.term_new(rest, number)
                exponent = monomial[at]
                parts[exponent] = parts[exponent] + term if exponent in parts else term
            for exponent, part in parts.items():
                found.setdefault(exponent, {})[radicand] = part
        return {exponent: Rooted(terms) for exponent, terms in found.items()}

    def letters_in(self, value: Rooted) -> list[str]:
        """The letters that a value depends on, in the order of the ring."""
        seen = [False] * len(self.letters)
        for coefficient in value.terms.values():
            if isinstance(coefficient, PolyElement):
                for monomial in coefficient.itermonoms():
                    seen = [before or bool(power) for before, power in zip(seen, monomial, strict=False)]
        return [letter for letter, there in zip(self.letters, seen, strict=True) if there]

    def put_in(self, value: Rooted, letter: str, number: Rooted) -> Rooted:
        """The value with a number for a letter, by Horner's scheme."""
        powers = self.powers(value, letter)
        total = ZERO
        for exponent in range(max(powers, default=0), -1, -1):
            total = total * number + powers.get(exponent, ZERO)
        return total


class _Reader:
    """Reads a tree. numerals: for the ordinals of a pattern, None for a tree as written; sign: that of ±.

    piece: all that the tree is part of, which tells what exponents with letters are divided by.
    """

    def __init__(
        self,
        inside: Space,
        numerals: Sequence[Numeral] | None,
        values: Mapping[str, Rooted],
        sign: int,
        piece: Node | None = None,
    ) -> None:
        self.piece = piece
        self.space = inside
        self.numerals = numerals
        self.values = values
        self.sign = sign

    def value(self, node: Node) -> Rooted:
        match node:
            case tree.Number(value):
                if self.numerals is not None:
                    return self.numerals[int(value)].value
                return rational(value.numerator, value.denominator)
            case tree.Name(name):
                return self._letter(name)
            case tree.Sum(first, rest):
                total = self.value(first)
                for operator, term in rest:
                    added = self.value(term)
                    total = total - added if self._is_minus(operator) else total + added
                return total
            case tree.Product(factors):
                product = self.value(factors[0])
                for factor in factors[1:]:
                    product = product * self.value(factor)
                return product
            case tree.Power(base, exponent):
                return self._power(self.value(base), self.value(exponent))
            case tree.Negation(operand):
                return -self.value(operand)
            case tree.PlusMinus(operand):
                return -self.value(operand) if self._is_minus("±") else self.value(operand)
            case tree.Quotient(numerator, denominator):
                return self.value(numerator) * self.value(denominator).inverse()
            case tree.Call(function, arguments):
                return self._call(function, arguments)
            case _:
                raise CannotTell("a statement or a point stands where a number is needed")

    def ratio(self, node: Node) -> _Ratio:
        """The same of an expression that may be divided by letters."""
        one = rational(1)
        match node:
            case tree.Sum(first, rest):
                total = self.ratio(first)
                for operator, term in rest:
                    added = self.ratio(term)
                    above = added.above * total.below
                    left = total.above * added.below
                    total = _Ratio(
                        left - above if self._is_minus(operator) else left + above,
                        total.below * added.below,
                        total.divisors + added.divisors,
                        total.hidden + added.hidden,
                    )
                return total
            case tree.Product(factors):
                return reduce(_product, map(self.ratio, factors))
            case tree.Negation(operand):
                found = self.ratio(operand)
                return found._replace(above=-found.above)
            case tree.PlusMinus(operand):
                found = self.ratio(operand)
                return found._replace(above=-found.above) if self._is_minus("±") else found
            case tree.Power(base, exponent) if tree.names(exponent):
                return self._with_exponent(self.value(base), exponent)
            case tree.Call("sqrt" | "root" | "surd", (radicand, *index)) if tree.names(radicand):
                return self._root(node, self.ratio(radicand), self._integer(index[0]) if index else 2)
            case tree.Power(base, exponent) if not tree.names(base):
                return _Ratio(self.value(node), one)
            case tree.Power(base, exponent):
                power = self._integer(exponent)
                found = self.ratio(base) if power >= 0 else self._inverted(self.ratio(base))
                return found._replace(
                    above=found.above.power(abs(power)), below=found.below.power(abs(power))
                )
            case tree.Quotient(numerator, denominator):
                return _product(self.ratio(numerator), self._inverted(self.ratio(denominator)))
            case tree.Call("keep" | "value" | "expand" | "factor", (inner,)):
                return self.ratio(inner)
            case _:
                return _Ratio(self.value(node), one)

    def _inverted(self, ratio: _Ratio) -> _Ratio:
        if not ratio.above:
            raise CannotTell("something is divided by 0")
        divisors = (*ratio.divisors, ratio.above) if self.space.letters_in(ratio.above) else ratio.divisors
        return _Ratio(ratio.below, ratio.above, divisors, ratio.hidden)

    def _root(self, node: Node, radicand: _Ratio, index: int) -> _Ratio:
        inside = radicand.above * radicand.below.inverse()
        if not self.space.letters_in(inside):
            return _Ratio(root(inside, index), rational(1), radicand.divisors, radicand.hidden)
        if self.numerals is None or not 2 <= index <= 12:
            raise CannotTell("a root of this kind is not read here")
        found = UnderRoot(name_of(node, self.numerals), inside, index)
        return _Ratio(self._letter(found.name), rational(1), radicand.divisors, (*radicand.hidden, found))

    def _with_exponent(self, base: Rooted, exponent: Node) -> _Ratio:
        """b^(m*x/d + n) as powers of b^(x/d) and b, for the smallest b."""
        if self.numerals is None or self.piece is None:
            raise CannotTell("a power of this kind is not read here")
        smallest, times = smallest_base(base)
        over = over_of(self.piece, self.numerals)
        found, left = _Ratio(rational(1), rational(1)), self.value(exponent)
        for letter in self.space.letters_in(left):
            parts = self.space.powers(left, letter)
            power = in_exponent(smallest, letter, over)
            left = parts.pop(0, ZERO)
            factor = _whole(parts.pop(1, ZERO) * rational(times * over))
            if parts or not factor:
                raise CannotTell("an exponent with an unknown in it is m*x + n with rational numbers m and n")
            raised = _Ratio(self._letter(power.name).power(abs(factor)), rational(1), (), (power,))
            found = _product(found, raised if factor > 0 else self._inverted(raised))
        return _product(found, _Ratio(power_of(smallest, left * rational(times)), rational(1)))

    def equation(self, left: Node, right: Node) -> System:
        """Two sides that are equal."""
        if not any(map(_may_be_no_polynomial, (left, right))):
            return System((self.value(left) - self.value(right),))
        first, second = self.ratio(left), self.ratio(right)
        crosswise = first.above * second.below - second.above * first.below
        return System((crosswise,), first.divisors + second.divisors, first.hidden + second.hidden)

    def _letter(self, name: str) -> Rooted:
        if name in self.values:
            return self.values[name]
        if name not in self.space.letters:
            raise CannotTell(f"the letter {name} was never introduced")
        return Rooted({1: self.space.ring.gens[self.space.letters.index(name)]})

    def _is_minus(self, operator: str) -> bool:
        if operator != "±":
            return operator == "-"
        if not self.sign:
            raise CannotTell("± has two values")
        return self.sign < 0

    def _power(self, base: Rooted, exponent: Rooted) -> Rooted:
        raised = exponent.number()
        if not raised.is_rational() or QQ.denom(raised.rational_part()) == 1:
            return base.power(_whole(exponent))
        if base.number().sign() < 0:
            raise CannotTell("a negative number has no power whose exponent is a fraction")
        part = raised.rational_part()
        return root(base.number(), int(QQ.denom(part))).power(int(QQ.numer(part)))

    def _integer(self, node: Node) -> int:
        return _whole(self.value(node))

    def _call(self, function: str, arguments: tuple[Node, ...]) -> Rooted:
        match function:
            case "sqrt" | "surd":
                return square_root(self.value(arguments[0]))
            case "root":
                return root(self.value(arguments[0]), self._integer(arguments[1]))
            case "abs":
                number = self.value(arguments[0]).number()
                return number if number.sign() >= 0 else -number
            case "min" | "max":
                return self._extreme([self.value(argument).number() for argument in arguments], function)
            case "keep" | "value" | "expand" | "factor":
                return self.value(arguments[0])
            case "discriminant":
                return self._discriminant(arguments[0])
            case _ if function in _WHOLE:
                return self._whole(function, arguments)
            case _:
                raise CannotTell(f"`{function}` is not read here")

    @staticmethod
    def _extreme(values: Iterable[Rooted], function: str) -> Rooted:
        best, *others = values
        for other in others:
            if (other - best).sign() * (1 if function == "max" else -1) > 0:
                best = other
        return best

    def _whole(self, function: str, arguments: tuple[Node, ...]) -> Rooted:
        """What is worked out with rational numbers only is left to the general sympy reading."""
        names = tuple(tree.Name(f"_{index}") for index in range(len(arguments)))
        values = [self.value(argument).number() for argument in arguments]
        if not all(value.is_rational() for value in values):
            raise CannotTell(f"`{function}` takes rational numbers")
        symbols = {n.name: QQ.to_sympy(value.rational_part()) for n, value in zip(names, values, strict=True)}
        try:
            found = to_sympy(tree.Call(function, names), symbols)
        except DomainError as refused:
            raise CannotTell(str(refused)) from refused
        return rational(int(found.p), int(found.q))

    def difference(self, node: Node) -> Rooted:
        """left - right of an equation, or an expression as it is."""
        if isinstance(node, tree.Relation):
            if node.operators != ("=",):
                raise CannotTell("not a single equation")
            return self.value(node.operands[0]) - self.value(node.operands[1])
        return self.value(node)

    def _discriminant(self, node: Node) -> Rooted:
        inside = self.difference(node)
        found = self.space.letters_in(inside)
        letter = found[0] if len(found) == 1 else self.space.main_letter
        if not letter and len(found) > 1:
            raise CannotTell("it is not clear which letter the discriminant is taken in")
        powers = self.space.powers(inside, letter)
        if max(powers, default=0) > 2:
            raise CannotTell(f"the degree in {letter} is above 2")
        a, b, c = (powers.get(exponent, ZERO) for exponent in (2, 1, 0))
        return b * b - rational(4) * a * c

    def alternatives(self, node: Node) -> list[System]:
        match node:
            case tree.Or(parts):
                return [alternative for part in parts for alternative in self.alternatives(part)]
            case tree.And(parts):
                combined = [System(())]
                for part in parts:
                    added = self.alternatives(part)
                    if len(combined) * len(added) > MOST_ALTERNATIVES:
                        raise CannotTell(f"more than {MOST_ALTERNATIVES} alternatives")
                    combined = [before & more for before in combined for more in added]
                return combined
            case tree.Relation(operands, operators) if set(operators) == {"="}:
                if (both := tree.coordinates(node)) is not None:
                    return self.alternatives(tree.And(both))
                return [reduce(and_, (self.equation(left, right) for left, right in pairwise(operands)))]
            case _:
                raise CannotTell("only equations are solved")

    def truth(self, node: Node) -> bool:
        match node:
            case tree.Or(parts):
                return any(self.truth(part) for part in parts)
            case tree.And(parts):
                return all(self.truth(part) for part in parts)
            case tree.Not(part):
                return not self.truth(part)
            case tree.Relation((letter, tree.Name(of)), ("∈",)) if of == WHOLE_NUMBERS:
                number = self.value(letter).number()
                return number.is_rational() and QQ.denom(number.rational_part()) == 1
            case tree.Relation(operands, _) if any(map(self._is_without_value, operands)):
                return False
            case tree.Relation(operands, operators):
                sides = [self.value(operand).number() for operand in operands]
                pairs = zip(pairwise(sides), operators, strict=True)
                return all(_related((left - right).sign(), operator) for (left, right), operator in pairs)
            case _:
                raise CannotTell("a number stands where something true or false is needed")

    def _is_without_value(self, node: Node) -> bool:
        """Whether an expression is divided by something with letters that is 0, what is innermost first."""
        return any(
            isinstance(part, tree.Quotient)
            and bool(list(tree.names(part.denominator)))
            and not self.value(part.denominator)
            for part in reversed(list(tree.walk(node)))
        )


def _product(first: _Ratio, second: _Ratio) -> _Ratio:
    return _Ratio(
        first.above * second.above,
        first.below * second.below,
        first.divisors + second.divisors,
        first.hidden + second.hidden,
    )


def _whole(value: Rooted) -> int:
    number = value.number()
    part = number.rational_part()
    if not number.is_rational() or QQ.denom(part) != 1:
        raise CannotTell("a whole number is needed here")
    return int(QQ.numer(part))


def _may_be_no_polynomial(node: Node) -> bool:
    """Whether a letter stands in a denominator, under a negative exponent, under a root or in an exponent."""
    return any(
        (isinstance(part, tree.Quotient) and bool(list(tree.names(part.denominator))))
        or (isinstance(part, tree.Power) and isinstance(part.exponent, tree.Negation))
        or (isinstance(part, tree.Power) and bool(tree.names(part.exponent)))
        or (isinstance(part, tree.Call) and part.function in _ROOTS and bool(tree.names(part)))
        for part in tree.walk(node)
    )


def _related(order: int, operator: str) -> bool:
    match operator:
        case "=":
            return order == 0
        case "!=":
            return order != 0
        case "<":
            return order < 0
        case "<=":
            return order <= 0
        case ">":
            return order > 0
        case ">=":
            return order >= 0
        case _:
            raise CannotTell(f"the sign {operator} says nothing exact")
