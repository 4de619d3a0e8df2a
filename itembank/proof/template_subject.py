"""What can be proved once for all items of a template that makes a letter the subject of a formula.

The parameters are symbols, and so are the formula's letters; two equations say the same of the subject for all values
of the parameters where a polynomial in the letters has no coefficient left.

This module loads sympy and knows trees only, no templates.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import sympy

from itembank.expressions.tree import Node
from itembank.proof.symbolic_numbers import CannotTell
from itembank.proof.template_algebra import (
    STUCK,
    Condition,
    Expression,
    Names,
    alternatives,
    light,
    numerator,
    spelled,
    vanishing,
)
from itembank.proof.template_proof import InSymbols, SymbolicClaim
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["prove_formula"]

_EVERYWHERE = "for all values of the parameters"


class _Linear(NamedTuple):
    """factor * subject + rest."""

    factor: Expression
    rest: Expression


def prove_formula(asked: InSymbols) -> tuple[SymbolicClaim, ...]:
    """The claims of one part: the key, each line that shows mathematics, each slip. It has a key and one unknown.

    >>> from itembank.expressions.parser import parse
    >>> claims = prove_formula(InSymbols(
    ...     parse("a*x + b*y = c"), parse("y = (c - a*x)/b"), [parse("y = (c + a*x)/b")], [], ["y"], ["x"],
    ...     {"a": (), "b": (), "c": ()}, {}))
    >>> claims[0].verdict.witness
    'for all values of the parameters, both come to y = (-a*x + c)/b'
    >>> claims[1].except_when
    'a = 0'
    """
    (subject,), letters = asked.unknowns, asked.for_every
    assert asked.key is not None
    if asked.has_domain:
        return _item_by_item(asked)
    names = Names(asked.parameters, asked.derived, [subject, *letters])
    formula = _Formula(names, subject, letters, asked.problem)
    verdict = formula.verdict(asked.key)
    found = [SymbolicClaim("key", -1, "the key is the problem solved for its subject", verdict)]
    for index, line in enumerate(asked.lines):
        if line.node is not None:
            verdict = formula.verdict(line.node) if line.kind == "main" else _left("it is side working")
            found.append(SymbolicClaim("line", index, "the line says the same as the problem", verdict))
    return (*found, *(formula.slip(index, node) for index, node in enumerate(asked.slips)))


def _item_by_item(asked: InSymbols) -> tuple[SymbolicClaim, ...]:
    """The claims where letters are positive: with roots among them, signs are seen once the parameters are numbers."""
    verdict = _left("whether something is positive depends on the parameters")
    lines = [index for index, line in enumerate(asked.lines) if line.node is not None]
    return (
        SymbolicClaim("key", -1, "the key is the problem solved for its subject", verdict),
        *(SymbolicClaim("line", index, "the line says the same as the problem", verdict) for index in lines),
        *(
            SymbolicClaim("slip", index, "the slip's formula differs from the key's", verdict)
            for index in range(len(asked.slips))
        ),
    )


class _Formula:
    def __init__(self, names: Names, subject: str, letters: Sequence[str], problem: Node) -> None:
        self.names = names
        self.subject = names.symbols[subject]
        self.letters = [names.symbols[letter] for letter in letters]
        self.problem = problem

    def verdict(self, node: Node) -> Verdict:
        """Whether an equation says of the subject what the problem says."""
        try:
            condition, found = self._same_when(node), self._solved(node)
            if condition.always:
                return Proved(f"{_EVERYWHERE}, both come to {self._told(found)}")
            if not condition.cases:
                asked = self._told(self._solved(self.problem))
                return Refuted(f"they differ {_EVERYWHERE}: {self._told(found)} is not {asked}")
        except STUCK as stuck:
            return _left(str(stuck))
        return _left(f"with symbols it can be told for {condition} only")

    def slip(self, index: int, node: Node) -> SymbolicClaim:
        """Where a slip says the same as the problem."""
        claim = "the slip's formula differs from the key's"
        try:
            condition = self._same_when(node)
        except STUCK as stuck:
            return SymbolicClaim("slip", index, claim, _left(str(stuck)))
        if condition.always:
            return SymbolicClaim("slip", index, claim, Refuted(f"it is the key {_EVERYWHERE}"))
        told = f"it is the key exactly when {condition}" if condition.cases else "it is never the key"
        return SymbolicClaim("slip", index, claim, Proved(told), str(condition))

    def _same_when(self, node: Node) -> Condition:
        ours, theirs = self._solved(self.problem), self._solved(node)
        difference = light(ours.rest / ours.factor - theirs.rest / theirs.factor)
        above = sympy.fraction(sympy.cancel(difference))[0]
        return vanishing(self.names, sympy.Poly(above, *self.letters).coeffs())

    def _solved(self, node: Node) -> _Linear:
        systems = alternatives(self.names, node)
        if len(systems) != 1 or len(systems[0]) != 1:
            raise CannotTell("a formula is one equation")
        found = sympy.Poly(numerator(systems[0][0]), self.subject)
        if found.degree() != 1:
            raise CannotTell("it is not linear in the subject")
        return _Linear(*found.all_coeffs())

    def _told(self, found: _Linear) -> str:
        return f"{self.subject} = {spelled(sympy.cancel(-found.rest / found.factor))}"


def _left(reason: str) -> Undecided:
    return Undecided(f"{reason}; proved item by item")
