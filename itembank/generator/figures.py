"""From a template's picture and an assignment's values to a figure in exact numbers."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from itembank.errors import DomainError
from itembank.expressions import exact, polynomials, tree
from itembank.expressions.numbers import Exact, Surd, sign
from itembank.figures import AreaModel, Figure, NumberLine, OtherFigure, Parabola, Row, SignTable, labels
from itembank.generator.recipe import FigureRecipe
from itembank.generator.solution_pieces import between, breaks, pieces

__all__ = ["figure_of"]

MOST_FACTORS = 6


def figure_of(recipe: FigureRecipe, values: Mapping[str, Exact]) -> Figure:
    """The figure for an assignment. Raises DomainError with the reason where it cannot be drawn."""
    template = recipe.template
    if recipe.numbers:
        numbers = tuple(_rational(exact.number(node, values)) for node in recipe.numbers)
        return OtherFigure(template.kind, numbers)
    match template.kind:
        case "area-model":
            a, b, c = _quadratic(recipe, values)
            if a != 1 or c != 0:
                raise DomainError(
                    "an area model shows how the square is completed, and is drawn of x^2 + b*x: no other terms, and "
                    "nothing before the square"
                )
            return AreaModel(template.letter, b, template.stage)
        case "parabola":
            return Parabola(template.letter, *_quadratic(recipe, values), template.shows)
        case "number-line":
            return NumberLine(template.letter, pieces(recipe.of, template.letter, values))
        case _:
            return _sign_table(recipe, values)


def _quadratic(recipe: FigureRecipe, values: Mapping[str, Exact]) -> tuple[Fraction, Fraction, Fraction]:
    found = exact.polynomial(recipe.of, values, recipe.template.letter)
    a, b, c = (part.constant() for part in polynomials.quadratic_coefficients(found, recipe.template.letter))
    return _rational(a), _rational(b), _rational(c)


def _rational(value: Exact) -> Fraction:
    if isinstance(value, Surd):
        raise DomainError("a number is a surd, and only rational ones are drawn")
    return Fraction(value)


def _sign_table(recipe: FigureRecipe, values: Mapping[str, Exact]) -> SignTable:
    letter = recipe.template.letter
    factors = [factor for factor in _factors(recipe.of) if letter in tree.names(factor)]
    constant = [factor for factor in _factors(recipe.of) if letter not in tree.names(factor)]
    if len(factors) > MOST_FACTORS:
        raise DomainError(f"a sign table has at most {MOST_FACTORS} factors")
    zeros = breaks([exact.polynomial(factor, values, letter) for factor in factors], letter)
    points = between(zeros)
    rows = []
    for factor in (*(f for f in constant if _is_negative(f, values)), *factors, recipe.of):
        signs = tuple(sign(exact.number(factor, {**values, letter: point})) for point in points)
        rows.append(Row(labels.shown(factor, _used(factor, values)), signs))
    return SignTable(letter, tuple(zeros), tuple(rows))


def _factors(node: tree.Node) -> tuple[tree.Node, ...]:
    match node:
        case tree.Product(factors):
            return factors
        case tree.Negation(tree.Product((first, *rest))):
            return (tree.Negation(first), *rest)
        case tree.Power(base):
            return (base,)
        case _:
            return (node,)


def _is_negative(node: tree.Node, values: Mapping[str, Exact]) -> bool:
    return sign(exact.number(node, values)) < 0


def _used(node: tree.Node, values: Mapping[str, Exact]) -> dict[str, Exact]:
    return {name: values[name] for name in tree.names(node) if name in values}
