"""What displayed mathematics means: read off the laid-out tree that writers render, not off the template.

Statements become alternatives of polynomial equations and are solved; expressions become exact polynomials. So a
wrong substitution or a wrong tidy rule shows up as a wrong meaning.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache, reduce
from itertools import pairwise, product
from operator import and_, mul

from itembank.errors import DomainError
from itembank.expressions import numbers, polynomials
from itembank.expressions.display import (
    Applied,
    Bars,
    Bracket,
    Compared,
    Decimal,
    Display,
    Factors,
    Filling,
    Joined,
    Letter,
    Maths,
    Nothing,
    Numeral,
    Over,
    Pair,
    Raised,
    Root,
    Shape,
    Terms,
    parts,
)
from itembank.expressions.numbers import Exact
from itembank.expressions.polynomials import Polynomial
from itembank.expressions.quotients import Quotient, power_of_number, root_of
from itembank.expressions.vocabulary import WHOLE_NUMBERS
from itembank.proof import regions
from itembank.proof.hidden import put_in
from itembank.proof.regions import Region
from itembank.proof.solver import CannotDecide, Solution, System

MOST_ALTERNATIVES = 64
"""`or`s within an `and` are multiplied out up to so many."""

MOST_MODULI = 4
"""Each is read twice, so many together sixteen times."""

_LATELY = 64
"""So many meanings are remembered: an item's lines are held against the same problem again and again."""

_NONE: frozenset[str] = frozenset()

_IN_EQUATIONS = "a letter under a root or in an exponent may stand in an equation only"


@dataclass(frozen=True, slots=True)
class Meaning:
    """Reads displays with given numbers; `main_letter` is the letter a discriminant of several letters is taken in.

    known: letters that stand for exact numbers. moduli: by the identity of a node in bars, the sign of what is inside.
    """

    numbers: tuple[Filling, ...]
    main_letter: str = ""
    sign: int = 0
    known: Mapping[str, Exact] | None = None
    moduli: Mapping[int, int] | None = None

    def polynomial(self, node: Display) -> Polynomial:
        """The exact polynomial a displayed expression is."""
        match node:
            case Numeral(hole, text):
                return polynomials.number(_number(self.numbers[hole]) if hole >= 0 else _fixed(text))
            case Letter(name) if self.known and name in self.known:
                return polynomials.number(self.known[name])
            case Letter(name):
                return polynomials.letter(name)
            case Terms(terms):
                total = polynomials.ZERO
                for sign, term in terms:
                    value = self.polynomial(term)
                    if sign == "±" and not self.sign:
                        raise DomainError("± has two values")
                    negative = sign == "-" or (sign == "±" and self.sign < 0)
                    total = polynomials.subtract(total, value) if negative else polynomials.add(total, value)
                return total
            case Factors(factors):
                product = polynomials.ONE
                for factor in factors:
                    product = polynomials.multiply(product, self.polynomial(factor))
                return product
            case Over(numerator, denominator):
                below = self.polynomial(denominator).constant()
                return polynomials.scale(self.polynomial(numerator), numbers.invert(below))
            case Raised(base, exponent):
                power = _constant(self.polynomial(exponent))
                if not isinstance(power, int):
                    return polynomials.number(_fractional_power(self.polynomial(base), power))
                return polynomials.power(self.polynomial(base), power)
            case Root(radicand, index):
                return polynomials.number(_root(_constant(self.polynomial(radicand)), index))
            case Bracket(inner):
                return self.polynomial(inner)
            case Bars(inner) if self.moduli and id(node) in self.moduli:
                return polynomials.scale(self.polynomial(inner), self.moduli[id(node)])
            case Bars(inner):
                inside = self.polynomial(inner)
                if inside.letters:
                    raise CannotDecide("a modulus of letters may stand in a statement in one unknown only")
                size = inside.constant()
                return polynomials.number(size if numbers.sign(size) >= 0 else numbers.negate(size))
            case Applied("discriminant", (argument,)):
                inside = (
                    self.difference(argument) if isinstance(argument, Compared) else self.polynomial(argument)
                )
                return polynomials.discriminant(inside, polynomials.letter_of(inside, self.main_letter))
            case Applied(name):
                raise CannotDecide(
                    f"`{name}` is taken of rational numbers: neither letters nor roots stand in it here"
                )
            case _:
                raise CannotDecide(f"no meaning is known for {type(node).__name__.lower()} here")

    def quotient(self, node: Display) -> Quotient:
        """The same of an expression that may be divided by letters, or have them under roots and in exponents."""
        match node:
            case Terms(terms):
                total = Quotient(polynomials.ZERO)
                for sign, term in terms:
                    if sign == "±" and not self.sign:
                        raise DomainError("± has two values")
                    negative = sign == "-" or (sign == "±" and self.sign < 0)
                    total = total - self.quotient(term) if negative else total + self.quotient(term)
                return total
            case Factors(factors):
                return reduce(mul, map(self.quotient, factors))
            case Over(numerator, denominator):
                return self.quotient(numerator) / self.quotient(denominator)
            case Raised(base, exponent) if letters(exponent):
                return power_of_number(self.polynomial(base).constant(), self.polynomial(exponent))
            case Raised(base, exponent):
                power = self.polynomial(exponent).constant()
                if not isinstance(power, int):
                    return Quotient(self.polynomial(node))
                return self.quotient(base).power(power)
            case Root(radicand, index) if letters(radicand):
                inside = self.quotient(radicand)
                if not inside.above.letters:
                    return Quotient(self.polynomial(node))
                return root_of(inside, int(index or 2))
            case Bracket(inner):
                return self.quotient(inner)
            case _:
                return Quotient(self.polynomial(node))

    def equation(self, left: Display, right: Display) -> System:
        """What is 0 where two sides are equal, what is not 0 there, and what hides an unknown."""
        if not (_is_no_polynomial(left) or _is_no_polynomial(right)):
            return System((polynomials.subtract(self.polynomial(left), self.polynomial(right)),))
        found = self.quotient(left) - self.quotient(right)
        return System((found.above,), found.divisors, found.hidden)

    def difference(self, relation: Compared) -> Polynomial:
        """left - right of one equation."""
        if relation.signs != ("=",):
            raise CannotDecide("not a single equation")
        left, right = (self.polynomial(operand) for operand in relation.operands)
        return polynomials.subtract(left, right)


