"""Equations of a stem on the second road: the key fits those that are told in the unknowns alone."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.expressions import tree
from itembank.expressions.display import Maths
from itembank.proof.findings import Finding
from itembank.proof.symbolic_hidden import generators
from itembank.proof.symbolic_numbers import CannotTell
from itembank.proof.symbolic_part import Asked
from itembank.proof.symbolic_reading import Space, space
from itembank.proof.symbolic_sets import Points, satisfied, solutions
from itembank.proof.symbolic_text import Piece
from itembank.verdicts import Refuted

__all__ = ["prove_stem"]


def prove_stem(asked: Asked) -> Iterator[Finding]:
    """A finding for each equation of a stem without the problem that the key does not fit.

    The only one that names all unknowns has no solutions in the domain but the key's. What cannot be decided so is
    held to nothing.
    """
    part = asked.part
    shown = [(index, each) for index, each in enumerate(part.stem.fillings) if isinstance(each, Maths)]
    if (
        part.shows_others
        or not part.problem.unknowns
        or any(part.problem.statement is each for _, each in shown)
    ):
        return
    read = [(index, piece) for index, each in shown for piece in _read(asked, each)]
    if any(asked.problem.text in piece.text for _, piece in read):
        return
    told = [(index, piece) for index, piece in read if _is_equation(piece, set(asked.unknowns))]
    told = [(index, piece) for index, piece in told if piece.text not in asked.problem.text]
    for index, piece in told:
        alone = len(told) == 1 and piece.names == set(asked.unknowns)
        try:
            fits = _fits(asked, piece, alone=alone)
        except CannotTell:
            continue
        if not fits:
            verdict = Refuted(f"{piece.text} and {asked.problem.text} have other solutions")
            yield Finding("stem-differs", "the stem shows the problem that is solved", verdict, "stem", index)


def _read(asked: Asked, shown: Maths) -> Iterator[Piece]:
    try:
        yield asked.read(shown)
    except CannotTell:  # a stem shows much that is no piece of the language: sequences, dots
        return


def _is_equation(piece: Piece, unknowns: set[str]) -> bool:
    """Whether it is made of equations in these letters alone, other than ones that just say values."""
    relations = [each for each in tree.walk(piece.node) if isinstance(each, tree.Relation)]
    if not piece.names or not piece.names <= unknowns or not piece.pattern.is_statement:
        return False
    if any(set(each.operators) != {"="} for each in relations):
        return False
    return not all(
        isinstance(each.operands[0], tree.Name) and not list(tree.names(each.operands[1]))
        for each in relations
    )


def _fits(asked: Asked, piece: Piece, *, alone: bool) -> bool:
    """Whether an equation holds for every solution of the key; alone: and, in the domain, for no other values."""
    key, unknowns = asked.read(asked.part.key), asked.unknowns
    for each in (key, asked.problem):
        if any(
            set(relation.operators) != {"="}
            for relation in tree.walk(each.node)
            if isinstance(relation, tree.Relation)
        ):
            raise CannotTell("inequalities are told in other ways than by their solutions")
    letters = {*unknowns, *generators(piece.node, piece.numerals), *generators(key.node, key.numerals)}
    inside = space(tuple(sorted(letters)), asked.part.problem.main_letter)
    right = solutions(inside, key, unknowns)
    return _holds(inside, piece, unknowns, right) and (
        not alone or asked.inside(solutions(inside, piece, unknowns)) <= right
    )


def _holds(inside: Space, piece: Piece, unknowns: tuple[str, ...], points: Points) -> bool:
    alternatives = inside.alternatives(piece)
    return all(any(satisfied(inside, each, unknowns, point) for each in alternatives) for point in points)
