"""Guarantees: statements about the item's values and its displayed problem, proved with the claims' own code."""

from __future__ import annotations

from fractions import Fraction

from itembank.errors import DomainError
from itembank.expressions import exact, spelling, tree
from itembank.expressions.numbers import Exact, Surd
from itembank.expressions.plain import plain
from itembank.expressions.polynomials import Polynomial, quadratic_coefficients
from itembank.expressions.tree import Node
from itembank.items import Item, Part
from itembank.proof import claims, meaning
from itembank.proof.quick import quick_coefficients
from itembank.proof.solver import CannotDecide
from itembank.properties.catalogue import PROPERTIES
from itembank.verdicts import Proved, Refuted, Undecided, Verdict


def prove_claim(node: Node, item: Item) -> Verdict:
    """Whether a guarantee holds for an item; `problem` in it is the displayed problem of the first part."""
    return _Claim(item, item.parts[0], {}).verdict(node)


_ROWS: dict[tuple[int, tuple[Exact, ...]], tuple[Node, bool | None]] = {}
"""Rows that speak of the unknowns alone, looked at once for each value; the node is kept, so its id stays."""


def row_holds(node: Node, item: Item, part: Part, answer: dict[str, Exact]) -> bool | None:
    """Whether a row's condition holds for given values of the unknowns; None where it cannot be told."""
    mark = (id(node), tuple(answer.values()))
    kept = _ROWS.get(mark)
    if kept is not None:
        return kept[1]
    holds = _row_holds(node, item, part, answer)
    if set(tree.names(node)) <= set(answer) and len(_ROWS) < 100_000:
        _ROWS[mark] = (node, holds)
    return holds


def _row_holds(node: Node, item: Item, part: Part, answer: dict[str, Exact]) -> bool | None:
    match node:
        case tree.And(parts):
            found = [_row_holds(part_node, item, part, answer) for part_node in parts]
            return None if None in found else all(found)
        case tree.Relation((tree.Name(name), tree.Number(value)), (sign,)) if isinstance(
            answer.get(name), int | Fraction
        ):
            return _compared(answer[name], sign, value)
    match _Claim(item, part, answer).verdict(node):
        case Proved():
            return True
        case Refuted():
            return False
        case _:
            return None


def _compared(first: Exact, sign: str, second: Fraction) -> bool:
    assert isinstance(first, int | Fraction)
    order = (first > second) - (first < second)
    return {
        "=": order == 0,
        "!=": order != 0,
        "<": order < 0,
        "<=": order <= 0,
        ">": order > 0,
        ">=": order >= 0,
    }[sign]


def with_displayed(node: Node, part: Part) -> Node:
    """The tree with what a part's problem displays put in where it says `problem`."""
    if "problem" not in tree.names(node):
        return node
    from itembank.expressions.parser import parse  # a build of templates that say no such thing goes without

    return tree.substitute(node, {"problem": parse(spelling.plain(part.problem.statement))})


