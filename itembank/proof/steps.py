"""Whether one line of working is a single step from another, on what is displayed.

A step is one of these: sides are written in another way; one term is brought to the left or taken from it, the same on
both sides; one term of the right is collected with one like it on the left (from 4x + 1 = 2x + 9 to 2x + 1 = 9); both
sides are multiplied by the same; square roots are taken with both signs; a product that is zero is
parted into its factors. Where several equations are joined by `or`, each is a step further or stays as it is.

This is a convention of ours about what counts as one step, so that an order of lines can be proved to be the only one.
"""

from __future__ import annotations

from collections import Counter
from functools import cache
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
from itembank.expressions.polynomials import Polynomial
from itembank.proof.meaning import Meaning, has_either_sign
from itembank.proof.solver import CannotDecide

__all__ = ["Equation", "Line", "is_step", "read_line"]


class Term(NamedTuple):
    """text: a term as shown, with its sign; alone: whether no sum stands in it, so that one like it can join it."""

    text: str
    alone: bool


class Equation(NamedTuple):
    """left: its polynomial; rights: the right side, twice where it shows ±; terms, right_terms: theirs, without a 0.

    square: the left side is shown as a square; text: the whole as shown.
    """

    left: Polynomial
    terms: tuple[Term, ...]
    right_terms: tuple[Term, ...]
    rights: tuple[Polynomial, ...]
    square: bool
    text: str

    @property
    def either(self) -> bool:
        """Whether the right side shows ±."""
        return len(self.rights) == 2


Line: TypeAlias = tuple[Equation, ...]
"""The equations of a line, joined by `or`."""

_TWO = polynomials.number(2)


class _Frame(NamedTuple):
    """What equations of one looks share: their sides, what is spelled of them, how each term stands."""

    left: Display
    right: Display
    whole: Shape
    terms: tuple[tuple[str, Shape], ...]
    right_terms: tuple[tuple[str, Shape], ...]
    signs: tuple[int, ...]
    exponent: Display | None


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
        left,
        right,
        Shape(node, holes),
        _terms(left, holes),
        _terms(right, holes),
        (1, -1) if has_either_sign(right) else (0,),
        left.exponent if isinstance(left, Raised) else None,
    )


def _terms(side: Display, holes: int) -> tuple[tuple[str, Shape], ...]:
    terms = side.terms if isinstance(side, Terms) else (("+", side),)
    return tuple((sign or "+", Shape(term, holes)) for sign, term in terms)


def _equation(frame: _Frame, maths: Maths, main_letter: str) -> Equation:
    given = maths.numbers
    rights = tuple([Meaning(given, main_letter, sign).polynomial(frame.right) for sign in frame.signs])
    square = frame.exponent is not None and Meaning(given).polynomial(frame.exponent) == _TWO
    value = Meaning(given, main_letter).polynomial(frame.left)
    whole = spelling.plain(Maths(frame.whole, given))
    return Equation(
        value, _shown(frame.terms, given), _shown(frame.right_terms, given), rights, square, whole
    )


def _shown(terms: tuple[tuple[str, Shape], ...], given: tuple[Filling, ...]) -> tuple[Term, ...]:
    texts = [(sign, spelling.plain(Maths(term, given)), term) for sign, term in terms]
    return tuple(
        [Term(f"{sign}{text}", not _has_sum(term.display)) for sign, text, term in texts if text != "0"]
    )


def _has_sum(node: Display) -> bool:
    return isinstance(node, Terms) or any(map(_has_sum, parts(node)))


def is_step(before: Line, after: Line) -> bool:
    """Whether a line is one step from another."""
    if len(before) == len(after):
        pairs = list(zip(before, after, strict=True))
        moved = [pair for pair in pairs if pair[0].text != pair[1].text]
        return bool(moved) and all(_single(one, other) for one, other in moved)
    return len(before) == 1 and _parted(before[0], after)


def _single(before: Equation, after: Equation) -> bool:
    if not before.either and after.either:
        return _rooted(before, after)
    if before.either != after.either:
        return False
    left = polynomials.subtract(after.left, before.left)
    rights = [polynomials.subtract(a, b) for a, b in zip(after.rights, before.rights, strict=True)]
    if not left.terms and not any(right.terms for right in rights):
        return True
    if all(right == left for right in rights):
        return _one_term_apart(before, after) or _collected(before, after)
    return _scaled(before, after)


def _one_term_apart(before: Equation, after: Equation) -> bool:
    gone, come = _changed(before.terms, after.terms)
    return len(gone) + len(come) <= 1


def _collected(before: Equation, after: Equation) -> bool:
    """Whether a term is gone from the right and came to one like it on the left."""
    gone, come = _changed(before.terms, after.terms)
    taken, brought = _changed(before.right_terms, after.right_terms)
    return (
        len(gone) == len(come) == len(taken) == 1
        and not brought
        and all(t.alone for t in gone + come + taken)
    )


def _changed(before: tuple[Term, ...], after: tuple[Term, ...]) -> tuple[list[Term], list[Term]]:
    """The terms that went, and those that came."""
    old, new = Counter(before), Counter(after)
    return [*(old - new).elements()], [*(new - old).elements()]


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
    plus, minus = after.rights
    (right,) = before.rights
    opposite = not polynomials.add(plus, minus).terms
    return (
        opposite
        and before.square
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
