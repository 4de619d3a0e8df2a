"""Questions about statements and expressions, answered exactly: by the quick road, else by sympy, else not at all.

With `thorough` both roads are walked, and must agree. What neither decides raises CannotTell; no caller takes that
for a yes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TypeAlias

from itembank.audit import (
    conditions,
    equations,
    formula,
    hidden,
    polynomials,
    ratios,
    real_sets,
    root_counting,
    straight_code,
    straight_solving,
    subjects,
    symbolic,
    symbolic_sets,
    systems,
    whole_numbers,
)
from itembank.audit.conditions import All, Atom
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.formula import NOWHERE, Hashed, Node, Scope, remembering_hash
from itembank.audit.numbers import Number
from itembank.audit.ratios import Ratio
from itembank.audit.real_sets import RealSet

__all__ = ["Claim", "Mathematics", "Solutions", "Statement"]

Solutions: TypeAlias = frozenset[tuple[Number, ...]] | RealSet
"""Finitely many tuples of values, or a set of reals with an interval in it."""


@remembering_hash
@dataclass(frozen=True, slots=True)
class Claim(Hashed):
    """One displayed statement; `for_every`: the letters for every value of which it holds."""

    node: Node
    for_every: tuple[str, ...] = ()
    scope: Scope = NOWHERE


@remembering_hash
@dataclass(frozen=True, slots=True)
class Statement(Hashed):
    """Claims that hold together, to be solved for `unknowns`; of the solutions the `wanted` ones are looked at.

    with_false: with the values that working leads to and that are then given up, as no root or power of a number can be
    so, or as something would be divided by 0.
    """

    claims: tuple[Claim, ...]
    unknowns: tuple[str, ...]
    wanted: tuple[str, ...] = field(default=("*",))
    with_false: bool = False

    @property
    def shown(self) -> tuple[str, ...]:
        """The unknowns that are looked at, in order."""
        return self.unknowns if self.wanted == ("*",) else self.wanted


class Mathematics:
    """Decides, for one item: what was solved once is remembered. thorough: every question is put to both roads."""

    def __init__(self, *, thorough: bool = False) -> None:
        self._thorough = thorough
        self._solved: dict[int, tuple[Statement, Solutions | CannotTell]] = {}
        self.statements: dict[object, Statement] = {}
        """Statements that were put together before, by what they were made of."""

    def same_solutions(self, first: Statement, second: Statement) -> bool:
        """Whether two statements have the same solutions. Raises CannotTell where no road decides."""
        try:
            found = self.solutions(first) == self.solutions(second)
        except CannotTell:
            if first.with_false or second.with_false:
                raise
            counted = self._by_counting(first, second)
            return _same_symbolically(first, second) if counted is None else counted
        return found

    def _by_counting(self, first: Statement, second: Statement) -> bool | None:
        """Whether finitely many values are all roots of one equation; None where this road does not lead there."""
        for equation, other in ((first, second), (second, first)):
            polynomial = _one_equation(equation)
            if polynomial is None:
                continue
            try:
                values = self.solutions(other)
                if isinstance(values, RealSet) or len(other.shown) != 1:
                    continue
                letter = equation.unknowns[0]
                if not all(root_counting.is_root(polynomial, letter, value) for (value,) in values):
                    return False
                return len(values) == root_counting.count_real_roots(polynomial, letter)
            except CannotTell:
                continue
        return None

    def solutions(self, statement: Statement) -> Solutions:
        """The solutions, by the quick road. Raises CannotTell; with `thorough`, Fault where sympy disagrees."""
        known = self._solved.get(id(statement))
        if known is not None:
            found = known[1]
        else:
            try:
                found = self._solve(statement)
            except CannotTell as stuck:
                found = stuck
            # the statement is kept, so that no other can come to have its place in memory
            self._solved[id(statement)] = statement, found
        if isinstance(found, CannotTell):
            raise found
        return found

    def _solve(self, statement: Statement) -> Solutions:
        whole, rest = _without_whole(statement)
        if whole:
            return _whole_of(self._solve(rest), whole, statement)
        found = _quick(statement)
        if self._thorough and not statement.with_false:
            _compare_roads(statement, found)
        return found

    def has_none(self, statement: Statement) -> bool:
        """Whether a statement has no solution."""
        try:
            found = self.solutions(statement)
        except CannotTell:
            if statement.with_false:
                raise
            polynomial = _one_equation(statement)
            if polynomial is not None:
                return root_counting.count_real_roots(polynomial, statement.unknowns[0]) == 0
            return not _symbolic(statement)
        return found in (frozenset(), real_sets.EMPTY)

    def same_value(self, first: Node, second: Node, scope: Scope = NOWHERE) -> bool:
        """Whether two expressions are equal for every value of their letters; ± stands for two values."""
        try:
            found = _same_expressions(first, second, scope)
        except CannotTell:
            return symbolic.same_value(first, second, scope)
        if self._thorough and not formula.has_either_sign(first) and not formula.has_either_sign(second):
            _agree(found, symbolic.same_value(first, second, scope))
        return found

    def same_formula(
        self, first: Node, second: Node, subject: str, scope: Scope = NOWHERE, *, positive: bool = False
    ) -> bool:
        """Whether two equations say the same of one letter, told in the others. Raises CannotTell.

        positive: every letter is a positive number.
        """
        found = subjects.same(first, second, subject, scope, positive=positive)
        if self._thorough and not positive:
            try:
                other = symbolic.same_formula(first, second, subject, scope)
            except CannotTell:
                return found
            _agree(found, other)
        return found


def _without_whole(statement: Statement) -> tuple[frozenset[str], Statement]:
    """The letters that are said to be whole numbers, and the statement without that, all its unknowns looked at."""
    if not any(formula.has_relation(claim.node, "∈") for claim in statement.claims):
        return frozenset(), statement
    apart = [whole_numbers.parted(claim.node) for claim in statement.claims]
    named = frozenset[str]().union(*(letters for letters, _ in apart))
    if not named:
        return named, statement
    claims = [
        replace(c, node=rest)
        for c, (_, rest) in zip(statement.claims, apart, strict=True)
        if rest is not None
    ]
    return named, replace(statement, claims=tuple(claims), wanted=statement.unknowns)


def _whole_of(found: Solutions, named: frozenset[str], statement: Statement) -> Solutions:
    """What of the solutions is left where some letters stand for whole numbers."""
    if not named.issubset(statement.unknowns):
        raise CannotTell("a letter that is said to be a whole number is not to be found")
    if isinstance(found, RealSet):
        kept = whole_numbers.of_set(found)
    else:
        kept = whole_numbers.among(found, [statement.unknowns.index(name) for name in named])
    if isinstance(kept, RealSet):
        return kept if statement.shown else frozenset({()})
    return _columns(kept, statement)


def _condition(claim: Claim) -> conditions.Condition:
    found = straight_code.condition(claim.node, claim.scope, claim.for_every)
    return conditions.condition(claim.node, claim.scope, claim.for_every) if found is None else found


def _same_expressions(first: Node, second: Node, scope: Scope) -> bool:
    ours, theirs = straight_code.polynomial(first), straight_code.polynomial(second)
    if ours is not None and theirs is not None:
        return ours == theirs
    return _same_ratios(ratios.expression(first, scope), ratios.expression(second, scope))


def _quick(statement: Statement) -> Solutions:
    if len(statement.unknowns) == 1 and statement.shown and not statement.with_false:
        claims = [(claim.node, claim.scope, claim.for_every) for claim in statement.claims]
        values = straight_solving.points(claims, statement.unknowns[0])
        if values is not None:
            return frozenset([(value,) for value in values])
    elif len(statement.unknowns) > 1 and len(statement.claims) == 1 and not statement.with_false:
        (claim,) = statement.claims
        rows = straight_solving.tuples(claim.node, claim.scope, claim.for_every, statement.unknowns)
        if rows is not None:
            return _columns(rows, statement)
    asked = All(tuple(map(_condition, statement.claims)))
    unknowns, shown = statement.unknowns, statement.shown
    if statement.with_false or hidden.is_hidden_in(asked):
        return hidden.solve(asked, unknowns, shown, with_false=statement.with_false)
    if not unknowns:
        verdict = conditions.holds(asked)
        if verdict is None:
            raise CannotTell("a letter is neither given nor to be found")
        return frozenset({()}) if verdict else frozenset()
    if len(unknowns) == 1:
        points = equations.points(asked, unknowns[0])
        if points is not None and shown:
            return frozenset((point,) for point in points)
        return _of_one(real_sets.solve(asked, unknowns[0]), shown)
    return _columns(systems.solve(asked, unknowns), statement)


def _columns(rows: systems.Tuples, statement: Statement) -> Solutions:
    """Of tuples of the unknowns what is looked at."""
    if statement.shown == statement.unknowns:
        return rows
    columns = [statement.unknowns.index(name) for name in statement.shown]
    return frozenset([tuple([row[column] for column in columns]) for row in rows])


def _one_equation(statement: Statement) -> polynomials.Polynomial | None:
    """The polynomial of a statement that is one equation in one unknown; None for every other statement."""
    if len(statement.claims) != 1 or len(statement.unknowns) != 1 or statement.shown != statement.unknowns:
        return None
    (claim,) = statement.claims
    try:
        asked = _condition(claim)
    except CannotTell:
        return None
    if not isinstance(asked, Atom) or asked.sign != "=":
        return None
    if polynomials.letters(asked.polynomial) != set(statement.unknowns):
        return None
    return asked.polynomial


def _of_one(found: RealSet, shown: tuple[str, ...]) -> Solutions:
    points = found.points
    if not shown:
        return frozenset() if points == () else frozenset({()})
    return found if points is None else frozenset((point,) for point in points)


def _same_ratios(first: Sequence[Ratio], second: Sequence[Ratio]) -> bool:
    return all(any(_same_ratio(a, b) for b in second) for a in first) and all(
        any(_same_ratio(a, b) for a in first) for b in second
    )


def _same_ratio(first: Ratio, second: Ratio) -> bool:
    left = polynomials.multiply(first.above, second.below)
    return left == polynomials.multiply(second.above, first.below)


def _claims(statement: Statement) -> symbolic.Claims:
    return [(claim.node, claim.for_every, claim.scope) for claim in statement.claims]


def _symbolic(statement: Statement) -> list[symbolic_sets.Piece] | list[tuple[symbolic_sets.Expression, ...]]:
    if len(statement.unknowns) == 1 and len(statement.shown) == 1:
        return symbolic.pieces(_claims(statement), statement.unknowns[0])
    found = symbolic.tuples(_claims(statement), statement.unknowns)
    columns = [statement.unknowns.index(name) for name in statement.shown]
    distinct: list[tuple[symbolic_sets.Expression, ...]] = []
    for row in found:
        projected = tuple(row[column] for column in columns)
        if not any(symbolic_sets.same_tuples([projected], [other]) for other in distinct):
            distinct.append(projected)
    return distinct


def _same_symbolically(first: Statement, second: Statement) -> bool:
    ours, theirs = _as_pieces(_symbolic(first)), _as_pieces(_symbolic(second))
    if ours and theirs and type(ours[0]) is not type(theirs[0]):
        raise CannotTell("the solutions are of different kinds")
    return _same_found(ours, theirs)


def _as_pieces(found: list[symbolic_sets.Piece] | list[tuple[symbolic_sets.Expression, ...]]) -> list[object]:
    """Tuples of one value are points."""
    return [
        symbolic_sets.Piece(each[0], each[0], True, True)
        if isinstance(each, tuple) and len(each) == 1
        else each
        for each in found
    ]


def _same_found(ours: Sequence[object], theirs: Sequence[object]) -> bool:
    first = [each for each in ours if isinstance(each, symbolic_sets.Piece)]
    second = [each for each in theirs if isinstance(each, symbolic_sets.Piece)]
    if first or second:
        return symbolic_sets.same_pieces(symbolic_sets.in_order(first), symbolic_sets.in_order(second))
    rows = [each for each in ours if isinstance(each, tuple)]
    return symbolic_sets.same_tuples(rows, [each for each in theirs if isinstance(each, tuple)])


def _compare_roads(statement: Statement, found: Solutions) -> None:
    try:
        other = _as_pieces(_symbolic(statement))
    except CannotTell:
        return
    ours: list[object]
    if isinstance(found, RealSet):
        ours = list(symbolic_sets.pieces_of(found))
    else:
        ours = _as_pieces([tuple(symbolic_sets.exact(value) for value in row) for row in found])
    _agree(True, _same_found(ours, other))


def _agree(first: bool, second: bool) -> None:
    if first != second:
        raise Fault("roads-disagree", "two independent ways of solving give different answers")
