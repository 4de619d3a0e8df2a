"""The exact reading, where whole-number code does not reach: slower, general, through the proof's own solver."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import reduce
from itertools import pairwise
from math import lcm
from operator import and_

from itembank.errors import DomainError
from itembank.expressions import canonical, exact, numbers, polynomials, tree
from itembank.expressions.canonical import Form
from itembank.expressions.numbers import Exact, Surd
from itembank.expressions.plan import DECIMAL, FACTORS, FORMULA, POINTS, POLYNOMIAL, POSITIVE, SOLUTIONS, Leaf
from itembank.expressions.polynomials import Polynomial
from itembank.expressions.positive_formulas import told_where_positive
from itembank.expressions.quotients import Quotient
from itembank.expressions.statement_checks import is_inequality, says_whole
from itembank.generator import runtime
from itembank.proof import regions
from itembank.proof.meaning import MOST_MODULI
from itembank.proof.regions import Region
from itembank.proof.solver import CannotDecide, Solution, System
from itembank.properties import integer_tests
from itembank.properties.catalogue import PROPERTIES

_NOUGHT = tree.Number(Fraction(0))


def holds(name: str, arguments: tuple[Polynomial, ...]) -> bool:
    """A property of exact arguments, by the search's own integer test."""
    takes = PROPERTIES[name].takes
    test = integer_tests.INTEGER_TESTS[name]
    if takes == "polynomial":
        letters = arguments[0].letters
        if len(letters) > 1:
            raise DomainError("a polynomial in more than one letter")
        parts = polynomials.quadratic_coefficients(arguments[0], letters[0] if letters else "x")
        values = [_rational(part.constant()) for part in parts]
        shared = lcm(*(value.denominator for value in values))
        return bool(test(*(value.numerator * (shared // value.denominator) for value in values), shared))
    numbers = [_rational(argument.constant()) for argument in arguments]
    if takes == "number":
        return bool(test(numbers[0].numerator, numbers[0].denominator))
    if any(value.denominator != 1 for value in numbers):
        raise DomainError("whole numbers are needed")
    return bool(test(*(value.numerator for value in numbers)))


def condition(node: tree.Node, values: Mapping[str, Exact], main_letter: str) -> bool | None:
    """Whether a statement holds; None where it is undefined."""
    try:
        return exact.truth(node, values, holds, main_letter)
    except DomainError:
        return None


def form(leaf: Leaf, values: Mapping[str, Exact], main_letter: str) -> Form | None:
    """The canonical form of a leaf; None where it is undefined or cannot be found."""
    try:
        return worked_out(leaf, values)
    except (DomainError, CannotDecide):
        return None


def worked_out(leaf: Leaf, values: Mapping[str, Exact]) -> Form:
    """The same, with the reason where there is none: raises DomainError, CannotDecide."""
    if leaf.kind == SOLUTIONS:
        return solution_form(leaf.source, leaf.letter, values)
    if leaf.kind == POINTS:
        return points_form(solution_set(leaf.source, leaf.letter.split(), (), values))
    if leaf.kind == DECIMAL:
        value = exact.number(leaf.source, values)
        if isinstance(value, Surd):
            return canonical.exact(value)
        return runtime.decimal(value.numerator, value.denominator, leaf.places)
    if leaf.kind == FACTORS:
        return _factors(leaf, values)
    if leaf.kind == POLYNOMIAL:
        quotient = exact.quotient(leaf.source, values).reduced()
        return ("polynomial", quotient.above, quotient.below), ()
    if leaf.kind in {FORMULA, POSITIVE}:
        quotient = formula(leaf.source, leaf.letter, values, positive=leaf.kind == POSITIVE)
        return ("polynomial", quotient.above, quotient.below), ()
    signs = (1, -1) if tree.has_plus_minus(leaf.source) else (0,)
    found = [
        exact.number(tree.with_sign(leaf.source, sign) if sign else leaf.source, values) for sign in signs
    ]
    return canonical.solution_set(found) if len(found) > 1 else canonical.exact(found[0])


def formula(
    node: tree.Node, subject: str, values: Mapping[str, Exact], *, positive: bool = False
) -> Quotient:
    """What a letter is, told in the others, by an equation that is linear in it. Raises CannotDecide, DomainError.

    positive: every letter is a positive number, so that squares of it and square roots may stand there.
    """
    if not isinstance(node, tree.Relation) or node.operators != ("=",):
        raise CannotDecide("a formula is one equation")
    left, right = (exact.quotient(operand, values, positive=positive) for operand in node.operands)
    if positive:
        whole_equation = left - right
        return told_where_positive(whole_equation.above, whole_equation.hidden, subject)
    powers = (left - right).above.in_powers_of(subject)
    if max(powers, default=0) != 1:
        raise CannotDecide(f"the equation is not linear in {subject}")
    rest = powers.get(0, polynomials.ZERO)
    return Quotient(polynomials.negate(rest), powers[1]).reduced()


def points_form(found: frozenset[Solution]) -> Form:
    """The form of solutions in two unknowns."""
    return canonical.point_set((x, y) for x, y in found)


def solution_form(node: tree.Node, letter: str, values: Mapping[str, Exact]) -> Form:
    """The form of the solution set of a statement, or of a value, in one unknown.

    Raises DomainError where every number is a solution: nothing is written for that.
    """
    if not tree.is_statement(node):
        node = tree.Relation((tree.Name(letter), node), ("=",))
    if is_inequality(node) or _innermost(node, letter):
        found = _where(node, letter, values)
        if says_whole(node):
            found = regions.whole_numbers(found)
            if regions.points(found) is None:
                raise CannotDecide("whole numbers without an end")
        if found == regions.EVERYTHING:
            raise DomainError("every number is a solution, and nothing is written for that")
        return canonical.region(found)
    return canonical.solution_set([solution[0] for solution in solution_set(node, (letter,), (), values)])


def _where(node: tree.Node, letter: str, values: Mapping[str, Exact], depth: int = 0) -> Region:
    """The numbers for which a statement holds, with each modulus read for either sign of what is inside."""
    modulus = _innermost(node, letter)
    if modulus is None:
        return _region(node, letter, values)
    if depth == MOST_MODULI:
        raise CannotDecide(f"more than {MOST_MODULI} moduli")
    inside = modulus.arguments[0]
    found: list[Region] = []
    for read, sign in ((inside, ">="), (tree.Negation(inside), "<")):
        so = _region(tree.Relation((inside, _NOUGHT), (sign,)), letter, values)
        found.append(regions.intersection(_where(_with(node, modulus, read), letter, values, depth + 1), so))
    return regions.union(piece for each in found for piece in each)


def _with(node: tree.Node, old: tree.Node, new: tree.Node) -> tree.Node:
    return tree.transform(node, lambda part: new if part == old else None)


def _innermost(node: tree.Node, letter: str) -> tree.Call | None:
    """A modulus of what has the letter in it, with no such modulus within."""
    for part in tree.walk(node):
        if isinstance(part, tree.Call) and part.function == "abs" and letter in tree.names(part):
            return next((found for a in part.arguments if (found := _innermost(a, letter))), part)
    return None


def _region(node: tree.Node, letter: str, values: Mapping[str, Exact]) -> Region:
    """The same where no modulus is left."""
    match node:
        case tree.Or(parts):
            return regions.union(piece for part in parts for piece in _region(part, letter, values))
        case tree.And(parts):
            return reduce(regions.intersection, [_region(part, letter, values) for part in parts])
        case tree.Relation(_, ("∈",)):
            return regions.EVERYTHING  # see `solution_form`
        case tree.Relation(operands, signs):
            if tree.has_plus_minus(node):
                return _points(node, letter, values)
            sides = [exact.quotient(operand, values) for operand in operands]
            found = regions.EVERYTHING
            for (left, right), sign in zip(pairwise(sides), signs, strict=True):
                found = regions.intersection(found, _side(left - right, letter, sign))
            return found
        case _:
            raise CannotDecide("no statement about one unknown")


def _side(difference: Quotient, letter: str, sign: str) -> Region:
    """Where a quotient of polynomials in one letter has a value and stands to 0 as a sign says."""
    if difference.hidden:
        raise CannotDecide("a letter under a root or in an exponent may stand in an equation only")

    def where(polynomial: Polynomial, stands: str) -> Region:
        a, b, c = (part.constant() for part in polynomials.quadratic_coefficients(polynomial, letter))
        return regions.of_sign(a, b, c, stands)

    if not (difference.below.letters or difference.divisors):
        scale = numbers.sign(difference.below.constant())
        return where(polynomials.scale(difference.above, scale), sign)
    found = regions.of_quotient(
        lambda stands: where(difference.above, stands), lambda stands: where(difference.below, stands), sign
    )
    return reduce(regions.intersection, (where(each, "!=") for each in difference.divisors), found)


def _points(node: tree.Node, letter: str, values: Mapping[str, Exact]) -> Region:
    """The solutions of an equation with ±."""
    found = solution_set(node, (letter,), (), values)
    return regions.union(regions.Piece(value, True, value, True) for (value,) in found)


def solution_set(
    node: tree.Node,
    unknowns: Sequence[str],
    for_every: Sequence[str],
    values: Mapping[str, Exact],
    main_letter: str = "",
) -> frozenset[Solution]:
    """All exact solutions of a statement's tree. Raises CannotDecide, DomainError."""
    found: set[Solution] = set()
    for sign in (1, -1) if tree.has_plus_minus(node) else (0,):
        reading = tree.with_sign(node, sign) if sign else node
        for system in _alternatives(reading, values, main_letter):
            found |= system.for_every(for_every).solutions(unknowns)
    return frozenset(found)


def _alternatives(node: tree.Node, values: Mapping[str, Exact], main_letter: str) -> list[System]:
    match node:
        case tree.Or(parts):
            return [found for part in parts for found in _alternatives(part, values, main_letter)]
        case tree.And(parts):
            combined = [System(())]
            for part in parts:
                combined = [a & b for a in combined for b in _alternatives(part, values, main_letter)]
            return combined
        case tree.Relation(operands, operators) if set(operators) == {"="}:
            if (both := tree.coordinates(node)) is not None:
                return _alternatives(tree.And(both), values, main_letter)
            read = [exact.quotient(operand, values, main_letter) for operand in operands]
            differences = [left - right for left, right in pairwise(read)]
            return [reduce(and_, (System((e.above,), e.divisors, e.hidden) for e in differences))]
        case _:
            raise CannotDecide("only equations are solved")


def _factors(leaf: Leaf, values: Mapping[str, Exact]) -> Form:
    polynomial = exact.polynomial(leaf.source, values)
    if len(polynomial.letters) != 1:
        raise DomainError("`factor` takes a quadratic in one letter")
    parts = polynomials.quadratic_coefficients(polynomial, polynomial.letters[0])
    return canonical.factors(*(_rational(part.constant()) for part in parts))


def _rational(value: Exact) -> Fraction:
    if isinstance(value, Surd):
        raise DomainError("a surd stands where a rational number is needed")
    return Fraction(value)
