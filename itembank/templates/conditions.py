"""What a condition may say: something true or false about numbers, and about polynomials where a property asks.

A letter without a value stands in the polynomial of a property or a discriminant only; anywhere else a condition
or a derived value that names one could never be worked out.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from itembank.expressions import tree
from itembank.expressions.statement_checks import says_something
from itembank.expressions.vocabulary import POLYNOMIAL_PROPERTIES, PROPERTY_NAMES
from itembank.templates.reading import Findings
from itembank.templates.template import Expression

_HINT = "write a relation (b != 0) or a property (is_square(k))"


def check_condition(
    written: Expression, problem: tree.Node | None, valued: Collection[str], findings: Findings
) -> bool:
    """Whether a condition can be decided; what is wrong is told at its place.

    written: as the author wrote it; problem: what the name `problem` stands for; valued: the names with a value.
    """
    node = written.node
    if not says_something(node):
        findings.add(
            "statement-needed", "this is a number, not something true or false", written.span(), hint=_HINT
        )
        return False
    if tree.has_plus_minus(node):
        findings.add(
            "plus-minus-in-condition",
            "± has two values, so this is neither true nor false",
            written.span(),
            hint="write abs(b) = 2, or b = 2 or b = -2",
        )
        return False
    faults = [
        *_misplaced(node, problem, valued, written, findings),
        *(
            fault
            for part in tree.walk(node)
            if isinstance(part, tree.Call) and part.function in PROPERTY_NAMES
            for fault in _arguments(part, problem, valued, written, findings)
        ),
    ]
    return not faults


def check_value(written: Expression, valued: Collection[str], findings: Findings) -> bool:
    """Whether an expression has a value for every assignment's numbers, as far as its letters tell."""
    return not [*_misplaced(written.node, None, valued, written, findings)]


EQUATIONS, INEQUALITIES = frozenset({"="}), frozenset({"=", "!=", "<", "<=", ">", ">="})
"""The signs of problems in several unknowns or for every value of a letter, and of those in one unknown."""


def check_relations(
    written: Expression, claim: str, findings: Findings, allowed: frozenset[str] = EQUATIONS
) -> bool:
    """Whether all relations of a statement have signs that are allowed here; others are told."""
    others = [
        part
        for part in tree.walk(written.raw or written.node)
        if isinstance(part, tree.Relation) and not allowed.issuperset(part.operators)
    ]
    for part in others:
        hint = "write it with =" if allowed == EQUATIONS else "write an exact relation"
        findings.add("not-an-equation", claim, written.span(part), hint=hint)
    return not others


def _misplaced(
    node: tree.Node,
    problem: tree.Node | None,
    valued: Collection[str],
    written: Expression,
    findings: Findings,
) -> Iterator[tree.Node]:
    """Letters without a value outside a polynomial."""
    match node:
        case tree.Call(function) if function == "discriminant" or function in PROPERTY_NAMES:
            return
        case tree.Name(name) if name not in valued and not (name == "problem" and not _free(problem, valued)):
            findings.add(
                "letter-without-value",
                f"`{name}` has no value here: it is a letter",
                written.span(node),
                hint="use parameters and derived values; a letter may stand in discriminant(...) or a property",
                cause=name,
            )
            yield node
        case _:
            for part in tree.children(node):
                yield from _misplaced(part, problem, valued, written, findings)


def _arguments(
    call: tree.Call,
    problem: tree.Node | None,
    valued: Collection[str],
    written: Expression,
    findings: Findings,
) -> Iterator[tree.Node]:
    """Arguments of a property that are of another kind than it speaks of."""
    wants_polynomial = call.function in POLYNOMIAL_PROPERTIES
    for argument in call.arguments:
        meant = problem if argument == tree.Name("problem") and problem is not None else argument
        is_polynomial = bool(_free(meant, valued)) or tree.is_statement(meant)
        if wants_polynomial and not _free(meant, valued):
            findings.add(
                "polynomial-needed",
                f"`{call.function}` speaks of a polynomial or an equation, and here stands a number",
                written.span(argument),
                hint=f"write {call.function}(problem), or a polynomial such as x^2 + b*x + c",
            )
            yield argument
        elif not wants_polynomial and is_polynomial:
            findings.add(
                "value-needed",
                f"`{call.function}` speaks of numbers, and here stands something with a letter",
                written.span(argument),
                hint=f"write it of a parameter or a derived value: {call.function}(k)",
            )
            yield argument


def _free(node: tree.Node | None, valued: Collection[str]) -> set[str]:
    """The letters of a tree that have no value, those bound by a discriminant left out."""
    match node:
        case None:
            return set()
        case tree.Name(name):
            return set() if name in valued else {name}
        case tree.Call("discriminant", (argument,)):
            return _free_after_discriminant(argument, valued)
        case _:
            return {name for part in tree.children(node) for name in _free(part, valued)}


def _free_after_discriminant(node: tree.Node, valued: Collection[str]) -> set[str]:
    """A discriminant is taken in one letter; the others stay."""
    free = sorted(_free(node, valued))
    return set(free[1:])