_NO_POLYNOMIALS: dict[int, tuple[Display, bool]] = {}
"""What was found of a node, by its identity: looking a whole tree up by its looks takes longer than reading it. The
node is kept, so that no other gets its identity."""


def _is_no_polynomial(node: Display) -> bool:
    """Whether a letter may stand in a denominator (or below by a negative exponent), under a root or in an exponent."""
    found = _NO_POLYNOMIALS.get(id(node))
    if found is None:
        found = _NO_POLYNOMIALS[id(node)] = (node, _has_letters_elsewhere(node))
    return found[1]


def _has_letters_elsewhere(node: Display) -> bool:
    match node:
        case Over(_, denominator) if letters(denominator):
            return True
        case Raised(base, Terms((("-", _),))) if letters(base):
            return True
        case Root(inner) | Raised(_, inner) if letters(inner):
            return True
        case _:
            return any(map(_has_letters_elsewhere, parts(node)))


@dataclass(frozen=True, slots=True)
class Looks:
    """What a shape shows, whatever its numbers."""

    letters: frozenset[str]
    is_statement: bool
    has_approximation: bool
    has_either_sign: bool
    has_inequality: bool
    has_whole: bool
    moduli: tuple[Bars, ...]
    told: tuple[str, tuple[Display, ...]] | None
    """The letter and its values, of a statement that tells them: `x = 2 or x = 3`."""

    @property
    def is_of_regions(self) -> bool:
        """Whether its solutions are told by where expressions are positive: inequalities, and moduli of letters."""
        return self.has_inequality or bool(self.moduli)


@cache
def looks(shape: Shape) -> Looks:
    """What a shape shows."""
    node = shape.display
    related = relation_signs(node)
    return Looks(
        letters(node), is_statement(node), "≈" in related, has_either_sign(node), not related <= {"=", "≈"},
        "∈" in related, tuple(_moduli(node)), _told(node),
    )  # fmt: skip


