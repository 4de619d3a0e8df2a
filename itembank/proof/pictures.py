"""A picture shows what its part speaks of: the problem, the key, what the stem or a line of the working says.

A number line has the solutions of a statement that stands there; a sign table the product on a side of a relation, or
the difference of its sides; a parabola is the curve of an expression. Parts before the picture's own count too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from itembank.errors import DomainError
from itembank.expressions import polynomials
from itembank.expressions.display import Bracket, Compared, Display, Joined, Maths, Nothing, Pair, parts
from itembank.expressions.polynomials import Polynomial
from itembank.figures import Figure, NumberLine, Parabola, SignTable
from itembank.items import Part
from itembank.proof import identity, meaning
from itembank.proof.findings import Finding
from itembank.proof.identity import Identity
from itembank.proof.meaning import Meaning
from itembank.proof.regions import Piece
from itembank.proof.solver import CannotDecide
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["marked", "prove_pictures"]

_CLAIM = "the picture shows what its part speaks of"
_SHOWN = Proved("it stands in the part, or in one before it")


def prove_pictures(told: Sequence[Part], wanted: Identity) -> Iterator[Finding]:
    """A finding for each picture of the last part that shows something else; none where all is well.

    told: the parts up to the pictures' own; wanted: the solutions of its problem. A finding's place is the line of
    the solution that the picture goes with, -1 for the stem.
    """
    part = told[-1]
    figures = [part.figure, *(line.figure for line in part.solution)]
    for place, figure in enumerate(figures, start=-1):
        verdict = _SHOWN if figure is None else _verdict(figure, told, wanted)
        if not isinstance(verdict, Proved):
            yield Finding("picture-differs", _CLAIM, verdict, "picture", place)


def _verdict(figure: Figure, told: Sequence[Part], wanted: Identity) -> Verdict:
    match figure:
        case NumberLine():
            return _of_solutions(figure, told, wanted)
        case SignTable():
            product = figure.rows[-1].text
            curve = Meaning(product.numbers).polynomial(product.shape.display)
            is_there = any(_is_multiple(side, curve) for side in _sides(told))
            return _SHOWN if is_there else Refuted("its product stands on no side of a statement of the part")
        case Parabola(letter, a, b, c):
            is_there = any(_is_curve(each, letter, (a, b, c)) for each in _expressions(told))
            return _SHOWN if is_there else Refuted("its curve is that of no expression of the part")
        case _:
            return _SHOWN


def marked(figure: NumberLine) -> Identity:
    """The numbers that a number line marks, as solutions are compared."""
    return identity.of_region(tuple(Piece(p.low, p.low_closed, p.high, p.high_closed) for p in figure.pieces))


def _of_solutions(figure: NumberLine, told: Sequence[Part], wanted: Identity) -> Verdict:
    shown = marked(figure)
    if told[-1].problem.unknowns == (figure.letter,) and shown == wanted:
        return _SHOWN
    stuck: Exception | None = None
    for part in reversed(told):
        for maths in _formulas(part):
            if not meaning.looks(maths.shape).is_statement:
                continue
            if not meaning.looks(maths.shape).letters - set(part.problem.for_every) <= {figure.letter}:
                continue
            try:
                if shown in _solution_sets(maths, figure.letter, part):
                    return _SHOWN
            except (CannotDecide, DomainError) as reason:
                stuck = reason
    if stuck is not None:
        return Undecided(str(stuck))
    return Refuted("the numbers it marks are not the solutions of a statement of the part")


def _solution_sets(maths: Maths, letter: str, part: Part) -> Iterator[Identity]:
    """Of a statement, and of those it is joined of."""
    main_letter = part.problem.main_letter
    yield identity.of_solutions(maths, (letter,), part.problem.for_every, main_letter)
    node = maths.shape.display
    if isinstance(node, Joined):
        reader = Meaning(maths.numbers, main_letter)
        for statement in node.parts:
            yield identity.of_region(meaning.region_of(statement, reader, letter))


def _formulas(part: Part) -> Iterator[Maths]:
    """What stands in a part: the problem, the key, the domain, the worked solution, the stem."""
    yield part.problem.statement
    yield part.key
    if part.problem.domain is not None:
        yield part.problem.domain
    yield from (line.maths for line in part.solution if line.maths is not None)
    yield from (filling for filling in part.stem.fillings if isinstance(filling, Maths))


def _sides(told: Sequence[Part]) -> Iterator[Polynomial]:
    """The sides of all relations, and their differences, as far as they are polynomials."""
    for part in told:
        for maths in _formulas(part):
            reader = Meaning(maths.numbers, part.problem.main_letter)
            for node in _below(maths.shape.display):
                if isinstance(node, Compared):
                    sides = [_polynomial(reader, operand) for operand in node.operands]
                    yield from (side for side in sides if side is not None)
                    yield from _differences(sides)


def _expressions(told: Sequence[Part]) -> Iterator[Polynomial]:
    """All expressions, and the differences of the sides of relations, as far as they are polynomials."""
    for part in told:
        for maths in _formulas(part):
            reader = Meaning(maths.numbers, part.problem.main_letter)
            for node in _below(maths.shape.display):
                if isinstance(node, Compared):
                    yield from _differences([_polynomial(reader, operand) for operand in node.operands])
                elif not isinstance(node, Joined | Nothing | Pair):
                    found = _polynomial(reader, node)
                    if found is not None:
                        yield found


def _differences(sides: Sequence[Polynomial | None]) -> Iterator[Polynomial]:
    for left, right in pairwise(sides):
        if left is not None and right is not None:
            yield polynomials.subtract(left, right)


def _polynomial(reader: Meaning, node: Display) -> Polynomial | None:
    try:
        return reader.polynomial(node)
    except (CannotDecide, DomainError):
        return None


def _below(node: Display) -> Iterator[Display]:
    if not isinstance(node, Bracket):
        yield node
    for child in parts(node):
        yield from _below(child)


def _is_multiple(first: Polynomial, second: Polynomial) -> bool:
    """Whether one is the other times a number that is not 0."""
    if not first.terms or [monomial for monomial, _ in first.terms] != [m for m, _ in second.terms]:
        return False
    (_, ours), (_, theirs) = first.terms[0], second.terms[0]
    return polynomials.scale(first, theirs) == polynomials.scale(second, ours)


def _is_curve(found: Polynomial, letter: str, curve: tuple[Fraction, Fraction, Fraction]) -> bool:
    if found.letters != (letter,):
        return False
    powers = found.in_powers_of(letter)
    if max(powers) > 2:
        return False
    zero = polynomials.number(0)
    return [powers.get(2, zero), powers.get(1, zero), powers.get(0, zero)] == [
        polynomials.number(value) for value in curve
    ]
