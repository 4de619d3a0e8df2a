"""Rows to be matched with their targets: a problem with its key for each, or with a row of words."""

from __future__ import annotations

from itembank.errors import Span
from itembank.expressions import tree
from itembank.items import shares_evenly
from itembank.templates.conditions import check_relations
from itembank.templates.context import MOST_OPTIONS, PartContext
from itembank.templates.reading import at, key_span
from itembank.templates.template import Expression, MatchTemplate, ResponseTemplate, WordRow

FEWEST_ROWS = 2


class MatchReader:
    """Reads a response that asks what belongs together."""

    def __init__(self, context: PartContext) -> None:
        self.context = context
        self.scope = context.scope
        self.findings = context.scope.findings
        self.shape = context.shape.response

    def response(self, kind: str, words: tuple[WordRow, ...], span: Span) -> ResponseTemplate | None:
        """The response; None where it is wrong. kind: the problem's shape."""
        shape = self.shape
        if not shape.rows:
            self.findings.add(
                "missing-key",
                "`rows` is missing",
                span,
                hint="the part's problem and key are the first row; add others: rows: [{problem: ..., key: ...}]",
            )
            return None
        rows = [self._row(kind, index) for index in range(len(shape.rows))]
        number = len(rows) + 1
        options = self._targets(number, shape.words is not None)
        shared = shape.credit != "all"
        marks = shape.marks or (number if shared else 1)
        if shared and not shares_evenly(marks, number):
            self.context.tell(
                "marks-do-not-share",
                f"{marks} marks cannot be shared over {number} rows in quarters of a mark",
                "marks",
                hint=f"give {number} marks, or say `credit: all`",
            )
        kept = tuple(row for row in rows if row is not None)
        if len(kept) < len(rows):
            return None
        more = MatchTemplate(kept, shared)
        return ResponseTemplate("match", options, words, (), marks, False, "", span, more)

    def _targets(self, rows: int, by_words: bool) -> int:
        """How many targets there are, those of slips included."""
        shape = self.shape
        if by_words:
            assert shape.words is not None
            if shape.options not in {None, len(shape.words)}:
                self.context.tell(
                    "options-and-words",
                    f"{shape.options} options, but {len(shape.words)} rows of words",
                    "options",
                    hint="take `options` out: every row of words is a target",
                )
            if len(self.context.unknowns) != 1:
                self.context.tell(
                    "words-need-one-unknown",
                    "words tell the value of one unknown",
                    "words",
                    hint="give the problem one unknown: D = discriminant(...)",
                )
            if len(shape.words) < FEWEST_ROWS:
                self.context.tell("too-few-options", "there are at least 2 targets", "words")
            if self.context.shape.slips:
                self.context.scope.findings.add(
                    "slips-not-used",
                    "nothing becomes of slips where rows are matched with words",
                    key_span(self.context.scope.root, (*self.context.path, "slips")),
                    hint="take `slips` out: every row of words is a target already",
                )
            return len(shape.words)
        options = rows if shape.options is None else shape.options
        slips = len(self.context.shape.slips)
        if options < rows or options > MOST_OPTIONS:
            few = options < rows
            self.context.tell(
                "too-few-options" if few else "too-many-options",
                f"{rows} rows need {rows} targets" if few else f"there are at most {MOST_OPTIONS} targets",
                "options",
            )
        elif slips < options - rows:
            self.context.tell(
                "too-few-slips",
                f"{options - rows} more targets than rows need as many slips, not {slips}",
                "options",
                hint="add slips, or ask for fewer options",
            )
        return options

    def _row(self, kind: str, index: int) -> tuple[Expression, Expression] | None:
        path = (*self.context.path, "response", "rows", index)
        found = [self.scope.expression_at((*path, key), self.context.names) for key in ("problem", "key")]
        wrong = False
        for expression in found:
            if expression is None:
                wrong = True
            elif kind == "rewrite" and tree.is_statement(expression.node):
                self.findings.add(
                    "expression-needed", "the rows are expressions, as the problem is", expression.span()
                )
                wrong = True
            elif kind != "rewrite" and not tree.is_statement(expression.node):
                self.findings.add(
                    "statement-needed",
                    "the rows are statements, as the problem is",
                    expression.span(),
                    hint="write it with =",
                )
                wrong = True
            else:
                claim = "a row is of the kind of the problem"
                wrong |= not check_relations(expression, claim, self.findings, self.context.signs)
        problem, key = found
        if problem is None or key is None or wrong:
            return None
        for unknown in self.context.unknowns:
            if unknown not in tree.names(problem.node):
                self.findings.add(
                    "unknown-not-in-problem",
                    f"the row does not speak of `{unknown}`",
                    at(self.scope.root, (*path, "problem")).span,
                    hint="every row asks for the same unknowns",
                )
        return problem, key
