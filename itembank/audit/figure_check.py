"""Pictures against the item's mathematics: what is marked, tabled or drawn is what the item speaks of.

A number line shows the solutions of a statement that stands in its part: the problem, its key, what the stem or a line
of the working says. A sign table is of a product that stands there on a side of a relation, or is the difference of the
sides. A parabola is the curve of an expression that stands there.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import PurePosixPath
from typing import Final
from urllib.parse import unquote

from itembank.audit import formula, numbers, polynomials, ratios
from itembank.audit.facts import Facts, Part, Picture
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.formula import Node
from itembank.audit.mathematics import Claim, Mathematics, Statement
from itembank.audit.picture_meaning import (
    is_curve,
    is_line,
    is_table,
    numbers_marked,
    pieces_told,
    table_told,
)
from itembank.audit.polynomials import Polynomial
from itembank.audit.real_sets import RealSet

__all__ = ["check_figures"]

_NUMBERS: Final = re.compile(rb' data-kind="parabola" data-numbers="([-0-9/]+) ([-0-9/]+) ([-0-9/]+)"')


def check_figures(
    facts: Facts, folder: PurePosixPath, members: frozenset[str], read: Callable[[str], bytes]
) -> Iterator[Fault]:
    """What is wrong with the pictures of an item.

    members: all names in the package; read: gives the bytes of one.
    """
    for place, part in enumerate(facts.parts):
        for picture in part.pictures:
            name = picture.address
            try:
                wrong = _wrong(facts.parts[: place + 1], picture, folder, members, read)
            except CannotTell as stuck:
                message = f"whether the picture is the item's cannot be decided: {stuck}"
                yield Fault("cannot-tell", message, place=name)
                continue
            if wrong:
                yield Fault("picture-differs", f"the picture {name!r}: {wrong}", place=name)


def _wrong(
    parts: tuple[Part, ...],
    picture: Picture,
    folder: PurePosixPath,
    members: frozenset[str],
    read: Callable[[str], bytes],
) -> str:
    words, language = picture.words, picture.language
    if is_line(words, language):
        letter, pieces = pieces_told(words, language)
        return _no_such_set(parts, letter, numbers_marked(pieces))
    if is_table(words, language):
        return _no_such_product(parts, table_told(words, language).rows[-1].node)
    if is_curve(words, language):
        name = str(folder / unquote(picture.address))
        if name not in members:
            return ""  # a file that is not there is told elsewhere, and none outside the package is opened
        found = _NUMBERS.search(read(name))
        if found is None:
            return "it does not say of which curve it is"
        a, b, c = (Fraction(each.decode()) for each in found.groups())
        return _no_such_curve(parts, (a, b, c))
    return ""


def _no_such_set(parts: tuple[Part, ...], letter: str, shown: RealSet) -> str:
    mathematics = Mathematics()
    wanted = shown if shown.points is None else frozenset((point,) for point in shown.points)
    stuck: CannotTell | None = None
    for statement in _statements(parts, letter):
        try:
            if mathematics.solutions(statement) == wanted:
                return ""
        except CannotTell as reason:
            stuck = reason
    if stuck is not None:
        raise stuck
    return "the numbers it marks are not the solutions of the problem or of a statement of its part"


def _statements(parts: tuple[Part, ...], letter: str) -> Iterator[Statement]:
    for part in reversed(parts):
        problem = [part.problem] if part.domain is None else [part.problem, part.domain]
        for nodes in (problem, *([node] for node in _told(part))):
            if all(formula.is_statement(node) for node in nodes):
                claims = tuple(Claim(node, part.for_every, part.scope) for node in nodes)
                free = frozenset().union(*(formula.free_letters(node, part.scope) for node in nodes))
                if free - set(part.for_every) in ({letter}, frozenset()):
                    yield Statement(claims, (letter,))


def _told(part: Part) -> Iterator[Node]:
    """The formulas of a part and the statements they are made of, the worked solution's before the stem's."""
    whole = [part.problem, part.key, part.domain, *(line.maths for line in part.lines), *part.stem]
    for node in whole:
        if node is not None:
            yield node
            if isinstance(node, formula.Conjunction | formula.Alternatives):
                yield from node.parts


def _no_such_product(parts: tuple[Part, ...], product: Node) -> str:
    wanted = _polynomial(product)
    for part in parts:
        for node in _told(part):
            for relation in formula.walk(node):
                if not isinstance(relation, formula.Relation):
                    continue
                sides = [relation.left, relation.right]
                sides.append(formula.sum_of([("+", relation.left), ("-", relation.right)]))
                if any(_is_multiple(_polynomial_or_none(side), wanted) for side in sides):
                    return ""
    return "its product stands on no side of a statement of its part"


def _no_such_curve(parts: tuple[Part, ...], curve: tuple[Fraction, Fraction, Fraction]) -> str:
    for part in parts:
        for node in _told(part):
            for piece in formula.walk(node):
                pieces = [piece]
                if isinstance(piece, formula.Relation):
                    pieces = [formula.sum_of([("+", piece.left), ("-", piece.right)])]
                elif formula.is_statement(piece) or isinstance(piece, formula.Point):
                    continue
                if any(_is_curve(_polynomial_or_none(each), curve) for each in pieces):
                    return ""
    return "its curve is that of no expression of its part"


def _polynomial(node: Node) -> Polynomial:
    (found, *others) = ratios.expression(node)
    below = polynomials.constant(found.below)
    if others or below is None:
        raise CannotTell("what is drawn is no polynomial")
    return polynomials.scale(found.above, numbers.divide(1, below))


def _polynomial_or_none(node: Node) -> Polynomial | None:
    try:
        return _polynomial(node)
    except (CannotTell, ZeroDivisionError):
        return None


def _is_multiple(first: Polynomial | None, second: Polynomial) -> bool:
    """Whether one is the other times a number that is not 0."""
    if not first or first.keys() != second.keys():
        return False
    monomial = next(iter(first))
    return polynomials.scale(first, second[monomial]) == polynomials.scale(second, first[monomial])


def _is_curve(found: Polynomial | None, curve: tuple[Fraction, Fraction, Fraction]) -> bool:
    letters = frozenset() if found is None else polynomials.letters(found)
    if found is None or len(letters) != 1:
        return False
    (letter,) = letters
    meant = {
        monomial: value
        for monomial, value in zip((((letter, 2),), ((letter, 1),), ()), curve, strict=True)
        if value
    }
    return dict(found) == meant
