"""The stem beside the problem: what it shows like it is it, and its equations have the key's solutions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple, TypeAlias

from itembank.audit import formula
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.formula import Node
from itembank.audit.part_view import PartView

__all__ = ["check_stem"]


def check_stem(view: PartView) -> Iterator[Fault]:
    """Whether the stem shows the very problem that was solved, where it shows one like it.

    A stem may show a problem whole, in pieces or in words. Where a piece of it is built as a piece of the problem
    is, numerals, signs of sums and of inequalities apart, it must be that piece: a changed digit in a stem is found so.
    Where the problem itself is not shown, the key fits the equations that are.
    """
    if view.part.shows_others:
        return
    faults = [] if _is_of_pieces(view) else list(_differing(view))
    yield from faults or _equations(view)


def _is_of_pieces(view: PartView) -> bool:
    """Whether, plainly, there is no formula like the problem that is another."""
    return bool(view.part.stem) and all(_shows_pieces(view.part.problem, node) for node in view.part.stem)


def _differing(view: PartView) -> Iterator[Fault]:
    shown = [piece for node in view.part.stem for piece in formula.walk(node)]
    if formula.has_function(view.part.problem, "discriminant"):
        yield from _other_roots(view, shown)
    if view.part.problem in shown:
        return
    pieces: dict[Node, set[Node]] = {}
    for piece in formula.walk(view.part.problem):
        if formula.is_telling(piece):
            pieces.setdefault(formula.skeleton(piece), set()).add(piece)
    for node in view.part.stem:
        likes = [node] if _is_like(node, view.part.problem) else list(_alike(node, pieces))
        for piece in likes:
            if piece != view.part.problem and piece not in pieces.get(formula.skeleton(piece), set()):
                message = (
                    "the stem shows an expression that differs from the problem's in numbers or signs only"
                )
                yield Fault("stem-differs", message, place=view.place)
                return


def _equations(view: PartView) -> Iterator[Fault]:
    """Whether the key fits each equation in the unknowns alone, and is all that the only one of all of them says.

    So with inequalities in the only unknown, where the problem is one.
    What cannot be decided so is held to nothing.
    """
    problem, unknowns = view.part.problem, set(view.part.unknowns)
    if all(map(_has_equals_only, (problem, view.part.key))):
        told = [node for node in view.part.stem if _is_equation(node) and view.letters(node) <= unknowns]
    elif len(unknowns) == 1 and not _has_equals_only(problem):
        told = [node for node in view.part.stem if _is_inequality(node) and view.letters(node) == unknowns]
    else:
        return
    if not told or any(_shows(node, problem) for node in view.part.stem):
        return
    pieces = {*formula.walk(problem), *(() if view.part.domain is None else formula.walk(view.part.domain))}
    told = [node for node in told if node not in pieces]
    for node in told:
        if not _fits_as_far_as_told(view, node, alone=len(told) == 1 and view.letters(node) == unknowns):
            yield Fault("stem-differs", "the key does not solve the equation in the stem", place=view.place)
            return


def _shows(node: Node, problem: Node) -> bool:
    """Whether a formula holds the whole problem."""
    looks = formula.looks_of(node)
    if looks is not None and looks is formula.looks_of(problem):
        return formula.runs_of(node) == formula.runs_of(problem)
    return problem in formula.walk(node)


@formula.by_looks
def _is_inequality(node: Node) -> bool:
    """Whether a statement holds an inequality."""
    return formula.is_statement(node) and not _has_equals_only(node)


@formula.by_looks
def _is_equation(node: Node) -> bool:
    """Whether it is an equation with letters, other than one that just says values."""
    match node:
        case formula.Alternatives(parts) | formula.Conjunction(parts):
            return any(map(_is_equation, parts)) and all(map(_has_equals_only, parts))
        case formula.Relation(left, "=", right):
            letters = [
                any(isinstance(each, formula.Letter) for each in formula.walk(side)) for side in (left, right)
            ]
            return any(letters) and not (isinstance(left, formula.Letter) and not letters[1])
        case _:
            return False


@formula.by_looks
def _has_equals_only(node: Node) -> bool:
    return all(each.sign == "=" for each in formula.walk(node) if isinstance(each, formula.Relation))


def _fits_as_far_as_told(view: PartView, shown: Node, *, alone: bool) -> bool:
    """Whether an equation fits the key; of one that has endlessly many solutions, whether the key's are among them."""
    for by_itself in (True, False) if alone else (False,):
        try:
            return _fits(view, shown, alone=by_itself)
        except CannotTell:
            continue
    return True


def _fits(view: PartView, shown: Node, *, alone: bool) -> bool:
    """Whether an equation holds for every solution of the key; alone: and, in the domain, for no other values."""
    domain, key = view.part.domain, view.statement(view.part.key)
    if alone:
        asked = view.statement(shown) if domain is None else view.statement(shown, domain)
    else:
        asked = view.statement(view.part.key, shown)
    return view.mathematics.same_solutions(asked, key)


