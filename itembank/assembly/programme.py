"""Choosing by integer programme: forms that keep rules, as alike as they can be, or that tell most.

Pure and in whole numbers but for the solver (HiGHS), which works in floating point. Nothing rests on its numbers: what
it chooses is looked through again here, in whole numbers, and a form that breaks a rule is an error of our own. That
there is *no* choice, or none that is better, is the solver's word.

Things that are equal in everything that rules, measures and aims ask of them are one kind, of which a number is taken:
the programme stays small, and the search does not try what differs in names only. The same things give the same forms:
one thread, bounds on work and not on time, and no chance.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from itembank.errors import Contradiction, ItembankError, Span

if TYPE_CHECKING:
    import highspy

__all__ = ["Choice", "Problem", "Rule", "Undecided", "chosen"]

Weights: TypeAlias = tuple[int, ...]
"""One number for each thing to choose from."""
MOST_NODES: Final = 2_000
FEWEST_NODES: Final = 10
MOST_WORK: Final = 4_000_000
"""Steps of the search, and what they are worth together: each step of a programme costs about what it has numbers."""
_NEAR: Final = 0.25
"""The solver's whole numbers are near whole numbers; what is farther off than this was not solved."""


@dataclass(frozen=True, slots=True)
class Rule:
    """What every form has to keep: least <= the sum of the weights of its things <= most; None for no bound.

    said: the rule in words, for who has to mend it; place: where it is written, and the line there, None for nowhere.
    unit: what several rules say together, in words; "" for a rule that stands for itself.
    """

    said: str
    weights: Weights
    least: int | None = None
    most: int | None = None
    place: tuple[Span, str] | None = None
    unit: str = ""

    def keeps(self, form: Sequence[int]) -> bool:
        """Whether a form keeps it."""
        total = sum(self.weights[thing] for thing in form)
        return (self.least is None or total >= self.least) and (self.most is None or total <= self.most)


@dataclass(frozen=True, slots=True)
class Problem:
    """What is to be chosen: `forms` of things that are numbered from 0 to `things` - 1, no thing in two forms.

    rules: kept by each form. alike: weights whose sums are equal in all forms. near: weights whose sums are as near to
    each other as can be. most_of: weights of which the least sum of any form is as large as can be; that comes first.
    shared: how many things are in all forms; may_share: which things may be. no_matter: a difference of sums of `near`,
    all of them together, that does not matter: what is nearer by less is not looked for.
    """

    things: int
    forms: int
    rules: tuple[Rule, ...]
    alike: tuple[Weights, ...] = ()
    near: tuple[Weights, ...] = ()
    most_of: tuple[Weights, ...] = ()
    shared: int = 0
    may_share: tuple[bool, ...] = ()
    no_matter: int = 0


@dataclass(frozen=True, slots=True)
class Choice:
    """Forms, each the numbers of its things in rising order, the shared ones among them.

    is_best: the solver says that nothing is nearer by what matters, or tells more; else it is the best it found before
    its steps were used up.
    """

    forms: tuple[tuple[int, ...], ...]
    shared: tuple[int, ...] = ()
    is_best: bool = True


class Undecided(ItembankError):
    """The steps of the search were used up before there was any choice, or it was known that there is none."""


def chosen(problem: Problem, *, any_will_do: bool = False) -> Choice | None:
    """The best choice, None where there is none. any_will_do: the first that keeps the rules.

    Raises Undecided where the search ended too early to tell, Contradiction where the solver gives what breaks a rule.
    """
    if any_will_do:
        return _solved(replace(problem, near=(), most_of=()))
    if not problem.most_of:
        return _solved(problem)
    telling = _solved(replace(problem, near=()))
    if telling is None or problem.forms == 1 or not problem.near:
        return telling
    reached = tuple(
        Rule(
            "what a form tells",
            weights,
            least=min(sum(weights[thing] for thing in form) for form in telling.forms),
        )
        for weights in problem.most_of
    )
    nearest = _solved(replace(problem, most_of=(), rules=(*problem.rules, *reached)))
    return nearest and replace(nearest, is_best=nearest.is_best and telling.is_best)


def _solved(problem: Problem) -> Choice | None:
    model = _Model(problem)
    found = model.solved()
    if found is None:
        return None
    choice = Choice(*model.told(found.values), is_best=found.is_best)
    _look_through(problem, choice)
    return choice


