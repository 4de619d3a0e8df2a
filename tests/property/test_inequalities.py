"""Solution sets of inequalities: signs of polynomials, stretches tried with sympy's numbers, and numbers put in."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from itembank.audit import conditions, real_sets
from itembank.audit.formula import (
    Alternatives,
    Conjunction,
    Letter,
    Node,
    Numeral,
    Power,
    Product,
    Relation,
    Sum,
)
from itembank.expressions import numbers, spelling
from itembank.proof import identity, meaning, regions
from itembank.proof.symbolic_reading import space
from itembank.proof.symbolic_regions import Stretches, region
from itembank.proof.symbolic_text import piece
from tests.samples import maths

SIGNS: dict[str, Callable[[Fraction, Fraction], bool]] = {
    "<": lambda a, b: a < b, "<=": lambda a, b: a <= b, ">": lambda a, b: a > b, ">=": lambda a, b: a >= b,
    "=": lambda a, b: a == b, "!=": lambda a, b: a != b,
}  # fmt: skip
SHOWN = {"<": "<", "<=": "≤", ">": ">", ">=": "≥", "=": "=", "!=": "≠"}
Atom = tuple[int, int, int, str]
_small = st.integers(-6, 6)
atoms = st.tuples(_small, _small, _small, st.sampled_from(sorted(SIGNS)))
statements = st.lists(st.lists(atoms, min_size=1, max_size=2), min_size=1, max_size=2)
"""Alternatives of what holds together."""


def text(statement: list[list[Atom]]) -> str:
    return " or ".join(
        "(" + " and ".join(f"({a})*x^2 + ({b})*x + ({c}) {sign} 0" for a, b, c, sign in each) + ")"
        for each in statement
    )


def holds(statement: list[list[Atom]], x: Fraction) -> bool:
    return any(
        all(SIGNS[sign](a * x * x + b * x + c, Fraction(0)) for a, b, c, sign in each) for each in statement
    )


def inside(found: regions.Region, x: Fraction) -> bool:
    def after(piece: regions.Piece) -> bool:
        order = 1 if piece.low is None else numbers.compare(x, piece.low)
        return order > 0 or (order == 0 and piece.low_in)

    def before(piece: regions.Piece) -> bool:
        order = -1 if piece.high is None else numbers.compare(x, piece.high)
        return order < 0 or (order == 0 and piece.high_in)

    return any(after(piece) and before(piece) for piece in found)


@given(statements, st.lists(st.fractions(-8, 8, max_denominator=6), min_size=5, max_size=5))
@settings(deadline=None, max_examples=150)
def test_a_number_lies_in_the_region_when_it_satisfies_the_statement(
    statement: list[list[Atom]], numbers_tried: list[Fraction]
) -> None:
    found = meaning.region(maths(text(statement)), "x")
    ends = [end for piece in found for end in (piece.low, piece.high) if isinstance(end, int | Fraction)]
    for x in (*numbers_tried, *map(Fraction, ends)):
        assert holds(statement, x) == inside(found, x)


@given(statements)
@settings(deadline=None, max_examples=150)
def test_the_second_road_finds_the_same_ends(statement: list[list[Atom]]) -> None:
    shown = maths(text(statement))
    first = meaning.region(shown, "x")
    second = region(space(("x",)), [piece(spelling.plain(shown))], "x")
    ends = [end for each in first for end in dict.fromkeys((each.low, each.high)) if end is not None]
    if isinstance(second, Stretches):
        assert sorted({str(as_terms(end)) for end in ends}) == sorted(
            {str(dict(sorted(c.terms.items()))) for c in second.corners}
        )
    else:
        assert regions.points(first) is not None
        assert len(second) == len(first)


def as_terms(end: numbers.Exact) -> dict[int, object]:
    from sympy import QQ

    return {r: QQ(c.numerator, c.denominator) for r, c in sorted(numbers.terms_of(end).items())}


def node(statement: list[list[Atom]]) -> Node:
    """The same statement as the audit's tree."""

    def numeral(n: int) -> Node:
        return Numeral(str(n)) if n >= 0 else Sum((("-", Numeral(str(-n))),))

    def atom(a: int, b: int, c: int, sign: str) -> Node:
        square = Product((numeral(a), Power(Letter("x"), Numeral("2"))))
        linear = Product((numeral(b), Letter("x")))
        return Relation(Sum((("+", square), ("+", linear), ("+", numeral(c)))), SHOWN[sign], Numeral("0"))

    alternatives = [
        Conjunction(tuple(atom(*each) for each in together)) if len(together) > 1 else atom(*together[0])
        for together in statement
    ]
    return Alternatives(tuple(alternatives)) if len(alternatives) > 1 else alternatives[0]


@given(statements)
@settings(deadline=None, max_examples=150)
def test_the_audit_finds_the_same_set(statement: list[list[Atom]]) -> None:
    ours = meaning.region(maths(text(statement)), "x")
    theirs = real_sets.solve(conditions.condition(node(statement)), "x")

    assert (regions.points(ours) is None) == (theirs.points is None)
    for x in (Fraction(n, 4) for n in range(-33, 34)):
        place = sum(numbers.compare(x, exact(corner)) > 0 for corner in theirs.corners)
        is_corner = place < len(theirs.corners) and numbers.compare(x, exact(theirs.corners[place])) == 0
        assert inside(ours, x) == (theirs.at[place] if is_corner else theirs.between[place])


def exact(number: object) -> numbers.Exact:
    terms = getattr(number, "terms", None)
    if terms is None:
        assert isinstance(number, int | Fraction)
        return number
    return numbers.make({radicand: Fraction(factor) for radicand, factor in dict(terms).items()})


@given(statements, statements)
@settings(deadline=None, max_examples=100)
def test_two_statements_with_one_set_have_one_identity(
    first: list[list[Atom]], second: list[list[Atom]]
) -> None:
    one, other = (meaning.region(maths(text(each)), "x") for each in (first, second))
    joined = meaning.region(maths(f"({text(first)}) or ({text(second)})"), "x")
    cut = meaning.region(maths(f"({text(first)}) and ({text(second)})"), "x")

    assert identity.of_region(joined) == identity.of_region(regions.union([*other, *one]))
    assert identity.of_region(cut) == identity.of_region(regions.intersection(other, one))
    assert regions.union(one) == one == regions.intersection(one, one)
