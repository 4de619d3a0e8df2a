"""Responses: what the pupil does, in which boxes or with which options, and what it is worth."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from itembank.errors import Span
from itembank.expressions import tree
from itembank.expressions.display import places_needed
from itembank.items import Mark
from itembank.templates import model
from itembank.templates.choices import ChoicesReader
from itembank.templates.context import MOST_BOXES, MOST_OPTIONS, PartContext, stray_keys
from itembank.templates.marks import read_marks
from itembank.templates.matching import MatchReader
from itembank.templates.one_of import OneOfReader
from itembank.templates.ordering import OrderReader
from itembank.templates.parameters import number
from itembank.templates.points import PointsReader
from itembank.templates.reading import at, key_span
from itembank.templates.template import BlankTemplate, ChoicesTemplate, ResponseTemplate, WordRow
from itembank.templates.written import read_written
from itembank.templates.wrong_line import WrongLineReader


class ResponseReader:
    """Reads the response of a part."""

    def __init__(self, context: PartContext) -> None:
        self.context = context
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
        stray_keys(self.context)
        if shape.kind == "choices":
            return ChoicesReader(self.context).response(kind, tuple(words), span)
        if shape.kind == "wrong-line":
            return WrongLineReader(self.context).response(span)
        if shape.kind == "order":
            return OrderReader(self.context).response(kind, span)
        if shape.kind == "match":
            return MatchReader(self.context).response(kind, tuple(words), span)
        if shape.kind == "written":
            return read_written(self.context, span)
        if shape.kind == "entry":
            for key in ("options", "words", "form"):
                if getattr(shape, key) is not None:
                    hint = (
                        f"say it at its blanks: blanks: {{x: {{form: {shape.form}}}}}"
                        if key == "form"
                        else "kind: choice"
                    )
                    self._tell("options-in-entry", f"an entry has no `{key}`", key, hint=hint)
            if shape.credit is not None and shape.points is None:
                self._tell(
                    "key-of-other-kind",
                    "an entry has `credit` only where points are asked for",
                    "credit",
                    hint="say at the blanks what each is worth: marks: B1",
                )
            return self._entry(kind, shape, path, span)
        for key in ("blanks", "no_real_solution"):
            if getattr(shape, key) is not None:
                self._tell("blanks-in-choice", f"a choice has no `{key}`", key, hint="kind: entry")
        if shape.words is None and shape.options is None:
            self.findings.add(
                "missing-key", "`options` is missing", span, hint="say how many options: options: 4"
            )
            return None
        self._check_options(shape)
        more: ChoicesTemplate | None = None
        if shape.right is not None and shape.options is not None:
            more = ChoicesReader(self.context).one_written_out(kind)
            if more is None:
                return None
        return ResponseTemplate(
            "choice",
            shape.options or len(words),
            tuple(words),
            (),
            shape.marks or 1,
            False,
            shape.form or "",
            span,
            more,
        )

    def _tell(self, code: str, message: str, key: str, *, hint: str = "") -> None:
        """Something wrong about a key of the response."""
        self.findings.add(code, message, key_span(self.scope.root, (*self.path, "response", key)), hint=hint)

    def _check_options(self, shape: model.ResponseShape) -> None:
        """The number of options, by itself and beside words and slips."""
        key, number = ("options", shape.options) if shape.words is None else ("words", len(shape.words))
        assert number is not None
        if not 2 <= number <= MOST_OPTIONS:
            few = number < 2
            self._tell(
                "too-few-options" if few else "too-many-options",
                "a choice has at least 2 options" if few else f"a choice has at most {MOST_OPTIONS} options",
                key,
            )
        elif shape.words is None:
            slips = len(self.shape.slips)
            if slips < number - 1:
                self._tell(
                    "too-few-slips",
                    f"{number} options need {number - 1} slips, not {slips}",
                    key,
                    hint="add slips, or ask for fewer options",
                )
        elif shape.options not in {None, number}:
            self._tell(
                "options-and-words",
                f"{shape.options} options, but {number} rows of words",
                "options",
                hint="take `options` out: every row of words is an option",
            )
        elif len(self.unknowns) != 1:
            self._tell(
                "words-need-one-unknown",
                "words tell the value of one unknown",
                key,
                hint="give the problem one unknown: D = discriminant(...)",
            )
        if shape.words is not None and shape.form is not None:
            self.findings.doubt(
                "form-not-used",
                "options in words have no form",
                key_span(self.scope.root, (*self.path, "response", "form")),
                hint="take it out",
            )

    def _entry(
        self, kind: str, shape: model.ResponseShape, path: tuple[str | int, ...], span: Span
    ) -> ResponseTemplate | None:
        if not shape.blanks:
            self.findings.add(
                "missing-key", "`blanks` is missing", span, hint="write blanks: {x: {form: integer}}"
            )
            return None
        wanted = self.unknowns if kind != "rewrite" else ("answer",)
        strange = [n for n, blank in shape.blanks.items() if n not in wanted and blank.form != "one-of"]
        missing = [name for name in wanted if name not in shape.blanks]
        for name in strange:
            self.findings.add(
                "unknown-blank",
                f"`{name}` is no unknown",
                key_span(self.scope.root, (*path, "blanks", name)),
                hint=f"a blank for each of: {', '.join(wanted)}",
            )
        # as many under another name are the same mistake, which is told already
        for name in missing:
            if len(missing) > len(strange):
                self._tell(
                    "missing-blank",
                    f"nothing is asked for `{name}`",
                    "blanks",
                    hint=f"add {name}: {{form: integer}}",
                )
        OneOfReader(self.context).check_tick(shape)
        read = [
            self._blank(kind, name, blank, (*path, "blanks", name)) for name, blank in shape.blanks.items()
        ]
        blanks = [blank for blank in read if blank is not None]
        if len(blanks) < len(shape.blanks):
            return None
        if shape.points is not None:
            return PointsReader(self.context).response(kind, tuple(blanks), span)
        total, shared = self._entry_marks(shape, blanks, span)
        if total is None:
            return None
        return ResponseTemplate("entry", 0, (), shared, total, shape.no_real_solution == "tick", "", span)

    def _blank(
        self, kind: str, name: str, blank: model.BlankShape, here: tuple[str | int, ...]
    ) -> BlankTemplate | None:
        if blank.form == "one-of":
            return OneOfReader(self.context).blank(name, blank, here)
        OneOfReader(self.context).check_not_words(blank, here)
        tolerance = self._tolerance(blank, here)
        self._check_places(blank, here)
        self._check_interval(kind, blank, here)
        self._check_unit(blank, here)
        self._check_boxes(kind, blank, here)
        return BlankTemplate(
            "" if name == "answer" else name,
            blank.form,
            blank.values == "any-order",
            blank.places or 0,
            tolerance,
            read_marks(blank.marks),
            (blank.unit or "").replace("\\$", "$"),
            key_span(self.scope.root, here),
            (blank.ends or "integer") if blank.form == "interval" else "",
            self._bracket_letter(kind, here) if blank.form == "brackets" else "",
            boxes=blank.boxes or 0,
        )

    def _check_boxes(self, kind: str, blank: model.BlankShape, here: tuple[str | int, ...]) -> None:
        """How many boxes there are is said of numbers that solve a problem in one unknown."""
        if blank.boxes is None:
            return
        place = at(self.scope.root, (*here, "boxes")).span
        if kind != "solve" or len(self.context.unknowns) != 1 or blank.form not in {"integer", "fraction"}:
            self.findings.add(
                "boxes-of-numbers",
                "`boxes` is said of integers or fractions that are all the values of an only unknown",
                place,
                hint="take it out: as many boxes stand there as there are values",
            )
        elif not 2 <= blank.boxes <= MOST_BOXES:
            self.findings.add(
                "boxes-of-numbers",
                f"`boxes` is a number from 2 to {MOST_BOXES}",
                place,
                hint="one or two more than there are values will do",
            )

    def _tolerance(self, blank: model.BlankShape, here: tuple[str | int, ...]) -> Fraction | None:
        """How far an entry may lie from the value: a decimal, for it is told as one."""
        if blank.tolerance is None:
            return None
        tolerance = number(blank.tolerance)
        if tolerance is None or tolerance < 0 or places_needed(tolerance.denominator) < 0:
            self.findings.add(
                "not-a-number",
                f"`{blank.tolerance}` is no tolerance",
                at(self.scope.root, (*here, "tolerance")).span,
                hint="write 0.01",
            )
        return tolerance

    def _check_places(self, blank: model.BlankShape, here: tuple[str | int, ...]) -> None:
        span = key_span(self.scope.root, here)
        if blank.form == "decimal" and blank.places is None:
            self.findings.add("missing-key", "`places` is missing", span, hint="say how many: places: 2")
        if blank.form != "decimal" and (blank.places is not None or blank.tolerance is not None):
            self.findings.add(
                "places-without-decimal",
                "only a decimal has places and a tolerance",
                span,
                hint="form: decimal",
            )

    def _bracket_letter(self, kind: str, here: tuple[str | int, ...]) -> str:
        """The one letter of an expression that is taken apart into brackets."""
        named = set(tree.names(self.names.problem)) & set(self.names.letters) if self.names.problem else set()
        if not self.names.is_problem_wrong and (kind != "rewrite" or len(named) != 1):
            self.findings.add(
                "brackets-need-one-letter",
                "brackets take a quadratic expression in one letter apart",
                key_span(self.scope.root, (*here, "form")),
                hint="ask for an expression without unknowns, its letter among `letters`",
            )
        return min(named, default="")

    def _check_interval(self, kind: str, blank: model.BlankShape, here: tuple[str | int, ...]) -> None:
        """An interval is told of one unknown that is to be solved for; only it has ends."""
        if blank.form == "interval" and (kind != "solve" or len(self.unknowns) != 1):
            self.findings.add(
                "interval-needs-one-unknown",
                "an interval holds the solutions of an inequality in one unknown",
                key_span(self.scope.root, (*here, "form")),
                hint="give the problem one unknown, and leave `for_every` out",
            )
        for key in ("values",) if blank.form == "interval" else ("ends",):
            if getattr(blank, key) is not None:
                self.findings.add(
                    "misplaced-key",
                    "inequalities stand in any order anyway"
                    if key == "values"
                    else "only an interval has ends",
                    key_span(self.scope.root, (*here, key)),
                    hint="take it out",
                )

    def _check_unit(self, blank: model.BlankShape, here: tuple[str | int, ...]) -> None:
        """A unit is shown as it stands, so that what is maths elsewhere would be seen by pupils as signs."""
        unit = blank.unit or ""
        enclosed = re.fullmatch(r"\$(.+)\$", unit)
        raised = (enclosed[1] if enclosed else unit).replace("^2", "²").replace("^3", "³")
        if "^" in unit or (enclosed and "." not in raised):
            self.findings.add(
                "unit-not-as-shown",
                "a unit is shown as it stands here, and is no maths",
                at(self.scope.root, (*here, "unit")).span,
                hint=f"write unit: {raised}"
                if "^" not in raised
                else "write it as pupils shall read it, such as m²",
            )
        row, dot, _ = (enclosed[1] if enclosed else unit).partition(".")
        if dot and row in self.scope.rows:
            self.findings.add(
                "unit-not-as-shown",
                "a unit is the same in every item, and is no word of a row",
                at(self.scope.root, (*here, "unit")).span,
                hint="write the unit itself, such as m; a text can show the word of a row",
            )

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
                named = ", ".join(f"`{blank.unknown or 'answer'}`" for blank in bare)
                self.findings.add(
                    "marks-do-not-sum",
                    f"the other blanks have their marks, and none is left for {named}"
                    if given and not left
                    else f"{total} {'mark' if total == 1 else 'marks'} cannot be shared evenly over the blanks",
                    span,
                    hint=_shared_out(left, bare)
                    if left or not given
                    else f"give it marks too, as in {bare[0].unknown or 'answer'}: {{..., marks: B1}}",
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


def _shared_out(marks: int, blanks: Sequence[BlankTemplate]) -> str:
    """A way to give so many marks to these blanks, the first of them getting what cannot be shared evenly."""
    if marks < len(blanks):
        return "give the response as many marks as there are blanks, or more"
    each, over = divmod(marks, len(blanks))
    worth = (f"{blank.unknown or 'answer'}: marks: B{each + (n < over)}" for n, blank in enumerate(blanks))
    return f"say for each blank what it is worth, such as {', '.join(worth)}"
