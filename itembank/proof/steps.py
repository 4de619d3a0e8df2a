"""Whether one line of working is a single step from another, on what is displayed.

A step is one of these: sides are written in another way; one term is brought to the left or taken from it, the same on
both sides; one term of the right is collected with one like it on the left (from 4x + 1 = 2x + 9 to 2x + 1 = 9); both
sides are multiplied by the same; square roots are taken with both signs; a product that is zero is
parted into its factors. Where several equations are joined by `or`, each is a step further or stays as it is.

This is a convention of ours about what counts as one step, so that an order of lines can be proved to be the only one.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property
from typing import NamedTuple, TypeAlias

from itembank.expressions import polynomials, spelling
from itembank.expressions.display import (
    Bracket,
    Compared,
    Display,
    Filling,
    Joined,
    Maths,
    Raised,
    Shape,
    Terms,
    parts,
)
from itembank.expressions.numbers import Surd
from itembank.expressions.polynomials import Polynomial
from itembank.proof.meaning import Meaning, has_either_sign, letters
from itembank.proof.quick import quick_powers
from itembank.proof.quick_code import Reader
from itembank.proof.solver import CannotDecide

__all__ = ["Equation", "Line", "is_step", "read_line"]


class Term(NamedTuple):
    """text: a term as shown, with its sign; alone: whether no sum stands in it, so that one like it can join it."""

    text: str
    alone: bool


class _TermFrame(NamedTuple):
    """sign: before it; shape: its own; alone: as in `Term`."""

    sign: str
    shape: Shape
    alone: bool


class _Side(NamedTuple):
    """display: a side, or the exponent of one; letter: the only one in it, "" for none; reader: of its powers."""

    display: Display
    letter: str
    reader: Reader | None


class _Frame(NamedTuple):
    """What equations of one looks share: their sides, what is spelled of them, how each term stands."""

    left: _Side
    right: _Side
    whole: Shape
    terms: tuple[_TermFrame, ...]
    right_terms: tuple[_TermFrame, ...]
    signs: tuple[int, ...]
    exponent: _Side | None


@dataclass(frozen=True)
class Equation:
    """left: its polynomial; rights: that of the right side, twice where it shows ±.

    square: the left side is shown as a square.
    """

    left: Polynomial
    rights: tuple[Polynomial, ...]
    square: bool
    frame: _Frame
    numbers: tuple[Filling, ...]

    @property
    def either(self) -> bool:
        """Whether the right side shows ±."""
        return len(self.rights) == 2

    @cached_property
    def terms(self) -> tuple[Term, ...]:
        """The terms of the left side, without a 0."""
        return _shown(self.frame.terms, self.numbers)

    @cached_property
    def right_terms(self) -> tuple[Term, ...]:
        """Those of the right side."""
        return _shown(self.frame.right_terms, self.numbers)

    @cached_property
    def text(self) -> str:
        """The whole as shown."""
        return spelling.plain(Maths(self.frame.whole, self.numbers))

    @cached_property
    def at_one(self) -> tuple[int | Fraction, int | Fraction] | None:
        """The sides where every letter is 1; None where the right side shows ± or roots are among the coefficients."""
        values = [_at_one(side) for side in (self.left, *self.rights)]
        if len(values) > 2 or None in values:
            return None
        return values[0] or 0, values[1] or 0


def _at_one(side: Polynomial) -> int | Fraction | None:
    total: int | Fraction = 0
    for _, value in side.terms:
        if isinstance(value, Surd):
            return None
        total += value
    return total


Line: TypeAlias = tuple[Equation, ...]
"""The equations of a line, joined by `or`."""

_TWO = polynomials.number(2)


def read_line(maths: Maths, main_letter: str = "") -> Line:
    """A displayed line. Raises CannotDecide for what is no equation, or equations joined by `or`, or DomainError."""
    return tuple([_equation(frame, maths, main_letter) for frame in _frames(maths.shape)])


@cache
def _frames(shape: Shape) -> tuple[_Frame, ...]:
    """Once for each shape, since a shape made anew for every item would be spelled anew, and kept."""
    node = shape.display
    equations = node.parts if isinstance(node, Joined) and node.word == "or" else (node,)
    return tuple(_frame(equation, shape.holes) for equation in equations)


def _frame(node: Display, holes: int) -> _Frame:
    while isinstance(node, Bracket):
        node = node.inner
    if not isinstance(node, Compared) or node.signs != ("=",):
        raise CannotDecide("only equations have an order of steps")
    left, right = node.operands
    if has_either_sign(left):
        raise CannotDecide("± stands on the left of a line")
    return _Frame(
        _side(left, holes),
        _side(right, holes),
        Shape(node, holes),
        _terms(left, holes),
        _terms(right, holes),
        (1, -1) if has_either_sign(right) else (0,),
        _side(left.exponent, holes) if isinstance(left, Raised) else None,
    )


def _side(display: Display, holes: int) -> _Side:
    named = letters(display)
    letter = next(iter(named), "")
    return _Side(display, letter, quick_powers(Shape(display, holes), letter) if len(named) <= 1 else None)


def _terms(side: Display, holes: int) -> tuple[_TermFrame, ...]:
    terms = side.terms if isinstance(side, Terms) else (("+", side),)
    return tuple(_TermFrame(sign or "+", Shape(term, holes), not _has_sum(term)) for sign, term in terms)


def _equation(frame: _Frame, maths: Maths, main_letter: str) -> Equation:
    given = maths.numbers
    rights = tuple([_polynomial(frame.right, given, main_letter, sign) for sign in frame.signs])
    square = frame.exponent is not None and _polynomial(frame.exponent, given) == _TWO
    return Equation(_polynomial(frame.left, given, main_letter), rights, square, frame, given)


def _polynomial(side: _Side, given: tuple[Filling, ...], main_letter: str = "", sign: int = 0) -> Polynomial:
    found = side.reader(given) if side.reader is not None else None
    if found is None:
        return Meaning(given, main_letter, sign).polynomial(side.display)
    return polynomials.of_powers(side.letter, *found)


def _shown(terms: tuple[_TermFrame, ...], given: tuple[Filling, ...]) -> tuple[Term, ...]:
    texts = [(sign, spelling.plain(Maths(shape, given)), alone) for sign, shape, alone in terms]
    return tuple([Term(f"{sign}{text}", alone) for sign, text, alone in texts if text != "0"])


def _has_sum(node: Display) -> bool:
    return isinstance(node, Terms) or any(map(_has_sum, parts(node)))


def is_step(before: Line, after: Line) -> bool:
    """Whether a line is one step from another."""
    if len(before) == len(after):
        if len(before) == 1:
            return _single(before[0], after[0]) and before[0].text != after[0].text
        pairs = list(zip(before, after, strict=True))
        moved = [pair for pair in pairs if pair[0].text != pair[1].text]
        return bool(moved) and all(_single(one, other) for one, other in moved)
    return len(before) == 1 and _parted(before[0], after)


def _single(before: Equation, after: Equation) -> bool:
    if not before.either and after.either:
        return _rooted(before, after)
    if before.either != after.either:
        return False
    if not _may_be_same_or_moved_or_scaled(before, after):
        return False
    if after.left == before.left and after.rights == before.rights:
        return True
    left = polynomials.subtract(after.left, before.left)
    rights = [polynomials.subtract(a, b) for a, b in zip(after.rights, before.rights, strict=True)]
    if all(right == left for right in rights):
        return _moved_or_collected(before, after)
    return _scaled(before, after)


def _may_be_same_or_moved_or_scaled(before: Equation, after: Equation) -> bool:
    """Whether nothing speaks against it where every letter is 1: told far sooner than on polynomials."""
    if before.at_one is None or after.at_one is None:
        return True
    (old_left, old_right), (left, right) = before.at_one, after.at_one
    return right - old_right == left - old_left or left * old_right == old_left * right


def _moved_or_collected(before: Equation, after: Equation) -> bool:
    """Whether one term came to the left or went from it, or came from the right to one like it on the left."""
    gone, come = _changed(before.terms, after.terms)
    if len(gone) + len(come) <= 1:
        return True
    if not len(gone) == len(come) == 1:
        return False
    taken, brought = _changed(before.right_terms, after.right_terms)
    return len(taken) == 1 and not brought and all(term.alone for term in gone + come + taken)


def _changed(before: tuple[Term, ...], after: tuple[Term, ...]) -> tuple[list[Term], list[Term]]:
    """The terms that went, and those that came."""
    gone, come = list(before), []
    for term in after:
        if term in gone:
            gone.remove(term)
        else:
            come.append(term)
    return gone, come


def _scaled(before: Equation, after: Equation) -> bool:
    """Whether both sides were multiplied by the same, which is not zero."""
    if not before.left.terms or not after.left.terms:
        return False
    if not any(right.terms for right in (*before.rights, *after.rights)):
        return _proportional(before.left, after.left)
    return all(
        polynomials.multiply(after.left, b) == polynomials.multiply(before.left, a)
        for a, b in zip(after.rights, before.rights, strict=True)
    )


def _proportional(first: Polynomial, second: Polynomial) -> bool:
    """Whether one polynomial is a number times the other."""
    some, factor = first.terms[0]
    other = dict(second.terms).get(some)
    return other is not None and polynomials.scale(first, other) == polynomials.scale(second, factor)


def _rooted(before: Equation, after: Equation) -> bool:
    """Whether square roots were taken on both sides, with both signs on the right."""
    if not before.square:
        return False
    plus, minus = after.rights
    (right,) = before.rights
    opposite = not polynomials.add(plus, minus).terms
    return (
        opposite
        and polynomials.multiply(after.left, after.left) == before.left
        and polynomials.multiply(plus, plus) == right
    )


def _parted(before: Equation, after: Line) -> bool:
    """Whether a product that is zero was parted into its factors."""
    if before.either or before.rights[0].terms or any(e.either or e.rights[0].terms for e in after):
        return False
    product = polynomials.ONE
    for equation in after:
        product = polynomials.multiply(product, equation.left)
    return bool(product.terms) and bool(before.left.terms) and _proportional(before.left, product)