class _Claim:
    def __init__(self, item: Item, part: Part, answer: dict[str, Exact]) -> None:
        self.part = part
        self.main_letter = part.problem.main_letter
        self.values: dict[str, Exact] = {n: v for n, v in item.values.items() if not isinstance(v, str)}
        self.values.update(answer)

    def _whole(self, node: Node) -> Node:
        """The node with what the problem displays where it is named."""
        return with_displayed(node, self.part)

    def verdict(self, node: Node) -> Verdict:
        try:
            return self._verdict(node)
        except (DomainError, CannotDecide) as stuck:
            return Undecided(str(stuck))

    def _verdict(self, node: Node) -> Verdict:
        match node:
            case tree.And(parts):
                return self._all([self._verdict(part) for part in parts])
            case tree.Or(parts):
                return self._any(parts)
            case tree.Not(part):
                return _opposite(self._verdict(part))
            case tree.Call(name, arguments) if name in PROPERTIES:
                return self._property(name, arguments)
            case tree.Relation():
                holds = exact.truth(self._whole(node), self.values, self._never, self.main_letter)
                shown = self._relation_in_numbers(node)
                return Proved(shown) if holds else Refuted(f"not so: {shown}")
            case _:
                return Undecided("not a statement")

    @staticmethod
    def _all(verdicts: list[Verdict]) -> Verdict:
        for kind in (Refuted, Undecided):
            for verdict in verdicts:
                if isinstance(verdict, kind):
                    return verdict
        return Proved("; ".join(verdict.witness for verdict in verdicts if isinstance(verdict, Proved)))

    def _any(self, parts: tuple[Node, ...]) -> Verdict:
        verdict: Verdict = Undecided("no alternative")
        undecided: Verdict | None = None
        for part in parts:
            verdict = self._verdict(part)
            if isinstance(verdict, Proved):
                return verdict
            if isinstance(verdict, Undecided):
                undecided = verdict
        return undecided or verdict

    @staticmethod
    def _never(name: str, arguments: tuple[Polynomial, ...]) -> bool:
        raise DomainError(f"{name} inside a relation")

    def _relation_in_numbers(self, node: tree.Relation) -> str:
        values = [
            plain_number(exact.number(self._whole(operand), self.values, self.main_letter))
            for operand in node.operands
        ]
        shown = values[0]
        for sign, value in zip(node.operators, values[1:], strict=True):
            shown += f" {sign} {value}"
        return f"{plain(node)}: {shown}"

    def _property(self, name: str, arguments: tuple[Node, ...]) -> Verdict:
        takes = PROPERTIES[name].takes
        if takes == "polynomial":
            a, b, c, letter = self._coefficients(arguments[0])
            return claims.prove(name, a, b, c, letter=letter)
        return claims.prove(name, *(self._rational(argument) for argument in arguments))

    def _rational(self, node: Node) -> int | Fraction:
        if isinstance(node, tree.Name) and node.name in self.values:
            value = self.values[node.name]
        elif isinstance(node, tree.Name) and node.name == "problem":
            value = meaning.value(self.part.problem.statement).constant()
        else:
            value = exact.number(self._whole(node), self.values, self.main_letter)
        if isinstance(value, Surd):
            raise DomainError("a surd stands where a rational number is needed")
        return value

    def _coefficients(self, node: Node) -> tuple[int | Fraction, int | Fraction, int | Fraction, str]:
        if isinstance(node, tree.Name) and node.name == "problem":
            quick = self._quickly()
            if quick is not None:
                return quick
            polynomial = self._problem()
        else:
            whole = self._whole(node)
            left = whole.operands if isinstance(whole, tree.Relation) else (whole,)
            parts = [exact.polynomial(operand, self.values, self.main_letter) for operand in left]
            polynomial = parts[0]
            if len(parts) == 2:
                from itembank.expressions.polynomials import subtract

                polynomial = subtract(*parts)
        letter = (polynomial.letters or (self.main_letter or "x",))[0]
        if len(polynomial.letters) > 1:
            letter = self.main_letter or letter
        found: list[int | Fraction] = []
        for part in quadratic_coefficients(polynomial, letter):
            value = part.constant()
            if isinstance(value, Surd):
                raise DomainError("a surd among the coefficients")
            found.append(value)
        return found[0], found[1], found[2], letter

    def _quickly(self) -> tuple[int | Fraction, int | Fraction, int | Fraction, str] | None:
        """The coefficients of the displayed problem by compiled code, where its shape allows."""
        statement = self.part.problem.statement
        named = meaning.looks(statement.shape).letters
        if len(named) != 1:
            return None
        (letter,) = named
        reader = quick_coefficients(statement.shape, letter)
        found = reader(statement.numbers) if reader is not None else None
        if not found:
            return None
        a, b, c, d = found
        return (a, b, c, letter) if d == 1 else (Fraction(a, d), Fraction(b, d), Fraction(c, d), letter)

    def _problem(self) -> Polynomial:
        statement = self.part.problem.statement
        if not meaning.is_statement(statement.shape.display):
            return meaning.value(statement)
        alternatives = meaning.systems(statement, self.part.problem.main_letter)
        if len(alternatives) != 1 or len(alternatives[0].zero) != 1 or alternatives[0].not_zero:
            raise DomainError("the problem is not a single equation without letters in denominators")
        return alternatives[0].zero[0]


def _opposite(verdict: Verdict) -> Verdict:
    match verdict:
        case Proved(witness):
            return Refuted(witness)
        case Refuted(counterexample):
            return Proved(counterexample)
        case _:
            return verdict


def plain_number(value: Exact) -> str:
    """A number in the language's own spelling.

    >>> plain_number(Fraction(-3, 2))
    '-3/2'
    """
    if not isinstance(value, Surd):
        return str(value)
    terms = [
        f"{coefficient}" if radicand == 1 else f"{coefficient}*sqrt({radicand})"
        for radicand, coefficient in value.terms
    ]
    return " + ".join(terms).replace("+ -", "- ")
