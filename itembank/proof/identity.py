"""What two answers are compared by: exact, unique, and quick to find for the common shapes.

- solutions in one unknown: the primitive integer polynomial (a, b, c) with a > 0, or a = 0 and b > 0, that has the
  distinct real solutions as simple roots; () for none; where it would not be rational, the set of exact values;
  where whole intervals solve it, the pieces of the region;
- solutions in several unknowns, a single point: its coordinates as reduced fractions; else the set of exact points;
- a number u + v*sqrt(r): (u, sign of v, v^2*r), all rational;
- an expression that divides by its letter: above and below, in lowest terms;
- an expression in one letter with rational coefficients: these, whole, over the least common denominator; any other
  expression with letters: its exact polynomial.

The quick road compiles a shape's meaning into whole-number code once (`quick.py`); the slow one solves with exact
numbers (`meaning.py`). They agree by construction of the form, and tests compare them.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from math import gcd, lcm
from typing import TypeAlias

from itembank.expressions import numbers
from itembank.expressions.display import Maths, Shape
from itembank.expressions.numbers import Exact, Surd
from itembank.expressions.polynomials import Polynomial
from itembank.proof import meaning
from itembank.proof.quick import quick_expression, quick_point, quick_roots, quick_value
from itembank.proof.quick_code import Reader, expression_identity
from itembank.proof.quick_points import quick_points
from itembank.proof.quick_systems import quick_identity
from itembank.proof.regions import Region, points
from itembank.proof.solver import Solution

Identity: TypeAlias = tuple[object, ...] | frozenset[Solution]

EMPTY: Identity = ()


def of_solutions(
    maths: Maths, unknowns: Sequence[str], for_every: Sequence[str] = (), main_letter: str = ""
) -> Identity:
    """The identity of a displayed statement's solution set.

    Raises CannotDecide or DomainError where it has none that can be found.
    """
    reader = _reader(maths.shape, tuple(unknowns), tuple(for_every), main_letter)
    if reader is None and len(unknowns) == 1 and not for_every and meaning.looks(maths.shape).is_of_regions:
        return of_region(meaning.region(maths, unknowns[0], main_letter))
    if reader is not None:
        found: Identity | None = reader(maths.numbers)
        if found is not None:
            return _as_roots(found) if for_every and len(unknowns) == 1 else found
    return of_set(meaning.solutions(maths, unknowns, for_every, main_letter), len(unknowns))


def _reader(
    shape: Shape, unknowns: tuple[str, ...], for_every: tuple[str, ...], main_letter: str
) -> Reader | None:
    if for_every:
        return quick_identity(shape, unknowns, for_every)
    if len(unknowns) == 1:
        return quick_roots(shape, unknowns[0], main_letter)
    return quick_point(shape, unknowns, main_letter) or quick_points(shape, unknowns, main_letter)


def _as_roots(point: Identity) -> Identity:
    """A single rational value as the linear polynomial that has it as its root."""
    match point:
        case ((int(n), int(d)),):
            return (0, d, -n)
        case _:
            return EMPTY


def of_set(solutions: frozenset[Solution], width: int) -> Identity:
    """The identity of a finite set of exact solutions in so many unknowns.

    >>> of_set(frozenset({(2,), (3,)}), 1)
    (1, -5, 6)
    """
    if not solutions:
        return EMPTY
    if width == 1:
        return _one_unknown([solution[0] for solution in solutions], solutions)
    if len(solutions) == 1:
        (point,) = solutions
        if not any(isinstance(value, Surd) for value in point):
            return tuple(
                (Fraction(v).numerator, Fraction(v).denominator) for v in point if not isinstance(v, Surd)
            )
    return solutions


def of_region(region: Region) -> Identity:
    """The identity of a solution set in one unknown: of points as `of_set` gives it, else the pieces.

    >>> from itembank.proof.regions import Piece
    >>> of_region((Piece(2, True, 2, True), Piece(3, True, 3, True)))
    (1, -5, 6)
    """
    found = points(region)
    return ("region", *region) if found is None else of_set(frozenset((value,) for value in found), 1)


def _one_unknown(values: list[Exact], solutions: frozenset[Solution]) -> Identity:
    if len(values) == 1 and not isinstance(values[0], Surd):
        value = Fraction(values[0])
        return (0, value.denominator, -value.numerator)
    if len(values) == 2:
        total, product = numbers.add(*values), numbers.multiply(*values)
        if not isinstance(total, Surd) and not isinstance(product, Surd):
            b, c = -Fraction(total), Fraction(product)
            shared = b.denominator * c.denominator // gcd(b.denominator, c.denominator)
            return (shared, b.numerator * (shared // b.denominator), c.numerator * (shared // c.denominator))
    return solutions


def of_value(maths: Maths, main_letter: str = "") -> Identity:
    """The identity of a displayed expression: equal exactly when the expressions are equal."""
    reader = _value_reader(maths.shape, main_letter)
    if reader is not None:
        found: Identity | None = reader(maths.numbers)
        if found is not None:
            return found
    quotient = meaning.quotient(maths, main_letter)
    if quotient.below.letters:
        return ("quotient", quotient.above, quotient.below)
    return of_expression(quotient.above)


@cache
def _value_reader(shape: Shape, main_letter: str) -> Reader | None:
    reader = quick_value(shape, main_letter)
    named = meaning.looks(shape).letters
    return quick_expression(shape, next(iter(named))) if reader is None and len(named) == 1 else reader


def of_expression(polynomial: Polynomial) -> Identity:
    """The identity of an exact polynomial; of a number where it has no letter.

    >>> from itembank.expressions import polynomials
    >>> of_expression(polynomials.subtract(polynomials.letter("x"), polynomials.number(Fraction(1, 2))))
    ('expression', 'x', (-1, 2), 2)
    """
    if not polynomial.letters:
        return of_number(polynomial.constant())
    if len(polynomial.letters) > 1:
        return ("polynomial", polynomial)
    values: dict[int, Fraction] = {}
    for monomial, value in polynomial.terms:
        if isinstance(value, Surd):
            return ("polynomial", polynomial)
        values[monomial[0][1] if monomial else 0] = Fraction(value)
    shared = lcm(*(value.denominator for value in values.values()))
    whole = tuple(int(values.get(power, Fraction(0)) * shared) for power in range(max(values) + 1))
    return expression_identity(polynomial.letters[0], whole, shared)


def of_number(number: Exact) -> Identity:
    """The identity of an exact number."""
    if not isinstance(number, Surd):
        value = Fraction(number)
        return ("number", (value.numerator, value.denominator), 0, (0, 1))
    irrational = [(radicand, value) for radicand, value in number.terms if radicand != 1]
    if len(irrational) > 1:
        return ("number", number)
    radicand, coefficient = irrational[0]
    u, square = number.rational_part, coefficient * coefficient * radicand
    return (
        "number",
        (u.numerator, u.denominator),
        1 if coefficient > 0 else -1,
        (square.numerator, square.denominator),
    )
