"""Points as an answer: two blanks for the coordinates of each, points in any order."""

from __future__ import annotations

from typing import Final

from itembank.errors import Span
from itembank.templates.context import PartContext
from itembank.templates.marks import read_marks
from itembank.templates.reading import key_span
from itembank.templates.template import BlankTemplate, ResponseTemplate

FORMS: Final = ("integer", "fraction", "surd")
"""The forms that a coordinate can have."""


class PointsReader:
    """Reads what is asked of an entry of points besides its blanks."""

    def __init__(self, context: PartContext) -> None:
        self.context = context
        self.findings = context.scope.findings

    def response(self, kind: str, blanks: tuple[BlankTemplate, ...], span: Span) -> ResponseTemplate | None:
        """The response; None where it is wrong. kind: the problem's shape."""
        shape = self.context.shape.response
        count = len(self.findings.diagnostics)
        if kind != "solve" or len(self.context.unknowns) != 2:
            self.context.tell(
                "points-need-two-unknowns",
                "points are solutions in two unknowns",
                "points",
                hint="give the problem two unknowns, and leave `for_every` out",
            )
        for blank in blanks:
            self._blank(blank)
        if len(self.findings.diagnostics) > count:
            return None
        in_lines = sum(m.worth for line in self.context.shape.solution for m in read_marks(line.marks))
        return ResponseTemplate(
            "entry",
            0,
            (),
            tuple(sorted(blanks, key=lambda blank: self.context.unknowns.index(blank.unknown))),
            shape.marks or in_lines or 1,
            shape.no_real_solution == "tick",
            "",
            span,
            points=True,
            shared=shape.credit == "each",
        )

    def _blank(self, blank: BlankTemplate) -> None:
        if blank.words or blank.form not in FORMS:
            self._tell(
                blank, "form", "not-a-coordinate", f"a coordinate has one of the forms {', '.join(FORMS)}",
                "form: integer",
            )  # fmt: skip
        if blank.any_order:
            self._tell(
                blank, "values", "misplaced-key", "the points stand in any order, their coordinates do not",
                "take it out",
            )  # fmt: skip
        if blank.marks:
            self._tell(
                blank, "marks", "misplaced-key", "a point is marked as a whole",
                "say at the response what all points are worth, and `credit: each` for a share for each",
            )  # fmt: skip
        if blank.unit:
            self._tell(blank, "unit", "misplaced-key", "a coordinate has no unit", "take it out")

    def _tell(self, blank: BlankTemplate, key: str, code: str, message: str, hint: str) -> None:
        here = (*self.context.path, "response", "blanks", blank.unknown, key)
        self.findings.add(code, message, key_span(self.context.scope.root, here), hint=hint)
