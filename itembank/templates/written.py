"""An answer in writing: the marks at the lines of the worked solution are the scheme it is marked by."""

from __future__ import annotations

from itembank.errors import Span
from itembank.templates.context import PartContext
from itembank.templates.marks import read_marks
from itembank.templates.template import ResponseTemplate, WrittenTemplate

LINES_PER_MARK = 3
"""Room for each mark unless the template says how much. Source: common practice, no source."""


def read_written(context: PartContext, span: Span) -> ResponseTemplate | None:
    """The response; None where there is nothing to mark it by."""
    shape = context.shape
    in_lines = sum(mark.worth for line in shape.solution for mark in read_marks(line.marks))
    if not in_lines:
        context.scope.findings.add(
            "no-mark-scheme",
            "an answer in writing is marked by the marks at the lines of the solution, and there are none",
            span,
            hint="give lines of `solution:` their marks: marks: M1",
        )
        return None
    marks = shape.response.marks or in_lines
    lines = shape.response.lines or LINES_PER_MARK * marks
    return ResponseTemplate("written", 0, (), (), marks, False, "", span, WrittenTemplate(lines))
