"""One part's formulas as statements with their unknowns, ready for the mathematics."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from itembank.audit import formula, numbers, polynomials, ratios, straight_code
from itembank.audit.facts import Box, ChoiceInteraction, Facts, Part, Task
from itembank.audit.findings import CannotTell, Fault
from itembank.audit.formula import Node
from itembank.audit.mathematics import Claim, Mathematics, Statement
from itembank.audit.numbers import Number
from itembank.audit.real_sets import RealSet

__all__ = ["PartView", "part_views"]


INTERACTIONS: Final = 64


@dataclass(frozen=True, slots=True)
class PartView:
    """A part, the parts before it, its interactions, and the mathematics that decides.

    A later part may speak of what an earlier one asks for: then the earlier problem is claimed along with it.
    """

    part: Part
    earlier: tuple[Part, ...]
    choice: ChoiceInteraction | None
    tick: ChoiceInteraction | None
    boxes: tuple[Box, ...]
    mathematics: Mathematics
    task: Task | None = None

    @property
    def place(self) -> str:
        """Where findings say they are."""
        return f"part {self.part.label}" if self.part.label else ""

    @property
    def is_positive(self) -> bool:
        """Whether every letter of its formula is said to be a positive number."""
        return self.part.domain is not None

    @property
    def subject(self) -> str:
        """The letter that is made the subject of a formula. Raises CannotTell where it is not plain which."""
        if len(self.part.unknowns) != 1:
            raise CannotTell("it is not plain which letter is the subject")
        return self.part.unknowns[0]

    def letters(self, *nodes: Node) -> frozenset[str]:
        """The letters that formulas of this part speak of."""
        if len(nodes) == 1:
            return formula.free_letters(nodes[0], self.part.scope)
        return frozenset().union(*[formula.free_letters(node, self.part.scope) for node in nodes])

    def statement(
        self, *nodes: Node, wanted: Sequence[str] | None = None, new: Sequence[str] = ()
    ) -> Statement:
        """Statements that hold together, for the unknowns of the part.

        wanted: the unknowns looked at, all of the part's unless said; new: letters the worked solution introduced.
        """
        wanted = self.part.unknowns if wanted is None else tuple(wanted)
        key = id(self.part), tuple(map(id, nodes)), wanted, tuple(new)  # the statement keeps the nodes
        found = self.mathematics.statements.get(key)
        if found is None:
            found = self.mathematics.statements[key] = self._put_together(nodes, wanted, tuple(new))
        return found

    def _put_together(
        self, nodes: tuple[Node, ...], wanted: tuple[str, ...], new: tuple[str, ...]
    ) -> Statement:
        if not self.earlier and not new and wanted == self.part.unknowns:
            claims = [Claim(node, self.part.for_every, self.part.scope) for node in nodes]
            return Statement(tuple(claims), tuple(dict.fromkeys(wanted)), wanted)
        named = self.letters(*nodes)
        before = [
            part
            for part in self.earlier
            if not named.isdisjoint(part.unknowns) and not _shadowed(part, self.part)
        ]
        claims = [Claim(node, self.part.for_every, self.part.scope) for node in nodes]
        claims += [Claim(part.problem, part.for_every, part.scope) for part in before]
        claims += [Claim(part.domain) for part in before if part.domain is not None]
        asked = [*wanted, *(name for name in (*self.part.unknowns, *new) if name in named)]
        asked += [name for part in before for name in part.unknowns]
        return Statement(tuple(claims), tuple(dict.fromkeys(asked)), wanted)

    def problem(self, *, with_domain: bool = True, wanted: Sequence[str] | None = None) -> Statement:
        """The problem, within its domain unless said."""
        nodes = [self.part.problem]
        if with_domain and self.part.domain is not None:
            nodes.append(self.part.domain)
        found = self.statement(*nodes)
        return found if wanted is None else Statement(found.claims, found.unknowns, tuple(wanted))

    def values(self, node: Node) -> frozenset[tuple[Number, ...]]:
        """The values a statement gives the part's unknowns, or the one value of an expression, by the quick road.

        Raises CannotTell for infinitely many values and where the quick road ends.
        """
        if self.part.shape == "rewrite":
            return frozenset({(_one_number(node),)})
        found = self.mathematics.solutions(self.statement(node))
        if isinstance(found, RealSet):
            raise CannotTell("there are infinitely many values")
        return found


def part_views(facts: Facts, mathematics: Mathematics) -> list[PartView]:
    """The parts in order, each with the interactions that bear its label.

    Raises Fault `unclear-interaction` for an interaction of no part.
    """
    labels = [part.label for part in facts.parts]
    interactions: list[ChoiceInteraction | Box | Task] = [*facts.choices, *facts.boxes, *facts.tasks]
    if len(interactions) > INTERACTIONS:
        raise Fault("unclear-interaction", f"the item has more than {INTERACTIONS} interactions")
    # the first part's interactions may do without a label
    first = labels[0] if labels and not any(each.part == labels[0] for each in interactions) else ""
    for each in interactions:
        if (each.part or first) not in labels:
            raise Fault(
                "unclear-interaction",
                "the interaction belongs to no part of the solution",
                place=each.response,
            )
    views = []
    for index, part in enumerate(facts.parts):
        mine = [each for each in facts.choices if (each.part or first) == part.label]
        choices = [each for each in mine if not each.is_tick]
        ticks = [each for each in mine if each.is_tick]
        tasks = [each for each in facts.tasks if (each.part or first) == part.label]
        if len(choices) > 1 or len(ticks) > 1 or len(tasks) > 1:
            raise Fault("unclear-interaction", "a part has two interactions of one kind", place=part.label)
        boxes = tuple(each for each in facts.boxes if (each.part or first) == part.label)
        views.append(
            PartView(
                part,
                facts.parts[:index],
                next(iter(choices), None),
                next(iter(ticks), None),
                boxes,
                mathematics,
                next(iter(tasks), None),
            )
        )
    return views


def _one_number(node: Node) -> Number:
    plain = straight_code.polynomial(node)
    value = None if plain is None else polynomials.constant(plain)
    if value is not None:
        return value
    found = ratios.expression(node)
    above, below = polynomials.constant(found[0].above), polynomials.constant(found[0].below)
    if len(found) != 1 or above is None or below is None:
        raise CannotTell("the expression is not one number")
    return numbers.divide(above, below)


def _shadowed(earlier: Part, part: Part) -> bool:
    """Whether a part asks for the same letters again, so that they are its own."""
    return not set(earlier.unknowns).isdisjoint((*part.unknowns, *part.for_every))
