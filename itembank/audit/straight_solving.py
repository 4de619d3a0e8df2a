"""Statements solved by straight code: how is worked out once for their looks, then numerals are put in.

It does what `equations.points` does with the condition of the statements, and gives what that gives, without the
conditions between: from the values of the code (`straight_code`) to coefficients, from these to roots. Where that road
does not end in finitely many values there is no answer here, and the general roads are walked. Of a statement in
several unknowns it solves what gives one unknown after the other, each by an equation of degree 1, and alternatives of
such statements.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Final, TypeAlias

from itembank.audit import equations, formula, numbers, straight_code
from itembank.audit.findings import CannotTell
from itembank.audit.formula import Node, Scope
from itembank.audit.numbers import Number
from itembank.audit.straight_code import AtomPlan, EitherPlan, Plan, TogetherPlan

__all__ = ["Claims", "points", "tuples"]

Points: TypeAlias = frozenset[Number]
Tuples: TypeAlias = frozenset[tuple[Number, ...]]
Claims: TypeAlias = Sequence[tuple[Node, Scope, tuple[str, ...]]]
"""Statements that hold together, each with its scope and the letters for every value of which it holds."""
_Values: TypeAlias = Sequence[Any]
_Found: TypeAlias = Callable[[_Values], Points | None]
_Held: TypeAlias = Callable[[_Values, Points], Points | None]
_MOST_CLAIMS: Final = 4


def points(claims: Claims, letter: str) -> Points | None:
    """All values of a letter for which the statements hold; None where this road does not tell. Raises CannotTell."""
    steps: list[tuple[_Step, Sequence[str]]] = []
    for node, scope, for_every in claims[:_MOST_CLAIMS]:
        looks = formula.looks_of(node)
        if looks is None:
            return None
        key = points, letter, scope, for_every
        try:
            step = looks.known[key]
        except KeyError:
            step = looks.known[key] = _step(node, scope, for_every, letter)
        if step is None:
            return None
        steps.append((step, formula.runs_of(node)))
    if not steps or len(claims) > _MOST_CLAIMS:
        return None
    try:
        found = steps[0][0].solved(steps[0][1])
        for step, runs in steps[1:]:
            if found is None:
                return None
            found = step.among(runs, found)
    except ZeroDivisionError:
        return None
    return found


def tuples(node: Node, scope: Scope, for_every: tuple[str, ...], unknowns: tuple[str, ...]) -> Tuples | None:
    """All values of several letters for which a statement holds; None where this road does not tell."""
    looks = formula.looks_of(node)
    if looks is None:
        return None
    key = tuples, unknowns, scope, for_every
    try:
        found = looks.known[key]
    except KeyError:
        asked = straight_code.asked(node, scope, for_every)
        orders = None if asked is None else _orders(asked.plan, unknowns)
        found = looks.known[key] = None if asked is None or orders is None else (asked, orders)
    if found is None:
        return None
    asked, orders = found
    together: Tuples = frozenset()
    try:
        for sign in asked.signs:
            values = asked.run(formula.runs_of(node), sign)
            for order in orders:
                some = order.solved(values)
                if some is None:
                    return None
                together |= some
    except (ZeroDivisionError, CannotTell):
        return None
    return together


_Terms: TypeAlias = tuple[tuple[int, tuple[str, ...]], ...]
"""Where each coefficient stands, and the letters it is multiplied by, a square as the letter twice."""


class _Order:
    """Equations one after the other: each gives a letter, or has to hold. unknowns: what the tuples are of."""

    __slots__ = ("_checks", "_steps", "_unknowns")

    def __init__(
        self, steps: list[tuple[str, _Terms, _Terms]], checks: list[_Terms], unknowns: tuple[str, ...]
    ) -> None:
        self._steps, self._checks, self._unknowns = steps, checks, unknowns

    def solved(self, values: _Values) -> Tuples | None:
        """The one tuple, or none; None where a letter is not given after all."""
        known: dict[str, Number] = {}
        for letter, factor, rest in self._steps:
            by = _sum(factor, values, known)
            if by == 0:
                return None
            known[letter] = numbers.divide(-_sum(rest, values, known), by)
        if any(_sum(check, values, known) != 0 for check in self._checks):
            return frozenset()
        return frozenset([tuple([known[each] for each in self._unknowns])])


def _sum(terms: _Terms, values: _Values, known: dict[str, Number]) -> Number:
    total: Number = 0
    for place, letters in terms:
        product = values[place]
        for letter in letters:
            product = product * known[letter]
        total = total + product
    return total


def _orders(plan: Plan, unknowns: tuple[str, ...]) -> list[_Order] | None:
    """How each alternative is solved; None where one is not."""
    parts = plan.parts if isinstance(plan, EitherPlan) else (plan,)
    orders = [_in_order(part, unknowns) for part in parts]
    return None if None in orders or not orders else [each for each in orders if each is not None]


def _in_order(plan: Plan, unknowns: tuple[str, ...]) -> _Order | None:
    """How a plan gives one unknown after the other; None where it does not, or speaks of other letters."""
    left = _equations(plan)
    if left is None or not unknowns:
        return None
    steps: list[tuple[str, _Terms, _Terms]] = []
    known: set[str] = set()
    while len(known) < len(unknowns):
        for equation in left:
            unknown = {letter for _, letters in equation for letter in letters} - known
            if len(unknown) != 1:
                continue
            (letter,) = unknown
            if letter in unknowns and all(letters.count(letter) < 2 for _, letters in equation):
                factor = tuple(
                    (place, tuple(each for each in letters if each != letter))
                    for place, letters in equation
                    if letter in letters
                )
                steps.append((letter, factor, tuple(each for each in equation if letter not in each[1])))
                known.add(letter)
                left.remove(equation)
                break
        else:
            return None
    if any(not known.issuperset(letters) for equation in left for _, letters in equation):
        return None
    return _Order(steps, left, unknowns)


def _equations(plan: Plan) -> list[_Terms] | None:
    """The equations that hold together, None for other statements; of one for every value those of all products."""
    if isinstance(plan, TogetherPlan):
        parts = [_equations(part) for part in plan.parts]
        return None if None in parts else [each for part in parts if part is not None for each in part]
    if not isinstance(plan, AtomPlan) or plan.sign != "=":
        return None
    groups: dict[tuple[tuple[str, int], ...], list[tuple[int, tuple[str, ...]]]] = {}
    for place, monomial in enumerate(plan.monomials, plan.start):
        bound = tuple(pair for pair in monomial if pair[0] in plan.for_every)
        letters = tuple(name for name, power in monomial if name not in plan.for_every for _ in range(power))
        groups.setdefault(bound, []).append((place, letters))
    return [tuple(group) for group in groups.values()]


class _Step:
    """One statement: its solutions, and those of some values that are among them."""

    __slots__ = ("_found", "_held", "_run", "_signs")

    def __init__(self, run: Any, signs: tuple[int, ...], found: _Found, held: _Held) -> None:
        self._run, self._signs, self._found, self._held = run, signs, found, held

    def solved(self, runs: Sequence[str]) -> Points | None:
        """All solutions."""
        if len(self._signs) == 1:
            return self._found(self._run(runs, 0))
        upper, lower = self._found(self._run(runs, 1)), self._found(self._run(runs, -1))
        return None if upper is None or lower is None else upper | lower

    def among(self, runs: Sequence[str], found: Points) -> Points | None:
        """Those of some values."""
        if len(self._signs) == 1:
            return self._held(self._run(runs, 0), found)
        some = self.solved(runs)
        return None if some is None else some & found


def _step(node: Node, scope: Scope, for_every: tuple[str, ...], letter: str) -> _Step | None:
    asked = straight_code.asked(node, scope, for_every)
    both = None if asked is None else _of_plan(asked.plan, letter)
    return None if asked is None or both is None else _Step(asked.run, asked.signs, *both)


def _of_plan(plan: Plan, letter: str) -> tuple[_Found, _Held] | None:
    """How a plan is solved for a letter, and how values are tried; None where another letter or power is in it."""
    if isinstance(plan, AtomPlan):
        return _of_every(plan, letter) if plan.for_every else _of_atom(plan, letter)
    parts = [_of_plan(part, letter) for part in plan.parts]
    whole = [part for part in parts if part is not None]
    if len(whole) < len(parts) or not whole:
        return None
    if isinstance(plan, EitherPlan):
        return _either([solved for solved, _ in whole])
    assert isinstance(plan, TogetherPlan)
    return _together(whole)


def _either(parts: list[_Found]) -> tuple[_Found, _Held]:
    if len(parts) == 2:
        first, second = parts

        def two(values: _Values) -> Points | None:
            one, other = first(values), second(values)
            return None if one is None or other is None else one | other

        return two, _crossed(two)

    def solved(values: _Values) -> Points | None:
        found: set[Number] = set()
        for part in parts:
            some = part(values)
            if some is None:
                return None
            found |= some
        return frozenset(found)

    return solved, _crossed(solved)


def _crossed(solved: _Found) -> _Held:
    def held(values: _Values, found: Points) -> Points | None:
        some = solved(values)
        return None if some is None else some & found

    return held


def _together(parts: list[tuple[_Found, _Held]]) -> tuple[_Found, _Held]:
    (first, _), *others = parts

    def solved(values: _Values) -> Points | None:
        found = first(values)
        for _, among in others:
            if found is None:
                return None
            found = among(values, found)
        return found

    return solved, _crossed(solved)


def _of_atom(plan: AtomPlan, letter: str) -> tuple[_Found, _Held] | None:
    places = _places({monomial: place for place, monomial in enumerate(plan.monomials, plan.start)}, letter)
    if places is None:
        return None
    square, single, alone = places
    sign = plan.sign

    def coefficients(values: _Values) -> tuple[Number, Number, Number]:
        return (
            0 if square is None else values[square],
            0 if single is None else values[single],
            0 if alone is None else values[alone],
        )

    def solved(values: _Values) -> Points | None:
        return equations.roots(*coefficients(values))

    def held(values: _Values, found: Points) -> Points | None:
        return equations.satisfying(found, *coefficients(values), sign)

    return (solved if sign == "=" else _unsolved), held


def _unsolved(values: _Values) -> Points | None:
    return None


def _of_every(plan: AtomPlan, letter: str) -> tuple[_Found, _Held] | None:
    """An equation that holds for every value of some letters: so does the coefficient of each of their products."""
    groups: dict[tuple[tuple[str, int], ...], dict[tuple[tuple[str, int], ...], int]] = {}
    for place, monomial in enumerate(plan.monomials, plan.start):
        bound = tuple(pair for pair in monomial if pair[0] in plan.for_every)
        rest = tuple(pair for pair in monomial if pair[0] not in plan.for_every)
        groups.setdefault(bound, {})[rest] = place
    triples = [_places(group, letter) for group in groups.values()]
    whole = [triple for triple in triples if triple is not None]
    if len(whole) < len(triples):
        return None

    def solved(values: _Values) -> Points | None:
        found: Points | None = None
        for square, single, alone in whole:
            a = 0 if square is None else values[square]
            b = 0 if single is None else values[single]
            c = 0 if alone is None else values[alone]
            if a == 0 and b == 0 and c == 0:
                continue
            found = equations.roots(a, b, c) if found is None else equations.satisfying(found, a, b, c, "=")
        return found

    return solved, _crossed(solved)


def _places(
    group: dict[tuple[tuple[str, int], ...], int], letter: str
) -> tuple[int | None, int | None, int | None] | None:
    """Where the coefficients of the letter's square, of the letter and the one without it stand; None for others."""
    known: dict[tuple[tuple[str, int], ...], None] = dict.fromkeys((((letter, 2),), ((letter, 1),), ()))
    if not known.keys() >= group.keys():
        return None
    square, single, alone = map(group.get, known)
    return square, single, alone