def _told(node: Display) -> tuple[str, tuple[Display, ...]] | None:
    match node:
        case Bracket(inner):
            return _told(inner)
        case Compared((Letter(name), right), ("=",)) if not letters(right):
            return name, (right,)
        case Joined("or", statements):
            told = [_told(statement) for statement in statements]
            names = {each[0] for each in told if each is not None}
            if None in told or len(names) != 1:
                return None
            return names.pop(), tuple(value for each in told if each is not None for value in each[1])
        case _:
            return None


def has_either_sign(node: Display) -> bool:
    """Whether a ± is shown anywhere."""
    if isinstance(node, Terms) and any(sign == "±" for sign, _ in node.terms):
        return True
    return any(has_either_sign(part) for part in parts(node))


def letters(node: Display) -> frozenset[str]:
    """The letters shown."""
    if isinstance(node, Letter):
        return frozenset({node.name})
    return _NONE.union(*map(letters, parts(node)))


@cache
def free_letters(shape: Shape) -> frozenset[str]:
    """The letters that a shape speaks of: the only one of what a discriminant is taken of is none."""

    def free(node: Display) -> frozenset[str]:
        if isinstance(node, Applied) and node.name == "discriminant":
            found = letters(node)
            return found if len(found) > 1 else _NONE
        if isinstance(node, Letter):
            return frozenset({node.name})
        return _NONE.union(*map(free, parts(node)))

    return free(shape.display)


def _moduli(node: Display) -> Iterator[Bars]:
    """Those of what has letters."""
    if isinstance(node, Bars) and letters(node):
        yield node
    for part in parts(node):
        yield from _moduli(part)


def is_statement(node: Display) -> bool:
    """Whether a relation is shown, or relations joined by words."""
    return isinstance(node, Compared | Joined | Nothing)


def relation_signs(node: Display) -> frozenset[str]:
    """The relation signs shown."""
    found = frozenset(node.signs) if isinstance(node, Compared) else _NONE
    return found.union(*map(relation_signs, parts(node)))


def region(maths: Maths, unknown: str, main_letter: str = "") -> Region:
    """The numbers for which a displayed statement in one unknown holds, inequalities and moduli included.

    A modulus is read twice: where what is inside is not negative, and where it is. Raises CannotDecide, DomainError;
    ± has two readings, which an inequality leaves open.
    """
    found = stretches(maths, unknown, main_letter)
    return regions.whole_numbers(found) if of_whole_numbers(maths) else found


@lru_cache(maxsize=_LATELY)
def stretches(maths: Maths, unknown: str, main_letter: str = "") -> Region:
    """The same among all real numbers, whatever is said of whole ones."""
    shown = looks(maths.shape)
    if shown.has_either_sign and shown.has_inequality:
        raise CannotDecide("± stands in an inequality")
    if len(shown.moduli) > MOST_MODULI:
        raise CannotDecide(f"more than {MOST_MODULI} moduli")
    signs = (1, -1) if shown.has_either_sign else (0,)
    readings = [
        _where(shown.moduli, Meaning(maths.numbers, main_letter, sign, moduli=chosen), unknown, maths)
        for sign in signs
        for chosen in _signs_of(shown.moduli)
    ]
    return regions.union(piece for found in readings for piece in found)


def of_whole_numbers(maths: Maths) -> bool:
    """Whether a statement is true of whole numbers only: it says so, alone or beside what else holds.

    Raises CannotDecide where it says so anywhere else.
    """
    shown = looks(maths.shape)
    if shown.has_whole and not says_whole(maths.shape.display):
        raise CannotDecide("∈ stands within alternatives")
    return shown.has_whole


def says_whole(node: Display) -> bool:
    """Whether a letter is said to be a whole number, by a statement or by one of those that hold together."""
    match node:
        case Compared((Letter(), Letter(name)), ("∈",)):
            return name == WHOLE_NUMBERS
        case Joined("and", statements):
            return any(map(says_whole, statements))
        case _:
            return False


def _signs_of(moduli: tuple[Bars, ...]) -> Iterator[dict[int, int]]:
    for signs in product((1, -1), repeat=len(moduli)):
        yield {id(node): sign for node, sign in zip(moduli, signs, strict=True)}


