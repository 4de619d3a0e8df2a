"""Responses: what the pupil does, in which boxes or with which options, and what it is worth."""

from __future__ import annotations

from dataclasses import dataclass, replace

from itembank.errors import Span
from itembank.items import Mark
from itembank.templates import model
from itembank.templates.marks import read_marks
from itembank.templates.parameters import number
from itembank.templates.reading import at, key_span
from itembank.templates.scope import Names, Scope
from itembank.templates.slips import Catalogue
from itembank.templates.template import BlankTemplate, ResponseTemplate, WordRow


@dataclass(frozen=True, slots=True)
class PartContext:
    """What the readers of a part share: the file's scope, the part's shape and path, its unknowns and names."""

    scope: Scope
    catalogue: Catalogue
    shape: model.PartShape
    path: tuple[str | int, ...]
    unknowns: tuple[str, ...]
    names: Names


class ResponseReader:
    """Reads the response of a part."""

    def __init__(self, context: PartContext) -> None:
        self.scope = context.scope
        self.findings = context.scope.findings
        self.shape = context.shape
        self.path = context.path
        self.unknowns = context.unknowns
        self.names = context.names

    def response(self, kind: str) -> ResponseTemplate | None:
        """The response; None where it is wrong. kind: the problem's shape."""
        shape = self.shape.response
        path = (*self.path, "response")
        span = key_span(self.scope.root, path)
        words: list[WordRow] = []
        for index, _row in enumerate(shape.words or []):
            text = self.scope.text_at((*path, "words", index, "text"), self.names)
            when = self.scope.expression_at((*path, "words", index, "when"), self.names, conditions=True)
            if text is not None and when is not None:
                words.append(WordRow(text, when))
        if shape.kind == "choice":
            if shape.blanks:
                self.findings.add(
                    "blanks-in-choice",
                    "a choice has no blanks",
                    key_span(self.scope.root, (*path, "blanks")),
                    hint="kind: entry",
                )
            if not shape.words and shape.options is None:
                self.findings.add(
                    "missing-key", "`options` is missing", span, hint="say how many options: options: 4"
                )
                return None
            if shape.options is not None and shape.options < 2:
                self.findings.add(
                    "too-few-options",
                    "a choice has at least 2 options",
                    at(self.scope.root, (*path, "options")).span,
                )
            if shape.words and len(shape.words) < 2:
                self.findings.add(
                    "too-few-options",
                    "a choice has at least 2 options",
                    key_span(self.scope.root, (*path, "words")),
                )
            return ResponseTemplate(
                "choice",
                shape.options or len(words),
                tuple(words),
                (),
                shape.marks or 1,
                False,
                shape.form or "",
                span,
            )
        if shape.options is not None or shape.words:
            self.findings.add("options-in-entry", "an entry has no options", span, hint="kind: choice")
        return self._entry(kind, shape, path, span)

    def _entry(
        self, kind: str, shape: model.ResponseShape, path: tuple[str | int, ...], span: Span
    ) -> ResponseTemplate | None:
        if not shape.blanks:
            self.findings.add(
                "missing-key", "`blanks` is missing", span, hint="write blanks: {x: {form: integer}}"
            )
            return None
        wanted = self.unknowns if kind != "rewrite" else ("answer",)
        for name in shape.blanks:
            if name not in wanted:
                self.findings.add(
                    "unknown-blank",
                    f"`{name}` is no unknown",
                    key_span(self.scope.root, (*path, "blanks", name)),
                    hint=f"a blank for each of: {', '.join(wanted)}",
                )
        blanks: list[BlankTemplate] = []
        for name, blank in shape.blanks.items():
            here = (*path, "blanks", name)
            tolerance = None
            if blank.tolerance is not None:
                tolerance = number(blank.tolerance)
                if tolerance is None or tolerance < 0:
                    self.findings.add(
                        "not-a-number",
                        f"`{blank.tolerance}` is no tolerance",
                        at(self.scope.root, (*here, "tolerance")).span,
                        hint="write 0.01",
                    )
            if blank.form == "decimal" and blank.places is None:
                self.findings.add(
                    "missing-key",
                    "`places` is missing",
                    key_span(self.scope.root, here),
                    hint="say how many: places: 2",
                )
            if blank.form != "decimal" and (blank.places is not None or blank.tolerance is not None):
                self.findings.add(
                    "places-without-decimal",
                    "only a decimal has places and a tolerance",
                    key_span(self.scope.root, here),
                    hint="form: decimal",
                )
            blanks.append(
                BlankTemplate(
                    "" if name == "answer" else name,
                    blank.form,
                    blank.values == "any-order",
                    blank.places or 0,
                    tolerance,
                    read_marks(blank.marks),
                    blank.unit or "",
                    key_span(self.scope.root, here),
                )
            )
        total, shared = self._entry_marks(shape, blanks, span)
        if total is None:
            return None
        return ResponseTemplate("entry", 0, (), shared, total, shape.no_real_solution == "tick", "", span)

    def _entry_marks(
        self, shape: model.ResponseShape, blanks: list[BlankTemplate], span: Span
    ) -> tuple[int | None, tuple[BlankTemplate, ...]]:
        given = sum(mark.worth for blank in blanks for mark in blank.marks)
        in_lines = sum(mark.worth for line in self.shape.solution for mark in read_marks(line.marks))
        total = shape.marks or given or in_lines or len(blanks)
        bare = [blank for blank in blanks if not blank.marks]
        if bare:
            left = total - given
            if left < len(bare) or left % len(bare):
                self.findings.add(
                    "marks-do-not-sum",
                    f"{total} marks cannot be shared evenly over the blanks",
                    span,
                    hint="say for each blank what it is worth: marks: B1",
                )
                return None, ()
            blanks = [b if b.marks else replace(b, marks=(Mark("B", left // len(bare)),)) for b in blanks]
        elif given != total:
            self.findings.add(
                "marks-do-not-sum",
                f"the blanks are worth {given}, the response {total}",
                span,
                hint="make the marks of the blanks sum to the total",
            )
            return None, ()
        return total, tuple(blanks)