def _look_through(problem: Problem, choice: Choice) -> None:
    """Every rule of every form, in whole numbers. Raises Contradiction."""
    broken = [
        f"form {number}: {rule.said}"
        for number, form in enumerate(choice.forms, 1)
        for rule in problem.rules
        if not rule.keeps(form)
    ]
    for weights in problem.alike:
        if len({sum(weights[thing] for thing in form) for form in choice.forms}) > 1:
            broken.append("forms that are to be alike are not")
    own = [thing for form in choice.forms for thing in form if thing not in choice.shared]
    if len(set(own)) < len(own) or len(choice.shared) != problem.shared:
        broken.append("a thing stands in two forms")
    if broken:
        raise _disagreement("the forms keep every rule", "; ".join(broken))


def _disagreement(solver: str, own: str) -> Contradiction:
    return Contradiction(
        template="the choice of forms", address="", values={},
        first=f"the solver: {solver}", second=f"looked through in whole numbers: {own}",
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Found:
    values: Sequence[float]
    is_best: bool


@dataclass(slots=True)
class _Rows:
    """Rows of the programme while they are written: bounds, and the columns that stand in each."""

    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    start: list[int] = field(default_factory=list)
    columns: list[int] = field(default_factory=list)
    values: list[float] = field(default_factory=list)

    def add(self, least: float | None, most: float | None, terms: Iterator[tuple[int, int]]) -> None:
        infinite = float("inf")
        self.lower.append(-infinite if least is None else float(least))
        self.upper.append(infinite if most is None else float(most))
        self.start.append(len(self.columns))
        for column, weight in terms:
            if weight:
                self.columns.append(column)
                self.values.append(float(weight))


class _Model:
    """The programme: for each form how many of each kind, then the shared ones, then what is made small or large."""

    def __init__(self, problem: Problem) -> None:
        self._problem = problem
        self._kinds = _kinds(problem)
        self._blocks = problem.forms + (1 if problem.shared else 0)
        whole = self._blocks * len(self._kinds)
        self._upper = [float(len(kind)) for _ in range(self._blocks) for kind in self._kinds]
        self._lower, self._cost = [0.0] * whole, [0.0] * whole
        if problem.shared and problem.may_share:
            for number, kind in enumerate(self._kinds):
                if not problem.may_share[kind[0]]:
                    self._upper[self._column(problem.forms, number)] = 0.0
        self._whole = whole
        self._rows = _Rows()
        self._write_rules()
        self._write_aims()

    def solved(self) -> _Found | None:
        """What the solver finds, None where it says that there is nothing."""
        import highspy
        import numpy

        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(self._cost), len(self._rows.lower)
        lp.col_cost_ = numpy.array(self._cost)
        lp.col_lower_, lp.col_upper_ = numpy.array(self._lower), numpy.array(self._upper)
        lp.row_lower_, lp.row_upper_ = numpy.array(self._rows.lower), numpy.array(self._rows.upper)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = numpy.array([*self._rows.start, len(self._rows.columns)])
        lp.a_matrix_.index_ = numpy.array(self._rows.columns, dtype=numpy.int32)
        lp.a_matrix_.value_ = numpy.array(self._rows.values)
        integer, continuous = highspy.HighsVarType.kInteger, highspy.HighsVarType.kContinuous
        lp.integrality_ = [integer] * self._whole + [continuous] * (len(self._cost) - self._whole)
        gap = 0.5 + self._problem.no_matter if self._problem.near else 0.5
        nodes = min(MOST_NODES, max(FEWEST_NODES, MOST_WORK // (1 + len(self._rows.columns))))
        solver = _solver(gap, nodes)
        solver.passModel(lp)
        solver.run()
        status = solver.getModelStatus()
        if status in {highspy.HighsModelStatus.kInfeasible, highspy.HighsModelStatus.kUnboundedOrInfeasible}:
            return None
        solution = solver.getSolution()
        if not solution.value_valid:
            told = str(solver.modelStatusToString(status))
            raise Undecided(f"the search for forms was ended before there were any ({told})")
        return _Found(list(solution.col_value), status == highspy.HighsModelStatus.kOptimal)

    def told(self, values: Sequence[float]) -> tuple[tuple[tuple[int, ...], ...], tuple[int, ...]]:
        """The things of each form, and the shared ones: of each kind the first go to the shared, then form by form."""
        forms: list[list[int]] = [[] for _ in range(self._problem.forms)]
        shared: list[int] = []
        for kind_number, kind in enumerate(self._kinds):
            left = iter(kind)
            for block in (*range(self._problem.forms, self._blocks), *range(self._problem.forms)):
                value = values[self._column(block, kind_number)]
                number = round(value)
                if abs(value - number) > _NEAR:
                    raise _disagreement(f"{value!r} things of a kind", "things are counted in whole numbers")
                taken = [thing for _, thing in zip(range(number), left, strict=False)]
                (shared if block >= self._problem.forms else forms[block]).extend(taken)
        return tuple(tuple(sorted((*form, *shared))) for form in forms), tuple(sorted(shared))

    def _column(self, block: int, kind: int) -> int:
        return block * len(self._kinds) + kind

    def _of_form(self, form: int, weights: Weights, sign: int = 1) -> Iterator[tuple[int, int]]:
        """The sum of weights over a form, the shared things with it."""
        for block in (form, *range(self._problem.forms, self._blocks)):
            for number, kind in enumerate(self._kinds):
                yield self._column(block, number), sign * weights[kind[0]]

    def _write_rules(self) -> None:
        problem, rows = self._problem, self._rows
        for form in range(problem.forms):
            for rule in problem.rules:
                rows.add(rule.least, rule.most, self._of_form(form, rule.weights))
        for weights in problem.alike:
            for form in range(1, problem.forms):
                own = [(column, weight) for column, weight in self._own(form, weights, 1)]
                rows.add(0, 0, iter([*own, *self._own(0, weights, -1)]))
        for number, kind in enumerate(self._kinds):
            rows.add(
                None, len(kind), iter([(self._column(block, number), 1) for block in range(self._blocks)])
            )
        if problem.shared:
            columns = range(self._column(problem.forms, 0), self._column(problem.forms, len(self._kinds)))
            rows.add(problem.shared, problem.shared, iter([(column, 1) for column in columns]))

    def _own(self, form: int, weights: Weights, sign: int) -> Iterator[tuple[int, int]]:
        """The sum of weights over what is a form's alone: what is shared makes no difference between forms."""
        for number, kind in enumerate(self._kinds):
            yield self._column(form, number), sign * weights[kind[0]]

    def _write_aims(self) -> None:
        problem = self._problem
        if problem.forms > 1:
            for weights in problem.near:
                high, low = self._free_column(1.0), self._free_column(-1.0)
                for form in range(problem.forms):
                    self._rows.add(0, None, iter([(high, 1), *self._own(form, weights, -1)]))
                    self._rows.add(0, None, iter([(low, -1), *self._own(form, weights, 1)]))
        for weights in problem.most_of:
            least = self._free_column(-1.0)
            for form in range(problem.forms):
                self._rows.add(0, None, iter([(least, -1), *self._of_form(form, weights)]))

    def _free_column(self, cost: float) -> int:
        self._cost.append(cost)
        self._lower.append(-float("inf"))
        self._upper.append(float("inf"))
        return len(self._cost) - 1


def _kinds(problem: Problem) -> list[tuple[int, ...]]:
    """The things by kind, each kind in order, the kinds by their first thing."""
    looks: tuple[Weights, ...] = (
        *(rule.weights for rule in problem.rules), *problem.alike, *problem.near, *problem.most_of,
    )  # fmt: skip
    kinds: dict[tuple[int, ...], list[int]] = {}
    for thing in range(problem.things):
        may_share = not problem.may_share or problem.may_share[thing]
        kinds.setdefault((may_share, *[weights[thing] for weights in looks]), []).append(thing)
    return [tuple(kind) for kind in kinds.values()]


def _solver(gap: float, nodes: int) -> highspy.Highs:
    import highspy

    with _no_output():
        solver: highspy.Highs = highspy.Highs()  # type: ignore[no-untyped-call]
    options: dict[str, Any] = {
        "output_flag": False, "threads": 1, "parallel": "off", "random_seed": 0,
        "mip_max_nodes": nodes, "mip_rel_gap": 0.0, "mip_abs_gap": gap, "mip_feasibility_tolerance": 1e-7,
    }  # fmt: skip
    for name, value in options.items():
        solver.setOptionValue(name, value)
    return solver


@contextmanager
def _no_output() -> Iterator[None]:
    """The solver greets on standard output as soon as it is made, before it can be told not to."""
    sys.stdout.flush()
    try:
        kept = os.dup(1)
    except OSError:  # closed: nothing can be printed
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)
