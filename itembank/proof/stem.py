"""The stem shows the very problem that was solved, where it shows one like it.

A stem may show a problem whole, in pieces or in words. Where a formula of it is built as a piece of the problem is,
numerals, the signs of sums and those of inequalities apart, it has to be that piece: so a slip of the pen in a stem is
found. What has to be compared is worked out once for two shapes; then the numbers of each item are.

Where the problem itself is not shown, an equation of the stem in the unknowns alone holds for every solution of the
key; the only one that names all of them has no other solutions; so with inequalities in one unknown. What cannot be
decided so is held to nothing.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from functools import cache
from typing import NamedTuple

from itembank.errors import DomainError
from itembank.expressions import spelling
from itembank.expressions.display import (
    Applied,
    Bracket,
    Compared,
    Display,
    Factors,
    Filling,
    Letter,
    Maths,
    Numeral,
    Over,
    Shape,
    Terms,
    parts,
)
from itembank.items import Part
from itembank.proof import meaning
from itembank.proof.answers import cut
from itembank.proof.findings import Finding
from itembank.proof.regions import intersection
from itembank.proof.solver import CannotDecide
from itembank.verdicts import Refuted

__all__ = ["is_piece", "prove_stem"]

_CLAIM = "the stem shows the problem that is solved"
_FEWEST_NODES = 5
_ORDERED = frozenset({"<", "<=", ">", ">="})


class _Piece(NamedTuple):
    """A formula taken apart: how it is built, the signs of its sums and inequalities, its numerals."""

    built: Hashable
    signs: tuple[str, ...]
    numerals: tuple[Numeral, ...]


class _Tree(NamedTuple):
    """A formula and those within it, each taken apart, in reading order."""

    node: Display
    piece: _Piece
    below: tuple[_Tree, ...]

    def every(self) -> Iterator[_Tree]:
        """The formula itself and all within it."""
        yield self
        for each in self.below:
            yield from each.every()


class _Like(NamedTuple):
    """A formula of the stem, and the numerals of each piece of the problem that it may be."""

    numerals: tuple[Numeral, ...]
    candidates: tuple[tuple[Numeral, ...], ...]


def prove_stem(part: Part) -> Iterator[Finding]:
    """A finding for each formula of the stem that is like the problem and another; none where all is well.

    Beside the problem itself a stem may show whatever it likes, but for a discriminant's equation with other roots;
    where the author says that other formulas are meant, nothing is compared.
    """
    if part.shows_others:
        return
    problem = part.problem.statement
    shown = [(index, each) for index, each in enumerate(part.stem.fillings) if isinstance(each, Maths)]
    is_whole = any(each is problem or _holds(problem, each) for _, each in shown)
    for index, each in shown:
        if each is problem:
            continue
        if not (is_whole or _is_of_problem(problem, each)) or _has_other_roots(problem, each):
            told = (
                f"{spelling.terminal(each)} looks like the problem {spelling.terminal(problem)} or a part of it, "
                "but has other numbers or signs"
            )
            yield Finding("stem-differs", _CLAIM, Refuted(told), "stem", index)
    if not is_whole:
        yield from _equations(part, shown)
        yield from _inequalities(part, shown)


def is_piece(shown: Maths, whole: Maths) -> bool | None:
    """Whether what a formula shows like a piece of another is that piece; None where it shows nothing like one.

    A formula that stands in the other digit for digit is a piece of it, however small.
    """
    if _holds(shown, whole):
        return True
    return _is_of_problem(whole, shown) if _likes(whole.shape, shown.shape) else None


def _equations(part: Part, shown: list[tuple[int, Maths]]) -> Iterator[Finding]:
    """A finding for each equation of the stem, told in the unknowns, that the key does not fit."""
    problem = part.problem
    if any(meaning.looks(each.shape).has_inequality for each in (problem.statement, part.key)):
        return
    told = [
        (index, each)
        for index, each in shown
        if _is_in_unknowns(each.shape, problem.unknowns)
        and not _holds(each, problem.statement)
        and _is_of_problem(problem.statement, each)
    ]
    for index, each in told:
        alone = len(told) == 1 and meaning.looks(each.shape).letters == set(problem.unknowns)
        try:
            fits = _fits(part, each, alone=alone)
        except (CannotDecide, DomainError):
            continue
        if not fits:
            yield _with_other_solutions(problem.statement, each, index)


def _inequalities(part: Part, shown: list[tuple[int, Maths]]) -> Iterator[Finding]:
    """A finding for each inequality of the stem, told in the only unknown of one, that the key does not fit."""
    problem = part.problem
    if len(problem.unknowns) != 1 or not meaning.looks(problem.statement.shape).has_inequality:
        return
    told = [
        (index, each)
        for index, each in shown
        if _is_inequality_in(each.shape, problem.unknowns[0])
        and not _holds(each, problem.statement)
        and not (problem.domain is not None and _holds(each, problem.domain))
        and _is_of_problem(problem.statement, each)
    ]
    for index, each in told:
        try:
            fits = _fits_region(part, each, alone=len(told) == 1)
        except (CannotDecide, DomainError):
            continue
        if not fits:
            yield _with_other_solutions(problem.statement, each, index)


def _with_other_solutions(problem: Maths, shown: Maths, index: int) -> Finding:
    told = f"{spelling.terminal(shown)} and {spelling.terminal(problem)} have other solutions"
    return Finding("stem-differs", _CLAIM, Refuted(told), "stem", index)


@cache
def _is_inequality_in(shape: Shape, unknown: str) -> bool:
    looks = meaning.looks(shape)
    return looks.is_statement and looks.has_inequality and looks.letters == {unknown}


def _fits_region(part: Part, shown: Maths, *, alone: bool) -> bool:
    """Whether an inequality holds for every solution of the key; alone: and, in the domain, for no other values."""
    unknown = part.problem.unknowns[0]
    key, told = meaning.region(part.key, unknown), meaning.region(shown, unknown)
    if alone:
        return key == (told if part.problem.domain is None else cut(part, told))
    return intersection(key, told) == key


@cache
def _is_in_unknowns(shape: Shape, unknowns: tuple[str, ...]) -> bool:
    """Whether it is an equation in these letters alone, other than one that just says a value."""
    looks = meaning.looks(shape)
    return (
        looks.is_statement
        and bool(looks.letters)
        and looks.letters <= set(unknowns)
        and not looks.has_inequality
        and not looks.has_approximation
        and looks.told is None
    )


def _fits(part: Part, shown: Maths, *, alone: bool) -> bool:
    """Whether an equation holds for every solution of the key; alone: and, in the domain, for no other values."""
    problem = part.problem
    unknowns, domain = problem.unknowns, problem.domain
    key = meaning.solutions(part.key, unknowns)
    if not all(meaning.satisfies(shown, dict(zip(unknowns, each, strict=True))) for each in key):
        return False
    if not alone:
        return True
    return all(
        each in key
        or (domain is not None and not meaning.satisfies(domain, dict(zip(unknowns, each, strict=True))))
        for each in meaning.solutions(shown, unknowns)
    )


def _holds(problem: Maths, shown: Maths) -> bool:
    """Whether the problem stands in a formula, digit for digit."""
    asked = _values(_taken_apart(problem.shape).piece.numerals, problem.numbers)
    return any(_values(each, shown.numbers) == asked for each in _same_looks(problem.shape, shown.shape))


def _is_of_problem(problem: Maths, shown: Maths) -> bool:
    for like in _likes(problem.shape, shown.shape):
        here = _values(like.numerals, shown.numbers)
        if not any(_values(there, problem.numbers) == here for there in like.candidates):
            return False
    return True


def _has_other_roots(problem: Maths, shown: Maths) -> bool:
    return any(
        _values(argument, problem.numbers) == _values(side, shown.numbers)
        and _values((other,), shown.numbers) != ["0"]
        for argument, side, other in _other_roots(problem.shape, shown.shape)
    )


def _values(numerals: tuple[Numeral, ...], numbers: tuple[Filling, ...]) -> list[str]:
    return [numeral.text if numeral.hole < 0 else str(numbers[numeral.hole]) for numeral in numerals]


@cache
def _same_looks(problem: Shape, shown: Shape) -> tuple[tuple[Numeral, ...], ...]:
    """The numerals of each formula within what is shown that is built as the problem, with its signs."""
    whole = _taken_apart(problem).piece
    pieces = [each.piece for each in _taken_apart(shown).every()]
    return tuple(each.numerals for each in pieces if (each.built, each.signs) == (whole.built, whole.signs))


@cache
def _likes(problem: Shape, shown: Shape) -> tuple[_Like, ...]:
    """The largest formulas of what is shown that are built as telling pieces of the problem."""
    whole, pieces = _taken_apart(problem), _telling(problem)
    tells = not _is_one_number(problem.display)
    telling = {piece.built for piece in pieces}
    found: list[_Like] = []

    def look(tree: _Tree, is_all: bool) -> None:
        piece = tree.piece
        if piece.built in telling or (tells and is_all and piece.built == whole.piece.built):
            alike = [
                each
                for each in (whole.piece, *pieces)
                if (each.built, each.signs) == (piece.built, piece.signs)
            ]
            found.append(_Like(piece.numerals, tuple(each.numerals for each in alike)))
            return
        for child in tree.below:
            look(child, False)

    look(_taken_apart(shown), True)
    return tuple(found)


@cache
def _telling(problem: Shape) -> tuple[_Piece, ...]:
    """The pieces of a problem that are large enough to be no chance likeness."""
    return tuple(each.piece for each in _taken_apart(problem).every() if _is_telling(each.node))


@cache
def _other_roots(
    problem: Shape, shown: Shape
) -> tuple[tuple[tuple[Numeral, ...], tuple[Numeral, ...], Numeral], ...]:
    """Where the problem takes a discriminant: sides of equations built as its expression, and the numeral opposite."""
    arguments = [
        tree.below[0].piece
        for tree in _taken_apart(problem).every()
        if isinstance(tree.node, Applied) and tree.node.name == "discriminant"
    ]
    if not arguments:
        return ()
    return tuple(
        (argument.numerals, side.piece.numerals, other.node)
        for tree in _taken_apart(shown).every()
        if isinstance(tree.node, Compared) and len(tree.below) == 2
        for side, other in (tree.below, tree.below[::-1])
        if isinstance(other.node, Numeral)
        for argument in arguments
        if (argument.built, argument.signs) == (side.piece.built, side.piece.signs)
    )


def _below(node: Display) -> Iterator[Display]:
    yield node
    for child in parts(node):
        yield from _below(child)


def _is_one_number(node: Display) -> bool:
    """Whether a formula is a whole number or a fraction: then any number in the stem would be like it."""
    return all(
        isinstance(each, Numeral | Bracket | Over) or (isinstance(each, Terms) and len(each.terms) == 1)
        for each in _below(node)
    )


def _is_telling(node: Display) -> bool:
    """Whether a formula is large enough to be no chance likeness."""
    below = [each for each in _below(node) if not isinstance(each, Bracket)]
    numerals = sum(isinstance(each, Numeral) for each in below)
    return numerals >= 2 and (any(isinstance(each, Letter) for each in below) or len(below) >= _FEWEST_NODES)


@cache
def _taken_apart(shape: Shape) -> _Tree:
    return _tree(shape.display)


def _tree(node: Display) -> _Tree:
    below = tuple(map(_tree, parts(node)))
    signs: tuple[str, ...] = ()
    built: Hashable
    inner = [each.piece.built for each in below]
    match node:
        case Bracket():
            return _Tree(node, below[0].piece, below)
        case Numeral():
            return _Tree(node, _Piece(Numeral, (), (node,)), ())
        case Letter(name):
            built = name
        case Terms(terms):
            signs = tuple(sign for sign, _ in terms)
            built = (Terms, *inner)
        case Compared(_, related):
            ordered = tuple(sign in _ORDERED for sign in related)
            signs = tuple(sign for sign in related if sign in _ORDERED)
            built = (Compared, tuple(sign for sign in related if sign not in _ORDERED), ordered, *inner)
        case Applied(name):
            built = (Applied, name, *inner)
        case Factors():
            built = (Factors, *inner)
        case _:
            built = (type(node), getattr(node, "index", ""), getattr(node, "word", ""), *inner)
    signs += tuple(sign for each in below for sign in each.piece.signs)
    numerals = tuple(numeral for each in below for numeral in each.piece.numerals)
    return _Tree(node, _Piece(built, signs, numerals), below)
