"""Working with one slip in it: at which line the slip is made, and what changes from there on."""

from __future__ import annotations

from itembank.errors import Span
from itembank.expressions import tree
from itembank.templates.context import PartContext
from itembank.templates.reading import at, key_span
from itembank.templates.template import Expression, LineTemplate, ResponseTemplate

FEWEST_LINES = 2


class WrongLineReader:
    """Reads a response that asks for the line that does not follow."""

    def __init__(self, context: PartContext) -> None:
        self.context = context
        self.findings = context.scope.findings

    def response(self, span: Span) -> ResponseTemplate | None:
        """The response; None where the part has no lines to show or no slip to put into them."""
        shape = self.context.shape
        if len(shape.solution) < FEWEST_LINES:
            self.findings.add(
                "too-few-lines",
                f"the lines shown are those of the worked solution, and here are {len(shape.solution)}",
                span,
                hint=f"write at least {FEWEST_LINES} lines under `solution:`",
            )
            return None
        if not shape.slips:
            self.findings.add(
                "too-few-slips",
                "a wrong line needs a slip",
                span,
                hint="add one: slips: [{slip: ..., at: 2, change: {h: -h}}]",
            )
            return None
        self.context.refuse_conditional_lines()
        for index, line in enumerate(shape.solution):
            if line.math is None or line.math.strip() == "none":
                self.findings.add(
                    "line-not-shown",
                    "every line of this solution is shown to the pupil and needs `math:` with a statement",
                    at(self.context.scope.root, (*self.context.path, "solution", index)).span,
                    hint="put what is said into the line above or below"
                    if line.let is None
                    else "no new letter can be named where pupils see the lines: write them in the unknown itself",
                )
        return ResponseTemplate("wrong-line", 0, (), (), shape.response.marks or 1, False, "", span)


def read_change(
    context: PartContext, solution: tuple[LineTemplate, ...], index: int, span: Span
) -> tuple[Expression, tuple[tuple[str, Expression], ...]] | None:
    """The line at which a slip is made, and name -> what it becomes; None where something is wrong, which is told."""
    scope, findings, shape = context.scope, context.scope.findings, context.shape.slips[index]
    path = (*context.path, "slips", index)
    if shape.value is not None:
        findings.add(
            "key-of-other-kind",
            "a wrong line has no `value`: it is a line of the solution with something changed",
            key_span(scope.root, (*path, "value")),
            hint="write at: 2, change: {h: -h}",
        )
        return None
    if shape.at is None or not (shape.change or shape.turned):
        findings.add(
            "missing-key",
            f"`{'at' if shape.at is None else 'change'}` is missing",
            span,
            hint="write at: 2, change: {h: -h}, or turned: yes for the sign of an inequality",
        )
        return None
    lines = len(context.shape.solution)
    if shape.at > lines:
        findings.add(
            "no-such-line",
            f"the solution has {lines} lines",
            at(scope.root, (*path, "at")).span,
            hint="count the lines from 1",
        )
        return None
    changed: list[tuple[str, Expression]] = []
    for name in shape.change or ():
        if name not in context.names.numeric:
            findings.add(
                "unknown-name",
                f"`{name}` is no parameter and no derived value, so it has no value to change",
                key_span(scope.root, (*path, "change", name)),
                hint=f"those of this template: {', '.join(sorted(context.names.numeric)) or 'none'}",
            )
            continue
        becomes = scope.expression_at((*path, "change", name), context.names)
        if becomes is not None and _is_number(context, becomes):
            changed.append((name, becomes))
    line = solution[shape.at - 1] if len(solution) == lines else None
    if len(changed) < len(shape.change or ()) or line is None or line.maths is None:
        return None
    return line.maths, tuple(changed)


def _is_number(context: PartContext, becomes: Expression) -> bool:
    node = becomes.node
    if (
        tree.is_statement(node)
        or tree.has_plus_minus(node)
        or not set(tree.names(node)) <= set(context.names.numeric)
    ):
        context.scope.findings.add(
            "number-needed",
            "what a value becomes is one number",
            becomes.span(),
            hint="leave out =, ±, unknowns and letters",
        )
        return False
    return True