def _where(moduli: tuple[Bars, ...], meaning: Meaning, unknown: str, maths: Maths) -> Region:
    """Where a statement holds in one reading of its moduli, and where these are to be read so."""
    found = region_of(maths.shape.display, meaning, unknown)
    for node in moduli:
        assert meaning.moduli is not None
        inside = meaning.polynomial(node.inner)
        read_so = _side(inside, ">=" if meaning.moduli[id(node)] > 0 else "<", unknown)
        found = regions.intersection(found, read_so)
    return found


def region_of(node: Display, meaning: Meaning, unknown: str) -> Region:
    """The same for a statement within one, with its numbers read. Raises CannotDecide, DomainError."""
    match node:
        case Nothing():
            return regions.NOTHING
        case Bracket(inner):
            return region_of(inner, meaning, unknown)
        case Joined("or", statements):
            return regions.union(piece for part in statements for piece in region_of(part, meaning, unknown))
        case Joined("and", statements):
            return reduce(regions.intersection, (region_of(part, meaning, unknown) for part in statements))
        case Compared(_, ("∈",)):
            return regions.EVERYTHING  # see `region`
        case Compared(operands, signs):
            found = regions.EVERYTHING
            for (left, right), sign in zip(pairwise(operands), signs, strict=True):
                found = regions.intersection(found, _related(left, sign, right, meaning, unknown))
            return found
        case _:
            raise CannotDecide("an expression is no statement")


def _related(left: Display, sign: str, right: Display, meaning: Meaning, unknown: str) -> Region:
    """Where two sides stand to each other as a sign says, and have a value both."""
    if not (_is_no_polynomial(left) or _is_no_polynomial(right)):
        return _side(polynomials.subtract(meaning.polynomial(left), meaning.polynomial(right)), sign, unknown)
    difference = meaning.quotient(left) - meaning.quotient(right)
    if difference.hidden:
        raise CannotDecide("a letter under a root or in an exponent may stand in an equation only")
    found = regions.of_quotient(
        lambda of: _side(difference.above, of, unknown), lambda of: _side(difference.below, of, unknown), sign
    )
    return reduce(
        regions.intersection, (_side(divisor, "!=", unknown) for divisor in difference.divisors), found
    )


def _side(difference: Polynomial, sign: str, unknown: str) -> Region:
    stray = [letter for letter in difference.letters if letter != unknown]
    if stray:
        raise CannotDecide(f"the letter {stray[0]} is neither given nor to be found")
    a, b, c = (part.constant() for part in polynomials.quadratic_coefficients(difference, unknown))
    return regions.of_sign(a, b, c, sign)


def systems(maths: Maths, main_letter: str = "", known: Mapping[str, Exact] | None = None) -> list[System]:
    """A statement as alternatives, each what holds together. Raises CannotDecide for other than equations.

    known: letters that stand for exact numbers.
    """
    node = maths.shape.display
    signs = (1, -1) if looks(maths.shape).has_either_sign else (0,)
    found: list[System] = []
    for sign in signs:
        found.extend(_alternatives(node, Meaning(maths.numbers, main_letter, sign, known)))
    return found


def _alternatives(node: Display, meaning: Meaning) -> list[System]:
    match node:
        case Nothing():
            return []
        case Bracket(inner):
            return _alternatives(inner, meaning)
        case Joined("or", statements):
            return [alternative for part in statements for alternative in _alternatives(part, meaning)]
        case Joined("and", statements):
            combined = [System(())]
            for part in statements:
                combined = [before & more for before in combined for more in _alternatives(part, meaning)]
                if len(combined) > MOST_ALTERNATIVES:
                    raise CannotDecide(f"more than {MOST_ALTERNATIVES} alternatives")
            return combined
        case Compared((Pair(x, y), Pair(a, b)), ("=",)):
            return [_together(meaning, ((x, a), (y, b)))]
        case Compared(operands, signs) if set(signs) == {"="}:
            return [_together(meaning, tuple(pairwise(operands)))]
        case Compared():
            raise CannotDecide("only equations are solved")
        case _:
            raise CannotDecide("an expression is no statement")


def _together(meaning: Meaning, pairs: tuple[tuple[Display, Display], ...]) -> System:
    return reduce(and_, [meaning.equation(left, right) for left, right in pairs])


def solutions(
    maths: Maths, unknowns: Sequence[str], for_every: Sequence[str] = (), main_letter: str = ""
) -> frozenset[Solution]:
    """The solution set of a displayed statement, exactly. Raises CannotDecide where it is not finite."""
    return _solutions(maths, tuple(unknowns), tuple(for_every), main_letter)


