"""What can be proved of a template once for all its items, with the parameters as symbols.

The key answers the problem whatever the parameters are; each line of the solution says the same as the problem;
each slip differs from the key except on a set of values that is named. What sympy does not decide here is decided
item by item anyway, so nothing is guessed: an undecided claim says why.

This module loads sympy and knows trees only, no templates.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

import sympy

from itembank.expressions import tree
from itembank.expressions.tree import Node
from itembank.proof.symbolic_numbers import CannotTell
from itembank.proof.template_algebra import STUCK, Names, alternatives, spelled, zero
from itembank.proof.template_answers import Answer, Nothing, Point, Reader, Roots, equal_when
from itembank.verdicts import Proved, Refuted, Undecided, Verdict

__all__ = ["InSymbols", "Line", "SymbolicClaim", "prove_part"]

_EVERYWHERE = "for all values of the parameters"


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the worked solution. kind: `main`, `aside`, `let` or `rejects`; node None where only words stand."""

    kind: str
    node: Node | None


@dataclass(frozen=True, slots=True)
class SymbolicClaim:
    """A claim about all items of a template at once.

    subject: `key`, `line` or `slip`, with `place` in the template's order (-1 for the key). claim: in words, as it
    should be; verdict: with the reason. except_when: of a slip that differs from the key, where it does not ("" for
    nowhere).
    """

    subject: str
    place: int
    claim: str
    verdict: Verdict
    except_when: str = ""


@dataclass(frozen=True, slots=True)
class InSymbols:
    """A part of a template with its parameters as symbols: what is asked, what answers it, what is to be looked at.

    key: None where there is no real solution. for_every: letters in which the problem holds whatever they are, of a
    formula those beside its subject. parameters: each with its values, () where they are not known. derived: in an
    order in which each stands on earlier names. main_letter: the letter of `discriminant` where its argument has
    several. has_domain: only some of the problem's solutions are asked for.
    """

    problem: Node
    key: Node | None
    slips: Sequence[Node]
    lines: Sequence[Line]
    unknowns: Sequence[str]
    for_every: Sequence[str]
    parameters: Mapping[str, Sequence[Fraction]]
    derived: Mapping[str, Node]
    main_letter: str = ""
    has_domain: bool = False


def prove_part(asked: InSymbols) -> tuple[SymbolicClaim, ...]:
    """The claims of one part of a template: the key, each line that shows mathematics, each slip.

    >>> from itembank.expressions.parser import parse
    >>> claims = prove_part(InSymbols(
    ...     parse("x^2 - 2*h*x + c = 0"), parse("x = h ± sqrt(k)"), [parse("x = -h ± sqrt(k)")], [], ["x"], [],
    ...     {"h": (), "k": ()}, {"c": parse("h^2 - k")}))
    >>> claims[0].verdict.witness
    'for all values of the parameters, both come to x^2 - 2*h*x + h^2 - k = 0'
    >>> claims[1].except_when
    'h = 0'
    """
    problem, key, lines = asked.problem, asked.key, asked.lines
    shown = [
        problem,
        *([key] if key else []),
        *asked.slips,
        *(line.node for line in lines if line.node is not None),
    ]
    given = {*asked.parameters, *asked.derived, "none"}
    letters = {name for node in shown for name in tree.names(node)} - given
    own = sorted(letters | {*asked.unknowns, *asked.for_every})
    reader = Reader(
        Names(asked.parameters, asked.derived, own, asked.main_letter), asked.unknowns, asked.for_every
    )
    part = _Part(reader, problem, key or tree.Name("none"), asked.has_domain)
    claims = [
        SymbolicClaim(
            "key", -1, "the key answers the problem whatever the parameters are", part.key_verdict()
        )
    ]
    for index, line in enumerate(lines):
        if line.node is not None:
            verdict = part.line_verdict(line.kind, line.node)
            if not isinstance(verdict, Proved) and line.kind == "main":
                later = any(after.kind == "rejects" for after in lines[index + 1 :])
                lets = [each.node for each in lines[:index] if each.kind == "let" and each.node is not None]
                hidden = part.hidden_verdict(problem, line.node, lets, later)
                verdict = hidden or part.named_verdict(problem, line.node, lets, later) or verdict
            claims.append(SymbolicClaim("line", index, "the line says the same as the problem", verdict))
    return (*claims, *(part.slip(index, node) for index, node in enumerate(asked.slips)))


