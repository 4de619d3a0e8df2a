"""Things to be put into order: numbers, or the lines of the worked solution."""

from __future__ import annotations

from itembank.errors import Span
from itembank.expressions import tree
from itembank.items import shares_evenly
from itembank.templates.context import MOST_OPTIONS, PartContext
from itembank.templates.reading import at
from itembank.templates.template import Expression, OrderTemplate, ResponseTemplate

FEWEST_THINGS = 3


class OrderReader:
    """Reads a response that asks for an order."""

    def __init__(self, context: PartContext) -> None:
        self.context = context
        self.findings = context.scope.findings
        self.shape = context.shape.response

    def response(self, kind: str, span: Span) -> ResponseTemplate | None:
        """The response; None where it is wrong. kind: the problem's shape."""
        shape = self.shape
        values: list[Expression] = []
        by: str = shape.by or "ascending"
        if shape.values is not None:
            values = [each for i in range(len(shape.values)) if (each := self._value(i)) is not None]
            things, place = len(shape.values), "values"
        else:
            if shape.by is not None:
                hint = "give the numbers: values: [...], or take `by` out"
                self.context.tell(
                    "by-without-values", "the lines of a solution have one order", "by", hint=hint
                )
            things, by, place = self._lines(kind, span), "lines", "kind"
        if things < FEWEST_THINGS or things > MOST_OPTIONS:
            few = things < FEWEST_THINGS
            self.context.tell(
                "too-few-things" if few else "too-many-things",
                f"here are {things} things, and an order needs {FEWEST_THINGS if few else 'at most 26'}",
                place,
                hint="name more, or ask in another way" if few else "take some out",
            )
            return None
        shared = shape.credit == "each"
        marks = shape.marks or 1
        if shared and not shares_evenly(marks, things):
            self.context.tell(
                "marks-do-not-share",
                f"{marks} marks cannot be shared over {things} places in quarters of a mark",
                "credit",
                hint=f"give {things} marks, or say `credit: all`",
            )
        if shape.values is not None and len(values) < things:
            return None
        more = OrderTemplate(tuple(values), by, shared)
        return ResponseTemplate("order", 0, (), (), marks, False, "", span, more)

    def _lines(self, kind: str, span: Span) -> int:
        """How many lines are put into order; what cannot be is told."""
        if kind != "solve" or len(self.context.unknowns) != 1:
            self.findings.add(
                "steps-need-one-unknown",
                "only the lines of an equation in one unknown have an order that can be proved",
                span,
                hint="put numbers into order: values: [...]",
            )
        self.context.refuse_conditional_lines()
        for index, line in enumerate(self.context.shape.solution):
            if line.math is None or line.math.strip() == "none":
                self.findings.add(
                    "line-not-shown",
                    "every line of this solution is shown to the pupil and needs `math:` with a statement",
                    at(self.context.scope.root, (*self.context.path, "solution", index)).span,
                    hint="put what is said into the line above or below"
                    if line.let is None
                    else "no new letter can be named where pupils see the lines: write them in the unknown itself",
                )
        return len(self.context.shape.solution)

    def _value(self, index: int) -> Expression | None:
        path = (*self.context.path, "response", "values", index)
        written = self.context.scope.expression_at(path, self.context.names)
        if written is None:
            return None
        node = written.node
        if (
            tree.is_statement(node)
            or tree.has_plus_minus(node)
            or not set(tree.names(node)) <= set(self.context.names.numeric)
        ):
            self.findings.add(
                "number-needed",
                "what is put into order by size is one number",
                written.span(),
                hint="leave out =, ±, unknowns and letters",
            )
            return None
        return written