@lru_cache(maxsize=_LATELY)
def _solutions(
    maths: Maths, unknowns: tuple[str, ...], for_every: tuple[str, ...], main_letter: str
) -> frozenset[Solution]:
    found: set[Solution] = set()
    shown = looks(maths.shape)
    if shown.told is not None and unknowns == (shown.told[0],) and not for_every:
        signs = (1, -1) if shown.has_either_sign else (0,)
        readings = [Meaning(maths.numbers, main_letter, sign) for sign in signs]
        return frozenset((each.polynomial(right).constant(),) for each in readings for right in shown.told[1])
    if len(unknowns) == 1 and not for_every and shown.is_of_regions:
        finite = regions.points(region(maths, unknowns[0], main_letter))
        if finite is None:
            raise CannotDecide("the solutions are whole stretches")
        return frozenset((number,) for number in finite)
    for system in systems(maths, main_letter):
        found |= system.for_every(for_every).solutions(unknowns)
    return frozenset(found)


@lru_cache(maxsize=_LATELY)
def value(maths: Maths, main_letter: str = "") -> Polynomial:
    """The exact polynomial of a displayed expression."""
    return Meaning(maths.numbers, main_letter).polynomial(maths.shape.display)


def quotient(maths: Maths, main_letter: str = "") -> Quotient:
    """The exact quotient of polynomials that a displayed expression is, in lowest terms; over 1 for a polynomial."""
    node = maths.shape.display
    if not _is_no_polynomial(node):
        return Quotient(value(maths, main_letter))
    return Meaning(maths.numbers, main_letter).quotient(node).reduced()


def _number(filling: Filling) -> int | Fraction:
    return numbers.whole(filling.value) if isinstance(filling, Decimal) else filling


def _constant(inside: Polynomial) -> Exact:
    if not inside.is_number:
        raise CannotDecide(_IN_EQUATIONS)
    return inside.constant()


@lru_cache(maxsize=256)
def _fixed(text: str) -> int | Fraction:
    return numbers.whole(Fraction(text))


def _root(radicand: Exact, index: str) -> Exact:
    if index in {"", "2"}:
        return numbers.square_root(radicand)
    from itembank.expressions.exact import whole_root

    if isinstance(radicand, numbers.Surd):
        raise DomainError("a root of a surd")
    return whole_root(Fraction(radicand), int(index))


def _fractional_power(base: Polynomial, exponent: Exact) -> Exact:
    """The root of a power, where the search takes the power of a root. Raises CannotDecide, DomainError."""
    if base.letters or isinstance(exponent, numbers.Surd):
        raise CannotDecide("only of a number a power is known whose exponent is a fraction")
    value, power = base.constant(), Fraction(exponent)
    if numbers.sign(value) < 0:
        raise DomainError("a negative number has no power whose exponent is a fraction")
    return _root(numbers.power(value, power.numerator), str(power.denominator))


def satisfies(statement: Maths, values: dict[str, Exact]) -> bool:
    """Whether exact values of the letters satisfy a displayed statement, inequalities included."""
    return _holds(statement.shape.display, Meaning(statement.numbers, known=values), values)


def _holds(node: Display, meaning: Meaning, values: dict[str, Exact]) -> bool:
    match node:
        case Joined("and", statements):
            return all(_holds(part, meaning, values) for part in statements)
        case Joined(_, statements):
            return any(_holds(part, meaning, values) for part in statements)
        case Bracket(inner):
            return _holds(inner, meaning, values)
        case Nothing():
            return False
        case Compared((Letter(name), Letter(of)), ("∈",)) if of == WHOLE_NUMBERS:
            value = values[name]
            return not isinstance(value, numbers.Surd) and Fraction(value).denominator == 1
        case Compared(operands, signs):
            found = [_put_in(meaning.polynomial(operand), values) for operand in operands]
            return all(
                regions.related(numbers.compare(a, b), sign)
                for a, sign, b in zip(found, signs, found[1:], strict=False)
            )
        case _:
            raise CannotDecide("an expression is no statement")


def _put_in(polynomial: Polynomial, values: Mapping[str, Exact]) -> Exact:
    return put_in(polynomial, values).constant()