_Pairs: TypeAlias = tuple[tuple[int, int], ...]


class _Likes(NamedTuple):
    """What has to be compared. parts: of each part, for each piece it may be, the numerals that have to be the same.

    noughts: numerals that have to be 0.
    """

    parts: tuple[tuple[_Pairs, ...], ...]
    noughts: tuple[int, ...]


def _shows_pieces(problem: Node, node: Node) -> bool:
    """Whether, plainly, all of a stem's formula that is built as a piece of the problem is that piece.

    What has to be compared is worked out once for the looks of both; then numerals are.
    """
    ours, theirs = formula.looks_of(problem), formula.looks_of(node)
    if ours is None or theirs is None:
        return False
    key = _shows_pieces, ours
    try:
        likes = theirs.known[key]
    except KeyError:
        likes = theirs.known[key] = _likes(ours.marked(), theirs.marked())
    if likes is None:
        return False
    asked, shown = formula.runs_of(problem), formula.runs_of(node)
    if any(shown[place] != "0" for place in likes.noughts):
        return False
    for candidates in likes.parts:
        for pairs in candidates:
            if all(shown[here] == asked[there] for here, there in pairs):
                break
        else:
            return False
    return True


def _likes(problem: Node, node: Node) -> _Likes | None:
    """For each part of a formula that is built as a piece of the problem: what makes it one of these pieces.

    Both have marks for numerals. None where that is not all there is to look at.
    """
    noughts: list[int] = []
    if formula.has_function(problem, "discriminant"):
        sides = [
            side
            for each in formula.walk(node)
            if isinstance(each, formula.Relation)
            for side in (each.left, each.right)
        ]
        numerals = [side.text for side in sides if isinstance(side, formula.Numeral)]
        places = [formula.run_of_mark(text) for text in numerals if text != "0"]
        noughts = [place for place in places if place is not None]
        if len(noughts) < len(places):
            return None
    pieces: dict[Node, list[Node]] = {}
    for piece in formula.walk(problem):
        if piece is problem or formula.is_telling(piece):
            pieces.setdefault(formula.skeleton(piece), []).append(piece)
    telling: dict[Node, set[Node]] = {
        like: set(same) for like, same in pieces.items() if any(map(formula.is_telling, same))
    }
    likes = [node] if _is_like(node, problem) else list(_alike(node, telling))
    parts = [[_same_runs(like, same) for same in pieces[formula.skeleton(like)]] for like in likes]
    return _Likes(
        tuple(tuple(pairs for pairs in part if pairs is not None) for part in parts), tuple(noughts)
    )


def _same_runs(first: Node, second: Node) -> _Pairs | None:
    """Which numerals make two marked formulas the same by being so; None where signs or numerals keep them apart."""
    pairs: dict[tuple[int, int], None] = {}
    for one, other in zip(formula.walk(first), formula.walk(second), strict=True):
        if isinstance(one, formula.Sum) and isinstance(other, formula.Sum):
            if [sign for sign, _ in one.terms] != [sign for sign, _ in other.terms]:
                return None
        elif isinstance(one, formula.Relation) and isinstance(other, formula.Relation):
            if one.sign != other.sign:
                return None
        elif isinstance(one, formula.Numeral) and isinstance(other, formula.Numeral):
            here, there = formula.run_of_mark(one.text), formula.run_of_mark(other.text)
            if here is None and there is None and one.text == other.text:
                continue
            if here is None or there is None:
                return None
            pairs[here, there] = None
    return tuple(pairs)


def _other_roots(view: PartView, shown: list[Node]) -> Iterator[Fault]:
    """Where the problem asks for a discriminant, an equation in the stem has its expression and 0 on the sides."""
    inside = {
        piece.arguments[0]
        for piece in formula.walk(view.part.problem)
        if isinstance(piece, formula.Apply) and piece.function == "discriminant"
    }
    for piece in shown:
        if not isinstance(piece, formula.Relation) or piece in inside:
            continue
        sides = {piece.left, piece.right}
        if sides & inside and any(isinstance(side, formula.Numeral) and side.text != "0" for side in sides):
            message = "the stem's equation is not the one whose discriminant is asked for"
            yield Fault("stem-differs", message, place=view.place)


def _is_like(node: Node, problem: Node) -> bool:
    """Whether a formula is built as the whole problem; any number would be like a problem that is one."""
    return formula.skeleton(node) == formula.skeleton(problem) and not formula.is_one_number(problem)


def _alike(node: Node, pieces: dict[Node, set[Node]]) -> Iterator[Node]:
    """The largest parts of a formula that are built as a piece of the problem."""
    if formula.is_telling(node) and formula.skeleton(node) in pieces:
        yield node
        return
    for child in formula.children(node):
        yield from _alike(child, pieces)
