"""The second road: the same questions answered by sympy, for what the first cannot reach and for thorough audits.

It starts from the formula's tree, not from the first road's polynomials. sympy takes long to load, so it is loaded
when a question first comes here.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import Final, TypeAlias

from itembank.audit import formula
from itembank.audit.conditions import half_unit
from itembank.audit.findings import CannotTell
from itembank.audit.formula import NOWHERE, Node, Scope
from itembank.audit.symbolic_sets import (
    Expression,
    Piece,
    in_order,
    is_zero,
    rational,
    same_number,
    same_tuple,
)

__all__ = ["Claims", "as_expression", "pieces", "same_formula", "same_value", "tuples"]

NODES: Final = 150
DIGITS: Final = 12
Claims: TypeAlias = Sequence[tuple[Node, Sequence[str], Scope]]
"""Statements that hold together, each with the letters for every value of which it does, and its scope."""


def pieces(claims: Claims, unknown: str) -> list[Piece]:
    """The real values of one unknown that satisfy all claims, as pieces from left to right.

    Raises CannotTell where sympy finds no plain set.
    """
    import sympy

    found: Expression = sympy.S.Reals
    for node, for_every, scope in claims:
        _refuse_large(node)
        found = found.intersect(_set(node, unknown, for_every, scope))
    return _pieces(found)


def tuples(claims: Claims, unknowns: Sequence[str]) -> list[tuple[Expression, ...]]:
    """The real solutions in several unknowns; there are finitely many, or CannotTell is raised."""
    found: list[tuple[Expression, ...]] = []
    symbols = [_symbol(name) for name in unknowns]
    for node, _, _ in claims:
        _refuse_large(node)
    choices = [_alternatives(node, scope, for_every) for node, for_every, scope in claims]
    for chosen in product(*choices):
        equations = [part for _, each in chosen for part in each]
        if any(sign != "=" for sign, _ in chosen):
            raise CannotTell("inequalities in several unknowns")
        for solution in _solve_system([e for e in equations if e != 0], symbols):
            if not any(same_tuple(a, b) for a, b in ((solution, other) for other in found)):
                found.append(solution)
    return found


def same_value(first: Node, second: Node, scope: Scope = NOWHERE) -> bool:
    """Whether two expressions are equal for every value of their letters for which both are defined."""
    import sympy

    _refuse_large(first, digits_above_letters=2)
    _refuse_large(second, digits_above_letters=2)
    ours, theirs = as_expression(first, scope=scope), as_expression(second, scope=scope)
    difference = sympy.simplify(ours - theirs)
    if difference == 0:
        return True
    letters = sorted(difference.free_symbols, key=str)
    if not letters:
        return is_zero(difference)
    for number in range(2, 12):
        chosen = {
            letter: sympy.Rational((-1) ** number * (number + 3 * place), 1 + place)
            for place, letter in enumerate(letters)
        }
        value = difference.subs(chosen)
        if value.is_finite and not is_zero(value):
            return False
    raise CannotTell("sympy finds the expressions neither equal nor different")


def same_formula(first: Node, second: Node, subject: str, scope: Scope = NOWHERE) -> bool:
    """Whether two equations, each solved for a letter, say the same of it.

    Raises CannotTell where sympy finds not one solution.
    """
    import sympy

    solved = []
    for node in (first, second):
        _refuse_large(node)
        if not isinstance(node, formula.Relation) or node.sign != "=":
            raise CannotTell("a formula is one equation")
        equation = as_expression(node.left, scope=scope) - as_expression(node.right, scope=scope)
        found = sympy.solve(equation, _symbol(subject))
        if len(found) != 1:
            raise CannotTell(f"sympy does not find one {subject}")
        solved += found
    return bool(sympy.cancel(solved[0] - solved[1]) == 0)


def _refuse_large(node: Node, *, digits_above_letters: int = 1) -> None:
    """Sizes up to which sympy surely ends; there is no clock.

    digits_above_letters: of an exponent whose base is a single letter, so that nothing is multiplied out. A power of
    numbers is a number, however it is written: its exponent may have two digits, a sign, or be a sum of two.
    """
    below = list(formula.walk(node))

    def is_small(power: formula.Power) -> bool:
        if not any(isinstance(each, formula.Letter) for each in formula.walk(power)):
            terms = (
                power.exponent.terms if isinstance(power.exponent, formula.Sum) else (("+", power.exponent),)
            )
            return len(terms) <= 2 and all(
                isinstance(each, formula.Numeral) and len(each.text) <= 2 for _, each in terms
            )
        digits = digits_above_letters if isinstance(power.base, formula.Letter) else 1
        return isinstance(power.exponent, formula.Numeral) and len(power.exponent.text) <= digits

    if (
        len(below) > NODES
        or any(isinstance(each, formula.Numeral) and len(each.text) > DIGITS for each in below)
        or not all(is_small(each) for each in below if isinstance(each, formula.Power))
    ):
        raise CannotTell("the formula is too large for sympy")


def as_expression(node: Node, either: int = 0, scope: Scope = NOWHERE) -> Expression:
    """The sympy expression of a formula; `either` is the sign ± stands for."""
    import sympy

    def read(part: Node) -> Expression:
        return as_expression(part, either, scope)

    match node:
        case formula.Numeral(text):
            return sympy.Rational(text)
        case formula.Letter(name):
            return _symbol(name)
        case formula.Sum(terms):
            if not either and any(sign == "±" for sign, _ in terms):
                raise CannotTell("± has two values here")
            factors = {"+": 1, "-": -1, "±": either}
            return sympy.Add(*(factors[sign] * read(term) for sign, term in terms))
        case formula.Product(factors_):
            return sympy.Mul(*map(read, factors_))
        case formula.Quotient(numerator, denominator):
            return read(numerator) / read(denominator)
        case formula.Power(base, exponent):
            return read(base) ** read(exponent)
        case formula.Root(radicand, index):
            return sympy.real_root(read(radicand), index) if index % 2 else sympy.root(read(radicand), index)
        case formula.Absolute(inner):
            return sympy.Abs(read(inner))
        case formula.Apply("discriminant", (argument,)):
            letter = scope.of_discriminant(argument)
            if isinstance(argument, formula.Relation):
                argument = formula.sum_of([("+", argument.left), ("-", argument.right)])
            if not letter:
                raise CannotTell("it is not plain in which letter the discriminant is meant")
            return sympy.discriminant(sympy.expand(read(argument)), _symbol(letter))
        case formula.Apply(function) if function in formula.NAMED:
            raise CannotTell(f"nobody says what the function {function} is")
        case formula.Apply(function, arguments):
            name = {"gcd": "igcd", "lcm": "ilcm", "min": "Min", "max": "Max"}[function]
            return getattr(sympy, name)(*map(read, arguments))
        case _:
            raise CannotTell("a statement or a point stands inside an expression")


def _symbol(name: str) -> Expression:
    import sympy

    return sympy.Symbol(name, real=True)


def _set(node: Node, unknown: str, for_every: Sequence[str], scope: Scope) -> Expression:
    import sympy

    if formula.has_either_sign(node):
        return sympy.Union(*(_plain_set(node, unknown, for_every, scope, sign) for sign in (1, -1)))
    return _plain_set(node, unknown, for_every, scope, 0)


def _plain_set(node: Node, unknown: str, for_every: Sequence[str], scope: Scope, either: int) -> Expression:
    import sympy

    match node:
        case formula.Nothing():
            return sympy.S.EmptySet
        case formula.Conjunction(parts):
            return sympy.Intersection(
                *(_plain_set(part, unknown, for_every, scope, either) for part in parts)
            )
        case formula.Alternatives(parts):
            return sympy.Union(*(_plain_set(part, unknown, for_every, scope, either) for part in parts))
        case formula.Relation(left, sign, right):
            found: Expression = sympy.S.Reals
            for related, difference in _differences(left, sign, right, for_every, scope, either):
                found = found.intersect(_solved(difference, related, unknown))
            return found
        case _:
            raise CannotTell("an expression stands where a statement should")


def _differences(
    left: Node, sign: str, right: Node, for_every: Sequence[str], scope: Scope, either: int
) -> list[tuple[str, Expression]]:
    import sympy

    if sign == "∈":
        raise CannotTell("a letter is said to be a whole number within alternatives")
    difference = as_expression(left, either, scope) - as_expression(right, either, scope)
    if sign == "≈":
        half = rational(half_unit(right))
        return [("≤", difference - half), ("≥", difference + half)]
    bound = [_symbol(name) for name in for_every if difference.has(_symbol(name))]
    if not bound:
        return [(sign, difference)]
    if sign != "=":
        raise CannotTell("an inequality for every value of a letter")
    above, _ = sympy.fraction(sympy.together(difference))
    try:
        return [("=", part) for part in sympy.Poly(sympy.expand(above), *bound).coeffs()] or [
            ("=", sympy.S.Zero)
        ]
    except sympy.PolynomialError as wrong:
        raise CannotTell("an identity between what are no polynomials") from wrong


def _solved(difference: Expression, sign: str, unknown: str) -> Expression:
    import sympy

    symbol = _symbol(unknown)
    strange = difference.free_symbols - {symbol}
    if strange:
        raise CannotTell(f"the letter {sorted(map(str, strange))[0]} is neither given nor to be found")
    relation = {"=": sympy.Eq, "≠": sympy.Ne, "<": sympy.Lt, "≤": sympy.Le, ">": sympy.Gt, "≥": sympy.Ge}[
        sign
    ]
    asked = relation(difference, 0)
    if asked in {True, False, sympy.true, sympy.false}:
        return sympy.S.Reals if asked else sympy.S.EmptySet
    try:
        if sign == "=":
            return sympy.solveset(difference, symbol, sympy.S.Reals)
        return sympy.solveset(asked, symbol, sympy.S.Reals)
    except (NotImplementedError, ValueError, TypeError) as stuck:
        raise CannotTell("sympy solves no statement of this kind") from stuck


def _pieces(found: Expression) -> list[Piece]:
    import sympy

    parts = found.args if isinstance(found, sympy.Union) else (found,)
    gathered: list[Piece] = []
    for part in parts:
        if part == sympy.S.EmptySet:
            continue
        if isinstance(part, sympy.FiniteSet):
            gathered += [Piece(value, value, True, True) for value in part.args]
        elif isinstance(part, sympy.Interval) or part == sympy.S.Reals:
            gathered.append(_interval(part))
        else:
            raise CannotTell("sympy gives no plain set")
    return in_order(_without_twins(gathered))


def _interval(part: Expression) -> Piece:
    import sympy

    if part == sympy.S.Reals:
        return Piece(-sympy.oo, sympy.oo, False, False)
    return Piece(part.start, part.end, not part.left_open, not part.right_open)


def _without_twins(gathered: list[Piece]) -> list[Piece]:
    """Points that are written differently and are one."""
    kept: list[Piece] = []
    for piece in gathered:
        point = piece.low == piece.high
        if not (
            point and any(other.low == other.high and same_number(other.low, piece.low) for other in kept)
        ):
            kept.append(piece)
    return kept


def _alternatives(node: Node, scope: Scope, for_every: Sequence[str]) -> list[tuple[str, list[Expression]]]:
    signs = (1, -1) if formula.has_either_sign(node) else (0,)
    return [each for sign in signs for each in _plain_alternatives(node, scope, for_every, sign)]


def _plain_alternatives(
    node: Node, scope: Scope, for_every: Sequence[str], either: int
) -> list[tuple[str, list[Expression]]]:
    import sympy

    match node:
        case formula.Nothing():
            return []
        case formula.Alternatives(parts):
            return [each for part in parts for each in _plain_alternatives(part, scope, for_every, either)]
        case formula.Conjunction(parts):
            rows = [_plain_alternatives(part, scope, for_every, either) for part in parts]
            return [_merged(chosen) for chosen in product(*rows)]
        case formula.Relation(formula.Point(x, y), "=", formula.Point(u, v)):
            both = formula.Conjunction((formula.Relation(x, "=", u), formula.Relation(y, "=", v)))
            return _plain_alternatives(both, scope, for_every, either)
        case formula.Relation(left, "=", right):
            found = _differences(left, "=", right, for_every, scope, either)
            above = [sympy.fraction(sympy.together(difference)) for _, difference in found]
            if any(below.free_symbols for _, below in above):
                raise CannotTell("a system with letters in denominators")
            return [("=", [sympy.expand(part) for part, _ in above])]
        case _:
            raise CannotTell("inequalities in several unknowns")


def _merged(chosen: Sequence[tuple[str, list[Expression]]]) -> tuple[str, list[Expression]]:
    return "=", [part for _, each in chosen for part in each]


def _solve_system(equations: list[Expression], symbols: list[Expression]) -> list[tuple[Expression, ...]]:
    import sympy

    if any(not equation.free_symbols for equation in equations):
        return []
    if not symbols:
        return [()]
    try:
        if len(symbols) == 1:
            found = [(root,) for root in _common_roots(equations, symbols[0])]
        else:
            found = sympy.solve_poly_system(equations, *symbols) or []
    except (NotImplementedError, sympy.PolynomialError, sympy.polys.polyerrors.BasePolynomialError) as stuck:
        raise CannotTell("sympy solves no system of this kind") from stuck
    real = []
    for solution in found:
        verdicts = [value.is_real for value in solution]
        if None in verdicts:
            raise CannotTell("sympy cannot tell whether a solution is real")
        if all(verdicts):
            real.append(tuple(solution))
    return real


def _common_roots(equations: list[Expression], symbol: Expression) -> list[Expression]:
    import sympy

    found: Expression = sympy.S.Reals
    for equation in equations:
        found = found.intersect(sympy.solveset(equation, symbol, sympy.S.Reals))
    if not isinstance(found, sympy.FiniteSet) and found != sympy.S.EmptySet:
        raise CannotTell("sympy gives no finite set")
    return list(found)