class _Part:
    def __init__(self, reader: Reader, problem: Node, key: Node, has_domain: bool) -> None:
        self.reader = reader
        self.has_domain = has_domain
        self.problem = self._tried(problem)
        self.key = self._tried(key)

    def _tried(self, node: Node) -> Answer | str:
        """What a tree says, or why that cannot be told."""
        try:
            return self.reader.read(node)
        except STUCK as stuck:
            return str(stuck)

    def key_verdict(self) -> Verdict:
        """Whether the key answers the problem for all values of the parameters."""
        if isinstance(self.key, Point) and len(self.key.values) < len(self.reader.unknowns):
            return _left("it does not name every unknown")
        return self._compared(self.key)

    def _compared(self, found: Answer | str) -> Verdict:
        """Whether something says the same as the problem for all values of the parameters."""
        problem = self.problem
        if isinstance(problem, str) or isinstance(found, str):
            return _left(problem if isinstance(problem, str) else str(found))
        if isinstance(problem, Point) and isinstance(found, Point):
            if not found.values.keys() <= problem.values.keys():
                return _left("the problem does not name every unknown")
            problem = Point({name: problem.values[name] for name in found.values}, problem.besides)
        if isinstance(found, Nothing):
            return self._nothing(problem)
        try:
            condition = equal_when(self.reader.names, problem, found)
        except STUCK as stuck:
            return _left(str(stuck))
        if condition.always:
            return Proved(f"{_EVERYWHERE}, both come to {problem}")
        if self.has_domain:
            return _left("some of the solutions may lie outside the domain")
        if not condition.cases:
            return Refuted(f"they differ {_EVERYWHERE}: {found} is not {problem}")
        return _left(f"with symbols it can be told for {condition} only")

    def _nothing(self, problem: Answer) -> Verdict:
        """Whether there is no real solution."""
        if isinstance(problem, Nothing):
            return Proved("both have no real solution")
        if not isinstance(problem, Roots) or problem.degree != 2 or self.has_domain:
            return _left("that there is no real solution is not told by a discriminant")
        _, b, c = problem.coefficients
        discriminant = sympy.factor_terms(sympy.expand(b**2 - 4 * c))
        told = f"the discriminant of {problem} is {spelled(discriminant)}"
        if discriminant.is_negative:
            return Proved(f"{_EVERYWHERE}, {told}, which is negative")
        if discriminant.is_nonnegative:
            return Refuted(f"{told}, which is never negative")
        return _left(told)

    def line_verdict(self, kind: str, node: Node) -> Verdict:
        """Whether a line of the solution says the same as the problem, or side working is true."""
        names, unknowns = self.reader.names, self.reader.unknowns
        shown = set(tree.names(node))
        known = {*names.values, *names.derived, *unknowns, *self.reader.for_every, names.main_letter, "none"}
        if unknowns and not shown <= known:
            return _left("a letter stands in it that the problem does not have")
        if kind in {"main", "aside"} and tree.is_statement(node) and not shown & set(unknowns):
            return self._identity(node)
        if kind != "main":
            return _left("it does not say the same as the problem, and need not")
        return self._compared(self._tried(node))

    def hidden_verdict(
        self, problem: Node, node: Node, lets: Sequence[Node], rejected_later: bool
    ) -> Verdict | None:
        """Whether a line in a letter for what hides the unknown, or one with false roots, follows; None where not."""
        if len(self.reader.unknowns) != 1 or self.reader.for_every:
            return None
        try:
            true, every, shown = self.reader.with_false_roots(problem, node, lets)
        except STUCK:
            return None
        if self._same(true, shown):
            return Proved(f"{_EVERYWHERE}, both come to {true}")
        if rejected_later and self._same(every, shown):
            return Proved(
                f"{_EVERYWHERE}, both come to {every}, false roots that are given up below among them"
            )
        return None

    def named_verdict(
        self, problem: Node, node: Node, lets: Sequence[Node], rejected_later: bool
    ) -> Verdict | None:
        """Whether a line in letters for polynomials, such as u = x^2, follows; None where not.

        Values of such a letter that no real unknown leads to are solutions of the problem that are not real.
        """
        named: dict[str, Node] = {}
        for let in lets:
            match let:
                case tree.Relation((tree.Name(letter), meant), ("=",)):
                    named[letter] = tree.substitute(meant, named)
                case _:
                    continue
        if not named.keys() & set(tree.names(node)) or len(self.reader.unknowns) != 1:
            return None
        try:
            shown = self.reader.with_values_not_real(tree.substitute(node, named))
            if not isinstance(self.problem, str) and self._same(self.problem, shown):
                return Proved(f"{_EVERYWHERE}, both come to {self.problem}")
            every = self.reader.with_values_not_real(problem)
        except STUCK:
            return None
        if rejected_later and self._same(every, shown):
            return Proved(f"{_EVERYWHERE}, both come to {every}, with values that are given up below")
        return None

    def _same(self, first: Answer | None, second: Answer) -> bool:
        try:
            return isinstance(first, Roots) and equal_when(self.reader.names, first, second).always
        except STUCK:
            return False

    def _identity(self, node: Node) -> Verdict:
        """A line without an unknown is true for all values of its letters."""
        try:
            for alternative in alternatives(self.reader.names, node):
                if all(zero(each) for each in alternative):
                    return Proved(f"{_EVERYWHERE}, both sides are equal")
        except STUCK as stuck:
            return _left(str(stuck))
        return _left("with symbols the two sides differ")

    def slip(self, index: int, node: Node) -> SymbolicClaim:
        """Where a slip's value is the key's."""
        claim = "the slip's value differs from the key's"
        try:
            if isinstance(self.key, str):
                raise CannotTell(self.key)
            condition = equal_when(self.reader.names, self.key, self.reader.read(node))
        except STUCK as stuck:
            return SymbolicClaim("slip", index, claim, _left(str(stuck)))
        if condition.always:
            return SymbolicClaim("slip", index, claim, Refuted(f"it is the key {_EVERYWHERE}"))
        told = (
            f"where it has a value, it is the key exactly when {condition}"
            if condition.cases
            else "it is never the key"
        )
        if condition.dismissed:
            told += f"; no values of the parameters reach {', nor '.join(condition.dismissed)}"
        return SymbolicClaim("slip", index, claim, Proved(told), str(condition))


def _left(reason: str) -> Undecided:
    return Undecided(f"{reason}; proved item by item")
